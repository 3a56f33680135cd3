//! Every rule of where to look, broken once: outlines, plans, and the points of a plan.

use super::rules::breaks;
use super::*;

#[test]
fn outlines() {
    let s = Sample::new();
    let rings = |rings: Vec<Vec<[f64; 2]>>| {
        record(Outline {
            polygons: vec![Polygon { rings }],
            ..an_outline(s.planting)
        })
    };
    breaks(
        &s,
        record(Outline {
            polygons: vec![],
            ..an_outline(s.planting)
        }),
        &["polygons"],
    );
    breaks(&s, rings(vec![]), &["polygons[0].rings"]);
    let (a, b, c) = ([38.0, -96.0], [38.1, -96.0], [38.1, -96.1]);
    let ring = "polygons[0].rings[0]";
    breaks(&s, rings(vec![vec![a, b]]), &[ring]);
    breaks(&s, rings(vec![vec![a, b, a, b]]), &[ring]);
    breaks(&s, rings(vec![vec![[0.0, 0.0], [-0.0, 0.0], a]]), &[ring]);
    breaks(&s, rings(vec![vec![a, b, c, a]]), &[ring]);
    breaks(
        &s,
        rings(vec![vec![a, b, c], vec![a]]),
        &["polygons[0].rings[1]"],
    );
    breaks(
        &s,
        rings(vec![vec![a, b, [91.0, -180.5]]]),
        &[
            "polygons[0].rings[0][2].latitude",
            "polygons[0].rings[0][2].longitude",
        ],
    );
    breaks(
        &s,
        rings(vec![vec![a, b, [f64::NAN, 0.0]]]),
        &["polygons[0].rings[0][2].latitude"],
    );
    s.keep(rings(vec![vec![a, b, c]]));
    let many = (0..20_001).map(|n| [f64::from(n) * 1e-4, 0.0]).collect();
    breaks(&s, rings(vec![many]), &["polygons"]);
    breaks(
        &s,
        record(Outline {
            origin: String::new(),
            ..an_outline(s.planting)
        }),
        &["origin"],
    );
    // A plot of this planting, by any version of both.
    let of = |planting, plot| Outline {
        of: OutlineOf::Plot(plot),
        ..an_outline(planting)
    };
    breaks(&s, record(of(s.planting, s.visit)), &["of"]);
    let other = s.keep(record(a_planting(s.site)));
    let other_plot = s.keep(record(a_plot(other, "1")));
    breaks(&s, record(of(s.planting, other_plot)), &["of"]);
    let renamed = s.keep(correction(s.planting, 1, a_planting(s.site)));
    s.keep(record(of(renamed, s.plot)));
    s.keep(record(of(other, other_plot)));
    breaks(
        &s,
        correction(other_plot, 2, a_plot(s.planting, "moved")),
        &["planting"],
    );
}

