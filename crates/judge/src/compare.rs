//! Holds every threshold against what was measured.
//!
//! In: thresholds, the visit in numbers. Out: [`Compared`] and [`NotCompared`].
//!
//! A verdict comes from the *interval*: established if its lower limit is at or above the
//! threshold, below if its upper limit is under it, else not decided; so it never says more than
//! the frames can bear. Unsettled unknowns give two intervals, and a verdict has to hold for both.
//!
//! Frequency is held against thresholds of frequency, plants counted against thresholds of
//! density. Where only frequency was read, density comes by every named conversion, side by
//! side; they may disagree, and then there is no verdict.

use standbook_key::standards::{
    ForMixes, Holds, Measure, OfWhat, Part, PlantsCounted, SourceKind, Standards, Threshold,
};

use standbook_stand::convert::Rule;

use crate::case::Case;
use crate::judgement::{
    Caveat, Compared, Comparison, Evidence, LevelReached, NotCompared, PLANTED, Range, RestsOn,
    Season, Verdict, WhyNot,
};
use crate::label::Label;
use crate::measure::{Measured, convert, key_group_name, taxa_name};
use crate::overall::cited_all;
use crate::states::same;

/// Side of a cell, cm, for which thresholds of frequency hold, and how far off it may be:
/// 6-inch mesh (15.24 cm) is what such frames are cut from (common practice).
const CELL_SIDE_CM: (f64, f64) = (15.0, 0.25);

/// Holds every threshold against what was measured; one's own first.
pub(crate) fn compare(
    case: &Case,
    season: &Season,
    measured: &Measured,
    standards: &Standards,
) -> (Vec<Compared>, Vec<NotCompared>) {
    let (mut compared, mut not_compared) = (Vec::new(), Vec::new());
    let own = case.local.iter().map(|local| Threshold {
        own: true,
        ..local.clone()
    });
    for threshold in own.chain(standards.thresholds.iter().cloned()) {
        let sources = cited_all(standards, &threshold.source, &threshold.also);
        let found = applies(case, measured, &threshold).and_then(|of| {
            let by = comparisons(measured, &threshold, &of);
            match by.is_empty() {
                true => Err(WhyNot::NotMeasured),
                false => Ok((of, by)),
            }
        });
        match found {
            Ok((of, by)) => compared.push(Compared {
                caveats: caveats(case, season, standards, &threshold, of.borrowed),
                verdict: together(&by),
                sources,
                by,
                threshold,
            }),
            Err(why) => not_compared.push(NotCompared {
                threshold,
                sources,
                why,
            }),
        }
    }
    // Those a verdict may rest on first, and among them the firmest ground first.
    compared.sort_by_key(|one| {
        let ground = one.by.iter().map(|by| by.rests_on).min();
        (one.threshold.part != Part::Decides, ground)
    });
    (compared, not_compared)
}

/// The group of labels that a threshold is held against.
struct Of {
    group: String,
    borrowed: bool,
}

fn applies(case: &Case, measured: &Measured, threshold: &Threshold) -> Result<Of, WhyNot> {
    if !threshold.purposes.is_empty() && !threshold.purposes.contains(&case.purpose) {
        return Err(WhyNot::OtherPurpose);
    }
    if threshold.holds == Holds::There && !is_there(case, threshold) {
        return Err(WhyNot::OtherRegion);
    }
    if threshold.counts == PlantsCounted::Seedlings && case.counted == PlantsCounted::Plants {
        return Err(WhyNot::SeedlingGoal);
    }
    let together = || Of {
        group: PLANTED.to_owned(),
        borrowed: false,
    };
    match &threshold.of {
        OfWhat::PlantedTogether => Ok(together()),
        OfWhat::Group(group) => {
            let name = key_group_name(group.as_str());
            let planted = |label: &Label| measured.about[label].group == group.as_str();
            match measured.planted.iter().any(planted) {
                true => Ok(Of {
                    group: name,
                    borrowed: false,
                }),
                false => Err(WhyNot::OtherPlants),
            }
        }
        OfWhat::Taxa(taxa) => {
            let named = |label: &Label| {
                let taxon = label.taxon();
                taxa.iter().any(|wanted| taxon == Some(wanted.as_str()))
            };
            let pure = !measured.planted.is_empty() && measured.planted.iter().all(named);
            let some = measured.planted.iter().any(named);
            match (pure, some, threshold.for_mixes) {
                (true, ..) => Ok(together()),
                (false, true, ForMixes::No) if threshold.own => Ok(Of {
                    group: taxa_name(threshold).unwrap_or_default(),
                    borrowed: false,
                }),
                // Mixes without those taxa borrow it too: no source has any of their own. Stands of
                // another single species do not: gamagrass stands in crowns 4 feet across.
                (false, _, ForMixes::Borrowed) if measured.planted.len() > 1 => Ok(Of {
                    borrowed: true,
                    ..together()
                }),
                _ => Err(WhyNot::OtherPlants),
            }
        }
    }
}

/// Whether the field lies where the threshold was found or holds: one of its states, or else its
/// region in words.
fn is_there(case: &Case, threshold: &Threshold) -> bool {
    match threshold.states.as_slice() {
        [] => threshold.region.trim().is_empty() || same(&threshold.region, &case.state),
        states => states.iter().any(|known| same(known, &case.state)),
    }
}

