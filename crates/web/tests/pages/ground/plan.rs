//! Plans: what is shown before saving is what is kept, and what can be taken out.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Plan, PlanDesign, Plot};
use standbook_plan::Form as Shape;

use crate::desk_support::{Answer, Sample};
use crate::ground::support::{CORNERS, type_outline, with_field};

const PLAN: &str = "design=balanced&points=12&spares=4&edge=5&stop=yes&low=25&high=40&wrong=10&most=&name=July+walk";

fn address(sample: &Sample) -> String {
    format!("/planting/{}/plan", sample.planting)
}

async fn preview(sample: &Sample, form: &str) -> Answer {
    let to = address(sample);
    sample.get(&format!("{to}?{form}&seed=7&preview=1")).await
}

async fn save(sample: &Sample, form: &str, id: RecordId) -> Answer {
    let form = format!("{form}&seed=7&id={id}&scout=A.+Fenn");
    sample.post_text(&address(sample), &form).await
}

fn kept(sample: &Sample, id: RecordId) -> Plan {
    sample.app.book.plan(id).unwrap().unwrap().body
}

#[tokio::test]
async fn a_plan_keeps_the_points_it_showed() {
    let sample = with_field().await;
    let page = preview(&sample, PLAN).await;
    page.holds("12 points and 4 spares")
        .holds("name=\"seed\" value=\"7\"")
        .holds("half of all walks stop within")
        .lacks("style=")
        .lacks("<script>");
    assert!(page.bytes.len() < 30_000);
    let id = RecordId::new();
    let answer = save(&sample, PLAN, id).await;
    assert_eq!(answer.location, format!("/plan/{id}"), "{}", answer.text());
    let plan = kept(&sample, id);
    assert_eq!(plan.points.iter().filter(|p| p.walk.is_some()).count(), 12);
    // Most points left empty: all that are drawn.
    assert_eq!(plan.stopping.unwrap().most_points, 12);
    assert!(plan.points.iter().all(|p| {
        (40.0..40.005).contains(&p.latitude) && (-96.0..-95.995).contains(&p.longitude)
    }));
    // The same seed in the same field draws the same points; another one does not.
    let other = RecordId::new();
    save(&sample, PLAN, other).await;
    assert_eq!(kept(&sample, other).points, plan.points);
    let third = RecordId::new();
    let form = format!("{PLAN}&seed=8&id={third}&scout=A.+Fenn");
    sample.post_text(&address(&sample), &form).await;
    assert_ne!(kept(&sample, third).points, plan.points);
    // All three stay.
    assert_eq!(sample.app.book.plans(sample.planting).unwrap().len(), 3);
    let page = sample.get(&format!("/plan/{id}")).await;
    page.holds("Drawn from the number 7")
        .holds("S4")
        .holds("Stop when the rule says so")
        .holds("After 4: may stop here")
        .holds(&format!("/visits/{}/walk?plan={id}", sample.visit))
        .holds(&format!(
            "{:.6}, {:.6}",
            plan.points[0].latitude, plan.points[0].longitude
        ))
        .lacks("style=");
    assert!(page.bytes.len() < 30_000);
    // The way to the walk is not a dead end.
    let walk = sample
        .get(&format!("/visits/{}/walk?plan={id}", sample.visit))
        .await;
    assert_eq!(walk.status, StatusCode::OK);
}

