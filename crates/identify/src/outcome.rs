//! What may be said of a plant: the answer the count needs, the group, the name.
//!
//! In: probabilities of the rows. Out: one of five outcomes, and whether the plant counts as
//! planted. A name is never forced.
//!
//! A name is settled only if it would still stand first without any one of the answers, since
//! every look may be misread.
//!
//! Colour supports, it never decides: every outcome is judged by the lowest of three
//! probabilities: as stated with and without the answers that only support, and without them each
//! look by itself. For *split between* these are those of the few names together: colour may move
//! probability from one to the other.

use std::collections::BTreeMap;

use standbook_key::{GroupId, Role, TaxonId};

use crate::evidence::Evidence;
use crate::posterior::{Contribution, contributions, posterior_of, stated};
use crate::table::Table;

/// From here on a name or an answer is settled: wrong once in ten (common practice: 90 %).
pub const SETTLED: f64 = 0.90;

/// From here on one name leads.
pub const LEANING: f64 = 0.60;

/// A few names together must hold this much to say *split between*.
pub const SPLIT: f64 = 0.80;

/// The most names that *split between* may list.
pub const SPLIT_NAMES: usize = 4;

/// From here on the plant is said not to be in the key.
pub const OUTSIDE: f64 = 0.50;

/// What may be said of a plant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// One name, by row.
    Settled(usize),
    /// One name leads, by row.
    Leaning(usize),
    /// Two to four names, by row, best first.
    SplitBetween(Vec<usize>),
    /// The plant is not in this key.
    NotInThisKey,
    /// Too little was seen.
    TooLittleSeen,
}

impl Outcome {
    /// Id, as kept in books and printed in JSON.
    pub fn id(&self) -> &'static str {
        match self {
            Outcome::Settled(_) => "settled",
            Outcome::Leaning(_) => "leaning",
            Outcome::SplitBetween(_) => "split_between",
            Outcome::NotInThisKey => "not_in_this_key",
            Outcome::TooLittleSeen => "too_little_seen",
        }
    }

    /// The rows it names, best first; may be none.
    pub fn rows(&self) -> &[usize] {
        match self {
            Outcome::Settled(row) | Outcome::Leaning(row) => std::slice::from_ref(row),
            Outcome::SplitBetween(rows) => rows,
            Outcome::NotInThisKey | Outcome::TooLittleSeen => &[],
        }
    }
}

/// How the probability is shared out by what the count needs; sums to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shares {
    /// Taxa that count as planted.
    pub planted: f64,
    /// All other taxa of the key.
    pub other: f64,
    /// Not in this key.
    pub not_in_key: f64,
}

/// The first thing answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CountsAs {
    /// A species planted here.
    Planted,
    /// Something else, whatever its name.
    SomethingElse,
    /// Not to be told yet.
    Undecided,
}

impl CountsAs {
    /// Id.
    pub fn id(self) -> &'static str {
        match self {
            CountsAs::Planted => "planted",
            CountsAs::SomethingElse => "something_else",
            CountsAs::Undecided => "undecided",
        }
    }
}

/// Everything said of one plant.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// Every row with its probability, best first; ties in row order.
    pub ranking: Vec<(usize, f64)>,
    /// Probability of every row, in row order.
    pub posterior: Vec<f64>,
    /// What each answer added.
    pub contributions: Vec<Contribution>,
    /// The outcome.
    pub outcome: Outcome,
    /// Shares by what the count needs.
    pub shares: Shares,
    /// The planted share had *planted* and *something else* started even: what the answers alone
    /// say on the count's question. 0 to 1.
    pub planted_from_even: f64,
    /// The answer the count needs; never *something else* or *planted* from the prior alone.
    pub counts_as: CountsAs,
    /// Groups with their probability, best first (without *not in this key*).
    pub groups: Vec<(GroupId, f64)>,
}

/// Which taxa count as planted.
#[derive(Debug, Clone, Copy)]
pub enum Planted<'a> {
    /// Every taxon with the role `planted` in the key: for use without a planting.
    ByRole,
    /// The mix of a planting.
    Mix(&'a [TaxonId]),
}

impl Planted<'_> {
    /// Whether a row counts as planted.
    pub fn contains(&self, table: &Table, row: usize) -> bool {
        let row = &table.rows[row];
        match self {
            Planted::ByRole => row.role == Some(Role::Planted),
            Planted::Mix(mix) => mix.contains(&row.id),
        }
    }
}

