//! What an answer of a set was: right, wrong, or that she could not tell; and sums of these.
//!
//! In: answers, and the mix of the planting that a set is about. Out: tallies with limits (Wilson 1927, by
//! `standbook_stand`). Planted or not is told apart from the species: whoever takes one sown grass for
//! another sown one is wrong in the name and right in the count.
//!
//! Not here: cells of frames between scouts (agreement), a scout's skill (`progress`).

use std::collections::BTreeMap;

use standbook_fieldbook::record::{Drill, Practice};
use standbook_stand::confidence::{Confidence, Interval};
use standbook_stand::proportion::wilson;

use crate::practice::ask::SOMETHING_ELSE;

/// What an answer was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Verdict {
    /// Right.
    Right,
    /// Wrong.
    Wrong,
    /// She looked, and said that she could not tell.
    CouldNotTell,
}

impl Verdict {
    /// For people and for tables.
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Right => "right",
            Verdict::Wrong => "wrong",
            Verdict::CouldNotTell => "could not tell",
        }
    }

    fn of(said: Option<&str>, is: &str) -> Verdict {
        match said {
            None => Verdict::CouldNotTell,
            Some(said) if said == is => Verdict::Right,
            Some(_) => Verdict::Wrong,
        }
    }
}

/// What an answer was, by what was asked. A frame is right when every cell is.
pub(super) fn verdict(answer: &Practice) -> Verdict {
    match answer.drill {
        Drill::SeeTrait => match answer.readings.first() {
            Some(reading) => Verdict::of(reading.reported.as_deref(), &reading.shown),
            None => Verdict::CouldNotTell,
        },
        Drill::TellPair | Drill::NameIt => {
            Verdict::of(species(answer), answer.taxon.as_deref().unwrap_or_default())
        }
        Drill::CountFrame => {
            let right = answer
                .cells
                .iter()
                .all(|cell| (cell.planted, cell.other) == (cell.marked_planted, cell.marked_other));
            match right {
                true => Verdict::Right,
                false => Verdict::Wrong,
            }
        }
    }
}

/// The species that she named. *Something that is not planted* names none; it says planted or not.
fn species(answer: &Practice) -> Option<&str> {
    let named = answer.named.as_deref();
    named.filter(|named| *named != SOMETHING_ELSE)
}

/// Whether she told planted from not planted, of a plant that was to be named; `None` for other drills.
pub(super) fn planted_or_not(answer: &Practice, mix: &[&str]) -> Option<Verdict> {
    if answer.drill != Drill::NameIt || mix.is_empty() {
        return None;
    }
    let is = answer.taxon.as_deref()?;
    let sown = |taxon: &str| match mix.contains(&taxon) {
        true => "planted",
        false => "not",
    };
    Some(Verdict::of(answer.named.as_deref().map(sown), sown(is)))
}

/// So many answers.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Tally {
    /// Right.
    pub right: u64,
    /// Wrong.
    pub wrong: u64,
    /// Could not tell.
    pub unsure: u64,
}

impl Tally {
    /// Adds an answer.
    pub fn add(&mut self, verdict: Verdict) {
        match verdict {
            Verdict::Right => self.right += 1,
            Verdict::Wrong => self.wrong += 1,
            Verdict::CouldNotTell => self.unsure += 1,
        }
    }

    /// All of them.
    pub fn all(self) -> u64 {
        self.right + self.wrong + self.unsure
    }

    /// The share that was right, with 95 % limits; `None` without an answer. Who could not tell was not
    /// right.
    pub fn share(self) -> Option<(f64, Interval)> {
        let limits = wilson(self.right, self.all(), Confidence::P95).ok()?;
        Some((self.right as f64 / self.all() as f64, limits))
    }
}

impl FromIterator<Verdict> for Tally {
    fn from_iter<T: IntoIterator<Item = Verdict>>(verdicts: T) -> Tally {
        let mut tally = Tally::default();
        for verdict in verdicts {
            tally.add(verdict);
        }
        tally
    }
}

