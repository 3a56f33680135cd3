//! Sorts labels into groups and sums the readings up.
//!
//! In: a case whose impossible readings are out. Out: [`Measured`]: the summary, the part every
//! label plays, and numbers by spot for what the summary does not hold.
//! Units: as in crate `stand`.
//! Source: spans of weeds as `keys/standards/weeds.yaml`; groups of the key say the rest.

use std::collections::{BTreeMap, BTreeSet};

use standbook_key::standards::{LifeSpan, OfWhat, Standards, Threshold};
use standbook_stand::cluster::{AreaUnit, CellUnit, Estimate};
use standbook_stand::confidence::{Confidence, Interval};
use standbook_stand::convert::{Converted, Grid, Rule};
use standbook_stand::summary::{
    Counted, Frequency, GridSummary, Group, GroupOf, Request, Seen, Summary, SummaryError,
    summarise,
};

use crate::case::{Case, Laid};
use crate::judgement::{ANNUAL_WEEDS, OTHER_WEEDS, PERENNIAL_WEEDS, PLANTED, Range, WEEDS};
use crate::label::{About, Label, Role};
use crate::strata::{self, Parts};

/// The visit in numbers.
pub(crate) struct Measured<'a> {
    /// Estimates.
    pub summary: Summary<Label>,
    /// What is known or taken of every label.
    pub about: BTreeMap<Label, About>,
    /// Labels of the planted.
    pub planted: BTreeSet<Label>,
    /// Labels that might be planted.
    pub unsettled: BTreeSet<Label>,
    /// Labels of every group, by name.
    pub groups: BTreeMap<String, BTreeSet<Label>>,
    /// Parts of the field, if they can be weighed by area.
    pub parts: Option<Parts>,
    /// How sure the intervals are to be.
    pub confidence: Confidence,
    /// The readings used.
    pub readings: &'a [Laid],
}

/// How long a weed lives: by the standards, or by its group in the key.
pub(crate) fn span(label: &Label, about: &About, standards: &Standards) -> Option<LifeSpan> {
    let said = label.taxon().and_then(|taxon| standards.weed_span(taxon));
    match (said, about.group.as_str()) {
        (Some(said), _) => Some(said.span),
        (None, "warm_annual_weed") => Some(LifeSpan::Annual),
        (None, "warm_perennial_weed") => Some(LifeSpan::Perennial),
        (None, _) => None,
    }
}

/// Every label that was sown, found or described, and the part it plays.
pub(crate) fn about(case: &Case) -> BTreeMap<Label, About> {
    let mut labels: BTreeSet<Label> = case.labels.keys().cloned().collect();
    labels.extend(case.mix.iter().map(|sown| Label::Taxon(sown.taxon.clone())));
    for laid in &case.readings {
        match &laid.reading.seen {
            Seen::Grid { occupied, .. } => labels.extend(occupied.keys().cloned()),
            Seen::Quadrat { plants, .. } => labels.extend(plants.keys().cloned()),
        }
    }
    let sown: BTreeSet<&str> = case.mix.iter().map(|sown| sown.taxon.as_str()).collect();
    labels
        .into_iter()
        .map(|label| {
            let said = case.labels.get(&label).cloned();
            let about = said.unwrap_or_else(|| About {
                group: String::new(),
                role: match &label {
                    Label::Taxon(taxon) if sown.contains(taxon.as_str()) => Role::Planted,
                    Label::Taxon(_) => Role::Weed,
                    // The key holds grasses; where forbs were sown, this may be one of them.
                    Label::NotInKey if case.forbs_sown == Some(true) => Role::Volunteer,
                    Label::NotInKey => Role::Weed,
                    Label::Genus(_) | Label::Unknown(_) => Role::Unsettled,
                },
            });
            (label, about)
        })
        .collect()
}

/// Name of the group of what was planted of one group of the key.
pub(crate) fn key_group_name(group: &str) -> String {
    format!("group:{group}")
}

/// Name of the group of some taxa.
pub(crate) fn taxa_name(threshold: &Threshold) -> Option<String> {
    match &threshold.of {
        OfWhat::Taxa(taxa) => {
            let taxa: Vec<&str> = taxa.iter().map(|taxon| taxon.as_str()).collect();
            Some(format!("taxa:{}", taxa.join(",")))
        }
        OfWhat::PlantedTogether | OfWhat::Group(_) => None,
    }
}

