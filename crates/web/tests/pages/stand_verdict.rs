//! The verdict on the Stand page, and what moves it.
//!
//! The thresholds are the shipped ones: 25 % of cells for conservation cover, 40 % for biomass
//! (Schmer and others 2006). The fair date, the end of the first season, is NRCS Montana MT-5's
//! rule with 15 September as the day (ours).

use crate::desk_support::*;
use axum::http::StatusCode;
use standbook_fieldbook::record::*;

async fn stand(sample: &Sample) -> Answer {
    let page = sample.get(&format!("/stand/{}", sample.planting)).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    page
}

/// A frame with this many planted cells at every point, on a visit of this day.
fn visited(on: &str, planted: u32) -> Sample {
    let sample = Sample::empty();
    let mut planting = sample
        .app
        .book
        .planting(sample.planting)
        .unwrap()
        .unwrap()
        .body;
    planting.purpose = Purpose::Conservation;
    sample.keep_record(Record {
        supersedes: Some(sample.planting),
        ..record(planting)
    });
    let mut visit = sample.app.book.visit(sample.visit).unwrap().unwrap().body;
    visit.on = on.to_owned();
    sample.keep_record(Record {
        supersedes: Some(sample.visit),
        ..record(visit)
    });
    for point in &sample.points {
        let tallies = cells(&taxon("andropogon_gerardi"), 1..=planted);
        sample.keep(frame(*point, 1, tallies));
    }
    sample
}

#[tokio::test]
async fn enough_after_the_season_is_a_yes() {
    let page = stand(&visited("2026-10-20", 15)).await;
    page.holds("Yes: enough planted grasses have come up for")
        .holds("Schmer, M.R.")
        .holds("What next")
        .holds("/report?visit=")
        .holds("Look again on 1 June 2027");
}

#[tokio::test]
async fn enough_in_july_is_so_far() {
    stand(&visited("2026-07-14", 15))
        .await
        .holds("So far, yes")
        .holds("count again from 15 September 2026");
}

#[tokio::test]
async fn few_in_july_is_no_failure_and_in_october_a_no() {
    stand(&visited("2026-07-14", 1))
        .await
        .holds("too early to call that a failure")
        .lacks("No: there are fewer");
    stand(&visited("2026-10-20", 1))
        .await
        .holds("No: there are fewer planted grasses than");
}

#[tokio::test]
async fn three_weeks_after_seeding_nothing_is_judged() {
    let sample = visited("2026-05-30", 0);
    let seeded = sample.app.book.planting(sample.planting).unwrap().unwrap();
    assert!(
        seeded.body.seeded_on.as_str() < "2026-05-30",
        "{}",
        seeded.body.seeded_on
    );
    stand(&sample)
        .await
        .holds("Too early to look")
        .lacks("No: there are fewer");
}

#[tokio::test]
async fn a_count_close_to_the_threshold_is_not_decided() {
    // 30 % of cells, 9 to 59 %: see `stand.rs`.
    stand(&Sample::counted(false))
        .await
        .holds("Not decided yet: the count is too close to call");
}

#[tokio::test]
async fn unknowns_can_hold_the_verdict_open() {
    let sample = visited("2026-10-20", 3);
    let unknown = sample.keep(Unknown {
        visit: sample.visit,
        number: 9,
        description: "low, hairy".into(),
        first_seen: sample.points[0],
    });
    for point in &sample.points {
        sample.keep(frame(*point, 2, cells(&Counted::Unknown(unknown), 1..=23)));
    }
    stand(&sample)
        .await
        .holds("Not decided: some plants have no name yet");
}

#[tokio::test]
async fn a_blind_repeat_is_no_further_ground() {
    let sample = visited("2026-10-20", 15);
    let first = sample.app.book.frames_at(sample.points[0]).unwrap()[0].clone();
    sample.keep(Frame {
        scout: "B. Reed".into(),
        repeats: Some(first.id),
        ..frame(
            sample.points[0],
            1,
            cells(&taxon("andropogon_gerardi"), 1..=10),
        )
    });
    let page = stand(&sample).await;
    page.holds("from 6 frames at 6 spots");
    let worked = sample
        .get(&format!("/stand/{}/worked", sample.planting))
        .await;
    worked.holds("read again by a second scout who had not seen the first count");
}

#[tokio::test]
async fn a_programmes_own_threshold_goes_first() {
    let sample = visited("2026-10-20", 15);
    sample.keep(Standard {
        name: "County programme".into(),
        purposes: Vec::new(),
        taxa: Vec::new(),
        region: String::new(),
        measure: StandardMeasure::Frequency,
        at_least: 0.9,
        season: None,
        source: "Hollis County office, letter of 3 March 2026 (invented)".into(),
        withdrawn: false,
    });
    stand(&sample)
        .await
        .holds("No: there are fewer planted grasses than")
        .holds("Hollis County office");
}

#[tokio::test]
async fn every_threshold_stands_on_the_page_behind() {
    let sample = visited("2026-10-20", 15);
    let page = sample
        .get(&format!("/stand/{}/worked", sample.planting))
        .await;
    page.holds("Schmer").holds("What is in doubt");
    assert!(page.bytes.len() < 30_000, "{} bytes", page.bytes.len());
}
