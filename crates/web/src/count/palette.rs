//! What a scout is offered to mark: the mix, what was met in this visit, unknowns by number.
//!
//! Order: the planted species of the mix, then what the visit has most of, then unknowns. The
//! rest of the key is one list away. Few columns keep the page quick to load and to look over.

use std::collections::BTreeMap;

use standbook_fieldbook::BookError;
use standbook_fieldbook::record::Counted;

use super::draft::{Column, Draft, What};
use crate::app::App;
use crate::plot::place::Place;
use crate::plot::recorded::{Said, say};

/// Check boxes a page carries at most before anything is added, so that it stays below 30 KB.
const BOXES: u32 = 275;
/// Columns offered at most, beside the mix.
const OFFERED: usize = 12;

/// Adds to a draft what it does not hold yet.
pub(super) fn offer(app: &App, place: &Place, draft: &mut Draft) -> Result<(), BookError> {
    let mut met: BTreeMap<String, usize> = BTreeMap::new();
    for frame in app.book.frames(place.visit.id)? {
        for tally in &frame.body.tallies {
            if let Counted::Taxon(id) = &tally.what {
                *met.entry(id.clone()).or_default() += 1;
            }
        }
    }
    for determination in app.book.determinations(place.visit.id)? {
        if let Some(id) = &determination.body.taxon {
            *met.entry(id.clone()).or_default() += 1;
        }
    }
    let mut met: Vec<(usize, String)> = met.into_iter().map(|(id, n)| (n, id)).collect();
    met.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));

    let mut unknowns = app.book.unknowns(place.visit.id)?;
    // The newest are the ones at hand; the others are in the list.
    let older = unknowns.len().saturating_sub(4);
    unknowns.drain(..older);

    let cells = draft.device.cells().max(1);
    let most = usize::try_from(BOXES / cells)
        .unwrap_or(OFFERED)
        .clamp(1, OFFERED);
    let mut before = std::mem::take(&mut draft.columns);
    for column in &mut before {
        // An unknown whose description was corrected is offered once, by its present version.
        if let What::Unknown(id) = &mut column.what
            && let Some(unknown) = app.book.unknown(*id)?
        {
            *id = unknown.id;
        }
    }
    let mut columns: Vec<Column> = Vec::new();
    let mut put = |what: What, always: bool| {
        let counted = what.counted();
        if columns
            .iter()
            .any(|column| column.what.counted() == counted)
        {
            return;
        }
        let held = before
            .iter()
            .find(|column| column.what.counted() == counted);
        match held {
            Some(column) => columns.push(column.clone()),
            None if always || columns.len() < most => columns.push(Column::empty(what)),
            None => {}
        }
    };
    for item in &place.planting.body.mix {
        put(What::Taxon(item.taxon.clone()), true);
    }
    for column in &before {
        put(column.what.clone(), true);
    }
    // Two places stay free for unknowns where there are any.
    let spare = unknowns.len().min(2);
    for (_, id) in met.into_iter().take(most.saturating_sub(spare)) {
        put(What::Taxon(id), false);
    }
    for unknown in unknowns {
        put(What::Unknown(unknown.id), false);
    }
    draft.columns = columns;
    // The first with marks is what a correction is about.
    draft.show = draft.columns.iter().position(Column::marked).unwrap_or(0);
    Ok(())
}

/// How a column is said.
pub(super) fn said(app: &App, what: &What) -> Result<Said, BookError> {
    match what {
        What::New {
            number,
            description,
            ..
        } => Ok(Said {
            name: format!("unknown {number}"),
            more: description.clone(),
            unknown: true,
        }),
        What::Taxon(_) | What::Unknown(_) => say(app, &what.counted()),
    }
}

/// One choice of the list of everything else.
pub(super) struct Choice {
    /// As the form spells it.
    pub value: String,
    /// For people.
    pub label: String,
}

/// Everything that can be added: taxa of the key by common name, then unknowns of the visit.
pub(super) fn rest(app: &App, place: &Place, draft: &Draft) -> Result<Vec<Choice>, BookError> {
    let held = |what: &What| {
        let counted = what.counted();
        draft
            .columns
            .iter()
            .any(|column| column.what.counted() == counted)
    };
    let mut list: Vec<Choice> = app
        .key
        .taxa
        .iter()
        .map(|taxon| {
            (
                What::Taxon(taxon.id.as_str().to_owned()),
                taxon.common_name.clone(),
            )
        })
        .filter(|(what, _)| !held(what))
        .map(|(what, label)| Choice {
            value: what.code(),
            label,
        })
        .collect();
    list.sort_by_key(|choice| choice.label.to_lowercase());
    for unknown in app.book.unknowns(place.visit.id)? {
        let what = What::Unknown(unknown.id);
        if !held(&what) {
            let description: String = unknown.body.description.chars().take(40).collect();
            list.push(Choice {
                value: what.code(),
                label: format!("unknown {}: {description}", unknown.body.number),
            });
        }
    }
    Ok(list)
}