/// Where a group errs: something asked, and how it was answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Spot<K> {
    /// What was asked.
    pub what: K,
    /// How it was answered.
    pub tally: Tally,
}

/// Those not always right, the most wrong answers first; then by what was asked.
fn errs<K: Ord>(all: BTreeMap<K, Tally>) -> Vec<Spot<K>> {
    let spots = all.into_iter().map(|(what, tally)| Spot { what, tally });
    let mut spots: Vec<Spot<K>> = spots
        .filter(|spot| spot.tally.right < spot.tally.all())
        .collect();
    spots.sort_by_key(|spot| std::cmp::Reverse((spot.tally.wrong, spot.tally.unsure)));
    spots
}

/// By trait: whether its state was seen.
pub(super) fn by_trait<'a>(answers: impl IntoIterator<Item = &'a Practice>) -> Vec<Spot<String>> {
    let mut all: BTreeMap<String, Tally> = BTreeMap::new();
    for reading in answers.into_iter().flat_map(|answer| &answer.readings) {
        let verdict = Verdict::of(reading.reported.as_deref(), &reading.shown);
        all.entry(reading.trait_id.clone())
            .or_default()
            .add(verdict);
    }
    errs(all)
}

/// By pair, in whichever way round: one taken for the other, of all answers that could have been that. A
/// plant that was to be named counts with every pair in which somebody erred.
pub(super) fn by_pair<'a>(
    answers: impl IntoIterator<Item = &'a Practice> + Clone,
) -> Vec<Spot<(String, String)>> {
    let pair = |one: &str, other: &str| match one <= other {
        true => (one.to_owned(), other.to_owned()),
        false => (other.to_owned(), one.to_owned()),
    };
    let mut all: BTreeMap<(String, String), Tally> = BTreeMap::new();
    // Which pairs there are: those asked as pairs, and those in which a name was wrong.
    for answer in answers.clone() {
        let Some(is) = answer.taxon.as_deref() else {
            continue;
        };
        let other = answer.against.as_deref();
        if let Some(other) = other.or(species(answer)).filter(|other| *other != is) {
            all.entry(pair(is, other)).or_default();
        }
    }
    for answer in answers {
        let Some(is) = answer.taxon.as_deref() else {
            continue;
        };
        let verdict = Verdict::of(species(answer), is);
        match (answer.drill, answer.against.as_deref()) {
            (Drill::TellPair, Some(other)) => {
                all.entry(pair(is, other)).or_default().add(verdict);
            }
            (Drill::NameIt, _) => {
                for ((one, other), tally) in &mut all {
                    let concerned = one == is || other == is;
                    let taken = answer.named.as_deref();
                    let to_the_other = taken == Some(one) || taken == Some(other);
                    if concerned && to_the_other {
                        tally.add(verdict);
                    }
                }
            }
            _ => {}
        }
    }
    errs(all)
}

#[cfg(test)]
mod tests {
    use standbook_fieldbook::record::{PracticeCell, PracticeReading};

    use super::*;

    fn answer(drill: Drill, taxon: &str, named: Option<&str>) -> Practice {
        Practice {
            scout: "A. Fenn".to_owned(),
            drill,
            question: "q".to_owned(),
            with_book: false,
            key_id: "k".to_owned(),
            table_fingerprint: "f".to_owned(),
            taxon: Some(taxon.to_owned()),
            against: None,
            named: named.map(str::to_owned),
            by: None,
            readings: Vec::new(),
            cells: Vec::new(),
            seconds: None,
            of_set: None,
        }
    }

    fn pair(taxon: &str, against: &str, named: Option<&str>) -> Practice {
        Practice {
            against: Some(against.to_owned()),
            ..answer(Drill::TellPair, taxon, named)
        }
    }

