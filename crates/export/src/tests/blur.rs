//! Wherever a place truly is within what was known of it, it lies within the stated radius of what leaves.

use proptest::prelude::*;
use standbook_plan::distance_m;

use crate::blur::{Grid, Located};

/// A place in so many metres' distance and a direction, about: on a sphere of 6,371 km.
fn moved([latitude, longitude]: [f64; 2], metres: f64, bearing: f64) -> [f64; 2] {
    let along = metres / 6_371_000.0;
    let (lat, lon, way) = (
        latitude.to_radians(),
        longitude.to_radians(),
        bearing.to_radians(),
    );
    let to = (lat.sin() * along.cos() + lat.cos() * along.sin() * way.cos())
        .clamp(-1.0, 1.0)
        .asin();
    let east = (way.sin() * along.sin() * lat.cos()).atan2(along.cos() - lat.sin() * to.sin());
    let lon = (lon + east).to_degrees();
    [to.to_degrees(), (lon + 540.0).rem_euclid(360.0) - 180.0]
}

fn anywhere() -> impl Strategy<Value = [f64; 2]> {
    let latitude = prop_oneof![
        8 => -90.0..=90.0_f64,
        1 => 89.9..=90.0_f64,
        1 => -0.01..=0.01_f64,
    ];
    let longitude = prop_oneof![8 => -180.0..=180.0_f64, 1 => 179.99..=180.0_f64];
    (latitude, longitude).prop_map(|(lat, lon)| [lat, lon])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn the_true_place_lies_within_the_stated_radius(
        fix in anywhere(),
        side_m in 10.0..=100_000.0_f64,
        known in proptest::option::of(0.5..=500.0_f64),
        off in 0.0..=1.0_f64,
        bearing in 0.0..360.0_f64,
    ) {
        let place = Located { at: fix, uncertainty_m: known };
        let blurred = Grid::new(side_m).blur(place);
        let radius = blurred.uncertainty_m.unwrap();
        // The sphere is off by less than 1 in 150 over such distances.
        let truth = moved(fix, known.unwrap_or(0.0) * off * 0.99, bearing);
        let away = distance_m(blurred.at, truth);
        prop_assert!(away <= radius, "{away} m away, {radius} m stated");
        // Not larger than it must be, or nobody can use it: half a diagonal, and what the fix was off by.
        let most = side_m * 0.72 + known.unwrap_or(30.0) + 5.0;
        prop_assert!(radius <= most, "{radius} m stated for cells of {side_m} m");
        prop_assert!((-90.0..=90.0).contains(&blurred.at[0]) && (-180.0..=180.0).contains(&blurred.at[1]));
    }

    #[test]
    fn places_of_one_cell_become_one_place(fix in anywhere(), side_m in 10.0..=100_000.0_f64) {
        let grid = Grid::new(side_m);
        let first = grid.blur(Located { at: fix, uncertainty_m: None });
        let again = grid.blur(Located { at: first.at, uncertainty_m: None });
        prop_assert_eq!(first.at, again.at);
    }
}
