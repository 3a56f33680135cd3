//! Numbers as a landowner reads them: out of every 100 squares, plants on a square foot.
//!
//! In: spans. Out: short text, US customary first, metric beside it.
//! Rounded to what frames can tell: whole squares of 100, two digits of a density.

use standbook_stand::convert::Grid;
use standbook_stand::emergence::M2_PER_ACRE;
use standbook_stand::seeding::kg_per_ha_from_lb_per_acre;

use super::span::Span;
use crate::words::{CM_PER_INCH, M2_PER_FT2, digits, plain};

/// How many of every 100. Some never becomes none, not quite all never becomes all.
pub(crate) fn of_100(share: f64) -> String {
    let whole = (share * 100.0).round();
    if share > 0.0 && whole < 1.0 {
        "fewer than 1".to_owned()
    } else if share < 1.0 && whole >= 100.0 {
        "more than 99".to_owned()
    } else {
        format!("{whole:.0}")
    }
}

/// Two texts with a word between, or one of them where they read alike.
fn joined(low: String, high: String, between: &str) -> String {
    match low == high {
        true => low,
        false => format!("{low} {between} {high}"),
    }
}

/// The estimate of a share: `30`, or `30 to 31` where plants without a name make two of it.
pub(crate) fn share_estimate(span: &Span) -> String {
    joined(of_100(span.low), of_100(span.high), "to")
}

/// The range of a share in words: `between 7 and 52`, `up to 9`, `about 30`; `None` with one spot.
pub(crate) fn share_range(span: &Span) -> Option<String> {
    let (lower, upper) = span.lower.zip(span.upper)?;
    let (low, high) = (of_100(lower), of_100(upper));
    Some(if lower < 0.005 {
        format!("up to {high}")
    } else if low == high {
        format!("about {low}")
    } else {
        format!("between {low} and {high}")
    })
}

/// The estimate of a density in its own unit: `1.1 to 1.5`, `at least 4.1`.
pub(crate) fn dense_estimate(span: &Span) -> String {
    let (low, high) = (digits(span.low), digits(span.high));
    match span.high_is_at_least {
        true => format!("at least {low}"),
        false => joined(low, high, "to"),
    }
}

/// A density below which no further digits are said, in plants per ft2 or m2.
const LEAST_SAID: f64 = 0.005;

/// Limits of a share for a table, of 100: `7 to 52`, `<1 to 14`; `no range` with one spot.
pub(crate) fn share_limits(span: &Span) -> String {
    let short = |share: f64| {
        of_100(share)
            .replace("fewer than ", "<")
            .replace("more than ", ">")
    };
    match span.lower.zip(span.upper) {
        Some((lower, upper)) => format!("{} to {}", short(lower), short(upper)),
        None => "no range".to_owned(),
    }
}

/// Limits of a density for a table: `0.30 to 2.6`, `<0.01 to 0.63`; `no range` with one spot.
pub(crate) fn dense_limits(span: &Span) -> String {
    let short = |value: f64| match value > 0.0 && value < LEAST_SAID {
        true => "<0.01".to_owned(),
        false => digits(value),
    };
    match (span.lower, span.upper) {
        (Some(lower), Some(upper)) => format!("{} to {}", short(lower), short(upper)),
        (Some(lower), None) => format!("{} or more", short(lower)),
        (None, _) => "no range".to_owned(),
    }
}

/// The range of a density in its own unit, in words: `between 0.3 and 2.6`, `up to 2.6`, `1.9 or
/// more`; `None` with one spot.
pub(crate) fn dense_range(span: &Span) -> Option<String> {
    let lower = span.lower?;
    let low = digits(lower);
    Some(match span.upper.map(digits) {
        None => format!("{low} or more"),
        // What is next to nothing is said as the upper end alone.
        Some(high) if lower < LEAST_SAID => format!("up to {high}"),
        Some(high) if low == high => format!("about {low}"),
        Some(high) => format!("between {low} and {high}"),
    })
}

