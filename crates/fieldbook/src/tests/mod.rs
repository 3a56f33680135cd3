//! Tests of the whole book, on real files in temporary folders.
//!
//! They live in the crate because some need the writing connection (full disk, broken rules).
#![allow(clippy::unwrap_used)]

mod append;
mod backup;
mod chains;
mod crash;
mod doctor;
mod exchange;
mod full;
mod merge;
mod merge_random;
mod merge_refused;
mod merge_settle;
mod messages;
mod migrate;
mod opening;
mod pages;
mod photos;
mod reading;
mod removed;
mod round_trip;
mod rules;
mod rules_evidence;
mod rules_office;
mod rules_planning;
mod rules_planting;
mod rules_practice;
mod rules_repeats;
mod sql;
mod visits;

use std::path::PathBuf;

use crate::record::*;
use crate::{Book, RecordId};

/// A book in a folder of its own, with one of each thing that others refer to.
struct Sample {
    folder: tempfile::TempDir,
    book: Book,
    site: RecordId,
    planting: RecordId,
    plot: RecordId,
    visit: RecordId,
    point: RecordId,
    unknown: RecordId,
}

/// An envelope around a body; the place and the people are invented.
fn record(body: impl Into<Body>) -> Record {
    Record {
        id: RecordId::new(),
        born_at: "2026-07-14T15:04:05.123Z".to_owned(),
        received_at: None,
        device: "laptop".to_owned(),
        author: "A. Fenn".to_owned(),
        supersedes: None,
        body: body.into(),
    }
}

/// A correction of a record, born at the given second of one minute.
fn correction(of: RecordId, second: u8, body: impl Into<Body>) -> Record {
    let born_at = format!("2026-08-01T10:00:{second:02}.000Z");
    Record {
        supersedes: Some(of),
        born_at,
        ..record(body)
    }
}

fn a_site() -> Site {
    Site {
        name: "Quill Farm".into(),
        locality: "Marl County".into(),
        permission: "gate code by phone".into(),
        owner: "R. Teal".into(),
        county: "Marl".into(),
        state: "KS".into(),
    }
}

fn a_planting(site: RecordId) -> Planting {
    Planting {
        site,
        name: "north forty".into(),
        purpose: Purpose::Forage,
        seeded_on: "2026-05-12".into(),
        method: SeedingMethod::Drilled {
            row_spacing_cm: 19.0,
        },
        mix: vec![
            MixItem {
                taxon: "andropogon_gerardi".into(),
                pls_lb_per_acre: Some(4.5),
                planned_pls_lb_per_acre: Some(4.0),
            },
            MixItem {
                taxon: "sorghastrum_nutans".into(),
                pls_lb_per_acre: None,
                planned_pls_lb_per_acre: None,
            },
        ],
        farm_number: "1234".into(),
        tract_number: "56".into(),
        field_number: "7b".into(),
        stated_area_m2: Some(161_874.0),
        irrigated: Some(false),
        note: "disked in April\nno cover crop".into(),
    }
}

fn a_plot(planting: RecordId, name: &str) -> Plot {
    Plot {
        planting,
        name: name.into(),
        note: "below the old fence line\nwet in May".into(),
    }
}

fn a_visit(planting: RecordId) -> Visit {
    Visit {
        planting,
        on: "2026-07-14".into(),
        scouts: vec!["A. Fenn".into(), "B. Reed".into()],
        note: String::new(),
    }
}

fn a_point(plot: RecordId, visit: RecordId, label: &str) -> Point {
    let position = Some(Position {
        latitude: 38.25,
        longitude: -96.5,
        uncertainty_m: Some(4.0),
    });
    Point {
        plot,
        visit,
        label: label.into(),
        position,
        planned: None,
        unreachable: String::new(),
    }
}

fn a_seed_lot(planting: RecordId) -> SeedLot {
    SeedLot {
        planting,
        taxon: "andropogon_gerardi".into(),
        lot: "MQ-26-014".into(),
        variety: "variety not stated".into(),
        origin: "KS".into(),
        purity_percent: Some(92.15),
        germination_percent: Some(61.0),
        dormant_percent: Some(24.0),
        other_crop_percent: Some(0.25),
        inert_percent: Some(7.5),
        weed_percent: Some(0.1),
        noxious: vec![NoxiousSeed {
            name: "field bindweed".into(),
            per_lb: 9.0,
        }],
        tested: Some("2026-02".into()),
        seeds_per_lb: Some(165_000.0),
        bulk_lb: Some(250.0),
        note: String::new(),
    }
}

fn an_event(planting: RecordId, on: &str) -> Event {
    Event {
        planting,
        on: on.into(),
        what: EventKind::Mowed {
            height_cm: Some(20.0),
        },
        note: String::new(),
    }
}

