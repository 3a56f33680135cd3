//! Bring it in: by command and at the Desk, files and sheets of paper.

use std::fs;
use std::path::{Path, PathBuf};

use standbook_fieldbook::record::{Counted, Determination};
use standbook_fieldbook::{Book, RecordId};

use crate::field::{SCOUT, to_the_first_point};
use crate::form::{Form, link};
use crate::http::{Answer, Browser, send_as};
use crate::killed::assert_intact;
use crate::program::{Server, run};
use crate::safe::{copy_book, kill_at_any_moment, make_book};

const FRAMES: &str = "point,frame,cell,taxon\n1,101,7,switchgrass\n1,101,8,Big Bluestem\n1,102,,\n";

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn count(path: &Path) -> usize {
    Book::open(path).unwrap().count().unwrap()
}

fn visit_of(path: &Path) -> RecordId {
    let book = Book::open(path).unwrap();
    let planting = book.plantings().unwrap().remove(0);
    book.visits(planting.id).unwrap().remove(0).id
}

/// A book with a visit and a file of frames beside it.
fn beside(folder: &Path, file: &str) -> (PathBuf, PathBuf, String) {
    let (book, frames) = (folder.join("season.standbook"), folder.join("frames.csv"));
    make_book(&book, 3);
    fs::write(&frames, file).unwrap();
    let visit = visit_of(&book).to_string();
    (book, frames, visit)
}

#[test]
fn a_command_looks_then_keeps_and_twice_adds_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (book, file, visit) = beside(folder.path(), FRAMES);
    let report = folder.path().join("report.json");
    let before = count(&book);
    let arguments = |more: &[&str]| {
        let mut all = vec![
            "bring-in",
            text(&book),
            text(&file),
            "--what",
            "frames",
            "--visit",
            &visit,
        ];
        all.extend(["--scout", "B. Rowan", "--by", "Odile Farrow"]);
        all.extend(more);
        run(&all)
    };
    let looked = arguments(&["--look", "--report", text(&report)]);
    assert_eq!(looked.code, 0, "{}", looked.err);
    assert!(
        looked
            .out
            .contains("2 record(s) would come from frames.csv"),
        "{}",
        looked.out
    );
    assert_eq!(count(&book), before, "looking writes nothing");
    let told: serde_json::Value = serde_json::from_slice(&fs::read(&report).unwrap()).unwrap();
    assert_eq!(told["new"], 2);
    assert_eq!(told["items"][0]["at"], "line 2");
    // `sha256sum` of the same bytes.
    let sum = std::process::Command::new("sha256sum")
        .arg(&file)
        .output()
        .unwrap();
    assert!(
        String::from_utf8(sum.stdout)
            .unwrap()
            .starts_with(told["sha256"].as_str().unwrap())
    );

    let said = arguments(&[]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(
        said.out
            .contains("2 record(s) came from frames.csv; 0 were here already."),
        "{}",
        said.out
    );
    assert!(said.out.contains("line 2: 1, point 1, frame 101 by B. Rowan: big bluestem in 1 of 25 cells, switchgrass in 1 of 25"), "{}", said.out);
    assert_eq!(count(&book), before + 2);
    let again = arguments(&[]);
    assert!(
        again.out.contains("Nothing new: all 2 record(s)"),
        "{}",
        again.out
    );
    assert_eq!((again.code, count(&book)), (0, before + 2));
    let kept = Book::open(&book).unwrap();
    let frames = kept.frames(visit.parse().unwrap()).unwrap();
    let frame = frames
        .iter()
        .find(|frame| frame.body.number == 101)
        .unwrap();
    assert_eq!(frame.author, "B. Rowan");
    assert_eq!(frame.device, "file frames.csv, brought in by Odile Farrow");
    drop(kept);
    assert_intact(&book);
    // Nothing about it troubles whoever examines the book.
    assert_eq!(run(&["doctor", text(&book)]).code, 0);
}

