//! What a scout takes states for, from her history, and how her own walk would end by it.
//!
//! In: her history, a walk. Out: her looks counted for the engine (`standbook_identify::eye`); on the
//! walk's page, beside the ordinary outcome and never in its place, what it would be for her eye, which
//! looks of this walk she tends to misread, and how many looks that rests on.
//!
//! What is recorded stays by the key's table, so that a record can be weighed again by anybody.

use standbook_identify::{Assessment, Evidence, Eye, Planted, Table, assess};
use standbook_practice::skill::{HALF_LIFE_DAYS, freshness};

use super::history::History;
use super::standing::now;
use crate::app::App;
use crate::failure::Failure;
use crate::words::{number_of, outcome_words, percent, taxon_name};

/// Names shown beside.
const NAMES: usize = 3;

/// A scout's looks at traits, in practice and on plants that somebody else looked at too; those of long
/// ago count less, as everywhere.
pub(crate) fn of(history: &History, day: f64) -> Eye {
    let mut eye = Eye::default();
    for read in &history.reads {
        if let Some(reported) = &read.reported {
            let weight = freshness(day - read.day, HALF_LIFE_DAYS);
            eye.saw(&read.trait_id, &read.shown, reported, weight);
        }
    }
    eye
}

/// The part of the walk's page.
#[derive(Debug, Clone)]
pub struct EyeView {
    /// What it says; `None`: it is switched off.
    pub beside: Option<Beside>,
}

/// What is shown beside.
#[derive(Debug, Clone)]
pub struct Beside {
    /// Why there is nothing to show; empty where there is.
    pub nothing: String,
    /// The outcome for her eye, in words.
    pub outcome: String,
    /// Name, share for her eye, share by the key.
    pub names: Vec<(String, String, String)>,
    /// Whether outcome and first name are the same as by the key.
    pub same: bool,
    /// Looks of this walk that she tends to misread.
    pub mix_ups: Vec<String>,
    /// What it rests on.
    pub rests: String,
}

/// The view for a walk; `None` where nobody is known to walk, or nothing was answered.
pub(crate) fn view(
    app: &App,
    scout: Option<&str>,
    on: bool,
    evidence: &Evidence,
    said: &Assessment,
    planted: Planted,
) -> Result<Option<EyeView>, Failure> {
    let Some(scout) = scout.filter(|_| !evidence.answers().is_empty()) else {
        return Ok(None);
    };
    let beside = match on {
        true => {
            let eye = of(&History::read(app, scout)?, now());
            Some(beside(app, &eye, evidence, said, planted))
        }
        false => None,
    };
    Ok(Some(EyeView { beside }))
}

fn beside(
    app: &App,
    eye: &Eye,
    evidence: &Evidence,
    said: &Assessment,
    planted: Planted,
) -> Beside {
    let looked = evidence.answers().iter().filter_map(|answer| {
        let id = &app.table.traits[answer.trait_index].id;
        app.key.trait_by_id(id.as_str())
    });
    let known: Vec<_> = looked.filter(|one| eye.is_known(one)).collect();
    if known.is_empty() {
        return Beside {
            nothing: "Of no look of this walk is enough known of your eye yet: it takes about twenty answers to the same look, and old ones count less. So nothing changes.".to_owned(),
            outcome: String::new(),
            names: Vec::new(),
            same: true,
            mix_ups: Vec::new(),
            rests: String::new(),
        };
    }
    let table = Table::compile_for(&app.key, eye);
    let own = assess(&table, evidence, planted);
    let first = |said: &Assessment| said.ranking.first().map(|(row, _)| *row);
    let rests: Vec<String> = known
        .iter()
        .map(|one| {
            let looks = usize::try_from(eye.times(one)).unwrap_or(usize::MAX);
            format!("{} ({})", one.name, number_of(looks, "answer"))
        })
        .collect();
    let mix_ups = eye.mix_ups(&app.key, &app.table.modelling).into_iter();
    Beside {
        nothing: String::new(),
        outcome: outcome_words(own.outcome.id()),
        names: own
            .ranking
            .iter()
            .take(NAMES)
            .map(|(row, share)| {
                let name = match Some(*row) == table.not_in_key() {
                    true => "not in this key".to_owned(),
                    false => taxon_name(app, table.rows[*row].id.as_str()).0,
                };
                (name, percent(*share), percent(said.posterior[*row]))
            })
            .collect(),
        same: own.outcome.id() == said.outcome.id() && first(&own) == first(said),
        mix_ups: mix_ups
            .filter_map(|it| {
                let one = known.iter().find(|one| one.id == it.trait_id)?;
                let state = |at: usize| one.states().get(at).map(|state| state.name.as_str());
                Some(format!(
                    "{}: {} taken for {}, {} of {}",
                    one.name,
                    state(it.shown)?,
                    state(it.reported)?,
                    it.times,
                    number_of(usize::try_from(it.of).unwrap_or(usize::MAX), "time"),
                ))
            })
            .collect(),
        rests: rests.join("; "),
    }
}
