//! A book with one of everything that is hard to take out. All places and people are invented.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use std::path::Path;
use std::sync::OnceLock;

use standbook_fieldbook::record::*;
use standbook_fieldbook::{Book, NewPhoto, RecordId};
use standbook_key::{Key, KeyFiles, load};

use super::records::{cells, correction, grid, opinion, plant, record, taxon};
use crate::{Given, Request, take_out};

/// Words that must not leave where somebody asked for that.
pub(super) const PLACES: [&str; 8] = [
    "Quill Farm",
    "Crane Road",
    "R. Teal",
    "gate code",
    "9931",
    "51234",
    "541234",
    "northwest gate",
];
/// As above, of people and devices.
pub(super) const PEOPLE: [&str; 6] = [
    "Ada Fenn",
    "Bo Reed",
    "Cy Marsh",
    "Dee Vole",
    "R. Teal",
    "phone of Ada",
];

/// Who only practised.
pub(super) const TRAINEE: &str = "Odo Quince";

/// The key that comes with the program, read once.
pub(super) fn key() -> &'static Key {
    static KEY: OnceLock<Key> = OnceLock::new();
    KEY.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year");
        load(&KeyFiles::read_folder(&folder).unwrap()).key.unwrap()
    })
}

pub(super) struct Sample {
    pub folder: tempfile::TempDir,
    pub book: Book,
    pub planting: RecordId,
    pub visit: RecordId,
    pub frame: RecordId,
    pub plant: RecordId,
}

