//! The one sentence that answers, never more certain than its interval.
//!
//! In: the result for everything planted. Out: a sentence for a person who reads nothing else.
//! Not here: a verdict; a number is no judgement.

use standbook_stand::summary::{Counted, Frequency, GroupOf};

use super::figures::{Per, interval_percent, span};
use crate::words::{M2_PER_FT2, area, digits, number_of, percent};

/// `12 frames at 6 spots`; `1 frame at one spot`.
pub(crate) fn frames_at_spots(frames: usize, spots: usize) -> String {
    let frames = number_of(frames, "frame");
    match spots {
        1 => format!("{frames} at one spot"),
        n => format!("{frames} at {n} spots"),
    }
}

const ONE_SPOT: &str = "There is no interval: one spot cannot show how much the field differs from spot to spot. Lay frames at more spots.";

/// Keeps a number and its sign on one line.
fn unbroken(text: String) -> String {
    text.replace(" %", "\u{a0}%")
}

/// The answer of a grid.
pub(crate) fn of_grid(
    name: &str,
    group: &GroupOf<Frequency>,
    frames: usize,
    spots: usize,
) -> String {
    let from = frames_at_spots(frames, spots);
    let cells = group.low.cells;
    unbroken(match &group.high {
        None if group.low.occupied == 0 => {
            let none = format!("{name}: found in none of {cells} cells, from {from}.");
            match group.envelope() {
                Some(limits) => format!(
                    "{none} The true share of cells could still be up to {} (95 % interval {}).",
                    percent(limits.upper),
                    interval_percent(limits)
                ),
                None => format!("{none} {ONE_SPOT}"),
            }
        }
        None => {
            let value = percent(group.low.estimate.value);
            match group.envelope() {
                Some(limits) => format!(
                    "{name}: {value} of cells (95 % interval {}), from {from}.",
                    interval_percent(limits)
                ),
                None => format!("{name}: {value} of cells, from {from}. {ONE_SPOT}"),
            }
        }
        Some(_) => {
            let bounds = group.bounds();
            let (none, all) = (percent(bounds.lower), percent(bounds.upper));
            let between = if none == all {
                format!("{name}: {none} of cells, whether the unknowns are planted or not")
            } else {
                format!(
                    "{name}: between {none} of cells if none of the unknowns is planted and {all} if all are"
                )
            };
            match group.envelope() {
                Some(limits) => format!(
                    "{between} (95 % interval over both: {}), from {from}.",
                    interval_percent(limits)
                ),
                None => format!("{between}, from {from}. {ONE_SPOT}"),
            }
        }
    })
}

/// The answer of quadrats.
pub(crate) fn of_quadrats(
    name: &str,
    group: &GroupOf<Counted>,
    quadrats: usize,
    spots: usize,
) -> String {
    let from = frames_at_spots(quadrats, spots).replace("frame", "quadrat");
    let bounds = group.bounds();
    let both = |m2: f64| {
        format!(
            "{} plants per ft² ({} per m²)",
            digits(m2 * M2_PER_FT2),
            digits(m2)
        )
    };
    let value = if group.high.is_some() {
        format!(
            "between {} if none of the unknowns is planted and {} if all are",
            both(bounds.lower),
            both(bounds.upper)
        )
    } else if group.low.plants == 0 {
        format!("no plant found on {}", area(group.low.area_m2))
    } else {
        both(bounds.lower)
    };
    unbroken(match group.envelope() {
        Some(limits) => format!(
            "{name}: {value}; 95 % interval {} per ft² ({} per m²), from {from}.",
            span(limits, Per::Ft2),
            span(limits, Per::M2)
        ),
        None => format!("{name}: {value}, from {from}. {ONE_SPOT}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_of_a_kind_is_not_plural() {
        assert_eq!(frames_at_spots(1, 1), "1 frame at one spot");
        assert_eq!(frames_at_spots(12, 6), "12 frames at 6 spots");
    }
}
