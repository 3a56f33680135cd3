//! A book with a field, two plots and a visit; places and people are invented.
#![allow(dead_code)]

use std::path::Path;
use std::sync::OnceLock;

use standbook_fieldbook::record::*;
use standbook_fieldbook::{Book, Record, RecordId};
use standbook_identify::{Planted, Table, assess};
use standbook_import::bring::{Looked, Said, Target, What, keep, look};
use standbook_import::dates::DateForm;
use standbook_import::frames::Usual;
use standbook_key::{Key, KeyFiles};

/// The book and what is in it.
pub struct Sample {
    pub folder: tempfile::TempDir,
    pub book: Book,
    pub key: &'static Key,
    pub table: &'static Table,
    pub planting: RecordId,
    pub north: RecordId,
    pub south: RecordId,
    pub visit: RecordId,
}

pub fn record(body: Body) -> Record {
    Record {
        id: RecordId::new(),
        born_at: standbook_fieldbook::time::now(),
        received_at: None,
        device: "laptop".to_owned(),
        author: "A. Fenn".to_owned(),
        supersedes: None,
        body,
    }
}

/// The key that comes with the project, read once.
pub fn key() -> &'static Key {
    static KEY: OnceLock<Key> = OnceLock::new();
    KEY.get_or_init(read_key)
}

fn table() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    TABLE.get_or_init(|| Table::compile(key()))
}

fn read_key() -> Key {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year");
    standbook_key::load(&KeyFiles::read_folder(&folder).unwrap())
        .key
        .unwrap()
}

/// How a person says what a file is.
pub fn said(what: What) -> Said {
    Said {
        what,
        file: "north.csv".to_owned(),
        by: "B. Rowan".to_owned(),
        scout: "A. Fenn".to_owned(),
        plot: None,
        usual: Usual {
            cells: 25,
            cell_side_cm: 15.0,
            area_m2: None,
            row_m: None,
            row_spacing_cm: None,
            dates: DateForm::Iso,
        },
        make_missing: false,
    }
}

impl Sample {
    pub fn new() -> Sample {
        let folder = tempfile::tempdir().unwrap();
        let book = Book::create(folder.path().join("season.standbook")).unwrap();
        let key = key();
        let table = table();
        let site = record(Body::Site(Site {
            name: "Quill Farm".to_owned(),
            locality: String::new(),
            permission: String::new(),
            owner: String::new(),
            county: String::new(),
            state: String::new(),
        }));
        let planting = record(Body::Planting(Planting {
            site: site.id,
            name: "north forty".to_owned(),
            purpose: Purpose::Conservation,
            seeded_on: "2026-05-12".to_owned(),
            method: SeedingMethod::Broadcast,
            mix: vec![MixItem {
                taxon: "panicum_virgatum".to_owned(),
                pls_lb_per_acre: None,
                planned_pls_lb_per_acre: None,
            }],
            farm_number: String::new(),
            tract_number: String::new(),
            field_number: String::new(),
            stated_area_m2: None,
            irrigated: None,
            note: String::new(),
        }));
        let plot = |name: &str| {
            record(Body::Plot(Plot {
                planting: planting.id,
                name: name.to_owned(),
                note: String::new(),
            }))
        };
        let (north, south) = (plot("North strip"), plot("South strip"));
        let ring = vec![
            [40.1, -96.52],
            [40.1, -96.5],
            [40.12, -96.5],
            [40.12, -96.52],
        ];
        let outline = record(Body::Outline(Outline {
            planting: planting.id,
            of: OutlineOf::Field,
            name: String::new(),
            polygons: vec![Polygon { rings: vec![ring] }],
            origin: "typed".to_owned(),
        }));
        let visit = record(Body::Visit(Visit {
            planting: planting.id,
            on: "2026-07-14".to_owned(),
            scouts: vec!["A. Fenn".to_owned()],
            note: String::new(),
        }));
        let sample = Sample {
            planting: planting.id,
            north: north.id,
            south: south.id,
            visit: visit.id,
            folder,
            key,
            table,
            book: book.clone(),
        };
        book.append(vec![site, planting, north, south, outline, visit])
            .unwrap();
        sample
    }

    /// The same with points 1 to `n` in the north strip.
    pub fn with_points(n: usize) -> Sample {
        let sample = Sample::new();
        let lines: String = (1..=n)
            .map(|at| format!("{at},40.11,-96.51,North strip\n"))
            .collect();
        sample.brought(
            What::Points,
            &format!("label,latitude,longitude,plot\n{lines}"),
        );
        sample
    }

    pub fn looked_as(&self, said: &Said, bytes: &[u8]) -> Looked {
        let target = Target {
            book: &self.book,
            visit: self.visit,
            key: self.key,
            table: self.table,
            weigh: &|evidence, situation| {
                // What the program itself weighs with lies in crate web; the acceptance tests have it.
                let weighed = assess(self.table, evidence, Planted::ByRole);
                Evidence {
                    key: self.table.key_id.clone(),
                    table_fingerprint: self.table.fingerprint.clone(),
                    leaf_stage: situation.leaf_stage.id().to_owned(),
                    tools: situation
                        .tools
                        .iter()
                        .map(|tool| tool.id().to_owned())
                        .collect(),
                    prior: PriorUsed::Even,
                    answers: Vec::new(),
                    outcome: weighed.outcome.id().to_owned(),
                    ranking: weighed
                        .ranking
                        .iter()
                        .map(|(row, p)| Ranked {
                            taxon: self.table.rows[*row].id.to_string(),
                            probability: *p,
                        })
                        .collect(),
                }
            },
        };
        look(&target, said, bytes).unwrap()
    }

    pub fn looked(&self, what: What, text: &str) -> Looked {
        self.looked_as(&said(what), text.as_bytes())
    }

    /// Looks and keeps; there must be no fault.
    #[track_caller]
    pub fn brought(&self, what: What, text: &str) -> Looked {
        let looked = self.looked(what, text);
        assert!(looked.faults.is_empty(), "{:#?}", looked.faults);
        keep(&self.book, &looked).unwrap();
        looked
    }

    /// Faults as a person is told them.
    pub fn faults(&self, what: What, text: &str) -> Vec<String> {
        told(&self.looked(what, text))
    }

    pub fn count(&self) -> usize {
        self.book.count().unwrap()
    }
}

pub fn told(looked: &Looked) -> Vec<String> {
    looked
        .faults
        .iter()
        .map(|wrong| format!("{}, {}", wrong.at, wrong.said))
        .collect()
}

/// The only fault holds all of these.
#[track_caller]
pub fn one_fault(faults: &[String], parts: &[&str]) {
    assert_eq!(faults.len(), 1, "{faults:#?}");
    for part in parts {
        assert!(faults[0].contains(part), "no `{part}` in {}", faults[0]);
    }
}
