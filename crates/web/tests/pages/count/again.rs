//! Saving twice, going back, correcting, counting a frame twice.

use crate::count::support::*;
use crate::desk_support::{self, Sample, hidden};
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

#[tokio::test]
async fn coming_back_after_saving_and_changing_makes_a_correction() {
    let sample = Sample::empty();
    let id = RecordId::new();
    let first = grid(id, &with(&[("c", "0.1")]));
    assert_eq!(send(&sample, &first).await.status, StatusCode::SEE_OTHER);
    let page = send(&sample, &grid(id, &with(&[("c", "0.1"), ("c", "0.2")]))).await;
    assert_eq!(page.status, StatusCode::CONFLICT, "{}", page.text());
    page.holds("correction");
    let text = page.text();
    let value = |name: &str| {
        text.split(&format!("name=\"{name}\" value=\""))
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap()
            .to_owned()
    };
    let (again, old) = (value("id"), value("supersedes"));
    assert_eq!(old, id.to_string());
    let correction = grid(
        again.parse().unwrap(),
        &with(&[("c", "0.1"), ("c", "0.2"), ("supersedes", &old)]),
    );
    assert_eq!(
        send(&sample, &correction).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(frames(&sample).len(), 1, "a correction is no second frame");
    assert_eq!(frames(&sample)[0].tallies.len(), 2);
    assert_eq!(
        sample.app.book.history(id).unwrap().len(),
        2,
        "nothing is overwritten"
    );
}

#[tokio::test]
async fn going_back_after_saving_leads_to_the_saved_frame() {
    let sample = Sample::empty();
    let begun = sample
        .get(&format!("/at/{}/count", sample.points[5]))
        .await
        .location;
    let first = sample.get(&begun).await.text();
    // Something new is met meanwhile: the columns of this form stay as they were.
    sample.keep(desk_support::frame(
        sample.points[0],
        1,
        desk_support::cells(&Counted::Taxon("setaria_faberi".to_owned()), [1]),
    ));
    let again = sample.get(&begun).await.text();
    assert_eq!(form_with(&again, "class=c1"), form_with(&first, "class=c1"));
    let id: RecordId = hidden(&first, "id").parse().unwrap();
    send(&sample, &grid(id, &with(&[("c", "0.1")]))).await;
    let back = sample.get(&begun).await;
    assert_eq!(back.status, StatusCode::SEE_OTHER);
    assert_eq!(back.location, format!("/frames/{id}"));
}

#[tokio::test]
async fn back_after_saving_may_also_mean_the_next_frame() {
    let sample = Sample::empty();
    let id = RecordId::new();
    send(&sample, &grid(id, &with(&[("c", "0.1")]))).await;
    let page = send(&sample, &grid(id, &with(&[("c", "0.2")]))).await;
    page.holds("Save as a new frame");
    let (again, old) = (hidden(&page.text(), "id"), id.to_string());
    let fields = grid(
        again.parse().unwrap(),
        &[
            ("c", "0.2"),
            ("supersedes", &old),
            ("scout", "Thea Marsh"),
            ("do", "save_new"),
        ],
    );
    assert_eq!(send(&sample, &fields).await.status, StatusCode::SEE_OTHER);
    let numbers: Vec<u32> = frames(&sample).iter().map(|f| f.number).collect();
    assert_eq!(numbers, [1, 2], "a frame of its own, with the next number");
}

#[tokio::test]
async fn a_frame_number_this_scout_has_used_is_replaced_and_said() {
    let sample = Sample::empty();
    send(&sample, &grid(RecordId::new(), &with(&[("c", "0.1")]))).await;
    let page = send(&sample, &grid(RecordId::new(), &with(&[("c", "0.2")]))).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("it is now frame 2: save again")
        .holds("name=\"number\" value=\"2\"")
        .holds("value=0.2 class=c2 checked");
    // Another scout may read the same frame.
    let other = grid(
        RecordId::new(),
        &[("do", "save"), ("scout", "A. Fenn"), ("c", "0.2")],
    );
    assert_eq!(send(&sample, &other).await.status, StatusCode::SEE_OTHER);
    assert_eq!(frames(&sample).len(), 2);
}

#[tokio::test]
async fn a_correction_shows_what_was_marked_and_keeps_a_taxon_the_key_no_longer_has() {
    let sample = Sample::empty();
    let old = sample.keep(desk_support::frame(
        sample.points[5],
        1,
        desk_support::cells(&Counted::Taxon("gramen_oblitum".to_owned()), [13]),
    ));
    let page = sample.get(&format!("/frames/{old}/correct")).await;
    page.holds("gramen_oblitum").holds("class=c13 checked");
    let old = old.to_string();
    let fields = grid(
        RecordId::new(),
        &with(&[
            ("col", "t.gramen_oblitum"),
            ("c", "2.13"),
            ("c", "0.1"),
            ("supersedes", &old),
        ]),
    );
    let answer = send(&sample, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    sample
        .get(&answer.location)
        .await
        .holds("Versions before this one: 1");
}

/// The same point, number and scout: either another laying, or the same one read anew.
#[tokio::test]
async fn a_frame_counted_twice_may_correct_the_first() {
    let sample = Sample::empty();
    let first = RecordId::new();
    send(&sample, &grid(first, &with(&[("c", "0.1")]))).await;
    // Spelled a little differently it is the same person.
    let anew = [("do", "save"), ("scout", "thea  marsh"), ("c", "0.2")];
    let page = send(&sample, &grid(RecordId::new(), &anew)).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("Save as frame 2")
        .holds("Correct frame 1 with it")
        .holds(&format!("value=\"correct.{first}\""))
        .holds(&format!("href=\"/frames/{first}\""));
    let pressed = format!("correct.{first}");
    let mut fields = grid(
        id_of(&page.text()),
        &[("do", &pressed), ("scout", "Thea Marsh"), ("c", "0.2")],
    );
    for field in fields.iter_mut().filter(|(name, _)| name == "number") {
        "2".clone_into(&mut field.1);
    }
    let answer = send(&sample, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = frames(&sample);
    assert_eq!(kept.len(), 1, "no second frame");
    assert_eq!((kept[0].number, kept[0].tallies[0].cell), (1, Some(2)));
    assert_eq!(sample.app.book.history(first).unwrap().len(), 2);
}

/// "Looked, none" of a frame counted twice is not forgotten on the way.
#[tokio::test]
async fn looked_none_survives_the_question_which_frame_it_is() {
    let sample = Sample::empty();
    send(&sample, &grid(RecordId::new(), &with(&[("c", "0.1")]))).await;
    let none = [("do", "none"), ("scout", "Thea Marsh")];
    let page = send(&sample, &grid(RecordId::new(), &none)).await;
    page.holds("name=\"none\" value=\"yes\"");
    let mut fields = grid(id_of(&page.text()), &with(&[("none", "yes")]));
    for field in fields.iter_mut().filter(|(name, _)| name == "number") {
        "2".clone_into(&mut field.1);
    }
    let answer = send(&sample, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    assert!(frames(&sample)[1].tallies.is_empty());
}
