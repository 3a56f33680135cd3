//! "Looked, none" by one press, and the second look with what it adds.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;

use crate::count::support::*;
use crate::desk_support::{self, Sample, taxon};

#[tokio::test]
async fn looked_none_takes_one_press() {
    let sample = Sample::empty();
    let address = format!("/at/{}/count", sample.points[5]);
    let page = open(&sample, &address).await.text();
    let sent = form_with(&page, "class=c1");
    let pressed = [("do", "none"), ("scout", "Thea Marsh"), ("number", "1")];
    let answer = press(&sample, &address, sent, &pressed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = frames(&sample);
    assert!(kept[0].tallies.is_empty());
    assert!(!kept[0].looked_twice, "one press claims no second look");
    // The page of the frame prompts for it.
    let page = sample.get(&answer.location).await;
    page.holds("Looked, none.")
        .holds("Look at it again from the other side");
}

/// With cells marked, a thumb that slips must not empty the frame.
#[tokio::test]
async fn looked_none_beside_marks_saves_nothing() {
    let sample = Sample::empty();
    let slip = [("do", "none"), ("scout", "Thea Marsh"), ("c", "0.3")];
    let page = send(&sample, &grid(RecordId::new(), &slip)).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("Clear the marks, or save them")
        .holds("value=0.3 class=c3 checked");
    assert!(frames(&sample).is_empty());
}

#[tokio::test]
async fn what_the_second_look_adds_stays_visible_until_saved() {
    let sample = Sample::empty();
    let id = RecordId::new();
    let first = [("do", "look"), ("scout", "Thea Marsh"), ("c", "0.3")];
    let page = send(&sample, &grid(id, &first)).await;
    assert_eq!(page.status, StatusCode::OK);
    page.holds("Look again from the other side")
        .holds("name=\"f.0\" value=\"3\"")
        .holds("class=\"c3 f\" checked")
        .holds("Added so far: nothing yet");
    assert!(frames(&sample).is_empty(), "a look is not a save");

    // The second look finds two more; something goes wrong; they are still told apart.
    let second = [
        ("second", "1"),
        ("f.0", "3"),
        ("c", "0.3"),
        ("c", "0.8"),
        ("c", "1.20"),
        ("do", "save"),
    ];
    let page = send(&sample, &grid(id, &second)).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("Your name is missing")
        .holds("Added so far: big bluestem in cell 8; indiangrass in cell 20")
        .holds("class=\"c3 f\" checked")
        .holds("value=0.8 class=c8 checked");

    let saved = [&second[..], &[("scout", "Thea Marsh")]].concat();
    let answer = send(&sample, &grid(id, &saved)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = &frames(&sample)[0];
    assert!(kept.looked_twice);
    assert_eq!(kept.tallies.len(), 3);
}

#[tokio::test]
async fn plants_added_by_the_second_look_are_counted_apart() {
    let sample = Sample::empty();
    let fields = quadrat(
        RecordId::new(),
        "1",
        "m2",
        &[("second", "1"), ("f.0", "4"), ("p.0", "6"), ("do", "stay")],
    );
    let page = send(&sample, &fields).await;
    page.holds("Added so far: big bluestem: 2 more")
        .holds("first look: 4")
        .holds("first look: none");
}

/// A frame saved after one look can be looked at again: a correction, and the first stays.
#[tokio::test]
async fn a_second_look_after_saving() {
    let sample = Sample::empty();
    let mut once = desk_support::frame(
        sample.points[5],
        1,
        desk_support::cells(&taxon("andropogon_gerardi"), [4]),
    );
    once.looked_twice = false;
    let once = sample.keep(once);
    let page = sample
        .get(&format!("/frames/{once}/correct?second=1"))
        .await;
    page.holds("Second look.").holds("class=\"c4 f\" checked");
    let text = page.text();
    let sent = form_with(&text, "class=c1");
    let more = [("do", "save"), ("scout", "A. Fenn"), ("number", "1")];
    let mut fields = sent;
    fields.extend([("c".into(), "0.4".into()), ("c".into(), "0.5".into())]);
    let to = format!("/at/{}/count", sample.points[5]);
    let answer = press(&sample, &to, fields, &more).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = frames(&sample);
    assert_eq!((kept.len(), kept[0].tallies.len()), (1, 2));
    assert!(kept[0].looked_twice);
    assert_eq!(sample.app.book.history(once).unwrap().len(), 2);
}
