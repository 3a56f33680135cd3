//! Lengths as people type them, areas and lengths as pages say them.
//!
//! In: `120`, `120 m`, `400 ft`; m2 and m. Out: m; texts in US customary and metric units.
//! Source: the international foot of 0.3048 m and the statute mile of 1,609.344 m, exact (memory).
//! Not here: other units, areas as input.

use crate::words::digits;

/// Metres in a foot, exact.
const FOOT_M: f64 = 0.304_8;
/// Metres in a mile, exact.
const MILE_M: f64 = 1_609.344;

/// A length as typed, in m: a bare number is in m; `ft` or `feet` behind it make it feet. `None`:
/// no number, or another unit.
pub(super) fn metres(text: &str) -> Option<f64> {
    let text = text.trim().to_lowercase().replace(',', ".");
    let end = text
        .find(|c: char| c.is_alphabetic() || c == '\'')
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let factor = match unit.trim() {
        "" | "m" | "metres" | "meters" => 1.0,
        "ft" | "feet" | "foot" | "'" => FOOT_M,
        _ => return None,
    };
    let value: f64 = number.trim().parse().ok()?;
    value.is_finite().then_some(value * factor)
}

/// `25.9 acres (10.5 ha)` of m2.
pub(super) fn acres(m2: f64) -> String {
    let of = |value: f64| match value {
        value if value >= 100.0 => format!("{value:.0}"),
        value if value >= 1.0 => format!("{value:.1}"),
        value => digits(value),
    };
    format!(
        "{} acres ({} ha)",
        of(m2 / standbook_plan::ACRE_M2),
        of(m2 / standbook_plan::HECTARE_M2)
    )
}

/// `492 m (1615 ft)` of m.
pub(super) fn metres_feet(m: f64) -> String {
    format!("{} m ({} ft)", digits(m), digits(m / FOOT_M))
}

/// A way: `1594 m (0.99 miles)` of m.
pub(crate) fn metres_miles(m: f64) -> String {
    format!("{m:.0} m ({:.1} miles)", m / MILE_M)
}

/// Whole feet of m.
pub(super) fn feet(m: f64) -> String {
    format!("{:.0} ft", m / FOOT_M)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feet_are_told_from_metres() {
        assert_eq!(metres("5"), Some(5.0));
        assert_eq!(metres(" 7,5 m"), Some(7.5));
        assert!(metres("-400 ft").is_some_and(|m| (m + 121.92).abs() < 1e-9));
        assert_eq!(metres("100'"), Some(100.0 * 0.304_8));
        for wrong in ["", "m", "5 rods", "1e999", "NaN", "five"] {
            assert_eq!(metres(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn areas_are_said_in_acres_first() {
        // geographiclib: 237033.346 m2, 58.572 acres.
        assert_eq!(acres(237_033.346), "58.6 acres (23.7 ha)");
        assert_eq!(acres(971.2), "0.24 acres (0.097 ha)");
    }
}