/// Sums the readings up.
pub(crate) fn measure<'a>(
    case: &Case,
    readings: &'a [Laid],
    parts: Option<Parts>,
    standards: &Standards,
) -> Result<Measured<'a>, SummaryError> {
    let about = about(case);
    let of_role = |role: Role| -> BTreeSet<Label> {
        let of = about.iter().filter(|(_, about)| about.role == role);
        of.map(|(label, _)| label.clone()).collect()
    };
    let (planted, unsettled) = (of_role(Role::Planted), of_role(Role::Unsettled));
    let weeds = of_role(Role::Weed);
    let spans = |wanted: &[Option<LifeSpan>]| -> BTreeSet<Label> {
        let is = |label: &&Label| wanted.contains(&span(label, &about[*label], standards));
        weeds.iter().filter(is).cloned().collect()
    };
    let group = |name: &str, members: BTreeSet<Label>| Group {
        name: name.to_owned(),
        members,
        unsettled: unsettled.clone(),
    };
    let mut groups = vec![
        group(PLANTED, planted.clone()),
        group(WEEDS, weeds.clone()),
        group(PERENNIAL_WEEDS, spans(&[Some(LifeSpan::Perennial)])),
        group(
            ANNUAL_WEEDS,
            spans(&[Some(LifeSpan::Annual), Some(LifeSpan::ShortLived)]),
        ),
        group(OTHER_WEEDS, spans(&[None])),
    ];
    let key_groups: BTreeSet<&str> = planted
        .iter()
        .map(|label| about[label].group.as_str())
        .filter(|group| !group.is_empty())
        .collect();
    for key_group in key_groups {
        let of = planted
            .iter()
            .filter(|label| about[*label].group == key_group);
        groups.push(group(&key_group_name(key_group), of.cloned().collect()));
    }
    for threshold in case.local.iter().chain(&standards.thresholds) {
        let (Some(name), OfWhat::Taxa(taxa)) = (taxa_name(threshold), &threshold.of) else {
            continue;
        };
        if groups.iter().all(|known| known.name != name) {
            let labels = taxa.iter().map(|t| Label::Taxon(t.as_str().to_owned()));
            let of = labels.filter(|label| planted.contains(label));
            groups.push(group(&name, of.collect()));
        }
    }
    let members = groups.iter().map(|g| (g.name.clone(), g.members.clone()));
    let members = members.collect();
    let plain: Vec<_> = readings.iter().map(|laid| laid.reading.clone()).collect();
    let summary = summarise(
        &plain,
        &Request {
            looked_for: planted.clone(),
            groups,
            confidence: case.confidence,
            rules: Rule::PLAIN.to_vec(),
        },
    )?;
    Ok(Measured {
        summary,
        about,
        planted,
        unsettled,
        groups: members,
        parts,
        confidence: case.confidence,
        readings,
    })
}

