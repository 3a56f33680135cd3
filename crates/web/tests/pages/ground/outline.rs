//! The outline page and typed corners.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::OutlineOf;

use crate::desk_support::{Sample, record};
use crate::ground::support::{CORNERS, type_outline, with_field};

#[tokio::test]
async fn typed_corners_become_the_field() {
    let sample = with_field().await;
    let to = format!("/planting/{}/outline", sample.planting);
    sample
        .get(&to)
        .await
        .holds("58.6 acres (23.7 ha)")
        .holds("4 corners")
        .lacks("style=")
        .lacks("<script>");
    // Typed again it is corrected, not added; the version before stays.
    let smaller = CORNERS.replace("40.005", "40.004");
    let id = RecordId::new();
    for _ in 0..2 {
        // Sent twice, it is kept once.
        let answer = type_outline(&sample, id, "field", "", &smaller).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    }
    let kept = sample.app.book.outlines(sample.planting).unwrap();
    assert!(kept.len() == 1 && kept[0].body.of == OutlineOf::Field && kept[0].id == id);
    assert_eq!(sample.app.book.history(id).unwrap().len(), 2);
}

#[tokio::test]
async fn keep_outs_are_added_and_one_can_be_replaced() {
    let sample = with_field().await;
    let ditch = "40.001, -95.999\n40.001, -95.998\n40.002, -95.998";
    let pond = "40.003, -95.999\n40.003, -95.998\n40.004, -95.998";
    type_outline(&sample, RecordId::new(), "keep_out", "ditch", ditch).await;
    type_outline(&sample, RecordId::new(), "keep_out", "pond", pond).await;
    let kept = sample.app.book.outlines(sample.planting).unwrap();
    assert_eq!(kept.len(), 3);
    let old = kept.iter().find(|o| o.body.name == "ditch").unwrap().id;
    let to = format!("/planting/{}/outline", sample.planting);
    let place = format!("keep_out:{old}");
    sample.get(&to).await.holds(&format!("value=\"{place}\""));
    let wider = ditch.replace("40.002", "40.0025");
    let answer = type_outline(&sample, RecordId::new(), &place, "", &wider).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = sample.app.book.outlines(sample.planting).unwrap();
    let mut names: Vec<&str> = kept.iter().map(|o| o.body.name.as_str()).collect();
    names.sort_unstable();
    // The name stays when none is typed.
    assert_eq!(names, ["", "ditch", "pond"]);
}

#[tokio::test]
async fn a_saved_keep_out_changed_and_sent_again_corrects_itself() {
    let sample = with_field().await;
    let ditch = "40.001, -95.999\n40.001, -95.998\n40.002, -95.998";
    let id = RecordId::new();
    type_outline(&sample, id, "keep_out", "ditch", ditch).await;
    let changed = ditch.replace("40.002", "40.0025");
    let answer = type_outline(&sample, id, "keep_out", "ditch", &changed).await;
    assert_eq!(answer.status, StatusCode::CONFLICT);
    answer
        .holds("saved already")
        .holds("40.0025")
        .holds(&format!("value=\"keep_out:{id}\" selected"));
}

#[tokio::test]
async fn a_crossing_outline_is_refused_and_given_back() {
    let sample = Sample::empty();
    let bow = "40.000, -96.000\n40.005, -95.995\n40.000, -95.995\n40.005, -96.000";
    let answer = type_outline(&sample, RecordId::new(), "keep_out", "old ditch", bow).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer
        .holds("cross")
        .holds("corner")
        .holds("40.005, -95.995")
        .holds("value=\"old ditch\"")
        .holds("value=\"keep_out\" selected")
        .holds("role=\"alert\"")
        .holds("aria-invalid=\"true\"");
    let answer = type_outline(
        &sample,
        RecordId::new(),
        "field",
        "",
        "40.0, -96.0\nsomewhere",
    )
    .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer.holds("somewhere").holds("ine 2");
    assert!(
        sample
            .app
            .book
            .outlines(sample.planting)
            .unwrap()
            .is_empty()
    );
}

#[tokio::test]
async fn without_a_name_or_with_a_strange_choice_nothing_is_lost() {
    let sample = Sample::empty();
    let to = format!("/planting/{}/outline", sample.planting);
    let id = RecordId::new().to_string();
    let fields = [
        ("id", id.as_str()),
        ("of", "barn"),
        ("corners", CORNERS),
        ("scout", ""),
    ];
    let answer = sample.post(&to, &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer
        .holds("Choose what the outline is of.")
        .holds("Your name is missing")
        .holds("40.005, -95.995");
}

#[tokio::test]
async fn an_area_that_does_not_agree_is_said() {
    let sample = with_field().await;
    let to = format!("/planting/{}/outline", sample.planting);
    for (stated_m2, differs) in [(160_000.0, true), (230_000.0, false)] {
        let mut planting = sample.app.book.planting(sample.planting).unwrap().unwrap();
        planting.body.stated_area_m2 = Some(stated_m2);
        let mut correction = record(planting.body);
        correction.supersedes = Some(planting.id);
        sample.keep_record(correction);
        let page = sample.get(&to).await;
        if differs {
            // 237,033 / 160,000 = 1.48.
            page.holds("Area does not agree").holds("48 % more");
        } else {
            page.holds("agree within 10 %").lacks("does not agree");
        }
    }
}

#[tokio::test]
async fn a_planting_that_is_not_there_is_said() {
    let sample = Sample::empty();
    for page in ["outline", "outline/draw", "plan"] {
        let answer = sample
            .get(&format!("/planting/{}/{page}", RecordId::new()))
            .await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{page}");
        let answer = sample.get(&format!("/planting/nonsense/{page}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{page}");
    }
}
