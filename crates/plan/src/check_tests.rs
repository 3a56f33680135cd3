#![allow(clippy::unwrap_used)]

use crate::{Area, Polygon};

const SQUARE: [[f64; 2]; 4] = [
    [40.0, -96.0],
    [40.0, -95.995],
    [40.005, -95.995],
    [40.005, -96.0],
];

fn polygon(outer: &[[f64; 2]], holes: &[&[[f64; 2]]]) -> Polygon {
    Polygon {
        outer: outer.to_vec(),
        holes: holes.iter().map(|h| h.to_vec()).collect(),
    }
}

#[track_caller]
fn refused(polygons: Vec<Polygon>, expected: &str) {
    let faults = Area::new(polygons).unwrap_err();
    assert_eq!(faults.to_string(), expected);
}

fn shifted(by_lat: f64, by_lon: f64) -> Vec<[f64; 2]> {
    SQUARE
        .iter()
        .map(|c| [c[0] + by_lat, c[1] + by_lon])
        .collect()
}

#[test]
fn a_square_is_sound_closed_or_not_either_way_round() {
    let open = Area::new(vec![polygon(&SQUARE, &[])]).unwrap();
    let mut closed = SQUARE.to_vec();
    closed.push(SQUARE[0]);
    assert_eq!(open, Area::new(vec![polygon(&closed, &[])]).unwrap());
    closed.reverse();
    let back = Area::new(vec![polygon(&closed, &[])]).unwrap();
    assert_eq!(back.polygons()[0].outer.len(), 4);
    assert!((back.measure().area_m2 - open.measure().area_m2).abs() < 1e-6);
}

#[test]
fn too_few_corners_are_refused() {
    refused(
        vec![],
        "the outline has no polygon: give at least three corners",
    );
    refused(
        vec![polygon(&SQUARE[..2], &[])],
        "polygon 1: 2 corner(s) given: give at least three that differ",
    );
    refused(
        vec![polygon(&SQUARE, &[&[[40.001, -95.999]]])],
        "polygon 1, hole 1: 1 corner(s) given: give at least three that differ",
    );
}

#[test]
fn a_bow_tie_says_which_sides_cross_and_where() {
    refused(
        vec![polygon(&[SQUARE[0], SQUARE[2], SQUARE[1], SQUARE[3]], &[])],
        "polygon 1: the side after corner 1 crosses the side after corner 3 near 40.00250, \
         -95.99750: put the corners in order around the edge",
    );
}

#[test]
fn a_side_that_folds_back_crosses() {
    let spike = [SQUARE[0], [40.0, -95.99], SQUARE[1], SQUARE[2], SQUARE[3]];
    // East-west sides in degrees are not quite straight in metres: fold along a meridian.
    let fold = [
        [40.0, -96.0],
        [40.01, -96.0],
        [40.005, -96.0],
        [40.005, -95.99],
    ];
    assert!(Area::new(vec![polygon(&fold, &[])]).is_err());
    assert!(
        Area::new(vec![polygon(&spike, &[])]).is_err() || {
            // Where rounding keeps the two sides apart, the sliver between them has no area.
            let a = Area::new(vec![polygon(&spike, &[])])
                .unwrap()
                .measure()
                .area_m2;
            (a - 237_033.346).abs() < 1.0
        }
    );
}

#[test]
fn a_corner_visited_twice_is_refused() {
    let eight = [
        [40.0, -96.0],
        [40.002, -95.998],
        [40.0, -95.996],
        [40.004, -95.996],
        [40.002, -95.998],
        [40.004, -96.0],
    ];
    refused(
        vec![polygon(&eight, &[])],
        "polygon 1, corner 5 is the same as corner 2 (40.00200, -95.99800): take one of them \
         out, or make two polygons that meet there",
    );
}

#[test]
fn swapped_and_projected_numbers_are_named() {
    refused(
        vec![polygon(
            &[[-96.0, 40.0], [-95.995, 40.0], [-95.995, 40.005]],
            &[],
        )],
        "polygon 1, corner 1: -96.00000, 40.00000 looks swapped: latitude comes first and is \
         never beyond 90 degrees. Give 40.00000, -96.00000\n\
         polygon 1, corner 2: -95.99500, 40.00000 looks swapped: latitude comes first and is \
         never beyond 90 degrees. Give 40.00000, -95.99500\n\
         polygon 1, corner 3: -95.99500, 40.00500 looks swapped: latitude comes first and is \
         never beyond 90 degrees. Give 40.00500, -95.99500",
    );
    let faults = Area::new(vec![polygon(
        &[
            [4_430_000.0, 670_000.0],
            [4_430_400.0, 670_000.0],
            [4_430_400.0, 670_400.0],
        ],
        &[],
    )])
    .unwrap_err();
    assert!(faults.to_string().contains("EPSG:4326"), "{faults}");
    refused(
        vec![polygon(
            &[[40.0, -96.0], [f64::NAN, -95.0], [40.0, 200.0 * 2.0]],
            &[],
        )],
        "polygon 1, corner 2: the coordinates are not numbers: give degrees north and degrees \
         east\n\
         polygon 1, corner 3: 40.00000, 400.00000 is no place on earth: latitude runs from -90 \
         to 90, longitude from -180 to 180 degrees",
    );
}

