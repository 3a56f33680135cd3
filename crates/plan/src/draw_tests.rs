#![allow(clippy::unwrap_used)]

use super::*;
use crate::testing::{field_in_metres, square_m};
use crate::{Area, Frame, Whereabouts};
use proptest::prelude::*;

fn ell() -> Area {
    field_in_metres(
        &[
            [0.0, 0.0],
            [300.0, 20.0],
            [290.0, 120.0],
            [150.0, 110.0],
            [140.0, 260.0],
            [-20.0, 240.0],
        ],
        &[&[[30.0, 180.0], [90.0, 190.0], [70.0, 220.0]]],
    )
}

fn track() -> Area {
    field_in_metres(
        &[[-50.0, 60.0], [340.0, 80.0], [340.0, 86.0], [-50.0, 66.0]],
        &[],
    )
}

fn plots() -> Vec<Area> {
    vec![
        field_in_metres(
            &[
                [-100.0, -50.0],
                [100.0, -50.0],
                [100.0, 300.0],
                [-100.0, 300.0],
            ],
            &[],
        ),
        field_in_metres(
            &[
                [100.0, -50.0],
                [400.0, -50.0],
                [400.0, 300.0],
                [100.0, 300.0],
            ],
            &[],
        ),
    ]
}

fn balanced_request(points: u32, spares: u32, seed: u32) -> Request {
    Request {
        design: Design::Balanced,
        points: Points::Total(points),
        spares,
        seed,
    }
}