    #[test]
    fn one_sown_grass_for_another_is_wrong_in_the_name_only() {
        let mix = ["a", "b"];
        for (taxon, named, species, planted) in [
            ("a", Some("a"), Verdict::Right, Verdict::Right),
            ("a", Some("b"), Verdict::Wrong, Verdict::Right),
            ("a", Some("w"), Verdict::Wrong, Verdict::Wrong),
            ("w", Some("x"), Verdict::Wrong, Verdict::Right),
            ("w", Some("b"), Verdict::Wrong, Verdict::Wrong),
            ("w", None, Verdict::CouldNotTell, Verdict::CouldNotTell),
            (
                "w",
                Some(SOMETHING_ELSE),
                Verdict::CouldNotTell,
                Verdict::Right,
            ),
            (
                "a",
                Some(SOMETHING_ELSE),
                Verdict::CouldNotTell,
                Verdict::Wrong,
            ),
        ] {
            let given = answer(Drill::NameIt, taxon, named);
            assert_eq!(verdict(&given), species, "{taxon} {named:?}");
            assert_eq!(
                planted_or_not(&given, &mix),
                Some(planted),
                "{taxon} {named:?}"
            );
        }
        assert_eq!(planted_or_not(&pair("a", "w", Some("a")), &mix), None);
        assert_eq!(planted_or_not(&answer(Drill::NameIt, "a", None), &[]), None);
    }

    #[test]
    fn a_trait_is_judged_by_its_reading_and_a_frame_by_every_cell() {
        let mut seen = answer(Drill::SeeTrait, "a", None);
        assert_eq!(verdict(&seen), Verdict::CouldNotTell);
        for (reported, wanted) in [
            (Some("round"), Verdict::Right),
            (Some("flat"), Verdict::Wrong),
            (None, Verdict::CouldNotTell),
        ] {
            seen.readings = vec![PracticeReading {
                trait_id: "tiller_base".to_owned(),
                shown: "round".to_owned(),
                reported: reported.map(str::to_owned),
            }];
            assert_eq!(verdict(&seen), wanted);
        }
        let mut frame = answer(Drill::CountFrame, "a", None);
        let cell = PracticeCell {
            cell: 3,
            planted: true,
            other: false,
            marked_planted: true,
            marked_other: false,
        };
        frame.cells = vec![cell];
        assert_eq!(verdict(&frame), Verdict::Right);
        frame.cells.push(PracticeCell {
            marked_planted: false,
            ..cell
        });
        assert_eq!(verdict(&frame), Verdict::Wrong);
    }

    /// Wilson's limits of 4 of 20 as in statsmodels 0.15.0 (from R, package binom): S1a of the project's
    /// checkable numbers.
    #[test]
    fn who_could_not_tell_was_not_right() {
        let verdicts = [
            (4, Verdict::Right),
            (10, Verdict::Wrong),
            (6, Verdict::CouldNotTell),
        ];
        let tally: Tally = verdicts
            .into_iter()
            .flat_map(|(n, verdict)| std::iter::repeat_n(verdict, n))
            .collect();
        let (share, limits) = tally.share().unwrap_or((
            0.0,
            Interval {
                lower: 0.0,
                upper: 0.0,
            },
        ));
        assert!((share - 0.2).abs() < 1e-12);
        assert!((limits.lower - 0.080_657_7).abs() < 1e-6, "{limits:?}");
        assert!((limits.upper - 0.416_017_4).abs() < 1e-6, "{limits:?}");
        assert!(Tally::default().share().is_none());
    }

    #[test]
    fn errors_are_told_by_pair_whichever_way_round() {
        let answers = [
            answer(Drill::NameIt, "a", Some("b")),
            answer(Drill::NameIt, "b", Some("a")),
            answer(Drill::NameIt, "a", Some("a")),
            answer(Drill::NameIt, "c", Some("c")),
            pair("a", "b", None),
            pair("c", "d", Some("d")),
        ];
        let spots = by_pair(&answers);
        let told: Vec<(&str, &str, Tally)> = spots
            .iter()
            .map(|spot| (spot.what.0.as_str(), spot.what.1.as_str(), spot.tally))
            .collect();
        let tally = |right, wrong, unsure| Tally {
            right,
            wrong,
            unsure,
        };
        assert_eq!(
            told,
            [("a", "b", tally(1, 2, 1)), ("c", "d", tally(1, 1, 0))]
        );
    }
}