impl Sample {
    pub fn new() -> Sample {
        let folder = tempfile::tempdir().unwrap();
        let book = Book::create(folder.path().join("season.standbook")).unwrap();
        let site = record(
            "Ada Fenn",
            Site {
                name: "Quill Farm".into(),
                locality: "off Crane Road".into(),
                permission: "gate code 4711".into(),
                owner: "R. Teal".into(),
                county: "Marl".into(),
                state: "KS".into(),
            },
        );
        let mix = [
            "andropogon_gerardi",
            "sorghastrum_nutans",
            "panicum_virgatum",
        ];
        let planting = record(
            "Ada Fenn",
            Planting {
                site: site.id,
                name: "north forty".into(),
                purpose: Purpose::Conservation,
                seeded_on: "2026-05-12".into(),
                method: SeedingMethod::Drilled {
                    row_spacing_cm: 19.0,
                },
                mix: mix
                    .map(|taxon| MixItem {
                        taxon: taxon.into(),
                        pls_lb_per_acre: Some(2.5),
                        planned_pls_lb_per_acre: None,
                    })
                    .to_vec(),
                farm_number: "9931".into(),
                tract_number: String::new(),
                field_number: String::new(),
                stated_area_m2: None,
                irrigated: Some(false),
                note: "by the northwest gate".into(),
            },
        );
        let lot = record(
            "Ada Fenn",
            SeedLot {
                planting: planting.id,
                taxon: "andropogon_gerardi".into(),
                lot: "MQ-26".into(),
                variety: String::new(),
                origin: String::new(),
                purity_percent: Some(92.15),
                germination_percent: Some(61.0),
                dormant_percent: None,
                other_crop_percent: None,
                inert_percent: None,
                weed_percent: None,
                noxious: vec![NoxiousSeed {
                    name: "field bindweed".into(),
                    per_lb: 9.0,
                }],
                tested: Some("2026-02".into()),
                seeds_per_lb: None,
                bulk_lb: None,
                note: String::new(),
            },
        );
        let mowed = record(
            "Bo Reed",
            Event {
                planting: planting.id,
                on: "2026-06-20".into(),
                what: EventKind::Mowed {
                    height_cm: Some(20.0),
                },
                note: String::new(),
            },
        );
        let plot = record(
            "Ada Fenn",
            Plot {
                planting: planting.id,
                name: "Crown".into(),
                note: String::new(),
            },
        );
        // Clockwise, so that the right-hand rule has something to mend.
        let ring = vec![
            [38.251, -96.542],
            [38.252, -96.542],
            [38.252, -96.540],
            [38.251, -96.540],
        ];
        let outline = |of| Outline {
            planting: planting.id,
            of,
            name: String::new(),
            polygons: vec![Polygon {
                rings: vec![ring.clone()],
            }],
            origin: "drawn".into(),
        };
        let field = record("Ada Fenn", outline(OutlineOf::Field));
        let crown = record("Ada Fenn", outline(OutlineOf::Plot(plot.id)));
        let point_of_plan = |walk: Option<u32>| PlannedPoint {
            latitude: 38.2515,
            longitude: -96.5415,
            plot: None,
            spare: walk.is_none(),
            walk,
        };
        let plan = record(
            "Ada Fenn",
            Plan {
                planting: planting.id,
                name: "July walk".into(),
                design: PlanDesign::Balanced,
                seed: 7,
                edge_m: 5.0,
                points: vec![point_of_plan(Some(1)), point_of_plan(None)],
                stopping: None,
            },
        );
        let visit = record(
            "Ada Fenn",
            Visit {
                planting: planting.id,
                on: "2026-07-14".into(),
                scouts: vec!["Ada Fenn".into(), "Bo Reed".into()],
                note: String::new(),
            },
        );
        let fix = |uncertainty_m| Position {
            latitude: 38.251_234,
            longitude: -96.541_234,
            uncertainty_m,
        };
        let point = |label: &str, position, unreachable: &str| Point {
            plot: plot.id,
            visit: visit.id,
            label: label.into(),
            position,
            planned: None,
            unreachable: unreachable.into(),
        };
        let first = record("Ada Fenn", point("1", None, ""));
        let second = record("Ada Fenn", point("2", None, ""));
        let third = record(
            "Ada Fenn",
            point("3", Some(fix(None)), "flooded at the northwest gate"),
        );
        // Its position was typed in later.
        let placed = correction(first.id, point("1", Some(fix(Some(4.0))), ""));
        let unknown = |number, at: &Record| {
            record(
                "Ada Fenn",
                Unknown {
                    visit: visit.id,
                    number,
                    description: "hairy, flat base".into(),
                    first_seen: at.id,
                },
            )
        };
        let (open, settled) = (unknown(1, &second), unknown(2, &first));
        let foxtail = taxon("setaria_faberi");
        let bluestem = taxon("andropogon_gerardi");
        let frame = record(
            "Ada Fenn",
            grid(first.id, 1, "Ada Fenn", cells(&bluestem, &[1])),
        );
        // The correction has two cells of big bluestem and one of foxtail.
        let both = [cells(&bluestem, &[1, 2]), cells(&foxtail, &[2])].concat();
        let corrected = correction(frame.id, grid(first.id, 1, "Ada Fenn", both));
        let none = record("Ada Fenn", grid(first.id, 2, "Ada Fenn", vec![]));
        let again = record(
            "Bo Reed",
            Frame {
                repeats: Some(frame.id),
                ..grid(first.id, 1, "Bo Reed", cells(&bluestem, &[1]))
            },
        );
        let of_settled = grid(
            first.id,
            4,
            "Ada Fenn",
            cells(&Counted::Unknown(settled.id), &[5]),
        );
        let of_settled = record("Ada Fenn", of_settled);
        let plants = |what, many| Tally {
            cell: None,
            what,
            plants: Some(many),
        };
        let quadrat = record(
            "Ada Fenn",
            Frame {
                shape: FrameShape::Quadrat { area_m2: 0.5 },
                tallies: vec![
                    plants(taxon("panicum_virgatum"), 3),
                    plants(Counted::Unknown(open.id), 2),
                ],
                ..grid(second.id, 1, "Ada Fenn", vec![])
            },
        );
        let one = record(
            "Ada Fenn",
            plant(
                first.id,
                None,
                Some("setaria_faberi"),
                "=SUM(A1)\n\"quoted\", ü",
            ),
        );
        let other = record("Ada Fenn", plant(first.id, Some(settled.id), None, ""));
        let opinions = [
            opinion("Bo Reed", 1, one.id, Some("setaria_faberi"), ""),
            opinion(
                "Cy Marsh",
                2,
                one.id,
                Some("setaria_faberi"),
                "Setaria cf. faberi",
            ),
            opinion("Bo Reed", 3, settled.id, None, "Setaria sp."),
            opinion("Cy Marsh", 4, settled.id, Some("sorghastrum_nutans"), ""),
        ];
        let walked = record(
            "Cy Marsh",
            Opinion {
                taxon: Some("setaria_faberi".into()),
                blind: true,
                evidence: Some(plant(first.id, None, None, "").evidence),
                ..Opinion::on(other.id)
            },
        );
        let specimen = record(
            "Cy Marsh",
            Voucher {
                about: one.id,
                collector: "Dee Vole".into(),
                number: "DV-17".into(),
                collected_on: "2026-07-14".into(),
                preparation: Preparation::Pressed,
                parts: "two tillers".into(),
                kept_at: "shed".into(),
                habitat: "by the northwest gate".into(),
                associates: String::new(),
                habit: String::new(),
                abundance: String::new(),
                fading: String::new(),
            },
        );
        let come_back = record(
            "Cy Marsh",
            ComeBack {
                about: settled.id,
                due_on: "2026-08-15".into(),
                reason: ComeBackReason::Heading,
                pin: "red flag".into(),
                position: Some(fix(Some(2.0))),
                seen_on: None,
                found: String::new(),
            },
        );
        let audit = record(
            "Cy Marsh",
            Audit {
                visit: visit.id,
                share: 0.5,
                draw_seed: 3,
                plants: 2,
                drawn: vec![one.id],
            },
        );
        let set = record(
            "Cy Marsh",
            PracticeSet {
                title: "First week".into(),
                purpose: SetPurpose::FieldTest,
                planting: Some(planting.id),
                visit: None,
                minutes: Some(120.0),
                questions: vec![SetQuestion {
                    question: "name.setaria_pumila.tillering.7".into(),
                    with_book: true,
                }],
            },
        );
        let answer = |drill, cells, of_set| {
            let practice = Practice {
                scout: TRAINEE.into(),
                drill,
                question: "name.setaria_pumila.tillering.7".into(),
                with_book: false,
                key_id: "tallgrass-first-year".into(),
                table_fingerprint: "5f".into(),
                taxon: Some("setaria_pumila".into()),
                against: None,
                named: None,
                by: None,
                readings: vec![PracticeReading {
                    trait_id: "ligule_type".into(),
                    shown: "hairs".into(),
                    reported: None,
                }],
                cells,
                seconds: Some(12.5),
                of_set,
            };
            record("Cy Marsh", practice)
        };
        let cell = PracticeCell {
            cell: 3,
            planted: true,
            other: false,
            marked_planted: false,
            marked_other: true,
        };
        let item = SetItem {
            set: set.id,
            item: 1,
        };
        let practised = [
            answer(Drill::NameIt, vec![], Some(item)),
            answer(Drill::CountFrame, vec![cell], None),
            record(
                "Cy Marsh",
                ScoutRule {
                    planting: planting.id,
                    at_least: 0.9,
                    sure: 0.8,
                    with_book: false,
                    own_rates: true,
                    withdrawn: false,
                },
            ),
        ];
        let sample = (planting.id, visit.id, frame.id, one.id);
        let mut all = vec![
            site, planting, lot, mowed, plot, field, crown, plan, visit, first, second, third,
        ];
        all.extend([
            placed, open, settled, frame, corrected, none, again, of_settled, quadrat, one, other,
        ]);
        all.extend(opinions);
        all.extend([walked, specimen, come_back, audit, set]);
        all.extend(practised);
        book.append(all).unwrap();
        let (planting, visit, frame, plant) = sample;
        let sample = Sample {
            folder,
            book,
            planting,
            visit,
            frame,
            plant,
        };
        sample.photo(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic");
        sample
    }

    /// Adds a picture of the first plant.
    pub fn photo(&self, bytes: &[u8]) {
        self.book
            .keep_photo(
                bytes,
                &NewPhoto {
                    id: RecordId::new(),
                    of: self.plant,
                    shows: "collar",
                    author: "Ada Fenn",
                    device: "phone of Ada",
                    born_at: "2026-07-14T15:04:05.123Z".to_owned(),
                },
            )
            .unwrap();
    }

    pub fn given(&self) -> Given<'_> {
        Given {
            key: key(),
            today: "2026-09-01",
        }
    }