#[track_caller]
fn near(points: &[DrawnPoint], expected: &[[f64; 2]]) {
    let found: Vec<[f64; 2]> = points.iter().map(|p| p.corner).collect();
    let same = found.len() == expected.len()
        && found
            .iter()
            .zip(expected)
            .all(|(a, b)| (a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-9);
    assert!(same, "{found:?}");
}

/// Stored plans rely on these: never change the expected numbers.
#[test]
fn a_seed_draws_the_same_points_for_ever() {
    let ground = Ground::new(&ell(), &[track()], &[], 8.0).unwrap();
    // From tests/files/check_draw.py, written without this crate.
    let drawn = draw(&ground, &balanced_request(4, 1, 7)).unwrap();
    near(
        &drawn.points,
        &[
            [40.002161943022, -95.998921879875],
            [40.000947782204, -95.999390294081],
            [40.000427430724, -95.998453456831],
            [40.001468136980, -95.999214641249],
            [40.000253974834, -95.999683045530],
        ],
    );
    // From this crate when it was new.
    let grid = Request {
        design: Design::Grid { spacing_m: 70.0 },
        points: Points::All,
        spares: 0,
        seed: 7,
    };
    near(
        &draw(&ground, &grid).unwrap().points[..3],
        &[
            [40.00210938203941, -95.99850393188369],
            [40.000218080624336, -95.99850393546548],
            [40.00021807864359, -95.99932366916974],
        ],
    );
    let lines = Request {
        design: Design::Transects {
            apart_m: 80.0,
            step_m: 40.0,
            bearing_deg: 30.0,
        },
        ..grid
    };
    near(
        &draw(&ground, &lines).unwrap().points[..3],
        &[
            [40.00043507897598, -95.99721855144031],
            [40.00043867331636, -95.99829763059171],
            [40.00124106555733, -95.99985881684682],
        ],
    );
    let plotted = Ground::new(&ell(), &[track()], &plots(), 8.0).unwrap();
    near(
        &draw(&plotted, &balanced_request(4, 1, 7)).unwrap().points,
        &[
            [40.000498424629164, -95.99942958679273],
            [40.00077762335377, -95.99878131252876],
            [40.00127895237133, -95.99978091842844],
            [40.00078190610407, -95.99848854652214],
            [40.00205948777773, -95.99907827834178],
        ],
    );
    assert_eq!(random_bearing_deg(7), 66.0);
}

fn any_design() -> impl Strategy<Value = Design> {
    prop_oneof![
        Just(Design::Balanced),
        (20.0..80.0f64).prop_map(|spacing_m| Design::Grid { spacing_m }),
        (20.0..80.0f64, 10.0..40.0f64, 0.0..180.0f64).prop_map(|(apart_m, step_m, bearing_deg)| {
            Design::Transects {
                apart_m,
                step_m,
                bearing_deg,
            }
        }),
    ]
}

proptest! {
    #[test]
    fn every_point_lies_where_it_may(
        design in any_design(),
        n in 2u32..30,
        spares in 0u32..10,
        seed: u32,
        edge_m in 0.0..12.0f64,
        with_plots: bool,
    ) {
        let parts = if with_plots { plots() } else { Vec::new() };
        let ground = Ground::new(&ell(), &[track()], &parts, edge_m).unwrap();
        let request = Request { design, points: Points::Total(n), spares, seed };
        match draw(&ground, &request) {
            Ok(drawn) => {
                prop_assert_eq!(&drawn, &draw(&ground, &request).unwrap());
                prop_assert_eq!(drawn.to_walk().count(), n as usize);
                prop_assert!(drawn.points[..n as usize].iter().all(|p| !p.spare));
                let reserve = drawn.points.len() - n as usize;
                prop_assert!(reserve <= spares as usize);
                if design == Design::Balanced {
                    prop_assert_eq!(reserve, spares as usize);
                }
                for point in &drawn.points {
                    match ground.whereabouts(point.corner) {
                        Whereabouts::Inside { to_edge_m } => prop_assert!(to_edge_m >= edge_m - 1e-6),
                        other => prop_assert!(false, "{:?}", other),
                    }
                    prop_assert_eq!(point.plot.is_some(), with_plots);
                    prop_assert_eq!(point.plot, ground.plot_of(point.corner));
                    let on_line = matches!(design, Design::Transects { .. });
                    prop_assert_eq!(point.line.is_some(), on_line);
                }
                let blocks = drawn.fair_blocks(5);
                prop_assert_eq!(blocks.iter().sum::<usize>(), n as usize);
            }
            Err(DrawError::TooFew { found, wanted, .. }) => {
                prop_assert!(design != Design::Balanced);
                prop_assert!(found < wanted as usize);
            }
            Err(other) => prop_assert!(false, "{other}"),
        }
    }
}

/// How unevenly points share the ground: the variance of n times the share of ground that is
/// nearest to each point (Stevens and Olsen 2004, Voronoi form; memory). 0 is perfectly even.
fn unevenness(ground: &Ground, points: &[Metres]) -> f64 {
    let [west, south, east, north] = ground.field.bounds();
    let mut mine = vec![0.0; points.len()];
    let mut all = 0.0;
    for i in 0..60 {
        for j in 0..60 {
            let at = [
                west + (east - west) * (f64::from(i) + 0.5) / 60.0,
                south + (north - south) * (f64::from(j) + 0.5) / 60.0,
            ];
            if ground.allows(at) {
                let away = |p: &Metres| (p[0] - at[0]).powi(2) + (p[1] - at[1]).powi(2);
                let nearest = (0..points.len())
                    .min_by(|&a, &b| away(&points[a]).total_cmp(&away(&points[b])))
                    .unwrap();
                mine[nearest] += 1.0;
                all += 1.0;
            }
        }
    }
    let n = points.len() as f64;
    mine.iter()
        .map(|m| (n * m / all - 1.0).powi(2))
        .sum::<f64>()
        / n
}

#[test]
fn balanced_points_are_more_even_than_points_by_chance() {
    let ground = Ground::new(&ell(), &[track()], &[], 5.0).unwrap();
    let flat = |points: &[DrawnPoint]| -> Vec<Metres> {
        points
            .iter()
            .map(|p| ground.frame.to_metres(p.corner))
            .collect()
    };
    let (mut balanced, mut later, mut by_chance) = (0.0, 0.0, 0.0);
    let seeds = 60;
    for seed in 0..seeds {
        let drawn = draw(&ground, &balanced_request(20, 10, seed)).unwrap();
        balanced += unevenness(&ground, &flat(&drawn.points[..20]));
        // Ten lost, ten spares in their place: still a run of the sequence.
        later += unevenness(&ground, &flat(&drawn.points[10..]));
        let [west, south, east, north] = ground.field.bounds();
        let mut chance = Chance::new(seed, 500);
        let mut points = Vec::new();
        while points.len() < 20 {
            let at = [
                west + chance.unit() * (east - west),
                south + chance.unit() * (north - south),
            ];
            if ground.allows(at) {
                points.push(at);
            }
        }
        by_chance += unevenness(&ground, &points);
    }
    let mean = |sum: f64| sum / f64::from(seeds);
    println!(
        "unevenness: balanced {:.3}, with spares {:.3}, by chance {:.3}",
        mean(balanced),
        mean(later),
        mean(by_chance)
    );
    assert!(balanced < 0.6 * by_chance, "{balanced} {by_chance}");
    assert!(later < 0.6 * by_chance, "{later} {by_chance}");
}

/// Every spot has the same chance, for the first point and for all.
#[test]
fn no_part_of_the_field_is_favoured() {
    let ground = Ground::new(&ell(), &[], &[], 0.0).unwrap();
    let parts = Ground::new(&ell(), &[], &plots(), 0.0).unwrap();
    let left = parts.left_m2();
    let share = left[0] / (left[0] + left[1]);
    for design in [
        Design::Balanced,
        Design::Grid { spacing_m: 30.0 },
        Design::Transects {
            apart_m: 40.0,
            step_m: 20.0,
            bearing_deg: 55.0,
        },
    ] {
        let seeds = 1_000;
        let (mut first, mut west, mut all) = (0.0, 0.0, 0.0);
        for seed in 0..seeds {
            let request = Request {
                design,
                points: Points::Total(5),
                spares: 0,
                seed,
            };
            let drawn = draw(&ground, &request).unwrap();
            let in_west = |p: &DrawnPoint| parts.plot_of(p.corner) == Some(0);
            first += f64::from(u8::from(in_west(&drawn.points[0])));
            west += drawn.points.iter().filter(|p| in_west(p)).count() as f64;
            all += 5.0;
        }
        let sd = (share * (1.0 - share) / f64::from(seeds)).sqrt();
        let (first, west) = (first / f64::from(seeds), west / all);
        // The line order sorts points within a line by place, so its first point is not by chance.
        if !matches!(design, Design::Transects { .. }) {
            assert!(
                (first - share).abs() < 4.0 * sd,
                "{design:?}: first {first} {share}"
            );
        }
        assert!(
            (west - share).abs() < 4.0 * sd,
            "{design:?}: all {west} {share}"
        );
    }
}

#[test]
fn more_spares_change_no_point() {
    let ground = Ground::new(&ell(), &[track()], &[], 8.0).unwrap();
    let few = draw(&ground, &balanced_request(10, 2, 5)).unwrap();
    let many = draw(&ground, &balanced_request(10, 20, 5)).unwrap();
    let more = draw(&ground, &balanced_request(30, 0, 5)).unwrap();
    assert_eq!(few.points[..], many.points[..12]);
    let places = |d: &Draw| d.points.iter().map(|p| p.corner).collect::<Vec<_>>();
    assert_eq!(
        places(&many),
        places(&more),
        "a spare is simply the next point"
    );
}

#[test]
fn plots_get_points_by_area_mixed_evenly() {
    let ground = Ground::new(&ell(), &[], &plots(), 0.0).unwrap();
    let left = ground.left_m2();
    let drawn = draw(&ground, &balanced_request(30, 10, 1)).unwrap();
    let in_first =
        |points: &[DrawnPoint]| points.iter().filter(|p| p.plot == Some(0)).count() as f64;
    let share = left[0] / (left[0] + left[1]);
    assert!((in_first(&drawn.points[..30]) - 30.0 * share).abs() <= 1.0);
    for n in 1..=30 {
        assert!(
            (in_first(&drawn.points[..n]) - n as f64 * share).abs() < 2.0,
            "first {n}"
        );
    }
    let given = Request {
        points: Points::EachPlot(vec![3, 7]),
        ..balanced_request(1, 5, 1)
    };
    let drawn = draw(&ground, &given).unwrap();
    assert_eq!(in_first(&drawn.points[..10]), 3.0);
    assert_eq!(drawn.points.len(), 15);
    let none = Request {
        points: Points::EachPlot(vec![0, 7]),
        ..given
    };
    assert_eq!(in_first(&draw(&ground, &none).unwrap().points), 0.0);
}

#[test]
fn a_grid_keeps_its_spacing_and_its_excess() {
    let ground = Ground::new(&square_m([0.0, 0.0], 200.0), &[], &[], 0.0).unwrap();
    let request = Request {
        design: Design::Grid { spacing_m: 40.0 },
        points: Points::All,
        spares: 0,
        seed: 3,
    };
    let all = draw(&ground, &request).unwrap();
    assert_eq!(all.points.len(), 25);
    let flat: Vec<Metres> = all
        .points
        .iter()
        .map(|p| ground.frame.to_metres(p.corner))
        .collect();
    for a in &flat {
        for axis in [0, 1] {
            let steps = (a[axis] - flat[0][axis]) / 40.0;
            assert!((steps - steps.round()).abs() < 1e-6);
        }
    }
    let some = draw(
        &ground,
        &Request {
            points: Points::Total(15),
            spares: 99,
            ..request
        },
    )
    .unwrap();
    assert_eq!(some.to_walk().count(), 15);
    assert_eq!(some.points.len(), 25);
    let places = |d: &Draw| d.points.iter().map(|p| p.corner).collect::<Vec<_>>();
    assert_eq!(
        places(&some),
        places(&all),
        "the excess comes back in the same order"
    );
}

#[test]
fn lines_run_straight_in_even_steps() {
    let ground = Ground::new(&square_m([0.0, 0.0], 200.0), &[], &[], 0.0).unwrap();
    let request = Request {
        design: Design::Transects {
            apart_m: 50.0,
            step_m: 20.0,
            bearing_deg: 30.0,
        },
        points: Points::All,
        spares: 0,
        seed: 4,
    };
    let drawn = draw(&ground, &request).unwrap();
    // 40,000 m2 at 1,000 m2 a point.
    assert!(
        (35..=45).contains(&drawn.points.len()),
        "{}",
        drawn.points.len()
    );
    let mut lines = 0;
    for pair in drawn.points.windows(2) {
        let [a, b] = [pair[0], pair[1]].map(|p| ground.frame.to_metres(p.corner));
        if pair[0].line == pair[1].line {
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            assert!((dx.hypot(dy) - 20.0).abs() < 1e-6);
            assert!((dx.atan2(dy).to_degrees() - 30.0).abs() < 1e-6);
        } else {
            lines += 1;
            let c = |p: Metres| p[0] * 30f64.to_radians().cos() - p[1] * 30f64.to_radians().sin();
            let apart = (c(b) - c(a)) / 50.0;
            assert!((apart - apart.round()).abs() < 1e-6 && apart.round() != 0.0);
        }
    }
    assert!(lines >= 3);
    assert_eq!(drawn.fair_blocks(5).len(), lines + 1);
}

#[track_caller]
fn refused(ground: &Ground, request: &Request, expected: &str) {
    assert_eq!(draw(ground, request).unwrap_err().to_string(), expected);
}

#[test]
fn what_cannot_be_drawn_says_what_would_do() {
    let field = square_m([0.0, 0.0], 30.0);
    let wide = Ground::new(&field, &[], &[], 20.0).unwrap();
    let text = "no ground is 20 m from every boundary: the widest spot is 15.0 m from it. Keep \
                7.5 m or less from the edge, or take out a keep-out";
    refused(&wide, &balanced_request(5, 0, 1), text);
    let grid = |spacing_m, points| Request {
        design: Design::Grid { spacing_m },
        points,
        spares: 0,
        seed: 1,
    };
    refused(&wide, &grid(5.0, Points::All), text);
    let ground = Ground::new(&field, &[], &[], 0.0).unwrap();
    refused(
        &ground,
        &balanced_request(0, 0, 1),
        "0 points were asked for: ask for at least 1",
    );
    refused(
        &ground,
        &balanced_request(5_000, 1, 1),
        "5001 points and spares are more than the 5000 that are drawn: ask for fewer, or a wider grid",
    );
    refused(
        &ground,
        &Request {
            points: Points::All,
            ..balanced_request(1, 0, 1)
        },
        "say how many balanced points to draw: they have no end of their own",
    );
    refused(
        &ground,
        &grid(0.0, Points::All),
        "a distance of 0 m between points or lines cannot be walked: give more than 0",
    );
    refused(
        &ground,
        &grid(0.01, Points::All),
        "that is about 9000000 points over the field: put them at least 0.6 m apart",
    );
    refused(
        &ground,
        &grid(10.0, Points::Total(40)),
        "only 9 of 40 points fall on the ground left (900 m2): put them 0.38 times as far apart, or ask for fewer",
    );
    refused(
        &ground,
        &Request {
            points: Points::EachPlot(vec![1]),
            ..balanced_request(1, 0, 1)
        },
        "there are 0 plots but numbers of points for 1: give one for each",
    );
    let parts = [square_m([-10.0, 0.0], 10.0), square_m([200.0, 0.0], 10.0)];
    let parted = Ground::new(&field, &[], &parts, 0.0).unwrap();
    refused(
        &parted,
        &balanced_request(1, 0, 1),
        "2 plots need at least 2 points, not 1: ask for more, or give the number for each plot",
    );
    refused(
        &parted,
        &balanced_request(4, 0, 1),
        "plot 2 has no ground in the field that is 0 m or more from every boundary: keep less from the edge, or ask for 0 points in it",
    );
    let line = field_in_metres(&[[0.0, 0.0], [3_000.0, 3_000.0], [3_000.0, 3_000.1]], &[]);
    let thin = Ground::new(&line, &[], &[], 0.0).unwrap();
    let error = draw(&thin, &balanced_request(500, 0, 1)).unwrap_err();
    assert!(matches!(error, DrawError::TooThin { .. }), "{error}");
}

#[test]
fn the_spacing_asked_for_gives_about_as_many_points() {
    let ground = Ground::new(&square_m([0.0, 0.0], 200.0), &[], &[], 10.0).unwrap();
    let spacing_m = spacing_for_m(&ground, 25);
    assert!((spacing_m - 36.0).abs() < 0.2, "{spacing_m}");
}

#[test]
fn a_field_far_from_home_is_drawn_as_well() {
    let base = Frame::at([-62.0, 179.9995]);
    let ring = [[0.0, 0.0], [200.0, 0.0], [200.0, 100.0], [0.0, 100.0]].map(|c| base.to_corner(c));
    let field = crate::testing::area(vec![crate::Polygon {
        outer: ring.to_vec(),
        holes: vec![],
    }]);
    let ground = Ground::new(&field, &[], &[], 5.0).unwrap();
    let drawn = draw(&ground, &balanced_request(40, 0, 1)).unwrap();
    assert!(drawn.points.iter().any(|p| p.corner[1] > 0.0));
    assert!(drawn.points.iter().any(|p| p.corner[1] < 0.0));
}
