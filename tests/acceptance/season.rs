//! The main job, start to finish, as people do it: a planting is entered, plants are walked,
//! frames are counted, the stand is read, a plant is looked at again at the desk.
//!
//! The whole of it is done twice: once plainly, and once with every form sent twice, as by a
//! nervous thumb on a slow phone. The books must hold the same number of records.

use standbook_fieldbook::Book;
use standbook_fieldbook::record::{Counted, FrameShape};

use crate::field::{SCOUT, to_the_first_point};
use crate::form::{Form, link};
use crate::http::{Answer, Browser};
use crate::program::Server;

/// Switchgrass as published: crates/identify/tests/facts/published.csv, lines of
/// `panicum_virgatum` (Virginia Tech Weed Identification Guide; USDA-NRCS fact sheet PAVI2;
/// Eastern Illinois University seedling pages). Every other look: can't tell.
const SWITCHGRASS: [(&str, &str); 5] = [
    ("ligule_type", "hairs"),
    ("collar_hairs", "patch"),
    ("vernation", "rolled"),
    ("tiller_base", "round"),
    ("seed_attached", "smooth_shiny"),
];

/// Answers the looks that the page proposes until it proposes none, at most `most`.
fn walk(browser: &mut Browser, point: &str, most: usize) -> Answer {
    let address = format!("{point}/plant");
    let page = browser.open(&address);
    let form = Form::find(&page.body, "get", &address, "stage").press("stage", "tillering");
    let mut page = browser.open(&form.address());
    for _ in 0..most {
        let looks = Form::find(&page.body, "get", &address, "walk");
        let first = looks.buttons("a").first().map(|v| (*v).to_owned());
        let Some((look, _)) = first.as_deref().and_then(|value| value.split_once(':')) else {
            break;
        };
        let seen = SWITCHGRASS
            .iter()
            .find(|(known, _)| *known == look)
            .map_or("cannot_tell", |(_, s)| s);
        page = browser.open(&looks.press("a", &format!("{look}:{seen}")).address());
    }
    page
}

/// Marks cells of switchgrass, looks again and saves; or says that none is there.
fn count(browser: &mut Browser, point: &str, cells: &[u32]) -> Answer {
    let address = format!("{point}/count");
    let page = browser.open(&address);
    let mut form = Form::find(&page.body, "post", &address, "c");
    if cells.is_empty() {
        return browser.save(&form.press("do", "none"));
    }
    let column = form.place_of("col", "t.panicum_virgatum");
    for cell in cells {
        form = form.tick("c", &format!("{column}.{cell}"));
    }
    let again = browser.submit(&form.press("do", "look"));
    let form = Form::find(&again.body, "post", &address, "c");
    browser.save(&form.press("do", "save"))
}

