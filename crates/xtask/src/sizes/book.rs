//! A large book, made from a few numbers: many visits, each with as much as a crew records in a day.
//!
//! Records go in by the same way as anybody's, so that whatever the book asks of them holds for
//! these too. Rankings are short (three lines), to keep the file small; places, people and plants
//! are invented.

use std::path::Path;

use standbook_fieldbook::record::*;
use standbook_fieldbook::{Book, Record, RecordId};

/// Determinations of one visit.
const PLANTS: usize = 500;
/// Points of one visit.
const POINTS: usize = 50;
/// Cells of a frame; in a large book all of them hold something.
const CELLS: u32 = 25;
/// Visits of one planting.
const VISITS: usize = 4;
/// One plant of so many got a second opinion.
const REVIEWED: usize = 100;
/// Records of one call.
const TOGETHER: usize = 4_000;

const PLANTED: [&str; 3] = [
    "andropogon_gerardi",
    "sorghastrum_nutans",
    "panicum_virgatum",
];
const WEEDS: [&str; 3] = [
    "setaria_faberi",
    "digitaria_sanguinalis",
    "echinochloa_crus_galli",
];
const SCOUTS: [&str; 4] = ["Thea Marsh", "Ivo Lund", "Ana Rook", "Bo Pell"];

/// How much is wanted.
#[derive(Debug, Clone, Copy)]
pub struct Size {
    /// Plants named.
    pub determinations: usize,
    /// Cells with something in them.
    pub cells: usize,
}

/// Makes a book; how many records it holds.
pub fn make(path: &Path, size: Size) -> Result<usize, String> {
    let book = Book::create(path).map_err(|e| e.to_string())?;
    let visits = size.determinations.div_ceil(PLANTS).max(1);
    let frames = size.cells.div_ceil(CELLS as usize * visits);
    let mut making = Making::new(&book);
    for planting in 0..visits.div_ceil(VISITS) {
        let of_planting = VISITS.min(visits - planting * VISITS);
        making.planting(planting, of_planting, frames)?;
        if planting % 50 == 0 {
            println!("xtask: {} records", making.kept);
        }
    }
    making.keep()?;
    Ok(making.kept)
}

/// A book in the making.
struct Making<'b> {
    book: &'b Book,
    waiting: Vec<Record>,
    kept: usize,
    /// Milliseconds since 1970 in the next id: ids in their order, so that the file grows at its end.
    clock_ms: u64,
    random: fastrand::Rng,
}