#[test]
fn absurd_sizes_are_refused() {
    let faults = Area::new(vec![polygon(
        &[[40.0, -96.0], [40.0, -94.0], [42.0, -94.0]],
        &[],
    )])
    .unwrap_err();
    assert!(faults.to_string().contains("km2 is no field"), "{faults}");
    let speck = [
        [40.0, -96.0],
        [40.0, -95.999_999],
        [40.000_001, -95.999_999],
    ];
    let faults = Area::new(vec![polygon(&speck, &[])]).unwrap_err();
    assert!(
        faults
            .to_string()
            .starts_with("polygon 1: 0.00 m2 is no field"),
        "{faults}"
    );
    // One digit wrong in one corner.
    let mut slip = shifted(0.0, 0.0);
    slip[2][1] = -59.995;
    let faults = Area::new(vec![polygon(&slip, &[])]).unwrap_err();
    assert!(
        faults
            .to_string()
            .contains("corner 3: 40.00500, -59.99500 is"),
        "{faults}"
    );
    assert!(!faults.to_string().contains("corner 1"), "{faults}");
}

#[test]
fn a_hole_outside_its_polygon_and_holes_on_each_other_are_refused() {
    let inside: &[[f64; 2]] = &[[40.001, -95.999], [40.001, -95.998], [40.002, -95.998]];
    assert!(Area::new(vec![polygon(&SQUARE, &[inside])]).is_ok());
    let outside: Vec<[f64; 2]> = inside.iter().map(|c| [c[0] + 0.01, c[1]]).collect();
    let faults = Area::new(vec![polygon(&SQUARE, &[&outside])]).unwrap_err();
    assert!(
        faults
            .to_string()
            .contains("polygon 1, hole 1: 4740 m2 of it lie outside"),
        "{faults}"
    );
    let astride: Vec<[f64; 2]> = inside.iter().map(|c| [c[0] - 0.0015, c[1]]).collect();
    assert!(Area::new(vec![polygon(&SQUARE, &[&astride])]).is_err());
    let faults = Area::new(vec![polygon(&SQUARE, &[inside, inside])]).unwrap_err();
    assert!(
        faults
            .to_string()
            .contains("hole 1 and hole 2 share 4741 m2"),
        "{faults}"
    );
}

#[test]
fn polygons_may_touch_but_not_share_ground() {
    let beside = polygon(&shifted(0.0, 0.005), &[]);
    let square = polygon(&SQUARE, &[]);
    assert!(Area::new(vec![square.clone(), beside]).is_ok());
    let half = polygon(&shifted(0.0, 0.0025), &[]);
    let faults = Area::new(vec![square.clone(), half]).unwrap_err();
    assert!(
        faults
            .to_string()
            .starts_with("polygons 1 and 2 share 1185"),
        "{faults}"
    );
    assert!(Area::new(vec![square.clone(), square.clone()]).is_err());
    // A metre of slack between neighbours that were walked.
    let sloppy = polygon(&shifted(0.0, 0.005 - 0.000_002), &[]);
    assert!(Area::new(vec![square, sloppy]).is_ok());
}

#[test]
fn a_polygon_in_the_hole_of_another_is_sound() {
    let hole = [
        [40.001, -95.999],
        [40.001, -95.997],
        [40.003, -95.997],
        [40.003, -95.999],
    ];
    let island = [[40.0015, -95.9985], [40.0015, -95.998], [40.002, -95.998]];
    let area = Area::new(vec![polygon(&SQUARE, &[&hole]), polygon(&island, &[])]);
    assert!(area.is_ok(), "{area:?}");
}

#[test]
fn fields_on_the_antimeridian_and_at_a_pole_are_sound() {
    let seam = [
        [40.0, 179.9975],
        [40.0, -179.9975],
        [40.005, -179.9975],
        [40.005, 179.9975],
    ];
    let area = Area::new(vec![polygon(&seam, &[])]).unwrap();
    assert!((area.measure().area_m2 - 237_033.346).abs() < 1e-3);
    // The same with longitudes that run on past 180.
    let past = [
        [40.0, 179.9975],
        [40.0, 180.0025],
        [40.005, 180.0025],
        [40.005, 179.9975],
    ];
    let past = Area::new(vec![polygon(&past, &[])]).unwrap();
    assert!((past.measure().area_m2 - 237_033.346).abs() < 1e-3);
    let pole = [[89.99, 0.0], [89.99, 90.0], [89.99, 180.0], [89.99, -90.0]];
    let area = Area::new(vec![polygon(&pole, &[])]).unwrap();
    // A square with a diagonal of twice 0.01 degrees of latitude, 111,694 m to the degree there
    // (meridian radius at the pole 6,399,594 m, NIMA TR8350.2).
    let expected = 2.0 * (1_116.94f64).powi(2);
    assert!((area.measure().area_m2 / expected - 1.0).abs() < 1e-4);
}

#[test]
fn a_wild_ring_is_told_in_few_words() {
    let wild: Vec<[f64; 2]> = (0..600)
        .map(|i| {
            let a = f64::from(i) * 2.4;
            [40.0 + 0.01 * a.sin(), -96.0 + 0.01 * (a * 1.7).cos()]
        })
        .collect();
    let faults = Area::new(vec![polygon(&wild, &[])]).unwrap_err();
    assert!(faults.0.len() <= 21, "{}", faults.0.len());
}

#[test]
fn crumbs_are_refused_before_they_take_time() {
    let crumbs: Vec<Polygon> = (0..501)
        .map(|i| polygon(&shifted(0.0, 0.01 * f64::from(i)), &[]))
        .collect();
    refused(
        crumbs,
        "501 polygons or holes are more than the 500 that are checked: keep those of the field",
    );
}
