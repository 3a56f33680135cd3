//! Clocks that are wrong: a phone that thinks it is 1970, one that is ahead by decades, a laptop
//! that is behind its phones. What was recorded is kept with the stamp that it has, and what is
//! corrected last is what counts.

use std::path::Path;

use standbook_fieldbook::record::Body;
use standbook_fieldbook::time::parse_stamp;
use standbook_fieldbook::{Book, RecordId, time};

use crate::field::{SCOUT, to_the_first_point};
use crate::form::Form;
use crate::http::Browser;
use crate::outbox::{Waiting, send_all};
use crate::program::Server;

const LONG_AGO: &str = "1970-01-01T00:00:00.000Z";
const FAR_AHEAD: &str = "2099-12-31T23:59:59.999Z";

/// This machine's clock, moved.
fn hours_from_now(hours: u64) -> String {
    let now = parse_stamp(&time::now()).unwrap();
    let there = now.checked_add(std::time::Duration::from_secs(hours * 3_600));
    time::stamp(there.unwrap())
}

fn new_id() -> String {
    RecordId::new().to_string()
}

/// Cells of the current version of a frame, which must be the newest of both by its stamp.
fn cells(book: &Path, frame: &str) -> Vec<u32> {
    let book = Book::open_read_only(book).unwrap();
    let id = frame.parse().unwrap();
    let versions = book.history(id).unwrap();
    let frame = book.frame(id).unwrap().unwrap();
    assert_eq!(versions.len(), 2);
    assert_eq!(versions[1].id, frame.id);
    assert!(versions[0].born_at < versions[1].born_at, "{versions:?}");
    frame.body.tallies.iter().filter_map(|t| t.cell).collect()
}

#[test]
fn what_phones_with_wrong_clocks_saved_is_kept_with_the_stamp_it_has() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("season.standbook");
    let mut server = Server::serve(&path);
    let mut browser = Browser::new(server.port);
    let spot = to_the_first_point(&mut browser);
    // The laptop is behind this phone, by an hour.
    let ahead = hours_from_now(1);
    let items: Vec<Waiting> = [LONG_AGO, FAR_AHEAD, &ahead, "2026-07-14T15:02:07.250Z"]
        .iter()
        .zip(1..)
        .map(|(made, n)| Waiting::frame(&new_id(), &spot.point, n, SCOUT, &[n]).made(made))
        .collect();
    // The answer is lost on the way; sent again it is the same record.
    for _ in 0..2 {
        let said = send_all(server.port, "", &items).unwrap();
        assert_eq!(said.kept.len(), items.len(), "{said:?}");
    }
    for (item, words) in [
        (&items[0], "said 1 January 1970 when this was saved"),
        (&items[1], "One of the two clocks is wrong."),
    ] {
        browser.open(&format!("/frames/{}", item.id)).says(words);
    }
    // An hour is what two honest clocks may differ by.
    let page = browser.open(&format!("/frames/{}", items[2].id));
    assert!(!page.text().contains("clocks is wrong"), "{}", page.text());
    for page in [&spot.point, &spot.visit, &spot.planting, "/stand", "/desk"] {
        browser.open(page);
    }
    let address = format!("{}/count", spot.point);
    let page = browser.open(&address);
    let next = Form::find(&page.body, "post", &address, "c");
    assert_eq!(next.value("number"), "5");
    assert!(server.ctrl_c().success());

    let book = Book::open(&path).unwrap();
    let today = &time::now()[..10];
    for item in &items {
        let record = book.get(item.id.parse().unwrap()).unwrap().unwrap();
        assert_eq!(record.born_at, item.made);
        // The book's own clock tells them apart.
        assert_eq!(&record.received_at.unwrap()[..10], today);
        assert!(matches!(record.body, Body::Frame(_)));
    }
}

/// Where versions of two phones compete, the newest stamp counts; so a correction is never older
/// than what it corrects.
#[test]
fn a_correction_counts_whatever_clock_it_was_made_by() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("season.standbook");
    let mut server = Server::serve(&path);
    let mut browser = Browser::new(server.port);
    let point = to_the_first_point(&mut browser).point;
    let (by_old_phone, by_laptop) = (new_id(), new_id());
    let items = [
        Waiting::frame(&by_old_phone, &point, 1, SCOUT, &[1]),
        Waiting::frame(&by_laptop, &point, 2, SCOUT, &[2]).made(FAR_AHEAD),
    ];
    assert_eq!(send_all(server.port, "", &items).unwrap().kept.len(), 2);
    let correction = Waiting::frame(&new_id(), &point, 1, SCOUT, &[11])
        .with("supersedes", &by_old_phone)
        .made(LONG_AGO);
    for _ in 0..2 {
        let said = send_all(server.port, "", std::slice::from_ref(&correction)).unwrap();
        assert_eq!(said.kept, [correction.id.as_str()], "{said:?}");
    }
    let page = browser.open(&format!("/frames/{by_laptop}/correct"));
    let form = Form::find(&page.body, "post", &format!("{point}/count"), "c");
    let column = form.place_of("col", "t.panicum_virgatum");
    let form = form.tick("c", &format!("{column}.12")).press("do", "save");
    browser.save(&form).says("in 2 of 25 cells");
    assert!(server.ctrl_c().success());
    assert_eq!(cells(&path, &by_old_phone), [11]);
    assert_eq!(cells(&path, &by_laptop), [2, 12]);
}
