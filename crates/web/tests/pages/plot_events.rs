//! What happened to a planting, who may go in after spraying, and dates that look wrong.

use std::path::Path;
use std::sync::Arc;

use crate::desk_support::{Sample, hidden};
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Event, EventKind, Visit};
use standbook_key::standards::StandardFiles;

const KEEP_OUT: &str = "<p>Keep out</p>";

fn new_id() -> String {
    RecordId::new().to_string()
}

/// Today and other days by the clock of this machine, which is that of the server.
fn day(offset: i64) -> String {
    let today = jiff::ZonedDateTime::now().date();
    today
        .checked_add(jiff::Span::new().days(offset))
        .unwrap()
        .to_string()
}

async fn send(sample: &Sample, id: &str, fields: &[(&str, &str)]) -> crate::desk_support::Answer {
    let planting = sample.planting.to_string();
    let mut all = vec![("id", id), ("planting", &planting), ("scout", "Thea Marsh")];
    all.extend_from_slice(fields);
    sample.post("/events", &all).await
}

#[tokio::test]
async fn every_kind_of_event_is_taken_and_listed_with_its_units() {
    let sample = Sample::empty();
    for (fields, kept, said) in [
        (
            vec![("what", "mowed"), ("height", "6"), ("height_unit", "in")],
            EventKind::Mowed {
                height_cm: Some(15.24),
            },
            "mowed, 15.2 cm (6 in) left standing",
        ),
        (
            vec![("what", "mowed"), ("height", ""), ("height_unit", "in")],
            EventKind::Mowed { height_cm: None },
            "mowed, height not known",
        ),
        (
            vec![
                ("what", "sprayed"),
                ("entry_after_h", "12"),
                ("graze_after_days", "30"),
            ],
            EventKind::Sprayed {
                entry_after_h: Some(12.0),
                graze_after_days: Some(30.0),
            },
            // Sprayed on 1 June: 30 days after the end of that day end with 1 July.
            "sprayed; people out for 12 hours; no grazing or hay before 2 July 2026 (30 days on the label)",
        ),
        (
            vec![("what", "rain"), ("rain", "38.1"), ("rain_unit", "mm")],
            EventKind::Rain { mm: Some(38.1) },
            "rain, 38.1 mm (1.5 in)",
        ),
        (
            vec![("what", "rain"), ("rain", "2"), ("rain_unit", "in")],
            EventKind::Rain { mm: Some(50.8) },
            "rain, 50.8 mm (2 in)",
        ),
        (
            vec![("what", "drought")],
            EventKind::Drought,
            "a dry spell began",
        ),
        (vec![("what", "grazed")], EventKind::Grazed, "grazed"),
        (vec![("what", "burned")], EventKind::Burned, "burned"),
        (
            vec![("what", "overseeded")],
            EventKind::Overseeded,
            "overseeded",
        ),
        (
            vec![("what", "other"), ("note", "hail")],
            EventKind::Other,
            "other",
        ),
    ] {
        let id = new_id();
        let mut fields = fields;
        fields.push(("on", "2026-06-01"));
        for _ in 0..2 {
            let answer = send(&sample, &id, &fields).await;
            assert_eq!(
                answer.status,
                StatusCode::SEE_OTHER,
                "{fields:?} {}",
                answer.text()
            );
            assert_eq!(
                answer.location,
                format!("/plantings/{}#since", sample.planting)
            );
        }
        let event = sample.app.book.event(id.parse().unwrap()).unwrap().unwrap();
        assert_eq!(event.body.what, kept);
        sample
            .get(&format!("/plantings/{}", sample.planting))
            .await
            .holds(said);
    }
    assert_eq!(sample.app.book.events(sample.planting).unwrap().len(), 10);
}

