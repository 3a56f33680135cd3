//! What a scout is offered to mark: the mix, what was met in this visit, unknowns by number.
//!
//! Order: the planted species of the mix, then what the visit has most of, then unknowns. The
//! rest of the key is one list away. Few columns keep the page quick to load and to look over.
//! A blind repeat is offered nothing that was met at its point only: the choice itself would
//! tell what the first scout saw.

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::record::{Counted, MixItem};
use standbook_fieldbook::{BookError, RecordId};

use super::draft::{Column, Draft, What};
use crate::app::App;
use crate::plot::place::Place;
use crate::plot::recorded::{Said, say, seen_at};

/// Check boxes a page carries, so that it stays below 30 KB. The cells of columns beyond that
/// are one press away (`sheet_page`).
pub(super) const BOXES: usize = 275;
/// Columns offered at most, beside the mix.
const OFFERED: usize = 12;
/// Columns offered of a frame with so many cells that not all fit on the page.
const OFFERED_LARGE: usize = 6;

/// How many columns' cells fit on a page; at least one.
pub(super) fn columns_on_the_page(cells: u32) -> usize {
    let cells = usize::try_from(cells).unwrap_or(usize::MAX).max(1);
    (BOXES / cells).max(1)
}

/// Everything met in a visit: taxa with how often, and unknowns by number. `but_at`: what was met
/// at this point only is left out.
fn met(
    app: &App,
    visit: RecordId,
    but_at: Option<RecordId>,
) -> Result<(Vec<String>, Vec<RecordId>), BookError> {
    let blind = match but_at {
        Some(point) => app.book.frames_at(point)?.iter().map(|it| it.id).collect(),
        None => BTreeSet::new(),
    };
    let walked_blind = match but_at {
        Some(point) => app.book.determinations_at(point)?,
        None => Vec::new(),
    };
    let mut taxa: BTreeMap<String, usize> = BTreeMap::new();
    let mut seen_elsewhere: BTreeSet<RecordId> = BTreeSet::new();
    for frame in app.book.frames(visit)? {
        if blind.contains(&frame.id) {
            continue;
        }
        for tally in &frame.body.tallies {
            match &tally.what {
                Counted::Taxon(id) => *taxa.entry(id.clone()).or_default() += 1,
                Counted::Unknown(id) => {
                    seen_elsewhere.insert(app.book.unknown(*id)?.map_or(*id, |it| it.id));
                }
            }
        }
    }
    for determination in app.book.determinations(visit)? {
        if let Some(id) = &determination.body.taxon
            && !walked_blind.iter().any(|it| it.id == determination.id)
        {
            *taxa.entry(id.clone()).or_default() += 1;
        }
    }
    let mut taxa: Vec<(usize, String)> = taxa.into_iter().map(|(id, n)| (n, id)).collect();
    taxa.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    let mut unknowns = Vec::new();
    for unknown in app.book.unknowns(visit)? {
        let here = match but_at {
            Some(point) => seen_at(app, &unknown, point)?,
            None => false,
        };
        if !here || seen_elsewhere.contains(&unknown.id) {
            unknowns.push(unknown.id);
        }
    }
    Ok((taxa.into_iter().map(|(_, id)| id).collect(), unknowns))
}

/// Where a frame lies, as far as the choice of what to mark depends on it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Setting<'a> {
    /// The visit.
    pub visit: RecordId,
    /// What was sown.
    pub mix: &'a [MixItem],
    /// The point of which a blind reading must not tell.
    pub blind_at: Option<RecordId>,
}

impl<'a> Setting<'a> {
    /// Of a draft at its place.
    pub fn of(place: &'a Place, draft: &Draft) -> Setting<'a> {
        Setting {
            visit: place.visit.id,
            mix: &place.planting.body.mix,
            blind_at: draft.repeats.map(|_| place.point.id),
        }
    }
}

/// Adds to a draft what it does not hold yet.
pub(super) fn offer(app: &App, setting: Setting, draft: &mut Draft) -> Result<(), BookError> {
    let (met, mut unknowns) = met(app, setting.visit, setting.blind_at)?;
    // The newest are the ones at hand; the others are in the list.
    let older = unknowns.len().saturating_sub(4);
    unknowns.drain(..older);

    let fit = columns_on_the_page(draft.device.cells());
    let most = fit.clamp(OFFERED_LARGE, OFFERED);
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
    for item in setting.mix {
        put(What::Taxon(item.taxon.clone()), true);
    }
    for column in &before {
        put(column.what.clone(), true);
    }
    // Two places stay free for unknowns where there are any.
    let spare = unknowns.len().min(2);
    for id in met.into_iter().take(most.saturating_sub(spare)) {
        put(What::Taxon(id), false);
    }
    for unknown in unknowns {
        put(What::Unknown(unknown), false);
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
pub(super) fn rest(app: &App, setting: Setting, draft: &Draft) -> Result<Vec<Choice>, BookError> {
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
    let (_, offered) = met(app, setting.visit, setting.blind_at)?;
    for unknown in app.book.unknowns(setting.visit)? {
        let what = What::Unknown(unknown.id);
        if !held(&what) && offered.contains(&unknown.id) {
            let description: String = unknown.body.description.chars().take(40).collect();
            list.push(Choice {
                value: what.code(),
                label: format!("unknown {}: {description}", unknown.body.number),
            });
        }
    }
    Ok(list)
}