fn caveats(
    case: &Case,
    season: &Season,
    standards: &Standards,
    threshold: &Threshold,
    borrowed: bool,
) -> Vec<Caveat> {
    let mut caveats = Vec::new();
    if threshold.part != Part::Decides {
        caveats.push(Caveat::NotDeciding);
    }
    if borrowed {
        caveats.push(Caveat::Borrowed);
    }
    if !threshold.states.is_empty() && !is_there(case, threshold) {
        caveats.push(Caveat::FoundElsewhere);
    }
    if let Some(wanted) = threshold.season.filter(|wanted| *wanted != season.number) {
        caveats.push(Caveat::OtherSeason { season: wanted });
    }
    if threshold.counts == PlantsCounted::Plants && case.counted == PlantsCounted::Seedlings {
        caveats.push(Caveat::SeedlingsCounted);
    }
    let kind = standards.source(threshold.source.as_str()).map(|s| s.kind);
    if matches!(kind, Some(SourceKind::Supplier | SourceKind::Secondary)) {
        caveats.push(Caveat::WeakSource);
    }
    caveats
}

/// Every way of measuring that fits a threshold.
fn comparisons(measured: &Measured, threshold: &Threshold, of: &Of) -> Vec<Comparison> {
    let direct = match (threshold.own, of.borrowed) {
        (true, _) => RestsOn::Own,
        (false, false) => RestsOn::Measured,
        (false, true) => RestsOn::Borrowed,
    };
    let by_rule = match direct {
        RestsOn::Own => RestsOn::OwnConverted,
        RestsOn::Borrowed => RestsOn::BorrowedConverted,
        _ => RestsOn::Converted,
    };
    let mut all = Vec::new();
    let counted = measured.density_range(&of.group);
    match threshold.unit.measure() {
        Measure::Frequency => {
            for grid in &measured.summary.grids {
                let (side, slack) = CELL_SIDE_CM;
                if (grid.grid.cell_side_cm - side).abs() > slack {
                    continue;
                }
                if let Some((low, high)) = measured.frequency_range(grid, &of.group) {
                    let evidence = Evidence::Frequency { grid: grid.grid };
                    all.push(comparison(threshold, evidence, direct, low, high));
                }
            }
        }
        Measure::Density => {
            if let Some((low, high)) = counted {
                all.push(comparison(threshold, Evidence::Counted, direct, low, high));
            }
            for grid in &measured.summary.grids {
                let Some((low, high)) = measured.frequency_range(grid, &of.group) else {
                    continue;
                };
                for rule in Rule::PLAIN {
                    let to = |range: Range| convert(&range, rule, grid.grid, grid.cells);
                    let Some(low) = to(low) else { continue };
                    let evidence = Evidence::Converted {
                        grid: grid.grid,
                        rule,
                    };
                    all.push(comparison(
                        threshold,
                        evidence,
                        by_rule,
                        low,
                        high.and_then(to),
                    ));
                }
            }
        }
        Measure::Row => {
            if let (Some(spacing_m), Some((low, high))) = (measured.row_spacing_m(), counted) {
                let evidence = Evidence::CountedInRows { spacing_m };
                let low = low.times(spacing_m);
                let high = high.map(|high| high.times(spacing_m));
                all.push(comparison(threshold, evidence, direct, low, high));
            }
        }
        Measure::Cover => {}
    }
    all
}

/// What an interval says to a level.
pub(crate) fn verdict_of(range: &Range, level: f64) -> Verdict {
    match (range.lower, range.upper) {
        (Some(lower), _) if lower >= level => Verdict::Established,
        (_, Some(upper)) if upper < level => Verdict::Below,
        _ => Verdict::NotDecided,
    }
}

pub(crate) fn comparison(
    threshold: &Threshold,
    evidence: Evidence,
    rests_on: RestsOn,
    sure: Range,
    at_most: Option<Range>,
) -> Comparison {
    let most = at_most.unwrap_or(sure);
    let both = |level: f64| verdict_of(&sure, level).and(verdict_of(&most, level));
    let established_at = threshold.established_si();
    let levels = threshold.levels.iter().map(|level| {
        let at_least_si = threshold.unit.si(level.at_least);
        LevelReached {
            at_least: level.at_least,
            at_least_si,
            word: level.word.clone(),
            verdict: both(at_least_si),
        }
    });
    let lower = sure.lower.zip(most.lower).map(|(a, b)| a.min(b));
    let words = lower.map(|lower| {
        // Full cells set no upper limit: the highest level is then possible.
        let upper = sure.upper.zip(most.upper).map(|(a, b)| a.max(b));
        let word = |si: f64| threshold.word(si).to_owned();
        (word(lower), word(upper.unwrap_or(f64::INFINITY)))
    });
    Comparison {
        evidence,
        rests_on,
        verdict_sure: verdict_of(&sure, established_at),
        verdict_at_most: verdict_of(&most, established_at),
        verdict: both(established_at),
        levels: levels.collect(),
        word: threshold.word(sure.estimate).to_owned(),
        words,
        established_at,
        sure,
        at_most,
    }
}

/// What the ways of measuring say together: the firmest ground alone has a say.
pub(crate) fn together(by: &[Comparison]) -> Verdict {
    let Some(ground) = by.iter().map(|one| one.rests_on).min() else {
        return Verdict::NotDecided;
    };
    by.iter()
        .filter(|one| one.rests_on == ground)
        .map(|one| one.verdict)
        .reduce(Verdict::and)
        .unwrap_or(Verdict::NotDecided)
}
