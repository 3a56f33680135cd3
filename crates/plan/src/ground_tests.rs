#![allow(clippy::unwrap_used)]

use super::*;
use crate::testing::{area, field_in_metres, square_m};

/// Counts a grid of points, each asked by the plain rules of the brief: an independent area.
fn counted_m2(ground: &Ground, plot: Option<usize>) -> f64 {
    let [west, south, east, north] = ground.field.bounds();
    let n = 700;
    let mut inside = 0;
    for i in 0..n {
        for j in 0..n {
            let at = [
                west + (east - west) * (f64::from(i) + 0.5) / f64::from(n),
                south + (north - south) * (f64::from(j) + 0.5) / f64::from(n),
            ];
            let point = ground.frame.to_corner(at);
            let in_plot = plot.is_none_or(|p| ground.plot_of(point) == Some(p));
            if in_plot && matches!(ground.whereabouts(point), Whereabouts::Inside { .. }) {
                inside += 1;
            }
        }
    }
    (east - west) * (north - south) * f64::from(inside) / f64::from(n * n)
}

#[test]
fn area_left_of_a_square_is_known() {
    let field = square_m([0.0, 0.0], 200.0);
    let keep_out = square_m([50.0, 50.0], 40.0);
    let left = |keep: &[Area], edge_m| Ground::new(&field, keep, &[], edge_m).unwrap().left_m2()[0];
    let within =
        |got: f64, expected: f64| assert!((got / expected - 1.0).abs() < 1e-4, "{got} {expected}");
    within(left(&[], 0.0), 40_000.0);
    within(left(&[], 10.0), 180.0 * 180.0);
    within(
        left(std::slice::from_ref(&keep_out), 0.0),
        40_000.0 - 1_600.0,
    );
    // The strip around the keep-out has quarter circles at its corners.
    let around = 40.0 * 40.0 + 4.0 * 40.0 * 10.0 + std::f64::consts::PI * 100.0;
    within(left(&[keep_out], 10.0), 180.0 * 180.0 - around);
}

#[test]
fn area_left_agrees_with_a_count_of_points() {
    let ell = field_in_metres(
        &[
            [0.0, 0.0],
            [300.0, 20.0],
            [290.0, 120.0],
            [150.0, 110.0],
            [140.0, 260.0],
            [-20.0, 240.0],
        ],
        &[&[[30.0, 180.0], [90.0, 190.0], [70.0, 220.0]]],
    );
    let track = field_in_metres(
        &[[-50.0, 60.0], [340.0, 80.0], [340.0, 86.0], [-50.0, 66.0]],
        &[],
    );
    let west = field_in_metres(
        &[
            [-100.0, -50.0],
            [100.0, -50.0],
            [100.0, 300.0],
            [-100.0, 300.0],
        ],
        &[],
    );
    let rest = field_in_metres(
        &[[60.0, -50.0], [400.0, -50.0], [400.0, 300.0], [60.0, 300.0]],
        &[],
    );
    for edge_m in [0.0, 7.5, 20.0] {
        let ground = Ground::new(&ell, std::slice::from_ref(&track), &[], edge_m).unwrap();
        let (left, counted) = (ground.left_m2()[0], counted_m2(&ground, None));
        assert!(
            (left / counted - 1.0).abs() < 3e-3,
            "edge {edge_m}: {left} {counted}"
        );
        let drawn = crate::measure(&ground.left()).area_m2;
        assert!(
            (left / drawn - 1.0).abs() < 1e-5,
            "edge {edge_m}: {left} {drawn}"
        );
        let plots = [west.clone(), rest.clone()];
        let parted = Ground::new(&ell, std::slice::from_ref(&track), &plots, edge_m).unwrap();
        let by_plot = parted.left_m2();
        for (p, &left) in by_plot.iter().enumerate() {
            let counted = counted_m2(&parted, Some(p));
            assert!(
                (left / counted - 1.0).abs() < 5e-3,
                "plot {p}: {left} {counted}"
            );
        }
        assert!((by_plot.iter().sum::<f64>() / left - 1.0).abs() < 1e-6);
    }
}

#[test]
fn a_point_is_told_where_it_lies() {
    let field = square_m([0.0, 0.0], 200.0);
    let keep_out = square_m([50.0, 50.0], 40.0);
    let ground = Ground::new(&field, &[keep_out], &[], 10.0).unwrap();
    let ask = |at: [f64; 2]| ground.whereabouts(Frame::at([40.0, -96.0]).to_corner(at));
    let near = |a: f64, b: f64| (a - b).abs() < 1e-3;
    assert!(
        matches!(ask([-50.0, 0.0]), Whereabouts::Inside { to_edge_m } if near(to_edge_m, 50.0))
    );
    assert!(
        matches!(ask([-95.0, 0.0]), Whereabouts::NearEdge { to_edge_m } if near(to_edge_m, 5.0))
    );
    assert!(
        matches!(ask([26.0, 50.0]), Whereabouts::NearEdge { to_edge_m } if near(to_edge_m, 4.0))
    );
    assert_eq!(ask([50.0, 50.0]), Whereabouts::KeepOut { index: 0 });
    assert!(matches!(ask([-130.0, 0.0]), Whereabouts::Outside { by_m } if near(by_m, 30.0)));
}

