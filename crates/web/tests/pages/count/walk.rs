//! The walk by plan: the next point, "I am here", "can't reach it", spares.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

use crate::count::support::*;
use crate::desk_support::Sample;

/// Presses "I am here" on a card of a page.
async fn arrive(sample: &Sample, page: &str, visit: RecordId, scout: &str) -> String {
    let fields = form_with(page, "I am here");
    let to = format!("/visits/{visit}/walk");
    let answer = press(sample, &to, fields, &[("scout", scout)]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    answer.location
}

fn points(sample: &Sample, visit: RecordId) -> Vec<Point> {
    let points = sample.app.book.points(visit).unwrap();
    points.into_iter().map(|point| point.body).collect()
}

#[tokio::test]
async fn i_am_here_makes_the_point_and_opens_its_count() {
    let sample = Sample::empty();
    let plan = sample.keep(plan(&sample, 4, None));
    let visit = visit_today(&sample);
    let walk = format!("/visits/{visit}/walk");
    let page = sample.get(&walk).await;
    page.holds("July walk: 0 points seen, 4 planned.")
        .holds("Next: point 1 of 4")
        .holds("To do, in this order: 1, 2, 3, 4. Spares: 5, 6.");
    let count = arrive(&sample, &page.text(), visit, "Thea Marsh").await;
    assert!(count.ends_with("/count"), "{count}");
    open(&sample, &count).await.holds("North, point 1");
    let kept = points(&sample, visit);
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].label, "1");
    assert_eq!(kept[0].planned, Some(PlannedAt { plan, number: 1 }));
    // Nobody took a fix, so none is claimed.
    assert_eq!(kept[0].position, None);
    // Pressed twice, or by a form from before, it is one point.
    arrive(&sample, &page.text(), visit, "Thea Marsh").await;
    assert_eq!(points(&sample, visit).len(), 1);
    // From where it was planned, the next lies 100 m north.
    sample
        .get(&walk)
        .await
        .holds("Next: point 2 of 4")
        .holds("about 100 m (330 ft) to the north")
        .holds("Reckoned from where the last point was planned.");
}

