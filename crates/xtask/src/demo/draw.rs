//! Draws the records of the demo from the scenario, the key and a fixed seed.

use fastrand::Rng;
use standbook_fieldbook::record::{
    Body, Counted, Determination, Frame, FrameShape, MixItem, Opinion, Planting, Plot, Point,
    Position, Purpose, SeedingMethod, Site, Tally, Unknown, Visit,
};
use standbook_fieldbook::{Record, RecordId};
use standbook_identify::evidence::Reading;
use standbook_identify::{Answer, Evidence, Outcome, Planted, Situation, Table, assess, looks};
use standbook_key::{LeafStage, TaxonId};
use standbook_web::evidence::record_of;
use uuid::Builder;

use super::scenario::{
    MIX, OFFICE, OFFICE_MS, PLOTS, PlotPlan, REVIEW_MS, REVIEWER, SCOUTS, SEED, VISIT_STARTS_MS,
};

/// Cells of the frame.
const CELLS: u32 = 25;

/// Plants walked through their traits at each point.
const WALKS_PER_POINT: usize = 11;

/// Looks after which a scout gives up.
const MOST_LOOKS: usize = 12;

/// All records, in the order in which they were made.
pub fn records(table: &Table) -> Vec<Record> {
    let mut draw = Draw {
        table,
        rng: Rng::with_seed(SEED),
        now_ms: OFFICE_MS,
        records: Vec::new(),
        mix: MIX.iter().map(|(taxon, _)| TaxonId::new(*taxon)).collect(),
    };
    draw.all();
    draw.records
}

struct Draw<'a> {
    table: &'a Table,
    rng: Rng,
    now_ms: u64,
    records: Vec<Record>,
    mix: Vec<TaxonId>,
}

/// What the visit's records refer to.
struct Scene {
    visit: RecordId,
    plots: Vec<RecordId>,
}