#[test]
fn a_fault_in_the_last_line_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let (book, file, visit) = beside(folder.path(), &format!("{FRAMES}1,103,3,swichgrass\n"));
    let before = fs::read(&book).unwrap();
    let arguments = [
        "bring-in",
        text(&book),
        text(&file),
        "--what",
        "frames",
        "--visit",
        &visit,
        "--scout",
        "B. Rowan",
    ];
    let said = run(&arguments);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(
        said.err.contains("frames.csv: line 5, column 4 (taxon): the key has no `swichgrass`; did you mean `switchgrass`?"),
        "{}",
        said.err
    );
    assert!(said.err.contains("nothing was written"), "{}", said.err);
    assert_eq!(fs::read(&book).unwrap(), before);
    for (wrong, code) in [
        (["--what", "birds", "--visit", &visit], 2),
        (["--what", "frames", "--visit", "14 July"], 2),
        (
            [
                "--what",
                "frames",
                "--visit",
                "019f60b6-9eee-7165-a0b5-b4d98ee258f2",
            ],
            1,
        ),
    ] {
        let said = run(&[&["bring-in", text(&book), text(&file)], &wrong[..]].concat());
        assert_eq!(said.code, code, "{wrong:?}: {}", said.err);
    }
    let new = folder.path().join("new.standbook");
    let none = run(&[
        "bring-in",
        text(&new),
        text(&file),
        "--what",
        "frames",
        "--visit",
        &visit,
    ]);
    assert_eq!(
        (none.code, new.exists()),
        (1, false),
        "bringing in makes no new book"
    );
}

#[test]
fn a_bring_in_that_is_killed_brings_all_or_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let lines: String = (1..=1_500)
        .map(|n| format!("1,{},7,switchgrass\n", n + 100))
        .collect();
    let (book, file, visit) = beside(folder.path(), &format!("point,frame,cell,taxon\n{lines}"));
    let before = count(&book);
    let mut n = 0;
    let prepare = || {
        n += 1;
        let copy = folder.path().join(format!("copy-{n}.standbook"));
        vec![copy_book(&book, &copy), file.clone()]
    };
    let arguments = [
        "bring-in", "{0}", "{1}", "--what", "frames", "--visit", &visit, "--scout", "B. Rowan",
    ];
    kill_at_any_moment(prepare, &arguments, |paths, ended| {
        let held = count(&paths[0]);
        assert!(
            held == before + 1_500 || (held == before && !ended),
            "{held} records"
        );
        assert_intact(&paths[0]);
    });
}

/// A form with a file in it, as a browser sends it.
fn upload(port: u16, fields: &[(&str, &str)], file: (&str, &str)) -> Answer {
    const BOUNDARY: &str = "----five-cells-of-switchgrass";
    let mut body = String::new();
    for (name, value) in fields {
        body += &format!(
            "--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
        );
    }
    let (name, content) = file;
    body += &format!(
        "--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\nContent-Type: text/csv\r\n\r\n{content}\r\n--{BOUNDARY}--\r\n"
    );
    let kind = format!("multipart/form-data; boundary={BOUNDARY}");
    send_as(port, "POST", "/desk/bring-in", "", (&kind, &body)).unwrap()
}

#[test]
fn at_the_desk_a_file_is_looked_at_and_then_kept() {
    let folder = tempfile::tempdir().unwrap();
    let (book, _, visit) = beside(folder.path(), "");
    let before = count(&book);
    let mut server = Server::serve(&book);
    let mut browser = Browser::new(server.port);
    // The way there, as a person goes it.
    let desk = browser.open("/desk");
    let visits = browser.open(&link(&desk.body, "/desk/bring-in", ""));
    let form = browser.open(&link(&visits.body, "/desk/bring-in?visit=", &visit));
    let offered = Form::find(&form.body, "post", "/desk/bring-in", "what").tick("what", "frames");
    let fields = |walked| {
        let mut fields = vec![
            ("visit", visit.as_str()),
            ("what", "frames"),
            ("walked", walked),
            ("scout", "Odile Farrow"),
        ];
        fields.extend([
            ("dates", "iso"),
            ("device", "grid"),
            ("cells", "25"),
            ("side", "15"),
            ("pasted", ""),
        ]);
        // Only what the page offers.
        for (name, _) in &fields {
            offered.value(name);
        }
        fields
    };
    let broken = upload(
        server.port,
        &fields("B. Rowan"),
        ("frames.csv", &FRAMES.replace("101,8", "101,88")),
    );
    browser
        .open(broken.location())
        .says("line 3, column 3 (cell): cell 88 is not in a grid of 25 cells");
    let nobody = upload(server.port, &fields(""), ("frames.csv", FRAMES));
    browser.open(nobody.location()).says("nobody is named");
    let nothing = upload(server.port, &fields("B. Rowan"), ("", ""));
    assert_eq!(nothing.status, 422);
    nothing.says("No file was chosen");

    let looked = upload(server.port, &fields("B. Rowan"), ("frames.csv", FRAMES));
    let page = browser.open(looked.location());
    page.says("2 frames would come, as 2 new records.");
    page.says("1, point 1, frame 102 by B. Rowan: looked, none");
    let action = format!("{}/keep", looked.location());
    let keep = Form::find(&page.body, "post", &action, "do").press("do", "keep");
    browser.sendings = 2;
    browser.save(&keep).says("2 records came into the book.");
    let again = upload(server.port, &fields("B. Rowan"), ("copy.csv", FRAMES));
    browser
        .open(again.location())
        .says("Nothing new: 2 frames brought in before.");
    let lost = browser.ask(
        "GET",
        "/desk/bring-in/019f60b6-9eee-7165-a0b5-b4d98ee258f2",
        "",
    );
    assert_eq!(lost.status, 400);
    lost.says("Choose the file again");
    server.ctrl_c();
    assert_eq!(count(&book), before + 2);
}

