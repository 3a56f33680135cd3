#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

#[track_caller]
fn reads(text: &str, expected: Corner) {
    let corner = corners_from_text(text).unwrap()[0];
    let off = (corner[0] - expected[0]).abs() + (corner[1] - expected[1]).abs();
    assert!(off < 1e-9, "{text}: {corner:?}");
}

#[track_caller]
fn refuses(text: &str, expected: &str) {
    assert_eq!(corners_from_text(text).unwrap_err().to_string(), expected);
}

#[test]
fn plain_degrees() {
    for text in [
        "40.1234, -96.5678",
        "40.1234,-96.5678",
        "40.1234 -96.5678",
        "40.1234\t-96.5678",
        "40.1234; -96.5678",
        "(40.1234, -96.5678)",
        "[40.1234, -96.5678],",
        "40,1234; -96,5678",
        "40,1234\t-96,5678",
        "40.1234° -96.5678°",
        "+40.1234, \u{2212}96.5678",
        "40.1234 N 96.5678 W",
        "40.1234°N, 96.5678°W",
        "N40.1234 W96.5678",
        "N 40.1234, W 96.5678",
        "96.5678 W, 40.1234 N",
        "\u{feff}40.1234, -96.5678",
    ] {
        reads(text, [40.1234, -96.5678]);
    }
    reads("-33, 151", [-33.0, 151.0]);
    reads("0 S 0 E", [0.0, 0.0]);
}

#[test]
fn minutes_and_seconds() {
    let expected = [
        40.0 + 7.0 / 60.0 + 24.3 / 3600.0,
        -(96.0 + 34.0 / 60.0 + 4.5 / 3600.0),
    ];
    for text in [
        "40°07'24.3\"N 96°34'04.5\"W",
        "40° 7′ 24.3″ N, 96° 34′ 4.5″ W",
        "40 07 24.3 N 96 34 04.5 W",
        "N40 07 24.3 W96 34 04.5",
        "40 07 24.3, -96 34 04.5",
        "40d07m24.3sN 96d34m04.5sW",
        "40°07'24.3''N; 96°34'04.5''W",
        "40 7.405 N 96 34.075 W",
        "40°7.405' -96°34.075'",
    ] {
        reads(text, expected);
    }
    reads("-0 30 0, -0 30", [-0.5, -0.5]);
}

#[test]
fn every_bad_line_is_named() {
    refuses(
        "# corners\n40.1, -96.1\nnorth gate\n\n40.1\n-96.2, 40.1\n40.1, 96 75 W\n1, 2, 3\n",
        "line 3: `north gate` has words in it: give numbers alone\n\
         line 5: `40.1` is not two coordinates: give degrees north, a comma, degrees east, \
         such as 40.1234, -96.5678\n\
         line 6: -96.2, 40.1 looks swapped: latitude comes first and is never beyond 90 degrees\n\
         line 7: minutes and seconds are below 60\n\
         line 8: `1, 2, 3` is not two coordinates: give degrees north, a comma, degrees east, \
         such as 40.1234, -96.5678",
    );
    refuses(
        "4430000, 670000",
        "line 1: 4430000, 670000 looks like metres or feet of a map grid: give degrees (WGS 84)",
    );
    refuses(
        "40.1, 196",
        "line 1: 40.1, 196 is no place on earth: latitude runs from -90 to 90, longitude from -180 to 180 degrees",
    );
    refuses(
        "40.1 W, 96 N 2 S",
        "line 1: one coordinate has two of N, S, E, W",
    );
    refuses(
        "40.1 W, 96.1 E",
        "line 1: latitude (N or S) comes first, longitude (E or W) second",
    );
    refuses(
        "-40.1 N, 96.1 W",
        "line 1: give a minus or one of N, S, E, W, not both",
    );
    refuses("40.1.2, 96", "line 1: `40.1.2` is not a number");
    refuses(
        "\n \n",
        "line 1: no corner: give one a line, such as 40.1234, -96.5678",
    );
    assert_eq!(
        corners_from_text(&"x\n".repeat(500)).unwrap_err().0.len(),
        20
    );
}

proptest! {
    #[test]
    fn no_text_breaks_it(text in "\\PC{0,60}", more in "[0-9NSEWnsew°'\"., ;\t-]{0,40}") {
        let _ = corners_from_text(&text);
        let _ = corners_from_text(&more);
    }

    #[test]
    fn what_is_written_is_read(lat in -90.0..90.0f64, lon in -180.0..180.0f64) {
        let read = corners_from_text(&corner_to_text([lat, lon])).unwrap();
        prop_assert!((read[0][0] - lat).abs() < 1e-7 && (read[0][1] - lon).abs() < 1e-7);
    }
}