impl Making<'_> {
    fn new(book: &Book) -> Making<'_> {
        Making {
            book,
            waiting: Vec::new(),
            kept: 0,
            clock_ms: 1_770_000_000_000,
            random: fastrand::Rng::with_seed(20_260_714),
        }
    }

    fn add(&mut self, author: &str, body: impl Into<Body>) -> Result<RecordId, String> {
        self.clock_ms += 1;
        let random = self.random.u128(..).to_be_bytes();
        let mut bytes = [0; 10];
        bytes.copy_from_slice(&random[..10]);
        let uuid = uuid::Builder::from_unix_timestamp_millis(self.clock_ms, &bytes);
        let id = RecordId::from_uuid(uuid.into_uuid());
        self.waiting.push(Record {
            id,
            born_at: id.born_at(),
            received_at: None,
            device: "laptop".to_owned(),
            author: author.to_owned(),
            supersedes: None,
            body: body.into(),
        });
        if self.waiting.len() >= TOGETHER {
            self.keep()?;
        }
        Ok(id)
    }

    fn keep(&mut self) -> Result<(), String> {
        let records = std::mem::take(&mut self.waiting);
        self.kept += records.len();
        let kept = self.book.append(records);
        kept.map(|_| ()).map_err(|e| e.to_string())
    }

    fn planting(&mut self, number: usize, visits: usize, frames: usize) -> Result<(), String> {
        let site = self.add(
            SCOUTS[0],
            Site {
                name: format!("Farm {number}"),
                locality: "Marl County".into(),
                permission: String::new(),
                owner: String::new(),
                county: String::new(),
                state: String::new(),
            },
        )?;
        let mix = PLANTED.map(|taxon| MixItem {
            taxon: taxon.to_owned(),
            pls_lb_per_acre: None,
            planned_pls_lb_per_acre: None,
        });
        let planting = self.add(
            SCOUTS[0],
            Planting {
                site,
                name: format!("field {number}"),
                purpose: Purpose::Forage,
                seeded_on: "2026-05-12".into(),
                method: SeedingMethod::Broadcast,
                mix: mix.into(),
                farm_number: String::new(),
                tract_number: String::new(),
                field_number: String::new(),
                stated_area_m2: None,
                irrigated: None,
                note: String::new(),
            },
        )?;
        let plot = self.add(
            SCOUTS[0],
            Plot {
                planting,
                name: "North".into(),
                note: String::new(),
            },
        )?;
        for visit in 0..visits {
            self.visit(planting, plot, visit, frames)?;
        }
        Ok(())
    }

    fn visit(
        &mut self,
        planting: RecordId,
        plot: RecordId,
        number: usize,
        frames: usize,
    ) -> Result<(), String> {
        let visit = self.add(
            SCOUTS[0],
            Visit {
                planting,
                on: format!("2026-{:02}-14", 6 + number),
                scouts: SCOUTS.map(str::to_owned).into(),
                note: String::new(),
            },
        )?;
        let mut points = Vec::new();
        for label in 1..=POINTS {
            points.push(self.add(
                SCOUTS[0],
                Point {
                    plot,
                    visit,
                    label: label.to_string(),
                    position: None,
                    planned: None,
                    unreachable: String::new(),
                },
            )?);
        }
        let mut unknowns = Vec::new();
        for number in 1..=2 {
            unknowns.push(self.add(
                SCOUTS[1],
                Unknown {
                    visit,
                    number,
                    description: "hairy, flat base".into(),
                    first_seen: points[0],
                },
            )?);
        }
        for frame in 0..frames {
            let scout = SCOUTS[frame % SCOUTS.len()];
            let number = u32::try_from(frame / POINTS + 1).unwrap_or(1);
            let frame = self.frame(points[frame % POINTS], number, scout, &unknowns);
            self.add(scout, frame)?;
        }
        for plant in 0..PLANTS {
            let scout = SCOUTS[plant % SCOUTS.len()];
            let about = self.determination(points[plant % POINTS], plant, &unknowns);
            let about = self.add(scout, about)?;
            if plant % REVIEWED == 0 {
                let opinion = Opinion {
                    taxon: Some(WEEDS[0].to_owned()),
                    reasons: "ligule of hairs".into(),
                    ..Opinion::on(about)
                };
                self.add("R. Teal", opinion)?;
            }
        }
        Ok(())
    }

    fn frame(&mut self, point: RecordId, number: u32, scout: &str, unknowns: &[RecordId]) -> Frame {
        let tallies = (1..=CELLS).map(|cell| Tally {
            cell: Some(cell),
            what: match self.random.u32(0..40) {
                0 => Counted::Unknown(unknowns[0]),
                n if n < 20 => Counted::Taxon(PLANTED[n as usize % 3].to_owned()),
                n => Counted::Taxon(WEEDS[n as usize % 3].to_owned()),
            },
            plants: None,
        });
        Frame {
            point,
            number,
            scout: scout.to_owned(),
            shape: FrameShape::Grid {
                cells: CELLS,
                cell_side_cm: 15.0,
            },
            tallies: tallies.collect(),
            looked_twice: true,
            repeats: None,
        }
    }

    fn determination(
        &mut self,
        point: RecordId,
        plant: usize,
        unknowns: &[RecordId],
    ) -> Determination {
        let (taxon, other) = (PLANTED[plant % 3], WEEDS[plant % 3]);
        let sure = self.random.f64();
        let ranked = |taxon: &str, probability| Ranked {
            taxon: taxon.to_owned(),
            probability,
        };
        // Sums to 1 and falls, whatever is drawn.
        let (first, second) = (0.5 + sure * 0.4, 0.05 + (1.0 - sure) * 0.05);
        let answer = |id: &str, state: &str| AnswerGiven {
            r#trait: id.to_owned(),
            value: ValueGiven::States(vec![state.to_owned()]),
        };
        let unknown = (plant % 50 == 7).then(|| unknowns[1]);
        Determination {
            point,
            cell: None,
            unknown,
            taxon: unknown.is_none().then(|| taxon.to_owned()),
            note: String::new(),
            evidence: Evidence {
                key: "tallgrass-first-year".into(),
                table_fingerprint: "00".into(),
                leaf_stage: "tillering".into(),
                tools: vec!["lens".into()],
                prior: PriorUsed::Even,
                answers: vec![
                    answer("ligule_type", "membrane"),
                    answer("sheath_hairs", "sparse"),
                    answer("tiller_base", "round"),
                ],
                outcome: if sure > 0.6 { "settled" } else { "leaning" }.into(),
                ranking: vec![
                    ranked(taxon, first),
                    ranked("not_in_key", 1.0 - first - second),
                    ranked(other, second),
                ],
            },
        }
    }
}
