//! How much of the live seed sown stands as plants.
//!
//! In: plants per m2 (counted, or by every conversion), seed sown. Out: [`Emerged`].
//! Units: plants and seeds per m2; lb per acre (1 lb of seeds per acre over 4046.86 m2).
//! Source: seeds per pound by the lot's own tag, else the span of the published figures.
//! Not here: doubt about the rate itself; dormant seed that may still come up.

use standbook_key::standards::Standards;
use standbook_stand::emergence::per_m2_from_per_acre;

use crate::case::{Case, Sown};
use crate::judgement::{Emerged, Evidence, PLANTED, Range};
use crate::label::Label;
use crate::measure::{Measured, converted_range, range};

pub(crate) fn emerged(case: &Case, measured: &Measured, standards: &Standards) -> Vec<Emerged> {
    let seeds: Vec<Option<Seeds>> = case.mix.iter().map(|sown| seeds(sown, standards)).collect();
    let mut all = Vec::new();
    // The sum is known only where every species is.
    let sum = seeds.iter().cloned().collect::<Option<Vec<_>>>();
    if let Some(sum) = sum.filter(|sum| !sum.is_empty()) {
        let together = Seeds {
            per_m2: sum.iter().fold((0.0, 0.0), |(low, high), one| {
                (low + one.per_m2.0, high + one.per_m2.1)
            }),
            own: sum.iter().all(|one| one.own),
        };
        let densities = densities(measured, None);
        all.extend(
            densities
                .into_iter()
                .map(|(evidence, plants)| emerged_of(None, evidence, plants, &together)),
        );
    }
    if case.mix.len() > 1 {
        for (sown, seeds) in case.mix.iter().zip(&seeds) {
            let Some(seeds) = seeds else { continue };
            let densities = densities(measured, Some(&sown.taxon));
            all.extend(densities.into_iter().map(|(evidence, plants)| {
                emerged_of(Some(sown.taxon.clone()), evidence, plants, seeds)
            }));
        }
    }
    all
}

/// Live seeds sown per m2, lowest and highest, and whether by the lot's own count.
#[derive(Clone)]
struct Seeds {
    per_m2: (f64, f64),
    own: bool,
}

fn seeds(sown: &Sown, standards: &Standards) -> Option<Seeds> {
    let sensible = |number: &f64| number.is_finite() && *number > 0.0;
    let pounds = sown.pls_lb_per_acre.filter(sensible)?;
    let own = sown.seeds_per_lb.filter(sensible);
    let (low, high) = match own {
        Some(own) => (own, own),
        None => {
            // Burs hold several seeds each, so counts of burs say nothing about seeds.
            let published = standards
                .seeds_per_lb(&sown.taxon)
                .filter(|s| s.of.is_empty());
            let span = published.fold(None, |span: Option<(f64, f64)>, count| {
                let (low, high) = count.seeds_per_lb;
                let (least, most) = span.unwrap_or((low, high));
                Some((least.min(low), most.max(high)))
            });
            span?
        }
    };
    Some(Seeds {
        per_m2: (
            per_m2_from_per_acre(pounds * low),
            per_m2_from_per_acre(pounds * high),
        ),
        own: own.is_some(),
    })
}

/// Plants per m2 of everything planted, or of one taxon, by every way of measuring.
fn densities(measured: &Measured, taxon: Option<&str>) -> Vec<(Evidence, Range)> {
    let label = taxon.map(|taxon| Label::Taxon(taxon.to_owned()));
    let mut all = Vec::new();
    if let Some(quadrats) = &measured.summary.quadrats {
        let counted = match &label {
            Some(label) => quadrats
                .labels
                .iter()
                .find(|(l, _)| l == label)
                .map(|l| &l.1),
            None => measured.counted(PLANTED).map(|group| &group.low),
        };
        all.extend(counted.map(|counted| (Evidence::Counted, range(&counted.estimate))));
    }
    if let Some(grid) = measured.main_grid() {
        let frequency = match &label {
            Some(label) => grid.labels.iter().find(|(l, _)| l == label).map(|l| &l.1),
            None => Measured::frequency(grid, PLANTED).map(|group| &group.low),
        };
        for result in frequency.iter().flat_map(|frequency| &frequency.densities) {
            let Ok(density) = &result.density else {
                continue;
            };
            let evidence = Evidence::Converted {
                grid: grid.grid,
                rule: result.rule,
            };
            all.push((evidence, converted_range(density)));
        }
    }
    all
}

fn emerged_of(
    taxon: Option<String>,
    evidence: Evidence,
    plants_per_m2: Range,
    seeds: &Seeds,
) -> Emerged {
    let (low, high) = seeds.per_m2;
    Emerged {
        taxon,
        evidence,
        plants_per_m2,
        seeds_per_m2: seeds.per_m2,
        own_counts: seeds.own,
        share: Range {
            estimate: plants_per_m2.estimate / ((low + high) / 2.0),
            estimate_is_at_least: plants_per_m2.estimate_is_at_least,
            lower: plants_per_m2.lower.map(|lower| lower / high),
            upper: plants_per_m2.upper.map(|upper| upper / low),
        },
    }
}
