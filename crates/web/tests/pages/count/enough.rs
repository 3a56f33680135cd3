//! After each frame: what the stopping rule says, or how wide the interval is.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

use crate::count::support::*;
use crate::desk_support::{self, Sample, cells, taxon};

const ORDER: &str = "This holds only for points taken in the order set before the walk.";

/// A visit by a plan with a rule; a frame with so many cells of big bluestem at each point.
fn walked(sample: &Sample, most_points: u32, planted: &[u32]) -> (RecordId, RecordId) {
    let stopping = Stopping {
        low: 0.25,
        high: 0.40,
        wrongly_enough: 0.10,
        wrongly_too_few: 0.10,
        most_points,
    };
    let plan = sample.keep(plan(sample, 12, Some(stopping)));
    let visit = visit_today(sample);
    let mut last = plan;
    for (number, cells_planted) in (1..).zip(planted) {
        let at = sample.keep(Point {
            planned: Some(PlannedAt { plan, number }),
            ..point(sample, visit, &number.to_string())
        });
        let tallies = cells(&taxon("andropogon_gerardi"), 1..=*cells_planted);
        last = sample.keep(desk_support::frame(at, 1, tallies));
    }
    (visit, last)
}

#[tokio::test]
async fn a_full_stand_may_be_left_after_the_least_number_of_points() {
    let sample = Sample::empty();
    let (_, frame) = walked(&sample, 12, &[23, 24, 22, 25]);
    let page = sample.get(&format!("/frames/{frame}")).await;
    page.holds("You can stop: above 25 %.").holds(ORDER);
}

#[tokio::test]
async fn an_empty_field_is_told_soon_too() {
    let sample = Sample::empty();
    let (visit, _) = walked(&sample, 12, &[0, 1, 0, 0, 0, 1]);
    let page = sample.get(&format!("/visits/{visit}/walk")).await;
    page.holds("You can stop: below 40 %.").holds(ORDER);
}

#[tokio::test]
async fn in_between_the_walk_goes_on_with_a_forecast() {
    let sample = Sample::empty();
    let (_, frame) = walked(&sample, 12, &[8, 9]);
    let page = sample.get(&format!("/frames/{frame}")).await;
    page.holds("Go on: about ")
        .holds("10 at most.")
        .holds(ORDER);
}

#[tokio::test]
async fn at_the_maximum_it_ends_undecided() {
    let sample = Sample::empty();
    let (_, frame) = walked(&sample, 4, &[8, 8, 8, 8]);
    let page = sample.get(&format!("/frames/{frame}")).await;
    page.holds("Maximum of 4 points reached, not decided between 25 % and 40 %.")
        .holds(ORDER);
}

#[tokio::test]
async fn points_out_of_order_are_named() {
    let sample = Sample::empty();
    let (visit, _) = walked(&sample, 12, &[23, 24]);
    let plan = sample.app.book.plans(sample.planting).unwrap()[0].id;
    let mut frame = plan;
    for number in [5, 3] {
        let at = sample.keep(Point {
            planned: Some(PlannedAt { plan, number }),
            ..point(&sample, visit, &number.to_string())
        });
        frame = sample.keep(desk_support::frame(at, 1, Vec::new()));
    }
    let page = sample.get(&format!("/frames/{frame}")).await;
    page.holds("Not so here: stop 3 came after a later one.")
        .holds("Not counted yet: stop 4.");
}

/// Where the unknowns decide, both answers are given.
#[tokio::test]
async fn unknowns_that_would_change_the_answer_are_not_kept_back() {
    let sample = Sample::empty();
    let (visit, _) = walked(&sample, 12, &[0, 0, 0]);
    let unknown = sample.keep(Unknown {
        visit,
        number: 1,
        description: "hairy".to_owned(),
        first_seen: sample.app.book.points(visit).unwrap()[0].id,
    });
    let mut frame = unknown;
    for point in sample.app.book.points(visit).unwrap() {
        let tallies = cells(&Counted::Unknown(unknown), 1..=24);
        frame = sample.keep(desk_support::frame(point.id, 2, tallies));
    }
    let plan = sample.app.book.plans(sample.planting).unwrap()[0].id;
    let at = sample.keep(Point {
        planned: Some(PlannedAt { plan, number: 4 }),
        ..point(&sample, visit, "4")
    });
    sample.keep(desk_support::frame(at, 1, Vec::new()));
    let page = sample.get(&format!("/frames/{frame}")).await;
    page.holds("You can stop: below 40 %.")
        .holds("With every unknown counted as planted it would be: ");
}

/// The numbers of the sample: 30 % (9 to 59 %), worked out apart from this program (`stand.rs`).
#[tokio::test]
async fn without_a_rule_the_interval_is_said() {
    let sample = Sample::counted(false);
    let frame = sample.app.book.frames_at(sample.points[5]).unwrap()[0].id;
    let page = sample.get(&format!("/frames/{frame}")).await;
    page.holds("Counted at 6 points: planted species in 30 % of cells.")
        .holds("The 95 % interval, 9 to 59 %, is 50 percentage points wide.")
        .lacks(ORDER);
}

#[tokio::test]
async fn one_point_has_no_interval() {
    let sample = Sample::empty();
    let tallies = cells(&taxon("andropogon_gerardi"), [1, 2, 3, 4, 5]);
    let frame = sample.keep(desk_support::frame(sample.points[5], 1, tallies));
    let page = sample.get(&format!("/frames/{frame}")).await;
    page.holds("Counted at 1 point: planted species in 20 % of cells. One point shows no spread");
}
