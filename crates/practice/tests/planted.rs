//! What counts as planted or not, item by item, and what it makes of a rule.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use standbook_practice::frame_score::{Both, Marked};
use standbook_practice::planted::{Cell, Mix, Tally, cell, name};
use standbook_practice::skill::{From, HALF_LIFE_DAYS, Rule};

fn marked([planted, other, marked_planted, marked_other]: [bool; 4]) -> Marked {
    Marked {
        stands: Both { planted, other },
        marked: Both {
            planted: marked_planted,
            other: marked_other,
        },
        planted_size: None,
    }
}

fn mix() -> Mix {
    ["big", "indian"].map(str::to_owned).into()
}

#[test]
fn a_name_counts_by_whether_it_was_sown() {
    let says = |truth, against, called| name(&mix(), truth, against, called);
    assert_eq!(says("big", None, Some("big")), Some(true));
    // The wrong planted grass is still planted.
    assert_eq!(says("big", None, Some("indian")), Some(true));
    assert_eq!(says("big", None, Some("foxtail")), Some(false));
    assert_eq!(says("foxtail", None, Some("big")), Some(false));
    // Weeds among themselves do not concern the mix, whatever they were called.
    assert_eq!(says("foxtail", None, Some("foxtail")), None);
    assert_eq!(says("foxtail", None, Some("crabgrass")), None);
    // Told from one of the mix they do.
    assert_eq!(says("foxtail", Some("big"), Some("foxtail")), Some(true));
    assert_eq!(says("foxtail", Some("big"), Some("big")), Some(false));
    // Could not tell: an unknown, neither.
    assert_eq!(says("big", Some("foxtail"), None), None);
}

#[test]
fn a_cell_is_right_misnamed_or_overlooked() {
    // Planted, other, marked planted, marked other.
    let cases = [
        ((1, 0, 1, 0), Some(Cell::Right)),
        ((1, 0, 0, 1), Some(Cell::Misnamed)),
        ((1, 0, 0, 0), Some(Cell::Overlooked)),
        ((1, 1, 0, 1), Some(Cell::Overlooked)),
        ((1, 1, 1, 1), Some(Cell::Right)),
        ((0, 1, 0, 1), Some(Cell::Right)),
        ((0, 1, 1, 0), Some(Cell::Misnamed)),
        // Marked as both where one stands.
        ((1, 0, 1, 1), Some(Cell::Right)),
        ((0, 1, 1, 1), None),
        // A weed that nobody marked, and a mark on bare ground, say nothing of names.
        ((0, 1, 0, 0), None),
        ((0, 0, 1, 0), None),
        ((0, 0, 0, 1), None),
    ];
    let cell = |a: i32, b: i32, c: i32, d: i32| cell(marked([a == 1, b == 1, c == 1, d == 1]));
    for ((a, b, c, d), expected) in cases {
        assert_eq!(cell(a, b, c, d), expected, "{a}{b}{c}{d}");
    }
}

#[test]
fn overlooking_stands_beside_and_a_frame_counts_as_its_kinds() {
    let mut tally = Tally::default();
    let cells = [Some(Cell::Right); 11]
        .into_iter()
        .chain([Some(Cell::Misnamed)])
        .chain([Some(Cell::Overlooked); 4])
        .chain([None]);
    tally.frame(cells, 3, (0.0, From::WithoutBook));
    let rate = tally.rate(0.0, HALF_LIFE_DAYS, |_| true);
    // Twelve cells named, of three kinds: 2.75 right and 0.25 wrong, and half of each to start with.
    assert!((rate.right - 3.25).abs() < 1e-12 && (rate.wrong - 0.75).abs() < 1e-12);
    assert_eq!(tally.overlooked(0.0), (4, 15));
    // SciPy 1.17: `scipy.stats.beta.ppf(0.2, 3.25, 0.75)`.
    assert!(
        (rate.quantile(0.2) - 0.675548024083222).abs() < 1e-9,
        "{}",
        rate.quantile(0.2)
    );
    // A frame in which everything was overlooked says nothing of names.
    let mut blind = Tally::default();
    blind.frame([Some(Cell::Overlooked); 6], 3, (0.0, From::WithoutBook));
    assert_eq!(blind.last(0.0, |_| true), None);
    assert_eq!(blind.overlooked(0.0), (6, 6));
}

#[test]
fn later_answers_and_those_from_elsewhere_do_not_count() {
    let mut tally = Tally::default();
    let right = ("big", None, Some("big"));
    for day in 0..30 {
        tally.name(&mix(), right, (f64::from(day), From::WithBook));
    }
    tally.name(&mix(), ("big", None, None), (5.0, From::Field));
    assert_eq!(tally.last(9.5, |_| true), Some((10, 9.0)));
    assert_eq!(tally.last(9.5, |from| from != From::WithBook), None);
    assert_eq!((tally.not_told(4.0), tally.not_told(5.0)), (0, 1));
    let rule = Rule::USUAL;
    assert!(rule.is_met(tally.rate(29.0, HALF_LIFE_DAYS, |_| true)));
    assert!(!rule.is_met(tally.rate(2.0, HALF_LIFE_DAYS, |_| true)));
    // A year without a look, and what she knew is not trusted any more.
    assert!(!rule.is_met(tally.rate(400.0, HALF_LIFE_DAYS, |_| true)));
}

proptest! {
    /// Whatever a frame holds, it counts as no more answers than it has kinds, or cells.
    #[test]
    fn no_frame_outweighs_its_kinds(bits in proptest::collection::vec(0_u8..16, 0..25), kinds in 0_usize..9) {
        let cells: Vec<_> = bits
            .iter()
            .map(|b| cell(marked([1, 2, 4, 8].map(|bit| b & bit > 0))))
            .collect();
        let n = cells.len();
        let mut tally = Tally::default();
        tally.frame(cells, kinds, (0.0, From::WithoutBook));
        let answers = tally.rate(0.0, HALF_LIFE_DAYS, |_| true).answers();
        prop_assert!(answers <= kinds.min(n) as f64 + 1e-9);
        let (overlooked, held) = tally.overlooked(0.0);
        prop_assert!(overlooked <= held && held <= n);
    }
}
