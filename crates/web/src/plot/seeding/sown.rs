//! What was sown as figures: seeds per pound, seeds on the ground, shares of the mix.
//!
//! In: a planting, its lots, the published counts. Out: a range wherever sources differ, nothing
//! where something is missing.
//! Units: pounds of pure live seed per acre, seeds per pound, seeds per ft2, shares from 0 to 1.
//! Source: the arithmetic of crate `stand`, `seeding`; counts as `keys/standards/seed.yaml` cites.
//! Not here: words (`view`).

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Planting, SeedLot};
use standbook_key::standards::{SeedCount, Standards};
use standbook_stand::seeding::{seeds_per_ft2, shares_by_seed, shares_by_weight};

/// Lowest and highest; equal where one number is known.
pub(super) type Range = (f64, f64);

/// One species of the mix.
pub(super) struct Sown<'a> {
    /// Taxon id.
    pub taxon: &'a str,
    /// Its lots.
    pub lots: Vec<&'a Entry<SeedLot>>,
    /// Every published count of its seeds.
    pub published: Vec<&'a SeedCount>,
    /// Seeds in a pound, from the tags or else published; `None` when not known, or when only
    /// burs were counted, which hold several seeds each.
    pub per_lb: Option<Range>,
    /// Whether `per_lb` stands on a tag.
    pub by_tag: bool,
}

/// Which of the two rates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rates {
    /// What was planned.
    Planned,
    /// What went into the ground.
    Applied,
}

impl Rates {
    /// For people.
    pub fn words(self) -> &'static str {
        match self {
            Rates::Planned => "planned",
            Rates::Applied => "applied",
        }
    }
}

/// The mix at its planned or its applied rates; lists are in the order of the mix.
pub(super) struct Column {
    /// Which rates.
    pub rates: Rates,
    /// Pounds PLS per acre.
    pub lb_per_acre: Vec<Option<f64>>,
    /// Seeds per ft2.
    pub seeds: Vec<Option<Range>>,
    /// Share by weight; `None` unless every rate is known.
    pub by_weight: Option<Vec<f64>>,
    /// Share by number of seeds; `None` unless every species' seeds are known.
    pub by_seed: Option<Vec<Range>>,
}

impl Column {
    /// All species together, pounds PLS per acre; `None` unless every rate is known.
    pub fn lb_per_acre_of_mix(&self) -> Option<f64> {
        self.lb_per_acre.iter().copied().sum()
    }

    /// Seeds per ft2 of all species together; `None` unless every species' seeds are known.
    pub fn seeds_of_mix(&self) -> Option<Range> {
        let all = self.seeds.iter().copied().collect::<Option<Vec<_>>>()?;
        Some(
            all.iter()
                .fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1)),
        )
    }
}

fn span(ranges: impl Iterator<Item = Range>) -> Option<Range> {
    ranges.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}

/// The species of a planting with what is known of their seed.
pub(super) fn sown<'a>(
    planting: &'a Planting,
    lots: &'a [Entry<SeedLot>],
    standards: &'a Standards,
) -> Vec<Sown<'a>> {
    planting
        .mix
        .iter()
        .map(|item| {
            let lots: Vec<_> = lots.iter().filter(|l| l.body.taxon == item.taxon).collect();
            let published: Vec<_> = standards.seeds_per_lb(&item.taxon).collect();
            let tags = span(
                lots.iter()
                    .filter_map(|lot| lot.body.seeds_per_lb)
                    .map(|seeds| (seeds, seeds)),
            );
            let single = published.iter().filter(|count| count.of.is_empty());
            Sown {
                taxon: &item.taxon,
                per_lb: tags.or_else(|| span(single.map(|count| count.seeds_per_lb))),
                by_tag: tags.is_some(),
                lots,
                published,
            }
        })
        .collect()
}

/// The mix at one kind of rate; `None` when no species has one.
pub(super) fn column(planting: &Planting, sown: &[Sown<'_>], rates: Rates) -> Option<Column> {
    let lb_per_acre: Vec<Option<f64>> = planting
        .mix
        .iter()
        .map(|item| match rates {
            Rates::Planned => item.planned_pls_lb_per_acre,
            Rates::Applied => item.pls_lb_per_acre,
        })
        .collect();
    lb_per_acre.iter().flatten().next()?;
    let seeds: Vec<Option<Range>> = lb_per_acre
        .iter()
        .zip(sown)
        .map(|(rate, species)| {
            let (rate, (low, high)) = ((*rate)?, species.per_lb?);
            let low = seeds_per_ft2(rate, low).ok()?;
            Some((low, seeds_per_ft2(rate, high).ok()?))
        })
        .collect();
    let every_rate: Option<Vec<f64>> = lb_per_acre.iter().copied().collect();
    let every_seed: Option<Vec<Range>> = seeds.iter().copied().collect();
    Some(Column {
        rates,
        by_weight: every_rate.and_then(|all| shares_by_weight(&all).ok()),
        by_seed: every_seed.and_then(|all| shares_by_seed(&all).ok()),
        lb_per_acre,
        seeds,
    })
}
