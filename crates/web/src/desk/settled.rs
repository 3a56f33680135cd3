//! What reviewers settled that a plant is: a truth that others can learn from.
//!
//! In: the id of a determination or an unknown. Out: its taxon and what the reviewer saw, where somebody
//! looked after the scout, is sure of a species, and nobody disputes it.

use standbook_fieldbook::named::{Called, Dispute};
use standbook_fieldbook::record::{Opinion, ValueGiven};
use standbook_fieldbook::{Entry, RecordId};

use super::names::standing;
use crate::app::App;
use crate::failure::Failure;
use crate::stand::resolve::{Unknowns, genus_of, in_order};
use crate::words::day_words;

/// A settled plant.
#[derive(Debug, Clone)]
pub(crate) struct Settled {
    /// The plant, current version.
    pub plant: RecordId,
    /// Whether it is an unknown.
    pub is_unknown: bool,
    /// What it is, id of a taxon.
    pub taxon: String,
    /// Who settled it, a sentence.
    pub why: String,
    /// Its page.
    pub address: String,
    /// Opinions with what was seen, the latest last.
    opinions: Vec<Opinion>,
}

impl Settled {
    /// The state of a trait that the latest reviewer saw who looked at it; `None` where nobody did, or
    /// saw more than one.
    pub fn state_of(&self, trait_id: &str) -> Option<String> {
        let seen = self
            .opinions
            .iter()
            .rev()
            .filter_map(|one| one.evidence.as_ref());
        let mut answers = seen.flat_map(|evidence| &evidence.answers);
        let answer = answers.find(|answer| answer.r#trait == trait_id)?;
        match &answer.value {
            ValueGiven::States(states) => match states.as_slice() {
                [one] => Some(one.clone()),
                _ => None,
            },
            _ => None,
        }
    }
}

/// What is settled of a plant.
pub(crate) fn settled(app: &App, plant: RecordId) -> Result<Option<Settled>, Failure> {
    let book = &app.book;
    if let Some(entry) = book.determination(plant)? {
        let opinions = in_order(book.opinions(entry.id)?);
        let unknowns = Unknowns::read(app, entry.body.unknown)?;
        let unknown = entry.body.unknown.and_then(|id| unknowns.get(id));
        let standing = standing(&app.key, &entry, &opinions, unknown);
        let of_unknown = unknown.map_or(&[][..], |known| &known.opinions);
        let all: Vec<&Entry<Opinion>> = opinions.iter().chain(of_unknown).collect();
        return Ok(match (standing.called, standing.disputed) {
            (Called::Taxon(taxon), false) => said(&all).map(|(why, opinions)| Settled {
                plant: entry.id,
                is_unknown: false,
                taxon,
                why,
                address: format!("/determinations/{}", entry.id),
                opinions,
            }),
            _ => None,
        });
    }
    let Some(entry) = book.unknown(plant)? else {
        return Ok(None);
    };
    let opinions = in_order(book.opinions(entry.id)?);
    let called: Vec<(&str, Called)> = opinions
        .iter()
        .map(|one| (one.author.as_str(), Called::by_opinion(&one.body)))
        .collect();
    let genus = |id: &str| app.key.taxon(id).map(|taxon| genus_of(taxon).to_owned());
    let disputed = Dispute::of(called.clone(), &genus) == Dispute::Open;
    let all: Vec<&Entry<Opinion>> = opinions.iter().collect();
    Ok(match (called.last(), disputed) {
        (Some((_, Called::Taxon(taxon))), false) => said(&all).map(|(why, opinions)| Settled {
            plant: entry.id,
            is_unknown: true,
            taxon: taxon.clone(),
            why,
            address: format!("/unknowns/{}", entry.id),
            opinions,
        }),
        _ => None,
    })
}

/// Who settled it, and every opinion in order; `None` where nobody gave one.
fn said(all: &[&Entry<Opinion>]) -> Option<(String, Vec<Opinion>)> {
    let mut all = all.to_vec();
    all.sort_by(|a, b| (&a.born_at, a.id).cmp(&(&b.born_at, b.id)));
    let last = all.last()?;
    let why = format!(
        "{} settled what this plant is, on {}.",
        last.author,
        day_words(&last.born_at)
    );
    Some((why, all.into_iter().map(|one| one.body.clone()).collect()))
}