fn a_season(sendings: u32) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("season.standbook");
    let mut server = Server::serve(&path);
    let mut browser = Browser::new(server.port);
    browser.sendings = sendings;
    let spot = to_the_first_point(&mut browser);

    // A plant: walked until the book proposes nothing more, then saved under its name.
    let page = walk(&mut browser, &spot.point, 12);
    let save = Form::find(
        &page.body,
        "post",
        &format!("{}/plant", spot.point),
        "taxon",
    )
    .tick("taxon", "panicum_virgatum")
    .fill("note", "between <rows> & \"shiny\" seed");
    assert_eq!(save.value("scout"), SCOUT, "the book knows who is walking");
    let saved = browser.save(&save);
    saved.says("Saved: switchgrass");
    let determination = link(&saved.body, "/determinations/", "");

    // Two spots of one frame each: 4 of 25 cells, then a second point with looked, none.
    count(&mut browser, &spot.point, &[1, 7, 13, 25]).says("switchgrass");
    let visit = browser.open(&spot.visit);
    let second = browser.save(&Form::find(&visit.body, "post", "/points", "label"));
    second.says("West & low, point 2");
    let second = link(&second.body, "/at/", "/count");
    count(&mut browser, second.trim_end_matches("/count"), &[]).says("Looked, none");

    // The stand: 4 of 50 cells are 8 %, and two spots are enough for an interval.
    let stand = browser.open("/stand");
    stand.says("8 % of cells (95 % interval");
    stand.says("from 2 frames at 2 spots");
    stand.says("big bluestem was found in no frame");

    // The desk: the same plant, its evidence, a second opinion by somebody else.
    let desk = browser.open("/desk");
    assert_eq!(link(&desk.body, "/determinations/", ""), determination);
    let page = browser.open(&determination);
    page.says("between <rows> & \"shiny\" seed");
    page.says("weighed again just now, give the same result");
    let opinion = Form::find(
        &page.body,
        "post",
        &format!("{determination}/opinions"),
        "reasons",
    )
    .fill("taxon", "panicum_virgatum")
    .fill("reasons", "tuft of hair at the collar")
    .fill("scout", "Tam Ridley");
    let page = browser.save(&opinion);
    page.says("tuft of hair at the collar");
    page.says("Tam Ridley");

    // Closed in the evening, opened the next day: the same again.
    assert!(server.ctrl_c().success());
    let mut server = Server::serve(&path);
    let mut browser = Browser::new(server.port);
    let page = browser.open(&determination);
    page.says("weighed again just now, give the same result");
    page.says("tuft of hair at the collar");
    browser.open("/stand").says("8 % of cells (95 % interval");
    assert!(server.ctrl_c().success());

    in_the_book(&path);
}

/// What the book holds, read without the program.
fn in_the_book(path: &std::path::Path) {
    let book = Book::open(path).unwrap();
    assert_eq!(book.sites().unwrap().len(), 1);
    let [planting] = &book.plantings().unwrap()[..] else {
        panic!("one planting")
    };
    let mix: Vec<(&str, Option<f64>)> = planting
        .body
        .mix
        .iter()
        .map(|m| (m.taxon.as_str(), m.pls_lb_per_acre))
        .collect();
    assert!(
        mix.contains(&("panicum_virgatum", Some(2.5)))
            && mix.contains(&("andropogon_gerardi", None))
    );
    assert_eq!(book.plots(planting.id).unwrap().len(), 1);
    let [visit] = &book.visits(planting.id).unwrap()[..] else {
        panic!("one visit")
    };
    assert_eq!(book.points(visit.id).unwrap().len(), 2);
    let [first, second] = &book.frames(visit.id).unwrap()[..] else {
        panic!("two frames")
    };
    assert!(
        matches!(first.body.shape, FrameShape::Grid { cells: 25, .. }) && first.body.looked_twice
    );
    let cells: Vec<Option<u32>> = first.body.tallies.iter().map(|t| t.cell).collect();
    assert_eq!(cells, [Some(1), Some(7), Some(13), Some(25)]);
    assert!(
        first
            .body
            .tallies
            .iter()
            .all(|t| t.what == Counted::Taxon("panicum_virgatum".to_owned()))
    );
    assert!(second.body.tallies.is_empty(), "looked, none is an entry");
    let [plant] = &book.determinations(visit.id).unwrap()[..] else {
        panic!("one plant")
    };
    assert_eq!(plant.body.taxon.as_deref(), Some("panicum_virgatum"));
    assert!(plant.body.evidence.answers.len() >= 4 && plant.author == SCOUT);
    let [opinion] = &book.opinions_all().unwrap()[..] else {
        panic!("one opinion")
    };
    assert_eq!(opinion.author, "Tam Ridley");
    let mut lines = Vec::new();
    // Site, planting, plot, visit, two points, two frames, a plant, an opinion.
    assert_eq!(
        book.export(&mut lines).unwrap(),
        10,
        "records and nothing else"
    );
}

#[test]
fn a_season_from_an_empty_book_to_a_second_opinion() {
    a_season(1);
}

#[test]
fn every_form_sent_twice_is_kept_once() {
    a_season(2);
}
