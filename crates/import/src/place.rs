//! Where a point lies, as files write it, and whether that can be.
//!
//! In: latitude and longitude as text; a place and the ground of a planting. Out: degrees, and what
//! to tell the person; or what is wrong.
//! Units: degrees WGS 84, m. Not here: how coordinates are spelled (`plan`).

use standbook_plan::{Corner, Ground, Whereabouts, corners_from_text};

/// A place this near to the field after swapping or turning a sign was meant so, m. Ours.
const MEANT_M: f64 = 5_000.0;
/// Nobody walks a field from this far, m. Ours.
const FAR_M: f64 = 10_000.0;

/// Reads a place from two texts; with it, a remark where they were not plain degrees.
///
/// # Errors
/// What is wrong and how to mend it.
pub(crate) fn degrees(latitude: &str, longitude: &str) -> Result<(Corner, Option<String>), String> {
    let plain = |text: &str| text.parse::<f64>().ok().filter(|n| n.is_finite());
    let numbers = plain(latitude).zip(plain(longitude));
    let typed = match numbers {
        // Some programs write 4.01e+01, which to the reader of typed corners has an E for east.
        Some((latitude, longitude)) => format!("{latitude}; {longitude}"),
        None => format!("{latitude}; {longitude}"),
    };
    let corners = corners_from_text(&typed).map_err(|faults| {
        let first = faults.0.into_iter().next();
        first.map_or_else(String::new, |fault| fault.problem)
    })?;
    let [corner] = corners[..] else {
        return Err("there is more than one line in it; give one place a line".to_owned());
    };
    let comma = || plain(&latitude.replace(',', ".")).zip(plain(&longitude.replace(',', ".")));
    let remark = (numbers.is_none() && comma().is_none()).then(|| {
        format!(
            "{latitude} {longitude} was read as {:.6}, {:.6}",
            corner[0], corner[1]
        )
    });
    Ok((corner, remark))
}

/// What a place looks like against the ground of its planting.
#[derive(Debug, PartialEq)]
pub(crate) enum Fits {
    /// In the field, or nobody knows where the field is.
    Yes,
    /// Outside it, but not far: told, and taken.
    Near {
        /// To the nearest boundary, m.
        by_m: f64,
    },
    /// It can't be: what was perhaps meant.
    No(String),
}

/// Compares a place with the field.
pub(crate) fn fits(at: Corner, uncertainty_m: Option<f64>, field: Option<&Ground>) -> Fits {
    let Some(field) = field else {
        return Fits::Yes;
    };
    let away_m = |at: Corner| match field.whereabouts(at) {
        Whereabouts::Outside { by_m } => by_m,
        _ => 0.0,
    };
    let by_m = away_m(at);
    if by_m <= uncertainty_m.unwrap_or(0.0) {
        return Fits::Yes;
    }
    let [lat, lon] = at;
    for (other, what) in [
        ([lon, lat], "latitude and longitude look swapped"),
        (
            [lat, -lon],
            "the longitude looks as if its sign were lost: west is negative",
        ),
        (
            [-lat, lon],
            "the latitude looks as if its sign were wrong: north is positive",
        ),
    ] {
        if other[0].abs() <= 90.0 && by_m > MEANT_M && away_m(other) <= MEANT_M {
            return Fits::No(format!("{what}; give {:.6}, {:.6}", other[0], other[1]));
        }
    }
    if by_m > FAR_M {
        return Fits::No(format!(
            "this lies {:.0} km from the outline of the field; look for a slip in it, or correct the outline first",
            by_m / 1000.0
        ));
    }
    Fits::Near { by_m }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use standbook_plan::{Area, Polygon};

    #[test]
    fn degrees_in_every_spelling() {
        for (lat, lon, plain) in [
            ("40.5", "-96.25", true),
            ("4.05e1", "-9.625e+1", true),
            ("40,5", "-96,25", true),
            ("40°30'00\"N", "96°15'W", false),
            ("N 40 30", "W 96 15.0", false),
        ] {
            let (corner, remark) = degrees(lat, lon).unwrap();
            assert!(
                (corner[0] - 40.5).abs() < 1e-9 && (corner[1] + 96.25).abs() < 1e-9,
                "{lat}"
            );
            assert_eq!(remark.is_none(), plain, "{lat}: {remark:?}");
        }
        for (lat, lon, said) in [
            ("", "-96.5", "a coordinate has one number"),
            ("-96.5", "40.5", "swapped"),
            ("650000", "4480000", "map grid"),
            ("forty", "-96", "no place in a coordinate"),
            ("40.1\n40.2", "-96", ""),
        ] {
            let told = degrees(lat, lon).unwrap_err();
            assert!(told.contains(said), "{lat}: {told}");
        }
    }

    #[test]
    fn slips_are_told_from_the_outline() {
        let field_at = |west: f64| {
            let east = west + 0.01;
            let outer = vec![[40.0, west], [40.0, east], [40.01, east], [40.01, west]];
            let area = Area::new(vec![Polygon {
                outer,
                holes: vec![],
            }])
            .unwrap();
            Ground::new(&area, &[], &[], 0.0).unwrap()
        };
        let field = field_at(-96.0);
        let fits = |at| super::fits(at, Some(5.0), Some(&field));
        assert_eq!(fits([40.005, -95.995]), Fits::Yes);
        // 0.001 degrees of longitude at 40 degrees north are 85 m (published: 85.39 km a degree; memory).
        assert!(
            matches!(fits([40.005, -95.989]), Fits::Near { by_m } if (by_m - 85.4).abs() < 1.0)
        );
        // A longitude beyond 90 degrees is no latitude, and is refused on reading; where the two can
        // be mixed up, the outline tells.
        let eastern = field_at(60.0);
        let swapped = super::fits([60.005, 40.005], Some(5.0), Some(&eastern));
        assert!(matches!(swapped, Fits::No(told) if told.contains("swapped")));
        for (at, said) in [
            ([40.005, 95.995], "west is negative"),
            ([-40.005, -95.995], "north is positive"),
            ([41.0, -95.995], "110 km"),
        ] {
            assert!(
                matches!(fits(at), Fits::No(told) if told.contains(said)),
                "{at:?}"
            );
        }
    }
}
