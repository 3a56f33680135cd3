//! What can't be saved comes back with everything typed and a message that says how to mend it.

use crate::count::support::*;
use crate::desk_support::{Sample, key};
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;

#[tokio::test]
async fn impossible_entries_come_back_with_everything_typed() {
    let sample = Sample::empty();
    let long = "x".repeat(3000);
    let cases: Vec<(Fields, &str)> = vec![
        (grid(RecordId::new(), &with(&[("c", "0.26")])), "cell 26"),
        (
            grid(
                RecordId::new(),
                &with(&[("c", "0.1"), ("col", "t.unicorn_grass"), ("c", "2.1")]),
            ),
            "unicorn_grass",
        ),
        (
            grid(
                RecordId::new(),
                &[("do", "save"), ("c", "0.1"), ("scout", "")],
            ),
            "name",
        ),
        (
            grid(
                RecordId::new(),
                &[("do", "save"), ("c", "0.1"), ("scout", &long)],
            ),
            "scout",
        ),
        (
            quadrat(RecordId::new(), "-1", "m2", &with(&[("p.0", "4")])),
            "area",
        ),
        (
            quadrat(RecordId::new(), "NaN", "m2", &with(&[("p.0", "4")])),
            "area",
        ),
        (
            quadrat(RecordId::new(), "1", "m2", &with(&[("p.0", "-4")])),
            "-4",
        ),
        (
            quadrat(RecordId::new(), "1", "m2", &with(&[("p.0", "4.5")])),
            "4.5",
        ),
        (
            quadrat(RecordId::new(), "1", "m2", &with(&[("p.0", "99999999999")])),
            "99999999999",
        ),
    ];
    for (fields, said) in &cases {
        let page = send(&sample, fields).await;
        assert_eq!(
            page.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{fields:?}\n{}",
            page.text()
        );
        page.holds("role=\"alert\"").holds(said);
        assert!(frames(&sample).is_empty(), "half-written: {fields:?}");
    }
    // A mark stays a mark.
    let page = send(
        &sample,
        &grid(
            RecordId::new(),
            &[("do", "save"), ("c", "1.12"), ("scout", "")],
        ),
    )
    .await;
    page.holds("value=1.12 class=c12 checked");
}

#[tokio::test]
async fn a_point_that_is_not_there() {
    let sample = Sample::empty();
    let page = sample.get(&format!("/at/{}/count", RecordId::new())).await;
    assert_eq!(page.status, StatusCode::NOT_FOUND);
    page.holds("href=\"/plot\"");
}

#[tokio::test]
async fn a_book_for_viewing_only_gives_the_marks_back() {
    let sample = Sample::empty();
    let book = standbook_fieldbook::Book::open_read_only(sample.app.book.path()).unwrap();
    let viewing = Sample {
        app: std::sync::Arc::new(standbook_web::App::new(book, key(), false)),
        ..sample
    };
    let page = send(&viewing, &grid(RecordId::new(), &with(&[("c", "1.12")]))).await;
    assert_eq!(page.status, StatusCode::FORBIDDEN);
    page.holds("viewing only")
        .holds("value=1.12 class=c12 checked")
        .holds("value=\"Thea Marsh\"");
}

/// 26 occupied cells of 25 can only be marked by a form that was made up or mangled.
#[tokio::test]
async fn twenty_six_cells_of_twenty_five() {
    let sample = Sample::empty();
    let cells: Vec<String> = (1..=26).map(|cell| format!("0.{cell}")).collect();
    let marks: Vec<(&str, &str)> = cells.iter().map(|cell| ("c", cell.as_str())).collect();
    let page = send(&sample, &grid(RecordId::new(), &with(&marks))).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("big bluestem: cell 26 is not in this frame of 25 cells. Mark cells 1 to 25.")
        .holds("value=0.25 class=c25 checked");
    assert!(frames(&sample).is_empty());
    // Saved from the form that came back, the 25 are kept.
    let page = page.text();
    let boxes = page.matches(" checked>").count();
    assert_eq!(boxes, 26, "25 cells and the chip of their species");
}

#[tokio::test]
async fn rows_that_are_none_come_back() {
    let sample = Sample::empty();
    for (length, spacing, said) in [
        ("", "7.5", "The length of row is missing. Type it in feet."),
        ("-3", "7.5", "\u{201c}-3\u{201d} is no length of row."),
        ("10", "0", "\u{201c}0\u{201d} is no distance between rows."),
        (
            "10",
            "NaN",
            "\u{201c}NaN\u{201d} is no distance between rows.",
        ),
        ("99999", "7.5", "\u{201c}99999\u{201d} is no length of row."),
    ] {
        let device = [
            ("device", "row"),
            ("length", length),
            ("length_unit", "ft"),
            ("spacing", spacing),
            ("spacing_unit", "in"),
        ];
        let fields = laid(RecordId::new(), &device, &with(&[("p.0", "10")]));
        let page = send(&sample, &fields).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        page.holds(said)
            .holds(&format!("name=\"length\" value=\"{length}\""))
            .holds("name=\"p.0\" value=\"10\"");
        assert!(frames(&sample).is_empty());
    }
}
