//! Tools for the tests of merging, backups and the doctor: books of some size, a kill at any moment,
//! a reader that is not ours.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use standbook_fieldbook::record::{
    Body, Frame, FrameShape, MixItem, Planting, Plot, Point, Purpose, Record, SeedingMethod, Site,
    Visit,
};
use standbook_fieldbook::{Book, RecordId};

use crate::program::PROGRAM;

/// Kills of one command, spread over the time that it takes.
const KILLS: u32 = 6;

fn record(body: impl Into<Body>) -> Record {
    let id = RecordId::new();
    Record {
        id,
        born_at: id.born_at(),
        received_at: None,
        device: "laptop".to_owned(),
        author: "Odile Farrow".to_owned(),
        supersedes: None,
        body: body.into(),
    }
}

/// Makes a book of so many frames at one point, with a picture of that point. Invented.
pub fn make_book(path: &Path, frames: u32) {
    let book = Book::create(path).unwrap();
    let site = record(Site {
        name: "Farrow bottom".into(),
        locality: String::new(),
        permission: String::new(),
        owner: String::new(),
        county: String::new(),
        state: String::new(),
    });
    let planting = record(Planting {
        site: site.id,
        name: "Long meadow".into(),
        purpose: Purpose::Wildlife,
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
        scouts: vec!["Odile Farrow".into()],
        note: String::new(),
    });
    let point = record(Point {
        plot: plot.id,
        visit: visit.id,
        label: "1".into(),
        position: None,
        planned: None,
        unreachable: String::new(),
    });
    let at = point.id;
    let mut all = vec![site, planting, plot, visit, point];
    all.extend((1..=frames).map(|number| {
        record(Frame {
            point: at,
            number,
            scout: "Odile Farrow".into(),
            shape: FrameShape::Grid {
                cells: 25,
                cell_side_cm: 15.0,
            },
            tallies: Vec::new(),
            looked_twice: false,
            repeats: None,
        })
    }));
    book.append(all).unwrap();
    let picture = [&b"\xFF\xD8\xFF\xE0"[..], &vec![7; 200_000]].concat();
    book.add_photo(
        &picture,
        at,
        "base",
        "Odile Farrow",
        "laptop",
        RecordId::new(),
    )
    .unwrap();
}

/// A copy of a closed book with its pictures.
pub fn copy_book(from: &Path, to: &Path) -> PathBuf {
    std::fs::copy(from, to).unwrap();
    copy_folder(&ending(from, ".photos"), &ending(to, ".photos"));
    to.to_owned()
}

/// Copies a folder and what is in it; one that is not there is an empty one.
pub fn copy_folder(from: &Path, to: &Path) {
    for entry in std::fs::read_dir(from).into_iter().flatten() {
        let (entry, target) = (
            entry.as_ref().unwrap(),
            to.join(entry.as_ref().unwrap().file_name()),
        );
        std::fs::create_dir_all(to).unwrap();
        match entry.path().is_dir() {
            true => copy_folder(&entry.path(), &target),
            false => {
                std::fs::copy(entry.path(), target).unwrap();
            }
        }
    }
}

/// A path with something added to the file's name.
pub fn ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Every row of every table as a reader says that is not ours: Python's `sqlite3`, or SQLite's own
/// shell. None where neither is installed, which CI does not let pass.
pub fn rows_by_another_reader(book: &Path) -> Option<String> {
    const READ: &str = "
import sqlite3, sys
book = sqlite3.connect('file:' + sys.argv[1] + '?mode=ro', uri=True)
for (table,) in book.execute(\"SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name\").fetchall():
    for row in sorted(repr(row) for row in book.execute('SELECT * FROM ' + table)):
        print(table, row)
";
    let python = Command::new("python3")
        .args(["-c", READ])
        .arg(book)
        .output();
    if let Ok(said) = python
        && said.status.success()
    {
        return Some(String::from_utf8(said.stdout).unwrap());
    }
    let shell = Command::new("sqlite3")
        .arg("-readonly")
        .arg(book)
        .arg(".dump")
        .output();
    if let Ok(said) = shell
        && said.status.success()
    {
        return Some(String::from_utf8(said.stdout).unwrap());
    }
    assert_ne!(
        std::env::var("CI").as_deref(),
        Ok("true"),
        "no other reader of SQLite files"
    );
    eprintln!("neither python3 nor sqlite3 is here: not compared");
    None
}

/// Runs a command over and over, each time anew by `prepare`, and kills it at moments spread over
/// the time it takes; `look` is told whether it had ended by itself.
pub fn kill_at_any_moment(
    mut prepare: impl FnMut() -> Vec<PathBuf>,
    args: &[&str],
    mut look: impl FnMut(&[PathBuf], bool),
) {
    let command = |paths: &[PathBuf]| {
        let mut command = Command::new(PROGRAM);
        // `{0}` and so on stand for the prepared paths.
        for arg in args {
            match arg.strip_prefix('{').and_then(|arg| arg.strip_suffix('}')) {
                Some(at) => command.arg(&paths[at.parse::<usize>().unwrap()]),
                None => command.arg(arg),
            };
        }
        command.stdout(Stdio::null()).stderr(Stdio::null());
        command
    };
    let paths = prepare();
    let start = Instant::now();
    assert!(command(&paths).status().unwrap().success());
    let whole = start.elapsed();
    look(&paths, true);
    let mut killed = 0;
    for kill in 0..KILLS {
        let paths = prepare();
        let mut child = command(&paths).spawn().unwrap();
        std::thread::sleep(whole * kill / KILLS + Duration::from_millis(1));
        let _ = child.kill();
        let ended = child.wait().unwrap().success();
        killed += u32::from(!ended);
        look(&paths, ended);
    }
    assert!(
        killed > KILLS / 4,
        "only {killed} of {KILLS} kills came in time"
    );
}