/// A density per ft2, from plants per m2.
pub(crate) fn per_ft2(span: &Span) -> Span {
    span.times(M2_PER_FT2)
}

/// `squares of 6 inches`, as people say the cells of a grid.
pub(crate) fn squares(grid: Grid) -> String {
    let inches = grid.cell_side_cm / CM_PER_INCH;
    // A cell of 15 cm is what the trade cuts from 6-inch mesh (common practice).
    let near = inches.round();
    let inches = match (inches - near).abs() < 0.15 {
        true => near,
        false => (inches * 10.0).round() / 10.0,
    };
    format!("squares of {} inches", plain(inches))
}

/// `squares of 6 inches (15 cm)`.
pub(crate) fn squares_both(grid: Grid) -> String {
    format!("{} ({} cm)", squares(grid), plain(grid.cell_side_cm))
}

/// Pounds per acre and kilograms per hectare: `9.0 lb/ac (10.1 kg/ha)`.
pub(crate) fn rate(lb_per_acre: f64) -> String {
    format!(
        "{} lb/ac ({} kg/ha)",
        plain(round_to(lb_per_acre, 2)),
        plain(round_to(kg_per_ha_from_lb_per_acre(lb_per_acre), 2))
    )
}

/// Acres and hectares: `40 acres (16.2 ha)`.
pub(crate) fn acres(m2: f64) -> String {
    format!(
        "{} acres ({} ha)",
        plain(round_to(m2 / M2_PER_ACRE, 1)),
        plain(round_to(m2 / 10_000.0, 2))
    )
}

/// Centimetres and inches: `15 cm (5.9 in)`.
pub(crate) fn height(cm: f64) -> String {
    format!(
        "{} in ({} cm)",
        plain(round_to(cm / CM_PER_INCH, 1)),
        plain(round_to(cm, 1))
    )
}

fn round_to(value: f64, places: i32) -> f64 {
    let ten = 10f64.powi(places);
    (value * ten).round() / ten
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(low: f64, high: f64, lower: Option<f64>, upper: Option<f64>) -> Span {
        Span {
            low,
            high,
            high_is_at_least: false,
            lower,
            upper,
        }
    }

    #[test]
    fn some_is_not_none_and_nearly_all_is_not_all() {
        for (share, words) in [
            (0.0, "0"),
            (0.002, "fewer than 1"),
            (0.296, "30"),
            (0.998, "more than 99"),
            (1.0, "100"),
        ] {
            assert_eq!(of_100(share), words, "{share}");
        }
    }

    #[test]
    fn ranges_read_as_one_number_where_their_ends_do() {
        let share = span(0.301, 0.304, Some(0.07), Some(0.52));
        assert_eq!(share_estimate(&share), "30");
        assert_eq!(share_range(&share).as_deref(), Some("between 7 and 52"));
        assert_eq!(share_range(&span(0.3, 0.3, None, None)), None);
        let few = span(0.01, 0.01, Some(0.0), Some(0.09));
        assert_eq!(share_range(&few).as_deref(), Some("up to 9"));
        let dense = span(1.1, 1.5, Some(0.3), None);
        assert_eq!(dense_estimate(&dense), "1.1 to 1.5");
        assert_eq!(dense_range(&dense).as_deref(), Some("0.30 or more"));
    }

    /// 1 acre = 0.40468564 ha; 1 lb/acre = 1.12085 kg/ha (NIST Special Publication 811, appendix
    /// B; memory).
    #[test]
    fn both_systems_say_the_same() {
        assert_eq!(acres(40.0 * 4_046.856_422_4), "40 acres (16.19 ha)");
        assert_eq!(rate(10.0), "10 lb/ac (11.21 kg/ha)");
        assert_eq!(
            squares(Grid {
                cells: 25,
                cell_side_cm: 15.0
            }),
            "squares of 6 inches"
        );
        assert_eq!(
            squares(Grid {
                cells: 16,
                cell_side_cm: 12.0
            }),
            "squares of 4.7 inches"
        );
    }
}
