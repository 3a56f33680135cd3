//! The planted together, corrected for plants that were misnamed, and the verdict from that.
//!
//! In: thresholds compared, audited plants or specimens named in practice. Out: [`Corrected`] beside the
//! verdict, never in its place; nothing where too few were checked.
//! Source: calibration, `standbook_stand::misnaming`; for specimens see `specimens`. For counted plants the corrected share of plants is
//! carried to the density by its ratio; the two doubts are added as squares (Newcombe 1998;
//! Zou & Donner 2008, from memory).

use standbook_key::standards::{OfWhat, Part};
use standbook_stand::cluster::{self, CellUnit};
use standbook_stand::confidence::{Confidence, Interval};
use standbook_stand::convert::{Grid, Rule};
use standbook_stand::measured::Measured as Number;
use standbook_stand::misnaming::{
    Audit, Checked, Corrected as Share, Correction, calibrated, calibrated_cells,
};

use crate::case::{Case, Specimens};
use crate::compare::{comparison, together};
use crate::judgement::{
    Compared, Comparison, Corrected, CorrectedBy, Evidence, Origin, Overall, Range, Verdict,
};
use crate::label::Label;
use crate::measure::{Measured, converted_range};
use crate::note::Note;
use crate::overall::on_firmest_ground;
use crate::specimens;

/// By plants of the field that somebody looked at again.
pub(crate) fn by_plants(
    case: &Case,
    measured: &Measured,
    compared: &[Compared],
    verdict: &Overall,
    notes: &mut Vec<Note>,
) -> Option<Corrected> {
    if case.audits.is_empty() {
        return None;
    }
    let origin = match case.audits_drawn {
        true => Origin::Drawn,
        false => Origin::Picked,
    };
    let work = Work {
        measured,
        known: Known::Plants(audit(case, measured)),
        confidence: case.confidence,
    };
    let audited = case.audits.len();
    match work.whole(compared, verdict, audited, origin) {
        Ok(corrected) => corrected,
        Err(why) => {
            let what = "correction for misnaming";
            notes.push(Note::NotWorkedOut { what, why });
            None
        }
    }
}

/// By specimens of known name. Plants drawn in the field say more, so beside them it is not given.
pub(crate) fn by_practice(
    case: &Case,
    measured: &Measured,
    compared: &[Compared],
    verdict: &Overall,
    notes: &mut Vec<Note>,
) -> Option<Corrected> {
    let specimens = case.specimens?;
    if case.audits_drawn && !case.audits.is_empty() {
        return None;
    }
    let work = Work {
        measured,
        known: Known::Specimens(specimens),
        confidence: case.confidence,
    };
    let of = specimens.planted.of.saturating_add(specimens.other.of);
    let audited = usize::try_from(of).unwrap_or(usize::MAX);
    match work.whole(compared, verdict, audited, Origin::Practice(specimens)) {
        Ok(corrected) => corrected,
        Err(why) => {
            let what = "correction by what practice shows";
            notes.push(Note::NotWorkedOut { what, why });
            None
        }
    }
}

fn audit(case: &Case, measured: &Measured) -> Audit {
    let checked = |planted: bool| {
        let of = case.audits.iter().filter(|audit| {
            // A plant left unnamed was called neither.
            !matches!(audit.called, Label::Unknown(_))
                && !matches!(audit.truth, Label::Unknown(_))
                && measured.planted.contains(&audit.called) == planted
        });
        let right = of
            .clone()
            .filter(|audit| measured.planted.contains(&audit.truth));
        Checked {
            right: right.count() as u64,
            of: of.count() as u64,
        }
    };
    Audit {
        called_planted: checked(true),
        called_other: checked(false),
    }
}

/// What is known of wrong names.
enum Known {
    /// What plants called one thing turned out to be.
    Plants(Audit),
    /// What specimens of known name were called.
    Specimens(Specimens),
}

/// A share or a density corrected.
pub(crate) struct Worked {
    pub value: f64,
    pub interval: Interval,
    pub correction: Correction,
}

impl From<Share> for Worked {
    fn from(share: Share) -> Worked {
        Worked {
            value: share.value,
            interval: share.interval,
            correction: share.correction,
        }
    }
}

struct Work<'a> {
    measured: &'a Measured<'a>,
    known: Known,
    confidence: Confidence,
}