/// Says everything that may be said of a plant.
pub fn assess(table: &Table, evidence: &Evidence, planted: Planted) -> Assessment {
    let contributions = contributions(table, evidence);
    let posterior = stated(table, &contributions);
    let decides = |at: usize| table.traits[at].decides;
    let looks = self::contributions(table, &evidence.only(decides));
    let without = Without {
        stated: stated(table, &looks),
        // Each look by itself: what settles must hold by that as well, or a slip among few looks
        // would settle a wrong name.
        plain: posterior_of(table, &looks, |c| decides(c.answer.trait_index)),
        looks,
    };
    let mut ranking: Vec<(usize, f64)> = posterior.iter().copied().enumerate().collect();
    ranking.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let shares = shares_of(table, &posterior, planted);
    let [careful, plain] =
        [&without.stated, &without.plain].map(|posterior| shares_of(table, posterior, planted));
    let prior: Vec<f64> = table.log_prior.iter().map(|p| p.exp()).collect();
    let before = shares_of(table, &prior, planted).planted;
    // Readings of the same answers must agree: with and without colour, from names that start
    // alike and from an even start of *planted* against *something else*.
    let readings = [shares.planted, careful.planted, plain.planted]
        .into_iter()
        .flat_map(|after| [after, from_even(after, before)]);
    let (least, most) = readings.fold((1.0_f64, 0.0_f64), |(least, most), p| {
        (least.min(p), most.max(p))
    });
    let counts_as = if least >= SETTLED {
        CountsAs::Planted
    } else if most <= 1.0 - SETTLED {
        CountsAs::SomethingElse
    } else {
        CountsAs::Undecided
    };
    Assessment {
        planted_from_even: from_even(shares.planted, before),
        outcome: outcome_of(table, &ranking, &without, &contributions),
        groups: groups_of(table, &posterior),
        ranking,
        posterior,
        contributions,
        shares,
        counts_as,
    }
}

/// The planted share had *planted* and *something else* started even, by odds. Where six of
/// 52 names are planted, names that start alike give *something else* nine chances in ten
/// before anything was seen: that must not pass for evidence.
fn from_even(after: f64, before: f64) -> f64 {
    if before <= 0.0 || before >= 1.0 {
        return after;
    }
    let (yes, no) = (after / before, (1.0 - after) / (1.0 - before));
    yes / (yes + no)
}

/// Shares by what the count needs.
pub fn shares_of(table: &Table, posterior: &[f64], planted: Planted) -> Shares {
    let mut shares = Shares {
        planted: 0.0,
        other: 0.0,
        not_in_key: 0.0,
    };
    let outside = table.not_in_key();
    for (row, p) in posterior.iter().enumerate() {
        if Some(row) == outside {
            shares.not_in_key += p;
        } else if planted.contains(table, row) {
            shares.planted += p;
        } else {
            shares.other += p;
        }
    }
    shares
}

/// The same plant without the answers that only support.
struct Without {
    /// What each answer added.
    looks: Vec<Contribution>,
    /// Probability of every row, as it is stated.
    stated: Vec<f64>,
    /// The same with every look by itself.
    plain: Vec<f64>,
}

fn outcome_of(
    table: &Table,
    ranking: &[(usize, f64)],
    without: &Without,
    contributions: &[Contribution],
) -> Outcome {
    let outside = table.not_in_key();
    let cautious = |(row, p): &(usize, f64)| p.min(without.stated[*row]).min(without.plain[*row]);
    if ranking
        .iter()
        .any(|one| Some(one.0) == outside && cautious(one) >= OUTSIDE)
    {
        return Outcome::NotInThisKey;
    }
    let names: Vec<&(usize, f64)> = ranking
        .iter()
        .filter(|(row, _)| Some(*row) != outside)
        .collect();
    let Some(&top) = names.first() else {
        return Outcome::TooLittleSeen;
    };
    let stands = |looks| first_without_any(table, looks, top.0);
    if cautious(top) >= SETTLED && stands(contributions) && stands(&without.looks) {
        return Outcome::Settled(top.0);
    }
    if cautious(top) >= LEANING {
        return Outcome::Leaning(top.0);
    }
    let mut held = [0.0; 3];
    for (n, (row, p)) in names.iter().take(SPLIT_NAMES).enumerate() {
        held[0] += p;
        held[1] += without.stated[*row];
        held[2] += without.plain[*row];
        if n > 0 && held.iter().all(|together| *together >= SPLIT) {
            return Outcome::SplitBetween(names[..=n].iter().map(|one| one.0).collect());
        }
    }
    Outcome::TooLittleSeen
}

/// Whether a name would still stand first if any one of the answers had not been given. A name
/// that hangs on a single look is not settled: that look may have been misread.
fn first_without_any(table: &Table, contributions: &[Contribution], name: usize) -> bool {
    let mut log = table.log_prior.clone();
    for contribution in contributions {
        for (total, ll) in log.iter_mut().zip(&contribution.log_likelihood) {
            *total += ll;
        }
    }
    contributions.iter().all(|one| {
        let without = |row: usize| log[row] - one.log_likelihood[row];
        (0..log.len()).all(|row| row == name || without(row) < without(name))
    })
}

fn groups_of(table: &Table, posterior: &[f64]) -> Vec<(GroupId, f64)> {
    let mut by_group: BTreeMap<&GroupId, f64> = BTreeMap::new();
    for (row, p) in table.rows.iter().zip(posterior) {
        if let Some(group) = &row.group {
            *by_group.entry(group).or_default() += p;
        }
    }
    let mut groups: Vec<(GroupId, f64)> =
        by_group.into_iter().map(|(g, p)| (g.clone(), p)).collect();
    groups.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    groups
}

#[cfg(test)]
mod tests {
    use super::from_even;

    /// 6 of 52 names planted: a planted share of 6/52 after the answers is no evidence at all.
    #[test]
    fn what_only_the_prior_says_is_even() {
        assert!((from_even(6.0 / 52.0, 6.0 / 52.0) - 0.5).abs() < 1e-12);
        assert!(from_even(0.09, 0.11) > 0.4);
        assert!(from_even(0.001, 0.11) < 0.01);
        assert!(from_even(0.9, 0.11) > 0.98);
    }
}
