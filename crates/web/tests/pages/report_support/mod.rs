//! Books for the report: one with everything, one of counts, one with odd names.
//!
//! Places and people are invented.
#![allow(dead_code, clippy::unwrap_used)]

use std::path::Path;
use std::sync::Arc;

use axum::body::Body as HttpBody;
use axum::http::Request;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;
use standbook_key::standards::StandardFiles;
use standbook_web::router;
use tower::ServiceExt;

use crate::desk_support::*;

/// South-west corner of the field, degrees north and east.
const CORNER: [f64; 2] = [39.0, -96.5];
/// Degrees of latitude and longitude in 400 m there: 111 km and 86.5 km to the degree (WGS 84).
const NORTH_400_M: f64 = 0.003_603;
const EAST_400_M: f64 = 0.004_619_5;

fn at(east: f64, north: f64) -> [f64; 2] {
    [
        CORNER[0] + NORTH_400_M * north,
        CORNER[1] + EAST_400_M * east,
    ]
}

/// The sample, judged by the standards that come with the program.
pub fn judged(mut sample: Sample) -> Sample {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/standards");
    let files = StandardFiles::read_folder(&folder).unwrap();
    let loaded = standbook_key::standards::load(&[files], Some(&sample.app.key));
    Arc::get_mut(&mut sample.app).unwrap().standards = loaded.standards.unwrap();
    sample
}

/// Replaces a record by a corrected version.
pub fn correct(sample: &Sample, id: RecordId, body: impl Into<Body>) -> RecordId {
    let mut record = record(body);
    record.supersedes = Some(id);
    sample.keep_record(record)
}

/// Site, numbers, rates, lots, events, outline, positions, weeds, an unknown, a blind repeat.
pub fn full() -> Sample {
    let mut sample = judged(Sample::empty());
    let site = sample.app.book.site(sample.site).unwrap().unwrap().body;
    sample.site = correct(
        &sample,
        sample.site,
        Site {
            owner: "R. Hale".into(),
            county: "Marl".into(),
            state: "KS".into(),
            ..site
        },
    );
    let planting = sample
        .app
        .book
        .planting(sample.planting)
        .unwrap()
        .unwrap()
        .body;
    let mix = [
        ("andropogon_gerardi", Some(4.0), Some(4.5)),
        ("sorghastrum_nutans", Some(3.0), Some(3.0)),
        ("bouteloua_curtipendula", Some(2.0), None),
    ];
    sample.planting = correct(
        &sample,
        sample.planting,
        Planting {
            purpose: Purpose::Conservation,
            method: SeedingMethod::Drilled {
                row_spacing_cm: 19.05,
            },
            mix: mix
                .iter()
                .map(|(taxon, planned, applied)| MixItem {
                    taxon: (*taxon).into(),
                    pls_lb_per_acre: *applied,
                    planned_pls_lb_per_acre: *planned,
                })
                .collect(),
            farm_number: "4412".into(),
            tract_number: "907".into(),
            field_number: "3".into(),
            stated_area_m2: Some(40.0 * 4_046.856_422_4),
            irrigated: Some(false),
            note: "soybean stubble, packed twice".into(),
            ..planting
        },
    );
    sample.keep(SeedLot {
        planting: sample.planting,
        taxon: "andropogon_gerardi".into(),
        lot: "K-771".into(),
        variety: "variety not stated".into(),
        origin: "Marl County".into(),
        purity_percent: Some(95.0),
        germination_percent: Some(60.0),
        dormant_percent: Some(25.0),
        other_crop_percent: Some(0.1),
        inert_percent: Some(4.7),
        weed_percent: Some(0.2),
        noxious: vec![NoxiousSeed {
            name: "field bindweed".into(),
            per_lb: 9.0,
        }],
        tested: Some("2026-02".into()),
        seeds_per_lb: Some(160_000.0),
        bulk_lb: Some(280.0),
        note: String::new(),
    });
    sample.keep(SeedLot {
        planting: sample.planting,
        taxon: "sorghastrum_nutans".into(),
        lot: "R-12".into(),
        variety: String::new(),
        origin: String::new(),
        purity_percent: Some(90.0),
        germination_percent: Some(70.0),
        dormant_percent: None,
        other_crop_percent: None,
        inert_percent: None,
        weed_percent: None,
        noxious: Vec::new(),
        tested: None,
        seeds_per_lb: None,
        bulk_lb: None,
        note: String::new(),
    });
    for (on, what, note) in [
        ("2026-06-10", EventKind::Rain { mm: Some(22.0) }, ""),
        (
            "2026-06-25",
            EventKind::Mowed {
                height_cm: Some(15.0),
            },
            "foxtail was knee high",
        ),
    ] {
        sample.keep(Event {
            planting: sample.planting,
            on: on.into(),
            what,
            note: note.into(),
        });
    }
    let square = |from: (f64, f64), to: (f64, f64)| Polygon {
        rings: vec![vec![
            at(from.0, from.1),
            at(to.0, from.1),
            at(to.0, to.1),
            at(from.0, to.1),
        ]],
    };
    sample.keep(Outline {
        planting: sample.planting,
        of: OutlineOf::Field,
        name: "north forty".into(),
        polygons: vec![square((0.0, 0.0), (1.0, 1.0))],
        origin: "drawn".into(),
    });
    sample.keep(Outline {
        planting: sample.planting,
        of: OutlineOf::KeepOut,
        name: "waterway".into(),
        polygons: vec![square((0.45, 0.0), (0.55, 0.7))],
        origin: "drawn".into(),
    });
    let places = [
        (0.2, 0.2),
        (0.2, 0.5),
        (0.25, 0.85),
        (0.75, 0.85),
        (0.8, 0.5),
        (0.75, 0.15),
    ];
    for (n, place) in places.iter().enumerate() {
        let [latitude, longitude] = at(place.0, place.1);
        let point = sample
            .app
            .book
            .point(sample.points[n])
            .unwrap()
            .unwrap()
            .body;
        sample.points[n] = correct(
            &sample,
            sample.points[n],
            Point {
                position: Some(Position {
                    latitude,
                    longitude,
                    uncertainty_m: Some(4.0),
                }),
                ..point
            },
        );
    }
    lay(&sample);
    sample
}