    /// The file, as bytes.
    pub fn bytes(&self, request: &Request) -> Vec<u8> {
        let out = self.folder.path().join("out");
        take_out(&self.book, self.given(), request, &out).unwrap();
        let bytes = std::fs::read(&out).unwrap();
        std::fs::remove_file(&out).unwrap();
        bytes
    }

    /// The entries of a zip.
    pub fn entries(&self, request: &Request) -> BTreeMap<String, Vec<u8>> {
        let mut zip = zip::ZipArchive::new(Cursor::new(self.bytes(request))).unwrap();
        (0..zip.len())
            .map(|at| {
                let mut entry = zip.by_index(at).unwrap();
                let mut bytes = Vec::new();
                entry.read_to_end(&mut bytes).unwrap();
                (entry.name().unwrap().into_owned(), bytes)
            })
            .collect()
    }

    /// The rows of a file of an archive, each by the names of its columns.
    pub fn rows(&self, request: &Request, file: &str) -> Vec<BTreeMap<String, String>> {
        let entries = self.entries(request);
        let tabs = file.ends_with(".txt");
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(if tabs { b'\t' } else { b',' })
            .quoting(!tabs)
            .from_reader(entries[file].as_slice());
        reader.deserialize().map(|row| row.unwrap()).collect()
    }
}