impl Draw<'_> {
    fn all(&mut self) {
        let scene = self.office();
        let mut walked = Vec::new();
        let mut unknowns = Vec::new();
        for (plan, plot) in PLOTS.iter().zip(&scene.plots) {
            for label in 1..=2 {
                self.point(plan, *plot, scene.visit, label, &mut walked, &mut unknowns);
            }
        }
        self.review(&walked, &unknowns);
    }

    /// Keeps a body under a new id and lets some seconds pass.
    fn keep(&mut self, author: &str, body: Body) -> RecordId {
        let wait = self.rng.u64(2_000..9_000);
        self.now_ms += wait;
        let mut random = [0; 10];
        self.rng.fill(&mut random);
        let id = RecordId::from_uuid(
            Builder::from_unix_timestamp_millis(self.now_ms, &random).into_uuid(),
        );
        self.records.push(Record {
            id,
            born_at: id.born_at(),
            received_at: Some(id.born_at()),
            device: "laptop".to_owned(),
            author: author.to_owned(),
            supersedes: None,
            body,
        });
        id
    }

    /// The evening before: site, planting, plots; then the visit begins.
    fn office(&mut self) -> Scene {
        let site = self.keep(
            OFFICE,
            Body::Site(Site {
                name: "Sallow Creek".to_owned(),
                locality: "Hollis County (invented)".to_owned(),
                permission: "Owner agreed by telephone; park at the gate, leave it as found."
                    .to_owned(),
                owner: String::new(),
                county: String::new(),
                state: String::new(),
            }),
        );
        let planting = self.keep(
            OFFICE,
            Body::Planting(Planting {
                site,
                name: "Creek field".to_owned(),
                purpose: Purpose::Conservation,
                seeded_on: "2026-05-12".to_owned(),
                method: SeedingMethod::Drilled {
                    row_spacing_cm: 19.05,
                },
                mix: MIX
                    .iter()
                    .map(|(taxon, rate)| MixItem {
                        taxon: (*taxon).to_owned(),
                        pls_lb_per_acre: Some(*rate),
                        planned_pls_lb_per_acre: None,
                    })
                    .collect(),
                farm_number: String::new(),
                tract_number: String::new(),
                field_number: String::new(),
                stated_area_m2: None,
                irrigated: None,
                note: String::new(),
            }),
        );
        let plots = PLOTS
            .iter()
            .map(|plan| {
                self.keep(
                    OFFICE,
                    Body::Plot(Plot {
                        planting,
                        name: plan.name.to_owned(),
                        note: plan.note.to_owned(),
                    }),
                )
            })
            .collect();
        self.now_ms = VISIT_STARTS_MS;
        let visit = self.keep(
            SCOUTS[0],
            Body::Visit(Visit {
                planting,
                on: "2026-07-14".to_owned(),
                scouts: SCOUTS.iter().map(|s| (*s).to_owned()).collect(),
                note: "Clear, 29 C by noon. Mown to 20 cm three weeks ago.".to_owned(),
            }),
        );
        Scene { visit, plots }
    }

    /// One point: a few plants walked, the frame read and flipped once.
    fn point(
        &mut self,
        plan: &PlotPlan,
        plot: RecordId,
        visit: RecordId,
        label: u32,
        walked: &mut Vec<(RecordId, String)>,
        unknowns: &mut Vec<(RecordId, String)>,
    ) {
        let scout = SCOUTS[usize::from(self.rng.bool())];
        let step = f64::from(u32::try_from(self.records.len()).unwrap_or(0));
        let position = Position {
            latitude: round(40.2 + 0.000_02 * step, 5),
            longitude: round(-96.5 + 0.000_03 * step, 5),
            uncertainty_m: Some(6.0),
        };
        let point = self.keep(
            scout,
            Body::Point(Point {
                plot,
                visit,
                label: label.to_string(),
                position: Some(position),
                planned: None,
                unreachable: String::new(),
            }),
        );
        // At three points a plant is met that nobody can name in the field.
        let unknown = (label == 2 && unknowns.len() < 3).then(|| {
            let number = u32::try_from(unknowns.len()).unwrap_or(0) + 1;
            let (truth, words) = [
                (
                    "bothriochloa_ischaemum",
                    "pale, hairs at the joints, smells sharp",
                ),
                (
                    "eragrostis_cilianensis",
                    "low, spreading, tiny pits on the blade edge",
                ),
                (
                    "bouteloua_curtipendula",
                    "hairs along the blade edge, on bumps",
                ),
            ][unknowns.len()];
            let id = self.keep(
                scout,
                Body::Unknown(Unknown {
                    visit,
                    number,
                    description: words.to_owned(),
                    first_seen: point,
                }),
            );
            unknowns.push((id, truth.to_owned()));
            id
        });
        for _ in 0..WALKS_PER_POINT {
            let truth = self.pick(plan.grows).to_owned();
            let id = self.walk(scout, point, &truth, None);
            walked.push((id, truth));
        }
        if let Some(unknown) = unknown {
            let truth = unknowns.last().map(|(_, t)| t.clone()).unwrap_or_default();
            self.walk(scout, point, &truth, Some(unknown));
        }
        // Spots differ: some richer, some poorer than the plot's mean, as drills and rain leave it.
        let richness = 0.3 + 1.4 * self.rng.f64();
        for number in 1..=2 {
            self.frame(scout, point, plan, richness, number, unknown);
        }
    }

    fn pick<'p>(&mut self, grows: &'p [(&'p str, f64)]) -> &'p str {
        let total: f64 = grows.iter().map(|(_, n)| n).sum();
        let mut left = self.rng.f64() * total;
        for (taxon, n) in grows {
            left -= n;
            if left <= 0.0 {
                return taxon;
            }
        }
        grows[0].0
    }

    /// One frame: a cell is occupied by a taxon with the chance that at least one of a random
    /// number of plants stands in it.
    fn frame(
        &mut self,
        scout: &str,
        point: RecordId,
        plan: &PlotPlan,
        richness: f64,
        number: u32,
        unknown: Option<RecordId>,
    ) {
        let mut tallies = Vec::new();
        for cell in 1..=CELLS {
            for (taxon, mean) in plan.grows {
                if self.rng.f64() < 1.0 - (-mean * richness).exp() {
                    tallies.push(Tally {
                        cell: Some(cell),
                        what: Counted::Taxon((*taxon).to_owned()),
                        plants: None,
                    });
                }
            }
            if let Some(unknown) = unknown.filter(|_| self.rng.f64() < 0.08) {
                tallies.push(Tally {
                    cell: Some(cell),
                    what: Counted::Unknown(unknown),
                    plants: None,
                });
            }
        }
        let looked_twice = self.rng.f64() < 0.8;
        self.keep(
            scout,
            Body::Frame(Frame {
                point,
                number,
                scout: scout.to_owned(),
                shape: FrameShape::Grid {
                    cells: CELLS,
                    cell_side_cm: 15.0,
                },
                tallies,
                looked_twice,
                repeats: None,
            }),
        );
    }

    /// One plant of a taxon, walked by *Look next at*: what the scout reports is drawn from the
    /// table's own chances for that taxon.
    fn walk(
        &mut self,
        scout: &str,
        point: RecordId,
        truth: &str,
        unknown: Option<RecordId>,
    ) -> RecordId {
        let table = self.table;
        let row = table.row_index(truth).unwrap_or(0);
        let situation = Situation {
            leaf_stage: if self.rng.f64() < 0.7 {
                LeafStage::Tillering
            } else {
                LeafStage::FewLeaves
            },
            ..Situation::default()
        };
        let mix = self.mix.clone();
        let planted = Planted::Mix(&mix);
        let mut evidence = Evidence::default();
        let patience = self.rng.usize(6..=MOST_LOOKS);
        let mut said = assess(table, &evidence, planted);
        while evidence.answers().len() < patience {
            let Some(look) = looks(table, &said.posterior, &evidence, &situation, planted)
                .first()
                .copied()
            else {
                break;
            };
            let reading = self.report(look.trait_index, row);
            evidence.add(Answer {
                trait_index: look.trait_index,
                reading,
            });
            said = assess(table, &evidence, planted);
            if matches!(said.outcome, Outcome::Settled(_)) {
                break;
            }
        }
        let taxon = match (&said.outcome, unknown) {
            (Outcome::Settled(row) | Outcome::Leaning(row), None) => {
                Some(table.rows[*row].id.to_string())
            }
            _ => None,
        };
        let kept = record_of(table, &evidence, &situation, &said);
        let cell = (self.rng.f64() < 0.6).then(|| self.rng.u32(1..=CELLS));
        self.now_ms += 1_000 * self.rng.u64(20..90);
        self.keep(
            scout,
            Body::Determination(Determination {
                point,
                cell,
                unknown,
                taxon,
                note: String::new(),
                evidence: kept,
            }),
        )
    }

    /// What a scout reports of one trait of a taxon; now and then she can't tell.
    fn report(&mut self, trait_index: usize, row: usize) -> Reading {
        if self.rng.f64() < 0.05 {
            return Reading::CannotTell;
        }
        let columns = &self.table.traits[trait_index];
        let mut left = self.rng.f64();
        let mut state = 0;
        for (at, column) in columns.chances.iter().enumerate() {
            state = at;
            left -= column[row];
            if left <= 0.0 {
                break;
            }
        }
        match &columns.bins {
            None => Reading::States(vec![state]),
            Some(bins) => {
                let step = (bins.highest / bins.lowest).powf(1.0 / bins.n as f64);
                let value = bins.lowest * step.powf(state as f64 + self.rng.f64());
                // A ruler held against a seedling is read to half a millimetre.
                Reading::Measure(
                    ((value * 2.0).round() / 2.0).clamp(bins.lowest.max(0.5), bins.highest),
                )
            }
        }
    }

    /// The day after: the reviewer looks at some, agrees with most, disputes one; settles one
    /// unknown.
    fn review(&mut self, walked: &[(RecordId, String)], unknowns: &[(RecordId, String)]) {
        self.now_ms = REVIEW_MS;
        for (id, truth) in walked.iter().step_by(11) {
            self.opinion(REVIEWER, *id, truth, "Looked at the dug plant again.");
        }
        if let Some((id, _)) = walked.get(3) {
            self.opinion(
                REVIEWER,
                *id,
                "andropogon_gerardi",
                "Long silky hairs on the lowest sheath.",
            );
            self.opinion(
                SCOUTS[1],
                *id,
                "schizachyrium_scoparium",
                "The base would not roll at all; I still see a flat shoot.",
            );
        }
        if let Some((id, truth)) = unknowns.get(2) {
            self.opinion(
                REVIEWER,
                *id,
                truth,
                "Single hairs on bumps along the blade edge.",
            );
        }
    }

    fn opinion(&mut self, author: &str, about: RecordId, taxon: &str, reasons: &str) {
        self.now_ms += 60_000;
        self.keep(
            author,
            Body::Opinion(Opinion {
                about,
                taxon: Some(taxon.to_owned()),
                name_as_written: String::new(),
                reasons: reasons.to_owned(),
            }),
        );
    }
}

fn round(value: f64, places: i32) -> f64 {
    let scale = 10_f64.powi(places);
    (value * scale).round() / scale
}
