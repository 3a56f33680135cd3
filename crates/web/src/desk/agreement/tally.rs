//! Sums of what was looked at again: by scout, by trait, by pair of names.

use std::collections::BTreeMap;

use standbook_fieldbook::record::ValueGiven;
use standbook_stand::agreement::{Agreement, cohen};
use standbook_stand::confidence::Confidence;

use super::super::apart::{Match, compare};
use super::read::{Review, Slip};
use standbook_fieldbook::named::Called;

/// Pairs of answers, first and second reader's, each answer by its name.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Pairs(pub BTreeMap<(String, String), u64>);

impl Pairs {
    fn add(&mut self, first: impl Into<String>, second: impl Into<String>) {
        *self.0.entry((first.into(), second.into())).or_default() += 1;
    }

    /// The answers that either gave, in order.
    pub fn answers(&self) -> Vec<&str> {
        let mut all: Vec<&str> = self.0.keys().flat_map(|(a, b)| [&**a, &**b]).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Raw agreement and kappa with intervals; `None` where there is no pair.
    pub fn agreement(&self) -> Option<Agreement> {
        let answers = self.answers();
        let at = |name: &str| answers.binary_search(&name).ok();
        let mut table = vec![vec![0; answers.len()]; answers.len()];
        for ((first, second), n) in &self.0 {
            if let (Some(row), Some(column)) = (at(first), at(second)) {
                table[row][column] += n;
            }
        }
        cohen(&table, Confidence::P95).ok()
    }
}

/// Everything looked at again that one scout had named.
#[derive(Debug, Clone, Default)]
pub(super) struct OfScout {
    /// Plants looked at again.
    pub plants: u64,
    /// Of them blind.
    pub blind: u64,
    /// Of them named by the scout.
    pub named: u64,
    /// Of those named, rightly.
    pub right: u64,
    /// How many of each kind.
    pub slips: BTreeMap<Slip, u64>,
    /// Sown or not: scout, blind reviewer.
    pub sown: Pairs,
    /// Names: scout, blind reviewer.
    pub names: Pairs,
    /// Called, and what it is, where that differs.
    pub confused: BTreeMap<(String, String), u64>,
    /// Traits seen otherwise by the blind reviewer, of so many that both looked at.
    pub traits: BTreeMap<String, (u64, u64)>,
}

/// What a plant is called, for a table: names that say less than a species are one by themselves.
pub(super) fn key_of(called: &Called) -> String {
    match called {
        Called::Taxon(id) | Called::Compare(id) => id.clone(),
        Called::Genus(genus) => format!("{genus} sp."),
        Called::Near(_) | Called::NotInKey => standbook_identify::NOT_IN_KEY.to_owned(),
        Called::NoName => String::new(),
    }
}

fn yes_no(sown: bool) -> &'static str {
    if sown { "planted" } else { "not planted" }
}

/// By scout, as they write their names.
pub(super) fn by_scout(reviews: &[Review]) -> BTreeMap<String, OfScout> {
    let mut by: BTreeMap<String, OfScout> = BTreeMap::new();
    for review in reviews {
        let of = by.entry(review.plant.author.trim().to_owned()).or_default();
        of.plants += 1;
        *of.slips.entry(review.slip).or_default() += 1;
        if review.called != Called::NoName {
            of.named += 1;
            of.right += u64::from(review.slip == Slip::None);
        }
        if matches!(review.slip, Slip::Misnamed | Slip::Miskeyed) {
            let pair = (key_of(&review.called), key_of(&review.is));
            *of.confused.entry(pair).or_default() += 1;
        }
        let Some(blind) = &review.blind else {
            continue;
        };
        of.blind += 1;
        if let (Some(called), Some(theirs)) = (review.called_sown, review.blind_sown) {
            of.sown.add(yes_no(called), yes_no(theirs));
        }
        let theirs = Called::by_opinion(&blind.body);
        if review.called != Called::NoName {
            of.names.add(key_of(&review.called), key_of(&theirs));
        }
        for (id, one, other) in looked_at_by_both(review) {
            let (otherwise, both) = of.traits.entry(id.to_owned()).or_default();
            *both += 1;
            *otherwise += u64::from(compare(one, other) == Match::Differs);
        }
    }
    by
}

/// What scout and blind reviewer said of the traits that both looked at.
pub(crate) fn looked_at_by_both(review: &Review) -> Vec<(&str, &ValueGiven, &ValueGiven)> {
    let Some(theirs) = review
        .blind
        .as_ref()
        .and_then(|it| it.body.evidence.as_ref())
    else {
        return Vec::new();
    };
    let own = review.plant.body.evidence.answers.iter();
    own.filter_map(|given| {
        let other = theirs
            .answers
            .iter()
            .find(|it| it.r#trait == given.r#trait)?;
        Some((given.r#trait.as_str(), &given.value, &other.value))
    })
    .collect()
}

/// One trait, over all plants that were walked twice.
#[derive(Debug, Clone, Default)]
pub(super) struct OfTrait {
    /// Both said the same.
    pub same: u64,
    /// They said otherwise.
    pub otherwise: u64,
    /// One or both could not tell.
    pub not_told: u64,
    /// Where both named one state each.
    pub states: Pairs,
}

/// By trait.
pub(super) fn by_trait(reviews: &[Review]) -> BTreeMap<String, OfTrait> {
    let mut by: BTreeMap<String, OfTrait> = BTreeMap::new();
    for review in reviews {
        for (id, one, other) in looked_at_by_both(review) {
            let of = by.entry(id.to_owned()).or_default();
            match compare(one, other) {
                Match::Same => of.same += 1,
                Match::Differs => of.otherwise += 1,
                Match::NotTold => of.not_told += 1,
            }
            if let (ValueGiven::States(one), ValueGiven::States(other)) = (one, other)
                && let ([one], [other]) = (one.as_slice(), other.as_slice())
            {
                of.states.add(one, other);
            }
        }
    }
    by
}

/// Two names that were taken for one another.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pair {
    /// The two, in order of their ids.
    pub names: [String; 2],
    /// How many were called the first and are the second, and the other way round.
    pub confused: [u64; 2],
    /// Scout and blind reviewer, where both named one of the two.
    pub between: Pairs,
}

/// Pairs of names that were taken for one another, most often first. `names` are two taxon ids, or what
/// [`key_of`] makes of a name that says less.
pub(super) fn by_pair(reviews: &[Review]) -> Vec<Pair> {
    let mut by: BTreeMap<[String; 2], Pair> = BTreeMap::new();
    for review in reviews {
        if !matches!(review.slip, Slip::Misnamed | Slip::Miskeyed) {
            continue;
        }
        let (called, is) = (key_of(&review.called), key_of(&review.is));
        let turned = called > is;
        let names = if turned { [is, called] } else { [called, is] };
        let pair = by.entry(names.clone()).or_insert_with(|| Pair {
            names,
            confused: [0, 0],
            between: Pairs::default(),
        });
        pair.confused[usize::from(turned)] += 1;
    }
    for review in reviews {
        let Some(blind) = &review.blind else {
            continue;
        };
        let one = key_of(&review.called);
        let other = key_of(&Called::by_opinion(&blind.body));
        for pair in by.values_mut() {
            if pair.names.contains(&one) && pair.names.contains(&other) {
                pair.between.add(&one, &other);
            }
        }
    }
    let mut pairs: Vec<Pair> = by.into_values().collect();
    let all = |pair: &Pair| pair.confused[0] + pair.confused[1];
    pairs.sort_by(|a, b| all(b).cmp(&all(a)).then(a.names.cmp(&b.names)));
    pairs
}
