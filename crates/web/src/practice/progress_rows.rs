//! Hit rates of one scout by trait and by pair of names, each place of answering apart.
//!
//! In: her history, a day. Out: for every trait and pair that she answered anything about: hit rate with
//! limits from practice without the book, with it, and from the field.
//!
//! A pair is two names that she was asked to tell apart, or that she took for one another. To it counts
//! every plant that was one of the two and that she called one of the two, wherever that was: a big
//! bluestem named rightly counts for each pair that it is in, or pairs would hold her slips alone.
//! *Could not tell* is counted beside.
//!
//! Not here: words, drawing.

use std::collections::{BTreeMap, BTreeSet};

use standbook_identify::NOT_IN_KEY;
use standbook_practice::skill::{Answer, From, HALF_LIFE_DAYS, HitRate};

use super::history::History;

/// Where answers come from, in the order of the page.
pub(super) const PLACES: [(From, &str); 3] = [
    (From::WithoutBook, "Without the book"),
    (From::WithBook, "With the book"),
    (From::Field, "In the field"),
];

/// Answers about one trait or pair.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Answers {
    all: Vec<Answer>,
    /// How often she could not tell.
    pub not_told: usize,
}

/// A hit rate from one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rated {
    /// The place.
    pub from: From,
    /// The rate, as of the day.
    pub rate: HitRate,
    /// Answers, old and new alike.
    pub answers: usize,
    /// The latest day.
    pub last: f64,
}

impl Answers {
    fn add(&mut self, right: Option<bool>, day: f64, from: From) {
        match right {
            Some(right) => self.all.push(Answer { right, day, from }),
            None => self.not_told += 1,
        }
    }

    /// Hit rates, of places with any answer.
    pub fn rated(&self, today: f64) -> Vec<Rated> {
        let of = |from: From| {
            let mine = || self.all.iter().filter(move |answer| answer.from == from);
            let last = mine().map(|answer| answer.day).reduce(f64::max)?;
            Some(Rated {
                from,
                rate: HitRate::of(mine(), today, HALF_LIFE_DAYS),
                answers: mine().count(),
                last,
            })
        };
        PLACES.iter().filter_map(|(from, _)| of(*from)).collect()
    }

    /// How many answers are hers alone, in practice and field, and their hit rate.
    pub fn by_herself(&self, today: f64) -> (usize, HitRate) {
        let own = || self.all.iter().filter(|it| it.from != From::WithBook);
        (own().count(), HitRate::of(own(), today, HALF_LIFE_DAYS))
    }
}

/// By trait.
pub(super) fn by_trait(history: &History) -> BTreeMap<String, Answers> {
    let mut by: BTreeMap<String, Answers> = BTreeMap::new();
    for read in &history.reads {
        let right = read.reported.as_ref().map(|state| *state == read.shown);
        by.entry(read.trait_id.clone())
            .or_default()
            .add(right, read.day, read.from);
    }
    by
}

/// By pair of names, the ids in order.
pub(super) fn by_pair(history: &History) -> BTreeMap<[String; 2], Answers> {
    let mut pairs: BTreeSet<[String; 2]> = BTreeSet::new();
    for it in &history.names {
        let others = [&it.against, &it.called].into_iter().flatten();
        for other in others.filter(|other| **other != it.truth) {
            let mut pair = [it.truth.clone(), other.clone()];
            pair.sort();
            // A plant outside the key has no features to practise.
            if !pair.iter().any(|id| id == NOT_IN_KEY) {
                pairs.insert(pair);
            }
        }
    }
    let of = |pair: &[String; 2]| {
        let mut answers = Answers::default();
        for it in history.names.iter().filter(|it| pair.contains(&it.truth)) {
            let asked = it.against.as_ref().is_some_and(|id| pair.contains(id));
            match &it.called {
                Some(called) if pair.contains(called) => {
                    answers.add(Some(*called == it.truth), it.day, it.from);
                }
                None if asked => answers.add(None, it.day, it.from),
                _ => {}
            }
        }
        answers
    };
    pairs
        .into_iter()
        .map(|pair| {
            let answers = of(&pair);
            (pair, answers)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::history::Named;
    use super::*;

    fn named(truth: &str, against: Option<&str>, called: Option<&str>, from: From) -> Named {
        Named {
            truth: truth.to_owned(),
            against: against.map(str::to_owned),
            called: called.map(str::to_owned),
            day: 0.0,
            from,
        }
    }

    #[test]
    fn a_pair_holds_what_was_right_as_well_as_slips() {
        let names = vec![
            named("big", None, Some("big"), From::WithoutBook),
            named("big", None, Some("indian"), From::WithoutBook),
            named("indian", Some("big"), Some("indian"), From::WithBook),
            named("indian", Some("big"), None, From::WithBook),
            named("indian", None, Some("indian"), From::Field),
            named("foxtail", None, Some("foxtail"), From::Field),
            named("big", None, Some(NOT_IN_KEY), From::Field),
        ];
        let history = History {
            names,
            ..History::default()
        };
        let pairs = by_pair(&history);
        assert_eq!(pairs.len(), 1);
        let answers = &pairs[&["big".to_owned(), "indian".to_owned()]];
        let rated = answers.rated(0.0);
        let seen: Vec<_> = rated
            .iter()
            .map(|it| (it.from, it.rate.right, it.rate.wrong))
            .collect();
        assert_eq!(
            seen,
            [
                (From::WithoutBook, 1.5, 1.5),
                (From::WithBook, 1.5, 0.5),
                (From::Field, 1.5, 0.5),
            ]
        );
        assert_eq!(answers.not_told, 1);
    }
}