/// Twelve frames of 25 cells with weeds and an unknown, one of them empty, and a blind repeat.
fn lay(sample: &Sample) {
    let mut first = None;
    for (at, frames) in PLANTED_CELLS.iter().enumerate() {
        for (n, planted) in frames.iter().enumerate() {
            let big = planted.saturating_sub(2);
            let mut tallies = cells(&taxon("andropogon_gerardi"), 1..=*planted);
            if big > 4 {
                tallies.extend(cells(&taxon("sorghastrum_nutans"), 1..=big / 3));
            }
            if at != 3 {
                tallies.extend(cells(&taxon("setaria_faberi"), [24, 25]));
            }
            if at == 1 {
                tallies.extend(cells(&taxon("sorghum_halepense"), [20, 21]));
            }
            if at == 0 && n == 0 {
                tallies.extend(cells(&Counted::Unknown(sample.unknown), [12, 22]));
            }
            let number = u32::try_from(n).unwrap() + 1;
            let id = sample.keep(frame(sample.points[at], number, tallies));
            first.get_or_insert(id);
        }
    }
    let mut again = frame(
        sample.points[0],
        1,
        cells(&taxon("andropogon_gerardi"), 1..=11),
    );
    again.scout = "B. Reed".into();
    again.repeats = first;
    sample.keep(again);
}

/// Six quadrats of 1 m2 with 36 plants in all, and nothing else.
pub fn counts_only() -> Sample {
    let sample = judged(Sample::empty());
    for (point, plants) in sample.points.iter().zip([4, 9, 0, 12, 3, 8]) {
        let mut one = frame(*point, 1, Vec::new());
        one.shape = FrameShape::Quadrat { area_m2: 1.0 };
        if plants > 0 {
            one.tallies.push(Tally {
                cell: None,
                what: taxon("andropogon_gerardi"),
                plants: Some(plants),
            });
        }
        sample.keep(one);
    }
    sample
}

/// Names with quotes, commas, markup and formulas, and a note with a line break.
pub fn odd_names() -> Sample {
    let mut sample = judged(Sample::empty());
    let mut planting = sample
        .app
        .book
        .planting(sample.planting)
        .unwrap()
        .unwrap()
        .body;
    planting.name = "\"north\", <b>forty</b> & half".into();
    sample.planting = correct(&sample, sample.planting, planting);
    let mut visit = sample.app.book.visit(sample.visit).unwrap().unwrap().body;
    visit.note = "hot,\nwindy; \"hazy\"".into();
    sample.visit = correct(&sample, sample.visit, visit);
    for (n, label) in ["=1+1", "@a", "-b", "4, five"].iter().enumerate() {
        let mut point = sample
            .app
            .book
            .point(sample.points[n])
            .unwrap()
            .unwrap()
            .body;
        point.label = (*label).into();
        sample.points[n] = correct(&sample, sample.points[n], point);
        let mut one = frame(
            sample.points[n],
            1,
            cells(&taxon("andropogon_gerardi"), 1..=9),
        );
        one.scout = "O'Dell, \"Pat\" Jr.".into();
        sample.keep(one);
    }
    sample
}

impl Sample {
    /// The `Content-Disposition` of an answer.
    pub async fn head(&self, address: &str) -> String {
        let request = Request::get(address).header("host", "127.0.0.1");
        let request = request.body(HttpBody::empty()).unwrap();
        let answer = router(self.app.clone()).oneshot(request).await.unwrap();
        let value = answer.headers().get("content-disposition");
        value.unwrap().to_str().unwrap().to_owned()
    }
}
