//! How far two agree on cells: two scouts, or a scout and what stands there.
//!
//! In: a crew. Out: for each two, of the frames that both have marked, a two by two table of cells for
//! planted and one for something else, with raw agreement, kappa, and agreement on where it was seen and on
//! where it was not. Numbers: `standbook_stand::agreement`.

use std::collections::BTreeSet;

use standbook_practice::frame::{CELLS, Role};
use standbook_stand::agreement::{Agreement, CellPairs, Kappa};
use standbook_stand::confidence::Confidence;

use super::crew::{Crew, Frame, marked, standing};
use crate::desk::agreement::{kappa_words, share};
use crate::words::{number_of, percent};

/// Kappa below this beside raw agreement above [`OFTEN`] is what people call its paradox.
const LOW_KAPPA: f64 = 0.6;

/// See [`LOW_KAPPA`].
const OFTEN: f64 = 0.85;

/// Two that are compared.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pair {
    /// A scout.
    pub first: String,
    /// Another; `None`: what stands there.
    pub second: Option<String>,
    /// Frames compared.
    pub frames: usize,
    /// What was compared.
    pub role: Role,
    /// Cells.
    pub cells: CellPairs,
}

impl Pair {
    /// All that numbers say of it.
    pub fn agreement(&self) -> Option<Agreement> {
        self.cells.agreement(Confidence::P95).ok()
    }
}

/// Each two scouts, then each scout with what stands there; only those with a frame in common.
pub(super) fn pairs(crew: &Crew, role: Role) -> Vec<Pair> {
    let n = crew.scouts.len();
    let two = (0..n).flat_map(|a| (a + 1..n).map(move |b| (a, Some(b))));
    let with_truth = (0..n).map(|a| (a, None));
    two.chain(with_truth)
        .filter_map(|(a, b)| compare(crew, a, b, role))
        .collect()
}

fn compare(crew: &Crew, first: usize, second: Option<usize>, role: Role) -> Option<Pair> {
    let mut pair = Pair {
        first: crew.scouts.get(first)?.clone(),
        second: match second {
            Some(second) => Some(crew.scouts.get(second)?.clone()),
            None => None,
        },
        frames: 0,
        role,
        cells: CellPairs::default(),
    };
    for frame in &crew.frames {
        let Some((one, other)) = both(frame, first, second, role) else {
            continue;
        };
        // Records hold cells 1 to 25 only, which the book sees to.
        if let Ok(cells) = CellPairs::of_frame(CELLS, &one, &other) {
            pair.cells = pair.cells.and(cells);
            pair.frames += 1;
        }
    }
    (pair.frames > 0).then_some(pair)
}

fn both(
    frame: &Frame,
    first: usize,
    second: Option<usize>,
    role: Role,
) -> Option<(BTreeSet<u32>, BTreeSet<u32>)> {
    let one = frame.marks.get(&first)?;
    let other = match second {
        Some(second) => marked(frame.marks.get(&second)?, role),
        None => standing(one, role),
    };
    Some((marked(one, role), other))
}

/// A line of the table.
pub(super) struct Line {
    /// The two.
    pub who: String,
    /// Frames and cells, each kind of cell apart.
    pub cells: String,
    /// Raw agreement with its limits.
    pub alike: String,
    /// Kappa with its limits, or why there is none.
    pub kappa: String,
    /// Agreement on where it was seen.
    pub seen: String,
    /// Agreement on where it was not.
    pub not_seen: String,
    /// Whether kappa is low although they agree.
    pub paradox: bool,
}

/// A pair in words.
pub(super) fn line(pair: &Pair) -> Line {
    let agreed = |share: Option<f64>| share.map_or_else(|| "none".to_owned(), percent);
    let cells = pair.cells;
    let found = pair.agreement();
    let kappa = found.as_ref().and_then(|found| found.kappa.ok());
    let often = |kappa: &Kappa| {
        let observed = found.as_ref().map_or(0.0, |found| found.observed);
        kappa.value < LOW_KAPPA && observed > OFTEN
    };
    Line {
        who: match &pair.second {
            Some(second) => format!("{} and {second}", pair.first),
            None => format!("{} and what stands there", pair.first),
        },
        cells: format!(
            "{}: both {}, only first {}, only second {}, neither {}",
            number_of(pair.frames, "frame"),
            cells.both,
            cells.first_only,
            cells.second_only,
            cells.neither
        ),
        alike: share(cells.both.saturating_add(cells.neither), cells.cells()),
        paradox: kappa.as_ref().is_some_and(often),
        kappa: found.as_ref().map(kappa_words).unwrap_or_default(),
        seen: agreed(cells.positive_agreement()),
        not_seen: agreed(cells.negative_agreement()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pair(both: u64, first_only: u64, second_only: u64, neither: u64) -> Pair {
        Pair {
            first: "A. Fenn".to_owned(),
            second: Some("B. Hale".to_owned()),
            frames: 4,
            role: Role::Planted,
            cells: CellPairs {
                both,
                first_only,
                second_only,
                neither,
            },
        }
    }

    /// Feinstein & Cicchetti 1990, with the rare and the common answer changed over (kappa is the same);
    /// limits from statsmodels 0.15.0, as in `standbook_stand::agreement`'s tests.
    #[test]
    fn a_low_kappa_of_two_who_agree_is_said_to_be_one() {
        let rare = line(&pair(5, 5, 10, 80));
        assert_eq!(rare.kappa, "kappa 0.32 (0.06 to 0.58)");
        assert_eq!(
            (rare.seen.as_str(), rare.not_seen.as_str()),
            ("40 %", "91 %")
        );
        assert!(
            rare.alike.starts_with("85 of 100 (85 %; "),
            "{}",
            rare.alike
        );
        let even = line(&pair(45, 6, 9, 40));
        assert!(even.kappa.starts_with("kappa 0.70 ("), "{}", even.kappa);
        assert!(!even.paradox);
        // 0.85 is not above it; one cell more is.
        assert!(!rare.paradox && line(&pair(5, 5, 10, 81)).paradox);
    }

    #[test]
    fn two_who_saw_nothing_have_no_kappa_and_all_agreement() {
        let none = line(&pair(0, 0, 0, 25));
        assert!(none.kappa.starts_with("no kappa"), "{}", none.kappa);
        assert_eq!(
            (none.seen.as_str(), none.not_seen.as_str()),
            ("none", "100 %")
        );
    }
}