#[test]
fn the_widest_spot_is_found() {
    let field = square_m([0.0, 0.0], 200.0);
    let ground = Ground::new(&field, &[], &[], 0.0).unwrap();
    let (spot, m) = ground.widest();
    assert!((m - 100.0).abs() < 0.1, "{m}");
    assert!(crate::distance_m(spot, [40.0, -96.0]) < 1.0);
    // With the middle kept out, the widest spots are in the corners: the circle that touches two
    // sides and the corner of the keep-out at (20, 20): r + (80 - r) with (80 - r) sqrt 2 = r.
    let ground = Ground::new(&field, &[square_m([0.0, 0.0], 40.0)], &[], 0.0).unwrap();
    let expected = 80.0 * 2f64.sqrt() / (1.0 + 2f64.sqrt());
    assert!(
        (ground.widest().1 - expected).abs() < 0.6,
        "{}",
        ground.widest().1
    );
}

#[test]
fn no_room_says_what_would_do() {
    let field = square_m([0.0, 0.0], 30.0);
    let ground = Ground::new(&field, &[], &[], 20.0).unwrap();
    assert_eq!(
        ground.check_room().unwrap_err().to_string(),
        "no ground is 20 m from every boundary: the widest spot is 15.0 m from it. Keep 7.5 m or \
         less from the edge, or take out a keep-out"
    );
    let covered = Ground::new(&field, &[square_m([0.0, 0.0], 60.0)], &[], 0.0).unwrap();
    assert_eq!(covered.check_room(), Err(GroundError::Covered));
    assert!(covered.left_m2()[0].abs() < 1e-6);
    assert!(matches!(
        Ground::new(&field, &[], &[], -1.0),
        Err(GroundError::Edge(_))
    ));
    assert!(matches!(
        Ground::new(&field, &[], &[], f64::NAN),
        Err(GroundError::Edge(_))
    ));
}

#[test]
fn where_two_polygons_touch_is_no_edge() {
    let left = field_in_metres(
        &[[-100.0, -50.0], [0.0, -50.0], [0.0, 50.0], [-100.0, 50.0]],
        &[],
    );
    let right = field_in_metres(
        &[[0.0, -50.0], [100.0, -50.0], [100.0, 50.0], [0.0, 50.0]],
        &[],
    );
    let both = area(vec![
        left.into_polygons().remove(0),
        right.into_polygons().remove(0),
    ]);
    let ground = Ground::new(&both, &[], &[], 10.0).unwrap();
    assert!(ground.allows(ground.frame.to_metres([40.0, -96.0])));
    assert!((ground.left_m2()[0] / (180.0 * 80.0) - 1.0).abs() < 1e-3);
}

/// Asked of `geo` in degrees, polygon by polygon: no code of the index or the flat frame.
#[test]
fn holes_stay_holes_whichever_way_they_run() {
    use geo::Contains;
    let west = field_in_metres(
        &[
            [-150.0, -60.0],
            [-20.0, -50.0],
            [-30.0, 60.0],
            [-140.0, 50.0],
        ],
        &[&[
            [-100.0, -20.0],
            [-60.0, -20.0],
            [-60.0, 20.0],
            [-100.0, 20.0],
        ]],
    );
    let east = field_in_metres(
        &[[10.0, -60.0], [150.0, -50.0], [140.0, 60.0], [0.0, 50.0]],
        &[&[[40.0, -30.0], [90.0, -20.0], [70.0, 20.0]]],
    );
    for turned in 0..16u8 {
        let mut polygons = vec![west.polygons()[0].clone(), east.polygons()[0].clone()];
        for (bit, polygon) in polygons.iter_mut().enumerate() {
            if turned & (1 << bit) != 0 {
                polygon.outer.reverse();
            }
            if turned & (4 << bit) != 0 {
                polygon.holes[0].reverse();
            }
        }
        let line = |ring: &[Corner]| {
            ring.iter()
                .map(|c| (c[1], c[0]))
                .collect::<geo::LineString>()
        };
        let plain: Vec<geo::Polygon> = polygons
            .iter()
            .map(|p| geo::Polygon::new(line(&p.outer), p.holes.iter().map(|h| line(h)).collect()))
            .collect();
        for keep_out in [false, true] {
            // The same polygons once as the field and once as what is kept out of a larger one.
            let shapes = area(polygons.clone());
            let ground = if keep_out {
                Ground::new(&square_m([0.0, 0.0], 400.0), &[shapes], &[], 0.0)
            } else {
                Ground::new(&shapes, &[], &[], 0.0)
            }
            .unwrap();
            let (mut inside, n) = (0, 60);
            for i in 0..n {
                for j in 0..n {
                    let at = [
                        -170.123 + 340.0 * f64::from(i) / f64::from(n),
                        -70.077 + 140.0 * f64::from(j) / f64::from(n),
                    ];
                    let corner = Frame::at([40.0, -96.0]).to_corner(at);
                    let expected = plain
                        .iter()
                        .any(|p| p.contains(&geo::Point::new(corner[1], corner[0])));
                    let found = matches!(ground.whereabouts(corner), Whereabouts::Inside { .. });
                    assert_eq!(found, expected != keep_out, "{turned} {at:?}");
                    inside += i32::from(found);
                }
            }
            assert!(inside > 500);
            let field_m2 = if keep_out {
                square_m([0.0, 0.0], 400.0).measure().area_m2
            } else {
                0.0
            };
            let expected_m2 = (field_m2 - crate::measure(&polygons).area_m2).abs();
            assert!((ground.left_m2()[0] / expected_m2 - 1.0).abs() < 1e-5);
        }
    }
}