#[tokio::test]
async fn an_event_that_cannot_be_comes_back_filled_in() {
    let sample = Sample::empty();
    let usual = [
        ("on", "2026-06-01"),
        ("what", "mowed"),
        ("note", "flail mower"),
    ];
    for (changed, said) in [
        (("what", ""), "What happened is missing"),
        (("what", "ploughed"), "What happened is missing"),
        (("on", "2026-02-30"), "2026-02-30"),
        (("height", "-3"), "A height of -3 inches is out of range"),
        (("height", "knee"), "is not a number"),
        (
            ("entry_after_h", "12"),
            "You typed hours until people may go in but chose \u{201c}Mowed\u{201d}",
        ),
        (("scout", ""), "Your name is missing"),
    ] {
        let mut fields: Vec<_> = usual.into_iter().filter(|(n, _)| *n != changed.0).collect();
        fields.insert(0, changed);
        let planting = sample.planting.to_string();
        let id = new_id();
        fields.extend([
            ("id", id.as_str()),
            ("planting", &planting),
            ("scout", "Thea Marsh"),
        ]);
        let page = sample.post("/events", &fields).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{changed:?}");
        page.holds("role=\"alert\"")
            .holds("flail mower")
            .holds(said);
        if changed.0 == "entry_after_h" {
            page.holds("if-chosen seen");
        }
    }
    let page = send(
        &sample,
        &new_id(),
        &[("on", "2026-06-01"), ("what", "other")],
    )
    .await;
    page.holds("Nothing says what happened");
    assert_eq!(
        page.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "other without words"
    );
    let hours = [
        ("on", "2026-06-01"),
        ("what", "sprayed"),
        ("entry_after_h", "-1"),
    ];
    assert_eq!(
        send(&sample, &new_id(), &hours).await.status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert!(sample.app.book.events(sample.planting).unwrap().is_empty());
}

#[tokio::test]
async fn an_event_is_corrected_by_a_new_version() {
    let sample = Sample::empty();
    let id = new_id();
    send(
        &sample,
        &id,
        &[("on", "2026-06-01"), ("what", "mowed"), ("height", "8")],
    )
    .await;
    let form = sample.get(&format!("/events/{id}/correct")).await;
    form.holds(&format!("name=\"supersedes\" value=\"{id}\""))
        .holds("value=\"mowed\" checked")
        .holds("name=\"height\" value=\"20.32\"");
    let new = hidden(&form.text(), "id");
    let fields = [
        ("supersedes", id.as_str()),
        ("on", "2026-06-02"),
        ("what", "mowed"),
        ("height", "20.32"),
        ("height_unit", "cm"),
    ];
    let answer = send(&sample, &new, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let events = sample.app.book.events(sample.planting).unwrap();
    assert_eq!(events.len(), 1);
    assert_eq!(events[0].body.on, "2026-06-02");
    // Changed after saving, by the back button.
    let page = send(&sample, &id, &[("on", "2026-06-03"), ("what", "mowed")]).await;
    assert_eq!(page.status, StatusCode::CONFLICT, "{}", page.text());
}

#[tokio::test]
async fn the_sprayed_entry_says_what_to_mind_and_who_says_so() {
    let mut sample = Sample::empty();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/standards");
    let files = StandardFiles::read_folder(&folder).unwrap();
    let loaded = standbook_key::standards::load(&[files], Some(&sample.app.key));
    Arc::get_mut(&mut sample.app).unwrap().standards = loaded.standards.unwrap();
    let form = sample
        .get(&format!(
            "/events/new?planting={}&what=sprayed&id={}",
            sample.planting,
            new_id()
        ))
        .await;
    form.holds("value=\"sprayed\" checked")
        .holds("The label is the law")
        .holds("Nobody goes in before the label")
        .holds("certified applicator")
        .holds("stock and hay wait")
        .holds("US EPA Worker Protection Standard");
}

/// Pages on which people decide to walk.
fn walked(sample: &Sample) -> Vec<String> {
    vec![
        format!("/plantings/{}", sample.planting),
        format!("/visits/new?planting={}&id={}", sample.planting, new_id()),
        format!("/visits/{}", sample.visit),
        format!("/at/{}", sample.points[0]),
    ]
}

#[tokio::test]
async fn people_are_kept_out_while_an_interval_runs_or_is_not_known() {
    // Sprayed today, 1 hour: the day itself is over only tomorrow. Two days ago, 12 hours: over.
    // Two days ago, 48 hours: counted from the end of that day, it runs.
    for (on, hours, out) in [
        (day(0), Some(1.0), true),
        (day(0), Some(0.0), true),
        (day(-2), Some(12.0), false),
        (day(-2), Some(48.0), true),
        (day(-4), Some(48.0), false),
        (day(-30), None, true),
        (day(-400), None, false),
        (day(3), Some(12.0), true),
    ] {
        let sample = Sample::empty();
        sample.keep(Event {
            planting: sample.planting,
            on: on.clone(),
            what: EventKind::Sprayed {
                entry_after_h: hours,
                graze_after_days: None,
            },
            note: String::new(),
        });
        for address in walked(&sample) {
            let page = sample.get(&address).await;
            assert_eq!(page.status, StatusCode::OK, "{address}");
            assert_eq!(
                page.text().contains(KEEP_OUT),
                out,
                "{on} {hours:?} {address}"
            );
            if out && hours.is_none() {
                page.holds("Enter the hours from the label");
            } else if out {
                page.holds("counted from the end of that day");
            }
        }
    }
}

#[tokio::test]
async fn entering_the_hours_takes_an_old_warning_away() {
    let sample = Sample::empty();
    let id = new_id();
    let on = day(-10);
    send(&sample, &id, &[("on", &on), ("what", "sprayed")]).await;
    let at = format!("/at/{}", sample.points[0]);
    sample
        .get(&at)
        .await
        .holds(KEEP_OUT)
        .holds(&format!("/events/{id}/correct"));
    let fields = [
        ("supersedes", id.as_str()),
        ("on", &on),
        ("what", "sprayed"),
        ("entry_after_h", "24"),
    ];
    send(&sample, &new_id(), &fields).await;
    sample.get(&at).await.lacks(KEEP_OUT);
}

#[tokio::test]
async fn the_first_page_keeps_people_out_of_the_point_they_left_off_at() {
    let sample = Sample::empty();
    send(&sample, &new_id(), &[("on", &day(0)), ("what", "sprayed")]).await;
    let request = axum::http::Request::get("/plot")
        .header("host", "127.0.0.1")
        .header("cookie", format!("point={}", sample.points[0]));
    let page = sample
        .ask(request.body(axum::body::Body::empty()).unwrap())
        .await;
    page.holds("You are at").holds(KEEP_OUT);
    sample.get("/plot").await.lacks(KEEP_OUT);
}

#[tokio::test]
async fn other_plantings_and_other_events_keep_nobody_out() {
    let sample = Sample::empty();
    send(&sample, &new_id(), &[("on", &day(0)), ("what", "mowed")]).await;
    for address in walked(&sample) {
        sample.get(&address).await.lacks(KEEP_OUT);
    }
}

async fn visit(
    sample: &Sample,
    id: &str,
    on: &str,
    right: Option<&str>,
) -> crate::desk_support::Answer {
    let planting = sample.planting.to_string();
    let mut fields = vec![
        ("id", id),
        ("planting", &planting),
        ("on", on),
        ("scouts", "Thea Marsh"),
        ("note", "phone of B. Reed"),
        ("scout", "Thea Marsh"),
    ];
    fields.extend(right.map(|right| ("right.on", right)));
    sample.post("/visits", &fields).await
}

#[tokio::test]
async fn an_odd_date_of_a_visit_is_asked_about_and_taken_with_a_tick() {
    let sample = Sample::empty();
    let ahead = day(3 * 365);
    for (on, said) in [
        ("2019-07-14", "before the seeding on 12 May 2026"),
        (ahead.as_str(), "in the future"),
    ] {
        let id = new_id();
        let page = visit(&sample, &id, on, None).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{on}");
        page.holds(said).holds("phone of B. Reed").holds(&format!(
            "name=\"right.on\" value=\"{on}\">Yes, this date is right"
        ));
        // A tick for another date is none for this one.
        let page = visit(&sample, &id, on, Some("2018-07-14")).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{on}");
        for _ in 0..2 {
            let answer = visit(&sample, &id, on, Some(on)).await;
            assert_eq!(
                answer.status,
                StatusCode::SEE_OTHER,
                "{on} {}",
                answer.text()
            );
        }
        // It is kept, and still asked about.
        let page = sample.get(&format!("/visits/{id}")).await;
        page.holds("<p class=\"done\">The visit of")
            .holds(&format!("/visits/{id}/correct"));
        sample
            .get(&format!("/plantings/{}", sample.planting))
            .await
            .holds(&format!("/visits/{id}/correct"));
    }
    assert_eq!(sample.app.book.visits(sample.planting).unwrap().len(), 3);
}

#[tokio::test]
async fn an_event_to_come_is_asked_about_one_before_the_seeding_is_not() {
    let sample = Sample::empty();
    let id = new_id();
    let ahead = day(30);
    let fields = [("on", ahead.as_str()), ("what", "mowed")];
    let page = send(&sample, &id, &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("in the future").holds("name=\"right.on\"");
    let fields = [fields[0], fields[1], ("right.on", ahead.as_str())];
    assert_eq!(
        send(&sample, &id, &fields).await.status,
        StatusCode::SEE_OTHER
    );
    let burned = send(
        &sample,
        &new_id(),
        &[("on", "2026-04-20"), ("what", "burned")],
    )
    .await;
    assert_eq!(burned.status, StatusCode::SEE_OTHER, "{}", burned.text());
    sample
        .get(&format!("/plantings/{}", sample.planting))
        .await
        .holds("(before the seeding): burned");
}

#[tokio::test]
async fn a_visit_of_a_wrong_clock_that_is_in_the_book_already_is_asked_about() {
    let sample = Sample::empty();
    let id = sample.keep(Visit {
        planting: sample.planting,
        on: "2001-01-01".into(),
        scouts: vec!["B. Reed".into()],
        note: String::new(),
    });
    sample
        .get(&format!("/plantings/{}", sample.planting))
        .await
        .holds("The visit of 1 January 2001 is before the seeding on 12 May 2026: which date is right?")
        .holds(&format!("/visits/{id}/correct"));
}