impl Measured<'_> {
    /// The kind of grid with the most cells read.
    pub fn main_grid(&self) -> Option<&GridSummary<Label>> {
        self.summary.grids.iter().max_by_key(|grid| grid.cells)
    }

    /// A group's frequency on a grid.
    pub fn frequency<'a>(
        grid: &'a GridSummary<Label>,
        name: &str,
    ) -> Option<&'a GroupOf<Frequency>> {
        grid.groups.iter().find(|group| group.name == name)
    }

    /// A group's counted density.
    pub fn counted(&self, name: &str) -> Option<&GroupOf<Counted>> {
        let quadrats = self.summary.quadrats.as_ref()?;
        quadrats.groups.iter().find(|group| group.name == name)
    }

    /// A group's frequency on a grid, by the parts of the field where they can be weighed: as if
    /// nothing unsettled belonged to it, and as if everything did.
    pub fn frequency_range(
        &self,
        grid: &GridSummary<Label>,
        name: &str,
    ) -> Option<(Range, Option<Range>)> {
        let plain = Self::frequency(grid, name)?;
        let weighed = |labels: &BTreeSet<Label>| {
            let parts = self.parts.as_ref()?;
            strata::frequency(self, parts, grid.grid, labels, self.confidence)
        };
        let (members, all) = self.members(name);
        let low = weighed(&members).unwrap_or_else(|| range(&plain.low.estimate));
        let high = plain.high.as_ref();
        let high = high.map(|high| weighed(&all).unwrap_or_else(|| range(&high.estimate)));
        Some((low, high))
    }

    /// A group's counted density, as [`Measured::frequency_range`].
    pub fn density_range(&self, name: &str) -> Option<(Range, Option<Range>)> {
        let plain = self.counted(name)?;
        let weighed = |labels: &BTreeSet<Label>| {
            strata::density(self, self.parts.as_ref()?, labels, self.confidence)
        };
        let (members, all) = self.members(name);
        let low = weighed(&members).unwrap_or_else(|| range(&plain.low.estimate));
        let high = plain.high.as_ref();
        let high = high.map(|high| weighed(&all).unwrap_or_else(|| range(&high.estimate)));
        Some((low, high))
    }

    /// Labels of a group, and those with everything unsettled.
    fn members(&self, name: &str) -> (BTreeSet<Label>, BTreeSet<Label>) {
        let members = self.groups.get(name).cloned().unwrap_or_default();
        let all = members.union(&self.unsettled).cloned().collect();
        (members, all)
    }

    /// Whether any plant was found under one of these labels.
    pub fn found(&self, labels: &BTreeSet<Label>) -> bool {
        self.readings.iter().any(|laid| match &laid.reading.seen {
            Seen::Grid { occupied, .. } => occupied
                .iter()
                .any(|(label, cells)| labels.contains(label) && !cells.is_empty()),
            Seen::Quadrat { plants, .. } => plants
                .iter()
                .any(|(label, &number)| labels.contains(label) && number > 0),
        })
    }

    /// Occupied cells by spot on one kind of grid, over spots that `within` holds.
    /// `counts` says of a cell's labels whether it counts.
    pub fn cells_by_spot(
        &self,
        grid: Grid,
        within: impl Fn(&str) -> bool,
        counts: impl Fn(&BTreeSet<&Label>) -> bool,
    ) -> BTreeMap<&str, CellUnit> {
        let mut spots: BTreeMap<&str, CellUnit> = BTreeMap::new();
        for laid in self.readings {
            let Seen::Grid {
                grid: laid_grid,
                occupied,
            } = &laid.reading.seen
            else {
                continue;
            };
            if *laid_grid != grid || !within(&laid.reading.spot) {
                continue;
            }
            let mut cells: BTreeMap<u32, BTreeSet<&Label>> = BTreeMap::new();
            for (label, found) in occupied {
                for &cell in found {
                    cells.entry(cell).or_default().insert(label);
                }
            }
            let unit = spots.entry(&laid.reading.spot).or_insert(CellUnit {
                occupied: 0,
                cells: 0,
            });
            unit.occupied += cells.values().filter(|labels| counts(labels)).count() as u64;
            unit.cells += u64::from(grid.cells);
        }
        spots
    }

    /// Plants by spot, over spots that `within` holds.
    pub fn plants_by_spot(
        &self,
        within: impl Fn(&str) -> bool,
        counts: impl Fn(&Label) -> bool,
    ) -> BTreeMap<&str, AreaUnit> {
        let mut spots: BTreeMap<&str, AreaUnit> = BTreeMap::new();
        for laid in self.readings {
            let Seen::Quadrat { area_m2, plants } = &laid.reading.seen else {
                continue;
            };
            if !within(&laid.reading.spot) {
                continue;
            }
            let unit = spots.entry(&laid.reading.spot).or_insert(AreaUnit {
                plants: 0,
                area_m2: 0.0,
            });
            let counted = plants.iter().filter(|(label, _)| counts(label));
            unit.plants += counted.map(|(_, &number)| u64::from(number)).sum::<u64>();
            unit.area_m2 += area_m2;
        }
        spots
    }

    /// Distance between rows, m, if everything counted was counted along rows of one spacing.
    pub fn row_spacing_m(&self) -> Option<f64> {
        let mut spacing: Option<f64> = None;
        for laid in self.readings {
            if let Seen::Quadrat { .. } = laid.reading.seen {
                let here = laid.row?.spacing_m;
                // A tape read to the centimetre: rows within 1 % are the same.
                if !(here.is_finite() && here > 0.0)
                    || spacing.is_some_and(|known| (known - here).abs() > 0.01 * known)
                {
                    return None;
                }
                spacing = Some(here);
            }
        }
        spacing
    }
}

/// An estimate as a range.
pub(crate) fn range(estimate: &Estimate) -> Range {
    let limits = estimate.limits.ok().map(|limited| limited.interval);
    Range {
        estimate: estimate.value,
        estimate_is_at_least: false,
        lower: limits.map(|interval| interval.lower),
        upper: limits.map(|interval| interval.upper),
    }
}

/// A converted density as a range.
pub(crate) fn converted_range(converted: &Converted) -> Range {
    let limits = converted.limits;
    Range {
        estimate: converted.estimate.per_m2(),
        estimate_is_at_least: converted.estimate.is_at_least(),
        lower: limits.map(|(lower, _)| lower.per_m2()),
        upper: limits
            .filter(|(_, upper)| !upper.is_at_least())
            .map(|(_, upper)| upper.per_m2()),
    }
}

/// A frequency sent through a rule; `None` where the rule does not fit the grid.
pub(crate) fn convert(range: &Range, rule: Rule, grid: Grid, cells: u64) -> Option<Range> {
    let limits = range.lower.zip(range.upper);
    let interval = limits.map(|(lower, upper)| Interval { lower, upper });
    let converted = rule.convert(range.estimate, interval, grid, cells).ok()?;
    Some(converted_range(&converted))
}

impl Range {
    /// Every number times `factor`.
    #[must_use]
    pub(crate) fn times(self, factor: f64) -> Self {
        Self {
            estimate: self.estimate * factor,
            lower: self.lower.map(|lower| lower * factor),
            upper: self.upper.map(|upper| upper * factor),
            ..self
        }
    }
}
