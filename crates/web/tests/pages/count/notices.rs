//! Notices beside a frame: another day, clocks, a fix outside the field. None refuses anything.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;
use standbook_web::words;

use crate::count::support::*;
use crate::desk_support::{self, Sample};

#[tokio::test]
async fn another_day_than_the_visits_is_asked_about_once() {
    let sample = Sample::empty();
    let address = format!("/at/{}/count", sample.points[5]);
    let page = open(&sample, &address).await;
    let today = words::date_words(&words::today());
    page.holds(&format!(
        "This visit is dated 14 July 2026; today is {today}."
    ))
    .holds("Start a new visit?")
    .holds(&format!("/visits/new?planting={}", sample.planting));
    // It is no refusal; and once somebody counts on, it is not asked again at every frame.
    let answer = send(&sample, &grid(RecordId::new(), &with(&[("c", "0.1")]))).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    open(&sample, &address).await.lacks("Start a new visit?");
    sample
        .get(&answer.location)
        .await
        .holds("in a visit dated 14 July 2026.");
}

#[tokio::test]
async fn a_visit_of_today_says_nothing() {
    let sample = Sample::empty();
    let visit = visit_today(&sample);
    let at = sample.keep(point(&sample, visit, "1"));
    open(&sample, &format!("/at/{at}/count"))
        .await
        .lacks("class=\"notice\"");
    let frame = sample.keep(desk_support::frame(at, 1, Vec::new()));
    sample
        .get(&format!("/frames/{frame}"))
        .await
        .lacks("class=\"notice\"");
}

/// A frame from a phone whose clock stands in 2019.
#[tokio::test]
async fn a_clock_that_is_wrong_by_years_is_told() {
    let sample = Sample::empty();
    let mut frame = desk_support::record(desk_support::frame(sample.points[5], 1, Vec::new()));
    frame.born_at = "2019-01-01T17:00:00.000Z".to_owned();
    frame.device = "old phone".to_owned();
    let id = sample.keep_record(frame);
    let page = sample.get(&format!("/frames/{id}")).await;
    page.holds("The clock of \u{201c}old phone\u{201d} said 1 January 2019")
        .holds("before the seeding on 12 May 2026");
    // Corrected elsewhere it is still that clock which was wrong.
    let mut corrected = desk_support::record(desk_support::frame(sample.points[5], 1, Vec::new()));
    corrected.device = "laptop".to_owned();
    corrected.supersedes = Some(id);
    sample.keep_record(corrected);
    let page = sample.get(&format!("/frames/{id}")).await;
    page.holds("The clock of \u{201c}old phone\u{201d} said 1 January 2019");
}

/// The field is a square of 1,000 m; the fix lies 340 m west of it.
#[tokio::test]
async fn a_fix_outside_the_outline_is_told_and_kept() {
    let sample = Sample::empty();
    sample.keep(field(&sample));
    let visit = visit_today(&sample);
    let at = |label: &str, position| {
        sample.keep(Point {
            position,
            ..point(&sample, visit, label)
        })
    };
    let outside = at("1", fix(corner(500.0, -340.0)));
    let page = open(&sample, &format!("/at/{outside}/count")).await;
    page.holds("This fix lies 340 m (1120 ft) outside the outline of the field.")
        .holds(&format!("/points/{outside}/correct"));
    let id = RecordId::new();
    let answer = send_to(&sample, outside, &grid(id, &with(&[("c", "0.1")]))).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "a notice, no refusal");
    sample
        .get(&answer.location)
        .await
        .holds("outside the outline of the field");
    // Inside, or as likely inside as out, nothing is said.
    let inside = at("2", fix(corner(500.0, 500.0)));
    let [latitude, longitude] = corner(500.0, -10.0);
    let unsure = at(
        "3",
        Some(Position {
            latitude,
            longitude,
            uncertainty_m: Some(15.0),
        }),
    );
    for point in [inside, unsure] {
        open(&sample, &format!("/at/{point}/count"))
            .await
            .lacks("outside the outline");
    }
}

#[tokio::test]
async fn a_fix_on_ground_to_keep_out_of_is_told() {
    let sample = Sample::empty();
    sample.keep(field(&sample));
    let ring = [
        (400.0, 400.0),
        (400.0, 600.0),
        (600.0, 600.0),
        (600.0, 400.0),
    ];
    sample.keep(Outline {
        of: OutlineOf::KeepOut,
        name: "waterway".to_owned(),
        polygons: vec![Polygon {
            rings: vec![ring.iter().map(|(n, e)| corner(*n, *e)).collect()],
        }],
        ..field(&sample)
    });
    let visit = visit_today(&sample);
    let at = sample.keep(Point {
        position: fix(corner(500.0, 500.0)),
        ..point(&sample, visit, "1")
    });
    open(&sample, &format!("/at/{at}/count"))
        .await
        .holds("This fix lies in ground that is not looked at (waterway).");
}