/// A field with a hole, and a second piece.
fn an_outline(planting: RecordId) -> Outline {
    let square = |south: f64, west: f64, side: f64| {
        vec![
            [south, west],
            [south, west + side],
            [south + side, west + side],
            [south + side, west],
        ]
    };
    Outline {
        planting,
        of: OutlineOf::Field,
        name: String::new(),
        polygons: vec![
            Polygon {
                rings: vec![square(38.25, -96.5, 0.01), square(38.252, -96.498, 0.001)],
            },
            Polygon {
                rings: vec![square(38.27, -96.5, 0.002)],
            },
        ],
        origin: "drawn".into(),
    }
}

/// Three points to walk and a spare, which has number 3.
fn a_plan(planting: RecordId) -> Plan {
    let point = |n: u32, walk: Option<u32>| PlannedPoint {
        latitude: 38.25 + f64::from(n) * 0.001,
        longitude: -96.495,
        plot: None,
        spare: walk.is_none(),
        walk,
    };
    Plan {
        planting,
        name: "July walk".into(),
        design: PlanDesign::Transects {
            apart_m: 40.0,
            step_m: 25.0,
            bearing_deg: 12.5,
        },
        seed: 4_294_967_295,
        edge_m: 6.0,
        points: vec![
            point(1, Some(2)),
            point(2, Some(1)),
            point(3, None),
            point(4, Some(3)),
        ],
        stopping: Some(Stopping {
            low: 0.15,
            high: 0.35,
            wrongly_enough: 0.1,
            wrongly_too_few: 0.1,
            most_points: 4,
        }),
    }
}

fn a_standard() -> Standard {
    Standard {
        name: "county programme, conservation cover".into(),
        purposes: vec![Purpose::Conservation, Purpose::Wildlife],
        taxa: vec![],
        region: "KS".into(),
        measure: StandardMeasure::Frequency,
        at_least: 0.25,
        season: Some(1),
        source: "letter of the county office, 2026-03-02 (invented)".into(),
        withdrawn: false,
    }
}

fn an_unknown(visit: RecordId, number: u32, first_seen: RecordId) -> Unknown {
    Unknown {
        visit,
        number,
        description: "hairy, flat base".into(),
        first_seen,
    }
}

fn a_frame(point: RecordId, number: u32) -> Frame {
    Frame {
        point,
        number,
        scout: "A. Fenn".into(),
        shape: FrameShape::Grid {
            cells: 25,
            cell_side_cm: 15.0,
        },
        tallies: vec![Tally {
            cell: Some(3),
            what: Counted::Taxon("andropogon_gerardi".into()),
            plants: None,
        }],
        looked_twice: true,
        repeats: None,
    }
}

fn a_determination(point: RecordId) -> Determination {
    Determination {
        point,
        cell: Some(3),
        unknown: None,
        taxon: Some("andropogon_gerardi".into()),
        note: String::new(),
        evidence: Evidence {
            key: "tallgrass-first-year".into(),
            table_fingerprint: "0123abcd".into(),
            leaf_stage: "tillering".into(),
            tools: vec!["lens".into()],
            prior: PriorUsed::Even,
            answers: vec![
                AnswerGiven {
                    r#trait: "ligule_type".into(),
                    value: ValueGiven::States(vec!["membrane".into()]),
                },
                AnswerGiven {
                    r#trait: "ligule_length".into(),
                    value: ValueGiven::Measure(1.5),
                },
                AnswerGiven {
                    r#trait: "vernation".into(),
                    value: ValueGiven::CannotTell,
                },
            ],
            outcome: "leaning".into(),
            ranking: vec![
                Ranked {
                    taxon: "andropogon_gerardi".into(),
                    probability: 0.75,
                },
                Ranked {
                    taxon: "not_in_key".into(),
                    probability: 0.25,
                },
            ],
        },
    }
}

fn an_opinion(about: RecordId) -> Opinion {
    Opinion {
        taxon: Some("sorghastrum_nutans".into()),
        reasons: "notched ligule".into(),
        ..Opinion::on(about)
    }
}

/// An opinion given blind, with what the reviewer saw.
fn a_blind_opinion(about: RecordId, point: RecordId) -> Opinion {
    Opinion {
        blind: true,
        qualifier: Some(Qualifier::Cf),
        evidence: Some(a_determination(point).evidence),
        ..an_opinion(about)
    }
}

