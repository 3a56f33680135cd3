//! The stopping rule of a plan before it is kept: read from the form, and what it promises.
//!
//! In: two shares, a rate of wrong answers, the most points. Out: the rule as the book keeps it;
//! how long walks by it are, simulated for one frame of 25 cells at each point.
//! Source: crate `stand`, module `sequential`; 25 % and 40 % from Schmer and others 2006.
//! Not here: what the rule says of a walk (`count`).

use standbook_fieldbook::record::Stopping;
use standbook_stand::sequential::{Simulation, Truth, operate};

use crate::count::enough::rule_of;
use crate::plot::filled::Filled;
use crate::words::{number_of, percent, plain};

/// Cells of the frame that the forecast takes for granted: one of 25, the most used one.
const CELLS: u32 = 25;
/// Walks simulated: the page must not wait, and nobody needs the third digit.
const WALKS: u32 = 2_000;

/// A number of a form from `least` to `most`, or why it is none.
pub(crate) fn number(
    filled: &mut Filled,
    field: &str,
    label: &str,
    least: f64,
    most: f64,
) -> Option<f64> {
    let text = filled.get(field).replace(',', ".");
    match text.parse::<f64>() {
        Ok(value) if (least..=most).contains(&value) => Some(value),
        _ => {
            let (least, most) = (plain(least), plain(most));
            let message = format!("{label}: type a number from {least} to {most}.");
            filled.troubles.add(field, message);
            None
        }
    }
}

/// The same, without anything after the point.
pub(super) fn whole(
    filled: &mut Filled,
    field: &str,
    label: &str,
    least: u32,
    most: u32,
) -> Option<u32> {
    let value = number(filled, field, label, least.into(), most.into())?;
    if value.fract() != 0.0 {
        let message = format!("{label}: type a whole number.");
        filled.troubles.add(field, message);
        return None;
    }
    Some(value as u32)
}

/// The rule that the form asks for; `None`: none asked for, or it can't be read. `points`: how
/// many are drawn, which is the most that a walk can take.
pub(super) fn stopping(filled: &mut Filled, points: Option<u32>) -> Option<Stopping> {
    if filled.get("stop") != "yes" {
        return None;
    }
    let low = number(filled, "low", "Lower share", 1.0, 98.0);
    let high = number(filled, "high", "Upper share", 2.0, 99.0);
    let wrong = number(filled, "wrong", "Wrong answers", 1.0, 40.0);
    let most = match (filled.get("most"), points) {
        ("", points) => points,
        _ => whole(filled, "most", "Most points", 4, 1000),
    };
    if let (Some(low), Some(high)) = (low, high)
        && low >= high
    {
        let message = "The upper share has to be above the lower one.";
        filled.troubles.add("high", message);
    }
    if let (Some(most), Some(points)) = (most, points)
        && most > points
    {
        let message = format!(
            "Most points: the rule may go on to {most}, but {points} are drawn. Draw {most} points, or leave this empty."
        );
        filled.troubles.add("most", message);
    }
    Some(Stopping {
        low: low? / 100.0,
        high: high? / 100.0,
        wrongly_enough: wrong? / 100.0,
        wrongly_too_few: wrong? / 100.0,
        most_points: most?,
    })
}

/// How long walks by the rule are, and how often they end undecided. Empty when the rule makes no
/// sense; the form says so then.
pub(super) fn outlook(stopping: Stopping) -> String {
    let rule = rule_of(stopping);
    let simulation = Simulation {
        walks: WALKS,
        ..Simulation::default()
    };
    let walks = |share: f64| {
        let truth = Truth {
            share,
            rho: rule.correlation.rho,
            cells: CELLS,
        };
        operate(&rule, truth, simulation)
    };
    let between = f64::midpoint(stopping.low, stopping.high);
    let (Ok(low), Ok(high), Ok(between)) =
        (walks(stopping.low), walks(stopping.high), walks(between))
    else {
        return String::new();
    };
    let points = |n: u32| number_of(usize::try_from(n).unwrap_or(usize::MAX), "point");
    format!(
        "With one frame of {CELLS} cells at each point, half of all walks stop within {} in a field at {}, {} in one at {}, and {} in one half way between; of these last, {} end undecided after {}. (Simulated, {WALKS} walks each; cells of one frame are taken to be alike, correlation {}, which is assumed.)",
        points(low.median_points),
        percent(stopping.low),
        points(high.median_points),
        percent(stopping.high),
        points(between.median_points),
        percent(between.undecided),
        points(stopping.most_points),
        plain(rule.correlation.rho),
    )
}