#[test]
fn plans() {
    let s = Sample::new();
    let plan = |change: &dyn Fn(&mut Plan)| {
        let mut plan = a_plan(s.planting);
        change(&mut plan);
        record(plan)
    };
    breaks(&s, plan(&|it| it.name = String::new()), &["name"]);
    breaks(&s, plan(&|it| it.planting = s.plot), &["planting"]);
    for bad in [0.0, -5.0, f64::NAN, 1e9] {
        let grid = PlanDesign::Grid { spacing_m: bad };
        breaks(&s, plan(&|it| it.design = grid), &["design.spacing_m"]);
        let lines = PlanDesign::Transects {
            apart_m: bad,
            step_m: bad,
            bearing_deg: 180.1,
        };
        breaks(
            &s,
            plan(&|it| it.design = lines),
            &["design.apart_m", "design.step_m", "design.bearing_deg"],
        );
    }
    breaks(&s, plan(&|it| it.edge_m = -1.0), &["edge_m"]);
    breaks(&s, plan(&|it| it.points.clear()), &["points"]);
    breaks(
        &s,
        plan(&|it| it.points.retain(|point| point.spare)),
        &["points"],
    );
    breaks(
        &s,
        plan(&|it| it.points[1].latitude = 90.5),
        &["points[1].latitude"],
    );
    // Point 3 is the spare; the others have the places 2, 1, 3.
    breaks(
        &s,
        plan(&|it| it.points[2].walk = Some(4)),
        &["points[2].walk"],
    );
    breaks(
        &s,
        plan(&|it| it.points[0].walk = None),
        &["points[0].walk"],
    );
    breaks(
        &s,
        plan(&|it| it.points[3].walk = Some(1)),
        &["points[3].walk"],
    );
    breaks(
        &s,
        plan(&|it| it.points[3].walk = Some(4)),
        &["points[3].walk"],
    );
    breaks(
        &s,
        plan(&|it| it.points[3].walk = Some(0)),
        &["points[3].walk"],
    );
    let many = |n: u32| {
        plan(&|it| {
            it.points = (1..=n)
                .map(|walk| PlannedPoint {
                    walk: Some(walk),
                    ..it.points[0].clone()
                })
                .collect();
        })
    };
    breaks(&s, many(2001), &["points"]);
    s.keep(many(2000));
    let stop = |change: &dyn Fn(&mut Stopping)| plan(&|it| change(it.stopping.as_mut().unwrap()));
    breaks(&s, stop(&|it| it.low = -0.1), &["stopping.low"]);
    breaks(&s, stop(&|it| it.high = 1.1), &["stopping.high"]);
    breaks(&s, stop(&|it| it.high = it.low), &["stopping.high"]);
    breaks(&s, stop(&|it| it.low = f64::NAN), &["stopping.low"]);
    for bad in [0.0, 0.5, -0.1, f64::NAN] {
        breaks(
            &s,
            stop(&|it| it.wrongly_enough = bad),
            &["stopping.wrongly_enough"],
        );
        breaks(
            &s,
            stop(&|it| it.wrongly_too_few = bad),
            &["stopping.wrongly_too_few"],
        );
    }
    breaks(
        &s,
        stop(&|it| it.most_points = 0),
        &["stopping.most_points"],
    );
    s.keep(stop(&|it| (it.low, it.high) = (0.0, 1.0)));
    // Plots of this planting only.
    let other = s.keep(record(a_planting(s.site)));
    let other_plot = s.keep(record(a_plot(other, "1")));
    breaks(
        &s,
        plan(&|it| it.points[1].plot = Some(other_plot)),
        &["points"],
    );
    breaks(
        &s,
        plan(&|it| it.points[1].plot = Some(other)),
        &["points[1].plot"],
    );
    s.keep(plan(&|it| it.points[1].plot = Some(s.plot)));
    breaks(
        &s,
        correction(s.plot, 3, a_plot(other, "moved")),
        &["planting", "planting"], // its points, and the plan
    );
}

#[test]
fn points_of_a_plan() {
    let s = Sample::new();
    let plan = s.keep(record(a_plan(s.planting)));
    let at = |label: &str, plan, number| Point {
        planned: Some(PlannedAt { plan, number }),
        position: None,
        ..a_point(s.plot, s.visit, label)
    };
    breaks(&s, record(at("2", plan, 0)), &["planned.number"]);
    breaks(&s, record(at("2", plan, 5)), &["planned.number"]);
    breaks(&s, record(at("2", s.plot, 1)), &["planned.plan"]);
    breaks(
        &s,
        record(Point {
            unreachable: "bell \u{7}".into(),
            ..at("2", plan, 1)
        }),
        &["unreachable"],
    );
    let third = s.keep(record(at("3", plan, 3)));
    let second = s.keep(record(Point {
        unreachable: "standing water".into(),
        ..at("2", plan, 2)
    }));
    // A shorter version of the plan: numbers of the earlier one stay good, new ones are its own.
    let mut shorter = a_plan(s.planting);
    shorter.points.truncate(2);
    let shorter = s.keep(correction(plan, 1, shorter));
    breaks(&s, record(at("4", shorter, 3)), &["planned.number"]);
    let first = s.keep(record(at("1b", shorter, 1)));
    for version in [plan, shorter] {
        let ids: Vec<_> = s
            .book
            .points_of_plan(version)
            .unwrap()
            .iter()
            .map(|point| point.id)
            .collect();
        assert_eq!(ids, [first, second, third]);
        assert_eq!(s.book.plan(version).unwrap().unwrap().id, shorter);
    }
    assert_eq!(s.book.plans(s.planting).unwrap().len(), 1);
    // A plan of another planting.
    let other = s.keep(record(a_planting(s.site)));
    let strange = s.keep(record(a_plan(other)));
    breaks(&s, record(at("5", strange, 1)), &["planned.plan"]);
    breaks(&s, correction(shorter, 2, a_plan(other)), &["planting"]);
}
