//! How much memory taking out a very large book takes. Takes minutes and gigabytes of disk, so it is run
//! by hand: `cargo test --release --test acceptance export_memory -- --ignored --nocapture`.
//!
//! `STANDBOOK_PLANTS` is the number of determinations, 1,000,000 unless it is set; there are five cells
//! of frames for each.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use standbook_fieldbook::record::*;
use standbook_fieldbook::{Book, RecordId};

use crate::program::PROGRAM;

/// What it may take at most, KiB: 200 MB.
const MOST_KIB: u64 = 200 * 1_000_000 / 1024;

/// Plants at a point, and frames of ten cells for them.
const PLANTS: usize = 20;
const FRAMES: u32 = 10;

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

/// The first records of the demo, site, planting, plot and visit among them, and then points.
fn large(path: &Path, plants: usize) {
    let small = super::export::demo(path.parent().unwrap());
    fs::rename(small, path).unwrap();
    let book = Book::open(path).unwrap();
    let planting = book.plantings().unwrap()[0].id;
    let plot = book.plots(planting).unwrap()[0].id;
    let visit = book.visits(planting).unwrap()[0].id;
    let like = book.determinations_all().unwrap()[0].body.clone();
    for label in 0..plants / PLANTS {
        let point = record(Point {
            plot,
            visit,
            label: format!("big {label}"),
            position: Some(Position {
                latitude: 40.2,
                longitude: -96.5,
                uncertainty_m: Some(5.0),
            }),
            planned: None,
            unreachable: String::new(),
        });
        let at = point.id;
        let mut all = vec![point];
        all.extend((1..=FRAMES).map(|number| {
            record(Frame {
                point: at,
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
            })
        }));
        all.extend((0..PLANTS).map(|_| {
            let mut plant = like.clone();
            plant.point = at;
            plant.unknown = None;
            // A whole ranking has a line a taxon: fifty million rows, of which fewer say nothing else.
            plant.evidence.ranking = [("panicum_virgatum", 0.75), ("not_in_key", 0.25)]
                .map(|(taxon, probability)| Ranked {
                    taxon: taxon.to_owned(),
                    probability,
                })
                .to_vec();
            record(plant)
        }));
        book.append(all).unwrap();
    }
}

/// The most memory that a command held at once, KiB, from Linux (`VmHWM`, proc(5)).
fn most_kib(command: &mut Command) -> u64 {
    let mut child = command.stdout(Stdio::null()).spawn().unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut most = 0;
    loop {
        let text = fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok());
        most = most.max(kib.unwrap_or(0));
        if let Some(done) = child.try_wait().unwrap() {
            assert!(done.success());
            return most;
        }
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
#[ignore = "minutes and gigabytes; run by hand"]
fn a_million_plants_leave_in_little_memory() {
    let plants = std::env::var("STANDBOOK_PLANTS").map_or(1_000_000, |many| many.parse().unwrap());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("large.standbook");
    let began = Instant::now();
    large(&path, plants);
    let bytes = fs::metadata(&path).unwrap().len();
    println!(
        "{plants} plants, {} MB, made in {:.0?}",
        bytes / 1_000_000,
        began.elapsed()
    );
    for format in ["darwin-core", "csv", "geojson", "gpx", "sqlite"] {
        let out = folder.path().join("out");
        let began = Instant::now();
        let kib = most_kib(
            Command::new(PROGRAM)
                .arg("export")
                .arg(&path)
                .args(["--as", format, "--without-names", "--blur", "1000", "--out"])
                .arg(&out),
        );
        let bytes = fs::metadata(&out).unwrap().len();
        println!(
            "{format}: {} MB of memory, {} MB of file, {:.0?}",
            kib * 1024 / 1_000_000,
            bytes / 1_000_000,
            began.elapsed()
        );
        assert!(kib < MOST_KIB, "{format}: {kib} KiB");
        fs::remove_file(&out).unwrap();
    }
}