impl Work<'_> {
    /// Every number that decides, corrected; `None` where there is none. An error: why not one could be.
    fn whole(
        &self,
        compared: &[Compared],
        verdict: &Overall,
        audited: usize,
        origin: Origin,
    ) -> Result<Option<Corrected>, String> {
        let mut by = Vec::new();
        let mut anew = Vec::new();
        let mut trouble = None;
        for one in compared {
            // Names are sorted into planted or not, so a part of the planted can't be corrected.
            let all_planted = !matches!(one.threshold.of, OfWhat::Group(_));
            if one.threshold.part != Part::Decides || !all_planted {
                continue;
            }
            let mut new = one.clone();
            new.by.clear();
            for old in &one.by {
                match self.corrected(old) {
                    Ok((after, correction)) => {
                        let corrected =
                            comparison(&one.threshold, old.evidence, old.rests_on, after, None);
                        by.push(CorrectedBy {
                            threshold: one.threshold.id.clone(),
                            evidence: old.evidence,
                            before: old.sure,
                            after,
                            verdict: corrected.verdict,
                            correction,
                        });
                        new.by.push(corrected);
                    }
                    Err(why) => trouble = Some(why),
                }
            }
            if !new.by.is_empty() {
                new.verdict = together(&new.by);
                anew.push(new);
            }
        }
        if by.is_empty() {
            return trouble.map_or(Ok(None), Err);
        }
        let said = on_firmest_ground(&anew.iter().collect::<Vec<_>>());
        let corrected = said.map_or(Verdict::NotDecided, |said| said.verdict);
        Ok(Some(Corrected {
            audited,
            origin,
            by,
            verdict: corrected,
            differs: corrected != verdict.so_far,
        }))
    }

    /// One number corrected; where something is unsettled, over both ends.
    fn corrected(&self, old: &Comparison) -> Result<(Range, Correction), String> {
        let (low, correction) = self.at(old, &old.sure, false)?;
        if old.at_most.is_none() {
            return Ok((low, correction));
        }
        let most = old.at_most.unwrap_or(old.sure);
        let (high, _) = self.at(old, &most, true)?;
        let after = Range {
            lower: low.lower.zip(high.lower).map(|(a, b)| a.min(b)),
            upper: low.upper.zip(high.upper).map(|(a, b)| a.max(b)),
            ..low
        };
        Ok((after, correction))
    }

    /// `all`: as if everything unsettled were called planted.
    fn at(
        &self,
        old: &Comparison,
        called: &Range,
        all: bool,
    ) -> Result<(Range, Correction), String> {
        match old.evidence {
            Evidence::Frequency { grid } => {
                let share = self.cells(grid, all)?;
                Ok((of_share(&share), share.correction))
            }
            Evidence::Converted { grid, rule } => {
                let share = self.cells(grid, all)?;
                let density = self.density(rule, grid, &share)?;
                Ok((density, share.correction))
            }
            Evidence::Counted | Evidence::CountedInRows { .. } => self.counted(called, all),
        }
    }

    fn is_planted(&self, label: &Label, all: bool) -> bool {
        self.measured.planted.contains(label) || all && self.measured.unsettled.contains(label)
    }

    fn cells(&self, grid: Grid, all: bool) -> Result<Worked, String> {
        let units = |counts: &dyn Fn(bool) -> bool| {
            let spots = self.measured.cells_by_spot(
                grid,
                |_| true,
                |labels| counts(labels.iter().any(|label| self.is_planted(label, all))),
            );
            spots.into_values().collect::<Vec<CellUnit>>()
        };
        let audit = match &self.known {
            Known::Plants(audit) => audit,
            Known::Specimens(specimens) => {
                let (planted, any) = (units(&|planted| planted), units(&|_| true));
                return specimens::cells(specimens, &planted, &any, self.confidence);
            }
        };
        let number = |units: Vec<CellUnit>| -> Result<Number, String> {
            let estimate =
                cluster::frequency(&units, self.confidence).map_err(|error| error.to_string())?;
            Number::from_estimate(&estimate).ok_or_else(|| "one spot shows no spread".to_owned())
        };
        let planted = number(units(&|planted| planted))?;
        let other = number(units(&|planted| !planted))?;
        // Where no cell held others alone, nothing called something else can be planted.
        let other = (other.value > 0.0).then_some(other);
        calibrated_cells(planted, other, audit, self.confidence)
            .map(Worked::from)
            .map_err(|error| error.to_string())
    }

    fn density(&self, rule: Rule, grid: Grid, share: &Worked) -> Result<Range, String> {
        let kinds = &self.measured.summary.grids;
        let cells = kinds
            .iter()
            .find(|kind| kind.grid == grid)
            .map_or(1, |kind| kind.cells);
        let converted = rule
            .convert(share.value, Some(share.interval), grid, cells)
            .map_err(|error| error.to_string())?;
        Ok(converted_range(&converted))
    }

    fn counted(&self, called: &Range, all: bool) -> Result<(Range, Correction), String> {
        let sum = |wanted: bool| -> u64 {
            let is = |label: &Label| !wanted || self.is_planted(label, all);
            let spots = self.measured.plants_by_spot(|_| true, is);
            spots.values().map(|unit| unit.plants).sum()
        };
        let (planted, everything) = (sum(true), sum(false));
        if planted == 0 {
            return Err("nothing called planted was counted, so there is nothing to scale".into());
        }
        let of_all = planted as f64 / everything as f64;
        let share = match &self.known {
            Known::Plants(audit) => calibrated(Number::exact(of_all), audit, self.confidence),
            Known::Specimens(specimens) => {
                specimens::share(specimens, Number::exact(of_all), self.confidence)
            }
        }
        .map_err(|error| error.to_string())?;
        let factor = share.value / of_all;
        let value = called.estimate * factor;
        let limit = |of_called: Option<f64>, of_share: f64, sign: f64| {
            let from_called = (of_called? - called.estimate) * factor;
            let from_share = called.estimate * (of_share / of_all - factor);
            Some((value + sign * from_called.hypot(from_share)).max(0.0))
        };
        let after = Range {
            estimate: value,
            estimate_is_at_least: false,
            lower: limit(called.lower, share.interval.lower, -1.0),
            upper: limit(called.upper, share.interval.upper, 1.0),
        };
        Ok((after, share.correction))
    }
}

fn of_share(share: &Worked) -> Range {
    Range {
        estimate: share.value,
        estimate_is_at_least: false,
        lower: Some(share.interval.lower),
        upper: Some(share.interval.upper),
    }
}