#[tokio::test]
async fn a_typed_fix_is_kept_and_the_way_goes_from_it() {
    let sample = Sample::empty();
    sample.keep(plan(&sample, 4, None));
    let visit = visit_today(&sample);
    let walk = format!("/visits/{visit}/walk");
    let page = sample.get(&walk).await.text();
    let [north, east] = corner(100.0, 100.0);
    let (north, east) = (north.to_string(), east.to_string());
    let typed = [
        ("scout", "Thea Marsh"),
        ("latitude", &north),
        ("longitude", "96.5 W"),
        ("uncertainty_m", "5"),
    ];
    let fields = form_with(&page, "I am here");
    let refused = press(&sample, &walk, fields.clone(), &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    refused.holds("96.5 W").holds(&format!("value=\"{north}\""));
    assert!(points(&sample, visit).is_empty());
    let typed = [typed[0], typed[1], ("longitude", &east), typed[3]];
    let answer = press(&sample, &walk, fields, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let fix = points(&sample, visit)[0].position.unwrap();
    assert_eq!(fix.uncertainty_m, Some(5.0));
    // From 100 m north, 100 m east to 200 m north: 141 m to the north-west.
    sample
        .get(&walk)
        .await
        .holds("140 m (460 ft) to the north-west")
        .lacks("Reckoned from where");
}

#[tokio::test]
async fn a_point_out_of_reach_is_recorded_and_its_spare_is_offered() {
    let sample = Sample::empty();
    let plan = sample.keep(plan(&sample, 4, None));
    let visit = visit_today(&sample);
    let walk = format!("/visits/{visit}/walk");
    let cannot = format!("/visits/{visit}/cannot?plan={plan}&number=1");
    let page = sample.get(&cannot).await;
    page.holds("Point 1: can&#39;t reach it")
        .holds("value=\"standing water or mud\"");
    let fields = form_with(&page.text(), "name=\"reason\"");
    // No reason is no record.
    let silent = [("scout", "Thea Marsh"), ("reason", "other"), ("other", "")];
    let refused = press(&sample, &walk, fields.clone(), &silent).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    refused.holds("The reason is missing");
    let said = [("scout", "Thea Marsh"), ("reason", "standing water or mud")];
    let answer = press(&sample, &walk, fields, &said).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = points(&sample, visit);
    assert_eq!(kept[0].unreachable, "standing water or mud");
    assert_eq!(kept[0].planned, Some(PlannedAt { plan, number: 1 }));

    let page = sample.get(&answer.location).await;
    page.holds("Point 1 is recorded as not reached: standing water or mud.")
        .holds("Next: spare S1")
        .holds("It stands in for point 1, which was not reached.")
        .holds("Or go on: point 2 of 4")
        .holds("0 points seen, 4 planned, 1 not reached");
    let count = arrive(&sample, &page.text(), visit, "Thea Marsh").await;
    open(&sample, &count).await.holds("North, point S1");
    // The spare is used up: one missed point, one spare.
    sample
        .get(&walk)
        .await
        .holds("Next: point 2 of 4")
        .lacks("stands in for");
}

#[tokio::test]
async fn reached_after_all_corrects_the_record() {
    let sample = Sample::empty();
    let plan = sample.keep(plan(&sample, 1, None));
    let visit = visit_today(&sample);
    let walk = format!("/visits/{visit}/walk");
    let number = ("number", "1");
    let plan_id = plan.to_string();
    let missed = sample.keep(Point {
        planned: Some(PlannedAt { plan, number: 1 }),
        unreachable: "stock or machinery".to_owned(),
        ..point(&sample, visit, "1")
    });
    // Its page for counting says so; both spares are offered in turn, and then none is left.
    open(&sample, &format!("/at/{missed}/count"))
        .await
        .holds("This point is recorded as not reached: stock or machinery.");
    let id = RecordId::new().to_string();
    let here = [
        ("id", id.as_str()),
        ("plan", &plan_id),
        number,
        ("do", "here"),
        ("scout", "Thea Marsh"),
    ];
    let answer = sample.post(&walk, &here).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = points(&sample, visit);
    assert_eq!((kept.len(), kept[0].unreachable.as_str()), (1, ""));
    assert_eq!(sample.app.book.history(missed).unwrap().len(), 2);
    sample
        .get(&walk)
        .await
        .holds("All 1 points of the plan are done.");
}

#[tokio::test]
async fn without_spares_the_walk_says_what_that_costs() {
    let sample = Sample::empty();
    let mut none = plan(&sample, 2, None);
    none.points.truncate(2);
    let plan = sample.keep(none);
    let visit = visit_today(&sample);
    sample.keep(Point {
        planned: Some(PlannedAt { plan, number: 1 }),
        unreachable: "fence".to_owned(),
        ..point(&sample, visit, "1")
    });
    sample
        .get(&format!("/visits/{visit}/walk"))
        .await
        .holds("No spare is left for one of them")
        .holds("Next: point 2 of 2");
}

#[tokio::test]
async fn after_a_frame_the_choice_is_to_flip_or_to_walk_on() {
    let sample = Sample::empty();
    let plan = sample.keep(plan(&sample, 3, None));
    let visit = visit_today(&sample);
    let at = sample.keep(Point {
        planned: Some(PlannedAt { plan, number: 1 }),
        ..point(&sample, visit, "1")
    });
    let id = RecordId::new();
    let answer = send_to(&sample, at, &grid(id, &with(&[("c", "0.1")]))).await;
    let page = sample.get(&answer.location).await;
    page.holds("Flip it over here")
        .holds("same spot: frame 2")
        .holds("Flips at one spot are one cluster")
        .holds("Next: point 2 of 3")
        .lacks("new point");
    // One press on the page of the frame: the scout is known.
    let count = arrive(&sample, &page.text(), visit, "Thea Marsh").await;
    open(&sample, &count).await.holds("North, point 2");
    // On the sheet of a spot that has a frame, the walk is one link away.
    open(&sample, &format!("/at/{at}/count"))
        .await
        .holds("Next: point 3 of 3");
}

/// Without a plan everything is as it was.
#[tokio::test]
async fn without_a_plan_there_is_no_walk() {
    let sample = Sample::counted(false);
    let walk = sample.get(&format!("/visits/{}/walk", sample.visit)).await;
    assert_eq!(walk.status, StatusCode::NOT_FOUND);
    let frame = sample.app.book.frames_at(sample.points[5]).unwrap()[0].id;
    sample
        .get(&format!("/frames/{frame}"))
        .await
        .holds("Flip it over here")
        .holds("new point 7")
        .lacks("I am here");
}

#[tokio::test]
async fn a_plan_over_several_plots_asks_which_one_unless_it_knows() {
    let sample = Sample::empty();
    let south = sample.keep(Plot {
        planting: sample.planting,
        name: "South".to_owned(),
        note: String::new(),
    });
    let mut with_plots = plan(&sample, 2, None);
    with_plots.points[1].plot = Some(south);
    sample.keep(with_plots);
    let visit = visit_today(&sample);
    let walk = format!("/visits/{visit}/walk");
    let page = sample.get(&walk).await;
    page.holds("<select name=\"plot\">").holds("South");
    let fields = form_with(&page.text(), "I am here");
    let no_plot = [("scout", "Thea Marsh")];
    let refused = press(&sample, &walk, fields.clone(), &no_plot).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    refused.holds("Choose the one you stand in");
    let plot = sample.plot.to_string();
    let chosen = [("scout", "Thea Marsh"), ("plot", plot.as_str())];
    let answer = press(&sample, &walk, fields, &chosen).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    // The second point names its plot: nothing to choose.
    let page = sample.get(&walk).await;
    page.holds("Next: point 2 of 2").lacks("<select");
    arrive(&sample, &page.text(), visit, "Thea Marsh").await;
    assert_eq!(points(&sample, visit)[1].plot, south);
}

#[tokio::test]
async fn strange_addresses_and_forms_lead_nowhere_and_write_nothing() {
    let sample = Sample::empty();
    let plan = sample.keep(plan(&sample, 2, None));
    let visit = visit_today(&sample);
    let to = format!("/visits/{visit}/walk");
    let plan = plan.to_string();
    for number in ["0", "99", "-1", "x", ""] {
        let fields = [
            ("plan", plan.as_str()),
            ("number", number),
            ("scout", "A"),
            ("do", "here"),
        ];
        let answer = sample.post(&to, &fields).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{number}");
        let address = format!("/visits/{visit}/cannot?plan={plan}&number={number}");
        let answer = sample.get(&address).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{number}");
    }
    let nobody = [("plan", plan.as_str()), ("number", "1"), ("do", "here")];
    let answer = sample.post(&to, &nobody).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer.holds("Your name is missing");
    assert!(points(&sample, visit).is_empty());
}

/// A correction of a planned point keeps what it is.
#[tokio::test]
async fn correcting_a_point_keeps_plan_and_reason() {
    let sample = Sample::empty();
    let plan = sample.keep(plan(&sample, 2, None));
    let at = PlannedAt { plan, number: 2 };
    let missed = sample.keep(Point {
        planned: Some(at),
        unreachable: "steep".to_owned(),
        ..point(&sample, sample.visit, "20")
    });
    let page = sample.get(&format!("/points/{missed}/correct")).await;
    page.holds("Point 2 of the plan July walk").holds("steep");
    let mut fields = form_with(&page.text(), "name=\"label\"");
    for (name, value) in [("label", "2a"), ("scout", "A. Fenn"), ("unreachable", "")] {
        fields.push((name.to_owned(), value.to_owned()));
    }
    let answer = press(&sample, "/points", fields, &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = sample.app.book.point(missed).unwrap().unwrap().body;
    assert_eq!((kept.planned, kept.unreachable.as_str()), (Some(at), ""));
    assert_eq!(kept.label, "2a");
}

#[tokio::test]
async fn a_walk_of_another_day_asks_before_the_first_point() {
    let sample = Sample::empty();
    sample.keep(plan(&sample, 2, None));
    sample
        .get(&format!("/visits/{}/walk", sample.visit))
        .await
        .holds("This visit is dated 14 July 2026; today is")
        .holds("Start a new visit?");
}

/// An address that names the plan of another planting walks by the own one.
#[tokio::test]
async fn a_plan_of_another_planting_is_no_plan_here() {
    let sample = Sample::empty();
    let mut other = sample
        .app
        .book
        .planting(sample.planting)
        .unwrap()
        .unwrap()
        .body;
    other.name = "south forty".to_owned();
    let other = sample.keep(other);
    let strange = sample.keep(Plan {
        planting: other,
        name: "another walk".to_owned(),
        ..plan(&sample, 2, None)
    });
    let address = format!("/visits/{}/walk?plan={strange}", sample.visit);
    assert_eq!(sample.get(&address).await.status, StatusCode::NOT_FOUND);
    sample.keep(plan(&sample, 2, None));
    sample
        .get(&address)
        .await
        .holds("July walk")
        .lacks("another walk");
}
