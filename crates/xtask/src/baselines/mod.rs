//! `cargo xtask baselines`: how fast the built program is, as a share of what the same machine does
//! at the same time without it.
//!
//! Beside acknowledged records stands the plainest writer that keeps the same promise (`writer`);
//! beside pages stands a server that answers with one fixed page (`hello`). Both are asked by the same
//! clients (`load`), turn by turn with the program, and only the ratio is judged: a machine that
//! does other work slows both. In: nothing. Out: a table; an error when a ratio is missed.

mod book;
mod hello;
mod load;
pub(crate) mod program;
mod writer;

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use standbook_fieldbook::RecordId;

use book::{add_points, outbox, planting};
use load::{CLIENTS, load};
use program::Running;

pub use hello::serve as hello;

/// Turns of each; the median counts.
const TURNS: usize = 5;

/// Acknowledged records: least share of the plain writer's.
const RECORDS: f64 = 0.5;
/// Pages: least share of the fixed page's.
const PAGES: f64 = 0.3;

/// One line of the table.
struct Line {
    what: String,
    /// A second.
    ours: f64,
    /// A second.
    beside: f64,
    /// Median of the turns' own ratios.
    ratio: f64,
    least: f64,
}

/// Measures all and prints the table.
pub fn run() -> Result<(), String> {
    if cfg!(debug_assertions) {
        // The page beside ours is part of this program, so it must be built like ours.
        return crate::steps::cargo(&[
            "run",
            "--release",
            "--locked",
            "--package",
            "xtask",
            "--",
            "baselines",
        ]);
    }
    crate::steps::cargo(&["build", "--release", "--locked", "--package", "standbook"])?;
    let folder = std::env::temp_dir().join(format!("standbook-baselines-{}", std::process::id()));
    std::fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let measured = measure(&folder);
    let _ = std::fs::remove_dir_all(&folder);
    let lines = measured?;
    println!(
        "{:<44} {:>10} {:>10} {:>6} {:>6}",
        "a second", "ours", "beside", "ratio", "least"
    );
    for it in &lines {
        println!(
            "{:<44} {:>10.0} {:>10.0} {:>6.2} {:>6.2}",
            it.what, it.ours, it.beside, it.ratio, it.least
        );
    }
    println!(
        "Medians of {TURNS} turns, {CLIENTS} clients. Ratios hold for this machine at this hour; the numbers a second do not travel."
    );
    let missed: Vec<&str> = lines
        .iter()
        .filter(|it| it.ratio < it.least)
        .map(|it| it.what.as_str())
        .collect();
    match missed.is_empty() {
        true => Ok(()),
        false => Err(format!("missed: {}", missed.join("; "))),
    }
}

fn measure(folder: &Path) -> Result<Vec<Line>, String> {
    let mut lines = Vec::new();
    for together in [1, 5] {
        lines.push(line(
            format!("records acknowledged, {together} at a time"),
            RECORDS,
            |turn| {
                let own = folder.join(format!("records-{together}-{turn}"));
                let book = own.join("demo.standbook");
                drop(Running::demo(&own)?);
                let points = add_points(&book)?;
                let frames = Frames::new(points, together);
                let program = Running::serve(&book)?;
                let asked = load(program.port, |client| post(&frames.next(client)))?;
                Ok(asked * together as f64)
            },
            |turn| {
                let path = folder.join(format!("plain-{together}-{turn}.sqlite"));
                let frames = Frames::new(vec![RecordId::new()], together);
                writer::records(&path, together, |client| frames.next(client))
            },
        )?);
    }
    let own = folder.join("pages");
    let program = Running::demo(&own)?;
    let fixed = Running::hello()?;
    let planting = planting(&own.join("demo.standbook"))?;
    for (what, address) in [("the plots", "/plot"), ("a planting", planting.as_str())] {
        lines.push(line(
            format!("pages of {what}"),
            PAGES,
            |_| load(program.port, |_| get(address)),
            |_| load(fixed.port, |_| get("/")),
        )?);
    }
    Ok(lines)
}

/// Frames for all clients, none twice.
struct Frames {
    points: Vec<RecordId>,
    together: usize,
    next: AtomicUsize,
}

impl Frames {
    fn new(points: Vec<RecordId>, together: usize) -> Frames {
        Frames {
            points,
            together,
            next: AtomicUsize::new(0),
        }
    }

    /// What a client sends next.
    fn next(&self, client: usize) -> String {
        let first = self.next.fetch_add(self.together, Ordering::Relaxed);
        outbox(&self.points, client, first..first + self.together)
    }
}

/// Turn by turn, so that what else the machine does falls on both.
fn line(
    what: String,
    least: f64,
    ours: impl Fn(usize) -> Result<f64, String>,
    beside: impl Fn(usize) -> Result<f64, String>,
) -> Result<Line, String> {
    let mut turns = Vec::new();
    for turn in 0..TURNS {
        turns.push((ours(turn)?, beside(turn)?));
    }
    let median = |of: fn(&(f64, f64)) -> f64| {
        let mut all: Vec<f64> = turns.iter().map(of).collect();
        all.sort_by(f64::total_cmp);
        all[TURNS / 2]
    };
    Ok(Line {
        what,
        ours: median(|turn| turn.0),
        beside: median(|turn| turn.1),
        ratio: median(|turn| turn.0 / turn.1),
        least,
    })
}

fn get(path: &str) -> String {
    format!("GET {path} HTTP/1.1\r\nhost: 127.0.0.1\r\n\r\n")
}

fn post(body: &str) -> String {
    format!(
        "POST /outbox HTTP/1.1\r\nhost: 127.0.0.1\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    )
}

/// The folder of the programs that cargo builds for release.
fn built() -> Result<PathBuf, String> {
    let own = std::env::current_exe().map_err(|e| format!("this program can't be found: {e}"))?;
    Ok(own.parent().unwrap_or(Path::new(".")).to_owned())
}
