//! Thresholds of one's own: entered, refused with the form filled in, corrected, withdrawn.

use crate::desk_support::*;
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::StandardMeasure;

fn form(id: &RecordId, at_least: &str, more: &str) -> String {
    format!(
        "id={id}&name=County+programme&measure=ft2&at_least={at_least}&source=County+office%2C+letter&purpose=conservation&scout=A.+Fenn{more}"
    )
}

#[tokio::test]
async fn a_threshold_is_entered_corrected_and_withdrawn() {
    let sample = Sample::empty();
    let id = RecordId::new();
    let answer = sample
        .post_text("/stand/standards", &form(&id, "1", ""))
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    // The same form sent twice is one threshold.
    sample
        .post_text("/stand/standards", &form(&id, "1", ""))
        .await;
    let kept = sample.app.book.standards().unwrap();
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].body.measure, StandardMeasure::Density);
    // 1 plant per ft2 is 10.764 a m2 (1 ft = 0.3048 m, exact).
    assert!((kept[0].body.at_least - 10.763_910).abs() < 1e-5);
    sample
        .get("/stand/standards")
        .await
        .holds("11 plants per m² (1.0 per ft²) or more")
        .holds("County office, letter (entered by A. Fenn)")
        .holds("Schmer");
    let page = sample.get(&format!("/stand/standards/{id}")).await;
    page.holds("value=\"County programme\"")
        .holds("No longer used");
    let again = RecordId::new();
    let more = format!("&supersedes={id}&withdrawn=yes");
    let answer = sample
        .post_text("/stand/standards", &form(&again, "1", &more))
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = sample.app.book.standards().unwrap();
    assert!(kept.len() == 1 && kept[0].body.withdrawn);
}

#[tokio::test]
async fn what_is_wrong_comes_back_filled_in() {
    let sample = Sample::empty();
    for (at_least, says) in [
        ("0", "above 0"),
        ("many", "above 0"),
        ("5000", "up to 1000"),
    ] {
        let answer = sample
            .post_text(
                "/stand/standards",
                &form(&RecordId::new(), at_least, "&season=zero"),
            )
            .await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        answer
            .holds(says)
            .holds("Growing season: 1 for the first")
            .holds(&format!("value=\"{at_least}\""))
            .holds("County programme");
    }
    let no_source = form(&RecordId::new(), "1", "").replace("County+office%2C+letter", "");
    let answer = sample.post_text("/stand/standards", &no_source).await;
    answer.holds("A number without a source can");
    assert!(sample.app.book.standards().unwrap().is_empty());
}