#[test]
fn what_was_looked_at_is_what_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let (book, file, visit) = beside(folder.path(), FRAMES);
    let server = Server::serve(&book);
    let mut browser = Browser::new(server.port);
    let fields = [
        ("visit", visit.as_str()),
        ("what", "frames"),
        ("walked", "B. Rowan"),
        ("scout", "Odile Farrow"),
    ];
    let looked = upload(server.port, &fields, ("frames.csv", FRAMES));
    // Meanwhile the same comes by another way.
    let arguments = [
        "bring-in",
        text(&book),
        text(&file),
        "--what",
        "frames",
        "--visit",
        &visit,
        "--scout",
        "B. Rowan",
    ];
    assert_eq!(run(&arguments).code, 0);
    let kept = browser.ask("POST", &format!("{}/keep", looked.location()), "");
    let page = browser.open(kept.location());
    page.says("The book has changed since you looked");
    page.says("Nothing new");
}

/// Switchgrass as published: crates/identify/tests/facts/published.csv, lines of `panicum_virgatum`.
const LOOKS: [(&str, &str); 3] = [
    ("ligule_type", "hairs"),
    ("vernation", "rolled"),
    ("tiller_base", "round"),
];

#[test]
fn a_plant_from_a_file_weighs_what_the_walk_makes_of_it() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("season.standbook");
    let mut server = Server::serve(&book);
    let mut browser = Browser::new(server.port);
    let spot = to_the_first_point(&mut browser);
    let answers: String = LOOKS
        .iter()
        .map(|(look, state)| format!("&a={look}:{state}"))
        .collect();
    let page = browser.open(&format!("{}/plant?stage=tillering{answers}", spot.point));
    let form = Form::find(
        &page.body,
        "post",
        &format!("{}/plant", spot.point),
        "taxon",
    );
    browser.save(&form.fill("other_taxon", "panicum_virgatum"));
    server.ctrl_c();

    let visit = visit_of(&book).to_string();
    let label = Book::open(&book)
        .unwrap()
        .points(visit.parse().unwrap())
        .unwrap()
        .remove(0)
        .body
        .label;
    let file = folder.path().join("plants.csv");
    let (names, states): (Vec<&str>, Vec<&str>) = LOOKS.into_iter().unzip();
    fs::write(
        &file,
        format!(
            "point,leaf_stage,taxon,{}\n{label},tillering,Switchgrass,{}\n",
            names.join(","),
            states.join(",")
        ),
    )
    .unwrap();
    let said = run(&[
        "bring-in",
        text(&book),
        text(&file),
        "--what",
        "determinations",
        "--visit",
        &visit,
        "--scout",
        SCOUT,
    ]);
    assert_eq!(said.code, 0, "{}", said.err);
    let kept = Book::open(&book)
        .unwrap()
        .determinations(visit.parse().unwrap())
        .unwrap();
    let [one, other] = kept.as_slice() else {
        panic!("{} determinations", kept.len())
    };
    let seen = |body: &Determination| (body.taxon.clone(), body.evidence.clone());
    assert_eq!(seen(&one.body), seen(&other.body));
}