fn a_voucher(about: RecordId, number: &str) -> Voucher {
    Voucher {
        about,
        collector: "A. Fenn".into(),
        number: number.into(),
        collected_on: "2026-07-14".into(),
        preparation: Preparation::Pressed,
        parts: "two tillers with roots".into(),
        kept_at: "office, box 2".into(),
        habitat: "sown field, silt loam".into(),
        associates: "foxtail".into(),
        habit: "upright".into(),
        abundance: "a few".into(),
        fading: "blue-green blades".into(),
    }
}

fn a_come_back(about: RecordId) -> ComeBack {
    ComeBack {
        about,
        due_on: "2026-09-01".into(),
        reason: ComeBackReason::Heading,
        pin: "orange flag on the north side".into(),
        position: None,
        seen_on: None,
        found: String::new(),
    }
}

fn an_audit(visit: RecordId, drawn: Vec<RecordId>) -> Audit {
    Audit {
        visit,
        share: 0.1,
        draw_seed: 7,
        plants: 10,
        drawn,
    }
}

fn a_practice(scout: &str) -> Practice {
    Practice {
        scout: scout.into(),
        drill: Drill::TellPair,
        question: "pair.andropogon_gerardi.setaria_pumila.tillering.7".into(),
        with_book: false,
        key_id: "tallgrass-first-year".into(),
        table_fingerprint: "5f".repeat(32),
        taxon: Some("andropogon_gerardi".into()),
        against: Some("setaria_pumila".into()),
        named: None,
        by: Some("ligule_type".into()),
        readings: [Some("membrane"), None]
            .map(|reported| PracticeReading {
                trait_id: "ligule_type".into(),
                shown: "membrane".into(),
                reported: reported.map(str::to_owned),
            })
            .to_vec(),
        cells: vec![],
        seconds: Some(12.5),
        of_set: None,
    }
}

fn a_cell(cell: u32) -> PracticeCell {
    PracticeCell {
        cell,
        planted: true,
        other: false,
        marked_planted: true,
        marked_other: false,
    }
}

fn a_set() -> PracticeSet {
    PracticeSet {
        title: "First week".into(),
        purpose: SetPurpose::FieldTest,
        planting: None,
        visit: None,
        minutes: Some(120.0),
        questions: vec![SetQuestion {
            question: "name.setaria_pumila.tillering.7".into(),
            with_book: true,
        }],
    }
}

fn a_rule(planting: RecordId) -> ScoutRule {
    ScoutRule {
        planting,
        at_least: 0.9,
        sure: 0.8,
        with_book: false,
        own_rates: true,
        withdrawn: false,
    }
}

/// Of everything until the tenth of August.
fn a_removal(scout: &str) -> PracticeRemoval {
    PracticeRemoval {
        whose: crate::record::whose(scout),
        until: "2026-08-10T00:00:00.000Z".into(),
        also: vec![],
    }
}

impl Sample {
    fn new() -> Sample {
        Sample::within(tempfile::tempdir().unwrap())
    }

    fn within(folder: tempfile::TempDir) -> Sample {
        let book = Book::create(folder.path().join("season.book")).unwrap();
        let site = record(a_site());
        let planting = record(a_planting(site.id));
        let plot = record(a_plot(planting.id, "1"));
        let visit = record(a_visit(planting.id));
        let point = record(a_point(plot.id, visit.id, "1"));
        let unknown = record(an_unknown(visit.id, 1, point.id));
        let sample = Sample {
            folder,
            book,
            site: site.id,
            planting: planting.id,
            plot: plot.id,
            visit: visit.id,
            point: point.id,
            unknown: unknown.id,
        };
        sample
            .book
            .append(vec![site, planting, plot, visit, point, unknown])
            .unwrap();
        sample
    }

    fn path(&self) -> PathBuf {
        self.book.path().to_owned()
    }

    /// Keeps one record and gives its id.
    #[track_caller]
    fn keep(&self, record: Record) -> RecordId {
        let id = record.id;
        self.book.append(vec![record]).unwrap();
        id
    }

    fn export(&self) -> String {
        exported(&self.book)
    }
}

fn exported(book: &Book) -> String {
    let mut bytes = Vec::new();
    book.export(&mut bytes).unwrap();
    String::from_utf8(bytes).unwrap()
}

/// SQLite's own check of the whole file.
#[track_caller]
fn assert_sound(book: &Book) {
    let said: String = book
        .ask(|conn| conn.query_row("PRAGMA integrity_check", [], |row| row.get(0)))
        .unwrap();
    assert_eq!(said, "ok");
    let astray: i64 = book
        .ask(|conn| {
            conn.query_row("SELECT count(*) FROM pragma_foreign_key_check", [], |row| {
                row.get(0)
            })
        })
        .unwrap();
    assert_eq!(astray, 0, "foreign keys");
}
