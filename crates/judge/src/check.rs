//! Looks the input over: what is impossible is left out and said, what is odd is said.
//!
//! In: a case. Out: the readings that can be used, and notes. Nothing that was entered is
//! changed or lost; a judgement of the rest beats none.

use std::collections::BTreeSet;

use standbook_stand::summary::{Request, Seen, summarise};

use crate::case::{Case, Happened, Laid};
use crate::label::{Label, Role};
use crate::note::Note;
use crate::season::days;

/// Days for which an entry interval that nobody wrote down is spoken of (common practice; the
/// label alone knows).
const UNKNOWN_ENTRY_DAYS: i32 = 30;

/// The readings that can be, and notes on the rest.
pub(crate) fn check(case: &Case) -> (Vec<Laid>, Vec<Note>) {
    let mut notes = dates(case);
    let nothing_asked = Request {
        looked_for: BTreeSet::new(),
        groups: Vec::new(),
        confidence: case.confidence,
        rules: Vec::new(),
    };
    let mut readings = Vec::new();
    for (index, laid) in case.readings.iter().enumerate() {
        match summarise(std::slice::from_ref(&laid.reading), &nothing_asked) {
            Ok(_) => readings.push(laid.clone()),
            Err(error) => {
                // The estimator counts from 1 in what it was given, which was this one alone.
                let why = error.to_string();
                let why = why.strip_prefix("reading 1: ").unwrap_or(&why).to_owned();
                notes.push(Note::LeftOut {
                    reading: index + 1,
                    spot: laid.reading.spot.clone(),
                    why,
                });
            }
        }
    }
    if case.mix.is_empty()
        && case
            .labels
            .values()
            .all(|about| about.role != Role::Planted)
    {
        notes.push(Note::NoMix);
    }
    if readings.is_empty() {
        notes.push(Note::NothingLaid);
    }
    frames(&readings, &mut notes);
    nothing_said(case, &readings, &mut notes);
    (readings, notes)
}

fn dates(case: &Case) -> Vec<Note> {
    let mut notes = Vec::new();
    if case.visited_on < case.seeded_on {
        notes.push(Note::VisitBeforeSeeding {
            seeded_on: case.seeded_on,
            visited_on: case.visited_on,
        });
    }
    let events = case.events.iter().map(|event| ("event", event.on));
    let dates = [("seeding", case.seeded_on), ("visit", case.visited_on)];
    for (what, on) in dates.into_iter().chain(events) {
        if on > case.today {
            let today = case.today;
            notes.push(Note::InTheFuture { what, on, today });
        }
    }
    for event in &case.events {
        let since = days(event.on, case.visited_on);
        if event.on < case.seeded_on {
            notes.push(Note::EventBeforeSeeding { on: event.on });
            continue;
        }
        match event.what {
            Happened::Overseeded => notes.push(Note::Overseeded { on: event.on }),
            Happened::Sprayed { entry_after_h, .. } if since >= 0 => {
                // Calendar days know no hour: the day on which the interval ends still counts.
                let running = match entry_after_h {
                    Some(hours) => hours.is_finite() && f64::from(since) * 24.0 <= hours,
                    None => since <= UNKNOWN_ENTRY_DAYS,
                };
                if running {
                    notes.push(Note::EntryInterval {
                        sprayed_on: event.on,
                        entry_after_h,
                    });
                }
            }
            _ => {}
        }
    }
    notes
}

fn frames(readings: &[Laid], notes: &mut Vec<Note>) {
    let mut grids: Vec<(u32, f64)> = Vec::new();
    let mut counted = false;
    for laid in readings {
        match &laid.reading.seen {
            Seen::Grid { grid, .. } => {
                let kind = (grid.cells, grid.cell_side_cm);
                if !grids.contains(&kind) {
                    grids.push(kind);
                    if !grid.is_standard() {
                        notes.push(Note::OddGrid {
                            cells: grid.cells,
                            cell_side_cm: grid.cell_side_cm,
                        });
                    }
                }
            }
            Seen::Quadrat { .. } => counted = true,
        }
    }
    if grids.len() > 1 {
        notes.push(Note::SeveralGrids { kinds: grids.len() });
    }
    if counted && !grids.is_empty() {
        notes.push(Note::GridsAndCounts);
    }
    let spots: BTreeSet<&str> = readings
        .iter()
        .map(|laid| laid.reading.spot.as_str())
        .collect();
    if spots.len() == 1 {
        notes.push(Note::OneSpot);
    }
    let twice = readings.iter().filter(|laid| laid.looked_twice).count();
    if twice < readings.len() {
        notes.push(Note::NotAllLookedTwice {
            twice,
            frames: readings.len(),
        });
    }
}

fn nothing_said(case: &Case, readings: &[Laid], notes: &mut Vec<Note>) {
    let sown: BTreeSet<&str> = case.mix.iter().map(|sown| sown.taxon.as_str()).collect();
    let mut found: BTreeSet<&Label> = BTreeSet::new();
    for laid in readings {
        match &laid.reading.seen {
            Seen::Grid { occupied, .. } => found.extend(occupied.keys()),
            Seen::Quadrat { plants, .. } => found.extend(plants.keys()),
        }
    }
    for label in found {
        let is_sown = label.taxon().is_some_and(|taxon| sown.contains(taxon));
        // An unknown, and a plant that is not in the key, say by themselves what they are.
        if !case.labels.contains_key(label) && !is_sown && label.taxon().is_some() {
            notes.push(Note::NothingSaidOf {
                label: label.clone(),
            });
        }
    }
}
