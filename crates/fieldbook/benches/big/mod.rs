//! A book of a crew's many seasons, for the benches: frames with ten tallies each, plants with their
//! whole evidence. Everything in it is invented.

use std::path::Path;

use standbook_fieldbook::record::*;
use standbook_fieldbook::{Book, RecordId};

/// Records in one call; a phone's outbox sends fewer.
const CALL: usize = 2_000;

/// One plant a so many records; the others are frames.
const PLANTS: usize = 5;

/// Lines of a ranking, as many as the key that comes with the program has taxa, and one more.
const RANKING: usize = 53;

fn record(body: impl Into<Body>) -> Record {
    Record {
        id: RecordId::new(),
        born_at: "2026-07-14T15:04:05.123Z".to_owned(),
        received_at: None,
        device: "phone".to_owned(),
        author: "A. Fenn".to_owned(),
        supersedes: None,
        body: body.into(),
    }
}

/// Makes a book of so many records, give or take the few that others hang on.
pub fn book(path: &Path, records: usize) -> Book {
    let book = Book::create(path).expect("a new book");
    let site = record(Site {
        name: "Quill Farm".into(),
        locality: String::new(),
        permission: String::new(),
        owner: String::new(),
        county: String::new(),
        state: String::new(),
    });
    let planting = record(Planting {
        site: site.id,
        name: "north forty".into(),
        purpose: Purpose::Forage,
        seeded_on: "2026-05-12".into(),
        method: SeedingMethod::Broadcast,
        mix: vec![MixItem {
            taxon: "panicum_virgatum".into(),
            pls_lb_per_acre: None,
            planned_pls_lb_per_acre: None,
        }],
        farm_number: String::new(),
        tract_number: String::new(),
        field_number: String::new(),
        stated_area_m2: None,
        irrigated: None,
        note: String::new(),
    });
    let plot = record(Plot {
        planting: planting.id,
        name: "1".into(),
        note: String::new(),
    });
    let visit = record(Visit {
        planting: planting.id,
        on: "2026-07-14".into(),
        scouts: vec!["A. Fenn".into()],
        note: String::new(),
    });
    let (plot_id, visit_id) = (plot.id, visit.id);
    book.append(vec![site, planting, plot, visit])
        .expect("kept");
    let mut made = 4;
    while made < records {
        let mut call = Vec::new();
        while call.len() < CALL.min(records - made) {
            // Ten records a point: frames flipped over, and plants in them.
            let point = record(Point {
                plot: plot_id,
                visit: visit_id,
                label: (made + call.len()).to_string(),
                position: None,
                planned: None,
                unreachable: String::new(),
            });
            let at = point.id;
            call.push(point);
            call.extend((1..10).map(|n| match n % PLANTS {
                0 => record(plant(at)),
                _ => record(frame(at, n as u32)),
            }));
        }
        made += call.len();
        book.append(call).expect("kept");
    }
    book
}

/// A grid with ten cells occupied.
pub fn frame(point: RecordId, number: u32) -> Frame {
    Frame {
        point,
        number,
        scout: "A. Fenn".into(),
        shape: FrameShape::Grid {
            cells: 25,
            cell_side_cm: 15.0,
        },
        tallies: (1..=10)
            .map(|cell| Tally {
                cell: Some(cell),
                what: Counted::Taxon("panicum_virgatum".into()),
                plants: None,
            })
            .collect(),
        looked_twice: false,
        repeats: None,
    }
}

fn plant(point: RecordId) -> Determination {
    Determination {
        point,
        cell: None,
        unknown: None,
        taxon: Some("panicum_virgatum".into()),
        note: String::new(),
        evidence: Evidence {
            key: "tallgrass-first-year".into(),
            table_fingerprint: "0123abcd".into(),
            leaf_stage: "tillering".into(),
            tools: vec!["lens".into()],
            prior: PriorUsed::Even,
            answers: vec![AnswerGiven {
                r#trait: "ligule_type".into(),
                value: ValueGiven::States(vec!["hairs".into()]),
            }],
            outcome: "leaning".into(),
            ranking: (0..RANKING)
                .map(|n| Ranked {
                    taxon: format!("taxon_{n}"),
                    probability: if n == 0 { 1.0 } else { 0.0 },
                })
                .collect(),
        },
    }
}