#[test]
fn a_stack_of_sheets_is_typed_in_after_a_phone_died() {
    let folder = tempfile::tempdir().unwrap();
    let (book, _, visit) = beside(folder.path(), "");
    let mut server = Server::serve(&book);
    let mut browser = Browser::new(server.port);
    let address = format!("/desk/paper/{visit}");
    let page = browser.open(&address);
    let sheet = Form::find(&page.body, "post", &address, "found")
        .fill("scout", "B. Rowan")
        .fill("point", "7")
        .fill(
            "found",
            "1 4 7-9: switchg\n4: big blues\n25: unknown 1, hairy, flat base",
        );
    // A label that nobody stood at is asked about; nothing typed is lost.
    let asked = browser.submit(&sheet);
    assert_eq!(asked.status, 422);
    asked.says("has no point 7 in this visit yet. Is it a new one?");
    let sheet = Form::find(&asked.body, "post", &address, "found").tick("right.point", "7");
    assert!(
        sheet.value("found").starts_with("1 4 7-9: switchg"),
        "{}",
        sheet.value("found")
    );
    browser.sendings = 2;
    let next = browser.save(&sheet);
    browser.sendings = 1;
    next.says("Saved: 1, point 7, frame 1, Odile Farrow");
    next.says("A switchgrass, 5 cells");
    let sheet = Form::find(&next.body, "post", &address, "found");
    let wrong = browser.submit(
        &sheet
            .fill("point", "7")
            .fill("number", "2")
            .fill("found", "26: switchgrass\n3 big bluestem"),
    );
    assert_eq!(wrong.status, 422);
    wrong.says("Line 1: `26` is no cell from 1 to 25");
    wrong.says("Line 2: `3 big bluestem` has no colon");

    // The next one twice: the two differ in a cell and in the number.
    let sheet = Form::find(&wrong.body, "post", &address, "found")
        .fill("found", "1-3: switchgrass")
        .tick("double", "yes");
    let second = browser.submit(&sheet);
    second.says("The same sheet again");
    let again = Form::find(&second.body, "post", &address, "found");
    assert_eq!(
        (again.value("found"), again.value("point")),
        ("", ""),
        "typed blind"
    );
    let again = again
        .fill("point", "7")
        .fill("number", "3")
        .fill("found", "1 2: switchgrass\n9: big b");
    let differ = browser.submit(&again);
    differ.says("The two typings differ");
    for line in [
        "Frame no. here",
        "big bluestem in cell 9",
        "switchgrass in cell 3",
    ] {
        differ.says(line);
    }
    let picks = Form::find(&differ.body, "post", &address, "pick.number");
    let half = picks
        .tick("pick.number", "1")
        .tick("pick.t.panicum_virgatum.3", "2");
    let still = browser.submit(&half);
    assert_eq!(still.status, 422);
    still.says("Say of every line");
    let picks = Form::find(&still.body, "post", &address, "pick.number")
        .tick("pick.t.andropogon_gerardi.9", "1");
    browser.save(&picks).says("Saved: 1, point 7, frame 2");
    server.ctrl_c();

    let kept = Book::open(&book).unwrap();
    let visit: RecordId = visit.parse().unwrap();
    let point = kept
        .points(visit)
        .unwrap()
        .into_iter()
        .find(|point| point.body.label == "7")
        .unwrap();
    let frames = kept.frames_at(point.id).unwrap();
    assert_eq!(frames.len(), 2);
    let now = jiff::Timestamp::now().to_string();
    let today = &now[..10];
    for record in [&frames[0].device, &point.device] {
        assert_eq!(record, &format!("typed from paper by B. Rowan on {today}"));
    }
    assert_eq!(
        (frames[0].author.as_str(), frames[0].body.scout.as_str()),
        ("Odile Farrow", "Odile Farrow")
    );
    let marks = |n: usize| -> Vec<(u32, Counted)> {
        frames[n]
            .body
            .tallies
            .iter()
            .map(|tally| (tally.cell.unwrap(), tally.what.clone()))
            .collect()
    };
    let switchgrass = Counted::Taxon("panicum_virgatum".to_owned());
    assert_eq!(
        marks(1),
        [(1, switchgrass.clone()), (2, switchgrass.clone())]
    );
    assert_eq!(
        marks(0)
            .iter()
            .filter(|(_, what)| *what == switchgrass)
            .map(|(cell, _)| *cell)
            .collect::<Vec<_>>(),
        [1, 4, 7, 8, 9]
    );
    assert_eq!(
        kept.unknowns(visit).unwrap()[0].body.description,
        "hairy, flat base"
    );
}