#[tokio::test]
async fn files_for_a_receiver_hold_every_point() {
    let sample = with_field().await;
    let id = RecordId::new();
    save(&sample, PLAN, id).await;
    let points = kept(&sample, id).points;
    for (ending, says, kind) in [
        ("gpx", "<gpx", "application/gpx+xml"),
        ("geojson", "FeatureCollection", "application/geo+json"),
    ] {
        let file = sample.get(&format!("/plan/{id}/points.{ending}")).await;
        assert_eq!(file.content_type, kind);
        file.holds(says);
        let read = standbook_plan::read(&file.bytes).unwrap();
        let mut found: Vec<[i64; 2]> = read
            .shapes
            .iter()
            .filter_map(|s| match s.form {
                Shape::Point(corner) => Some(corner.map(|d| (d * 1e5).round() as i64)),
                _ => None,
            })
            .collect();
        let mut wanted: Vec<[i64; 2]> = points
            .iter()
            .map(|p| [p.latitude, p.longitude].map(|d| (d * 1e5).round() as i64))
            .collect();
        found.sort_unstable();
        wanted.sort_unstable();
        assert_eq!(found, wanted, "{ending}");
    }
    let answer = sample
        .get(&format!("/plan/{}/points.gpx", RecordId::new()))
        .await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn each_design_keeps_how_it_was_drawn() {
    let sample = with_field().await;
    for (name, says) in [("grid", "square grid"), ("transects", "parallel lines")] {
        let form = PLAN.replace("balanced", name);
        let id = RecordId::new();
        let answer = save(&sample, &form, id).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        match (name, kept(&sample, id).design) {
            ("grid", PlanDesign::Grid { spacing_m }) => {
                // 16 points share 23.7 ha less the edge: about 120 m apart.
                assert!((90.0..130.0).contains(&spacing_m), "{spacing_m}");
            }
            (
                "transects",
                PlanDesign::Transects {
                    apart_m, step_m, ..
                },
            ) => {
                assert!(apart_m > step_m);
            }
            (name, design) => panic!("{name} kept as {design:?}"),
        }
        sample.get(&format!("/plan/{id}")).await.holds(says);
    }
}

/// The distance between points is worked out and not typed: whatever the seed, there are enough.
#[tokio::test]
async fn a_grid_has_as_many_points_as_were_asked_for() {
    let sample = with_field().await;
    let to = address(&sample);
    for design in ["grid", "transects"] {
        for seed in 0..30 {
            let form = PLAN.replace("balanced", design).replace("&stop=yes", "");
            let page = sample
                .get(&format!("{to}?{form}&seed={seed}&preview=1"))
                .await;
            assert_eq!(
                page.status,
                StatusCode::OK,
                "{design} {seed}: {}",
                page.text()
            );
            page.holds("12 points and ");
        }
    }
}

#[tokio::test]
async fn a_plot_without_room_is_named() {
    let sample = with_field().await;
    let strip = "40.000, -96.000\n40.000, -95.99996\n40.005, -95.99996\n40.005, -96.000";
    let of = format!("plot:{}", sample.plot);
    type_outline(&sample, RecordId::new(), &of, "", strip).await;
    let rest = sample.keep(Plot {
        planting: sample.planting,
        name: "Rest".into(),
        note: String::new(),
    });
    let of = format!("plot:{rest}");
    let corners = CORNERS.replace("-96.000", "-95.9998");
    type_outline(&sample, RecordId::new(), &of, "", &corners).await;
    let page = preview(&sample, &format!("{PLAN}&by_plots=yes")).await;
    page.holds("plot \u{201c}North\u{201d} has no ground");
}

#[tokio::test]
async fn points_are_shared_out_over_plots() {
    let sample = with_field().await;
    let west = "40.000, -96.000\n40.000, -95.9975\n40.005, -95.9975\n40.005, -96.000";
    let of = format!("plot:{}", sample.plot);
    let answer = type_outline(&sample, RecordId::new(), &of, "", west).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let page = preview(&sample, &format!("{PLAN}&by_plots=yes")).await;
    page.holds("By plot: North 12");
    let id = RecordId::new();
    save(&sample, &format!("{PLAN}&by_plots=yes"), id).await;
    assert!(
        kept(&sample, id)
            .points
            .iter()
            .all(|p| p.plot == Some(sample.plot))
    );
}

#[tokio::test]
async fn the_walk_starts_at_the_corner_asked_for() {
    let sample = with_field().await;
    for (corner, north, east) in [("nw", true, false), ("se", false, true)] {
        let id = RecordId::new();
        let form = PLAN.replace("&stop=yes", "");
        save(&sample, &format!("{form}&corner={corner}"), id).await;
        let points = kept(&sample, id).points;
        let first = points.iter().find(|p| p.walk == Some(1)).unwrap();
        assert_eq!(first.latitude > 40.0025, north, "{corner}");
        assert_eq!(first.longitude > -95.9975, east, "{corner}");
    }
}

#[tokio::test]
async fn what_does_not_fit_is_said_with_what_would() {
    let sample = with_field().await;
    for (was, is, says) in [
        ("edge=5", "edge=900", "from every boundary"),
        ("edge=5", "edge=5+rods", "feet such as 16 ft"),
        (
            "low=25",
            "low=60",
            "The upper share has to be above the lower one",
        ),
        ("points=12", "points=0", "Points: type a number from 1"),
        ("points=12", "points=7.5", "whole number"),
        ("points=12", "points=5000", "Points: type a number from 1"),
        ("spares=4", "spares=many", "Spares: type a number"),
        ("wrong=10", "wrong=50", "Wrong answers: type a number"),
        ("most=", "most=24", "12 are drawn"),
        (
            "design=balanced",
            "design=balanced&start=the+gate",
            "Start of the walk",
        ),
    ] {
        let form = PLAN.replace(was, is);
        let page = preview(&sample, &form).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{is}");
        let typed = is.rsplit('=').next().unwrap().replace('+', " ");
        page.holds(says).holds(&format!("value=\"{typed}\""));
        let answer = save(&sample, &form, RecordId::new()).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{is}");
    }
    // Feet are taken: 16 ft are 4.8768 m.
    let id = RecordId::new();
    save(&sample, &PLAN.replace("edge=5", "edge=16+ft"), id).await;
    assert!((kept(&sample, id).edge_m - 4.8768).abs() < 1e-9);
    assert_eq!(sample.app.book.plans(sample.planting).unwrap().len(), 1);
}

#[tokio::test]
async fn a_plan_without_a_name_comes_back_with_its_points() {
    let sample = with_field().await;
    let form = format!("{PLAN}&seed=7&id={}&scout=", RecordId::new());
    let answer = sample.post_text(&address(&sample), &form).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer
        .holds("Your name is missing")
        .holds("name=\"seed\" value=\"7\"")
        .holds("value=\"July walk\"");
}

#[tokio::test]
async fn advice_is_worked_out_for_the_field() {
    let sample = with_field().await;
    // 58.572 acres: 4 an acre are 235; one for 4 acres would be 14.6, and 15 is the least.
    sample
        .get(&address(&sample))
        .await
        .holds("<strong>235</strong>")
        .holds("<strong>15</strong>")
        .holds("Schmer and others 2006");
}

#[tokio::test]
async fn without_an_outline_the_page_says_what_to_do() {
    let empty = Sample::empty();
    empty
        .get(&address(&empty))
        .await
        .holds("Give the field an outline")
        .holds(&format!("/planting/{}/outline", empty.planting));
    let answer = save(&empty, PLAN, RecordId::new()).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn the_longest_plan_still_makes_a_light_page() {
    let sample = with_field().await;
    let form = PLAN.replace("points=12", "points=60");
    let page = preview(&sample, &form).await;
    assert!(page.bytes.len() < 30_000, "{}", page.bytes.len());
    let id = RecordId::new();
    save(&sample, &form, id).await;
    let page = sample.get(&format!("/plan/{id}")).await;
    assert!(page.bytes.len() < 30_000, "{}", page.bytes.len());
}

#[tokio::test]
async fn a_changed_plan_sent_again_is_offered_as_a_plan_of_its_own() {
    let sample = with_field().await;
    let id = RecordId::new();
    save(&sample, PLAN, id).await;
    let changed = PLAN.replace("points=12", "points=10");
    let answer = save(&sample, &changed, id).await;
    assert_eq!(answer.status, StatusCode::CONFLICT);
    answer
        .holds("as a plan of their own")
        .lacks("becomes a correction")
        .lacks("name=\"supersedes\"");
}

#[tokio::test]
async fn an_outline_changed_afterwards_is_told_on_the_plan() {
    let sample = with_field().await;
    let id = RecordId::new();
    save(&sample, PLAN, id).await;
    let page = format!("/plan/{id}");
    sample.get(&page).await.lacks("The outline was changed");
    let west = "40.000, -96.000\n40.000, -95.9975\n40.005, -95.9975\n40.005, -96.000";
    type_outline(&sample, RecordId::new(), "field", "", west).await;
    sample
        .get(&page)
        .await
        .holds("The outline was changed after this plan was drawn");
}

#[tokio::test]
async fn the_largest_plan_is_still_a_page_for_a_phone() {
    let sample = with_field().await;
    let id = RecordId::new();
    let large = PLAN.replace("points=12&spares=4", "points=100&spares=20");
    let answer = save(&sample, &large, id).await;
    assert_eq!(answer.location, format!("/plan/{id}"), "{}", answer.text());
    let page = sample.get(&format!("/plan/{id}")).await;
    assert!(page.bytes.len() < 30_720, "{} bytes", page.bytes.len());
}

#[tokio::test]
async fn the_visit_leads_to_the_walk() {
    let sample = with_field().await;
    let visit = format!("/visits/{}", sample.visit);
    sample.get(&visit).await.lacks("Walk by the plan");
    save(&sample, PLAN, RecordId::new()).await;
    sample
        .get(&visit)
        .await
        .holds(&format!("href=\"{visit}/walk\""))
        .holds("Walk by the plan");
}
