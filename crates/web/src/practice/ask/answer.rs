//! What a form answers to a question.
//!
//! In: a question with its plant, the fields of the form. Out: what goes into the record, or what is wrong
//! with the form. Nothing is judged here but what the record keeps beside her answer: what is true.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Practice, PracticeReading};
use standbook_fieldbook::time::parse_stamp;
use standbook_identify::{CANNOT_TELL, Evidence, Reading};

use super::name::{LISTED, Name, SOMETHING_ELSE};
use super::pair::{Pair, Side};
use super::posed::{Posed, Spot};
use super::see::{See, trait_of};
use crate::app::App;
use crate::failure::Failure;
use crate::here::Here;
use crate::plot::filled::Filled;

/// Whoever takes longer had put the phone away.
const LONGEST_S: f64 = 1_800.0;

/// What was answered.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Said {
    taxon: Option<String>,
    against: Option<String>,
    named: Option<String>,
    pub by: Option<String>,
    readings: Vec<PracticeReading>,
}

/// Reads an answer; `None` when something is wrong with the form. `walked`: what was seen in a walk with
/// the book.
pub(super) fn read(
    app: &App,
    posed: &Posed,
    walked: &Evidence,
    filled: &mut Filled,
) -> Option<Said> {
    match posed {
        Posed::See(see) => of_trait(app, see, filled),
        Posed::Pair(pair) => of_pair(app, pair, filled),
        Posed::Name(name) => of_name(app, name, walked, filled),
    }
}

fn of_trait(app: &App, see: &See, filled: &mut Filled) -> Option<Said> {
    let said = filled.get("said").to_owned();
    let known = trait_of(app, &see.trait_id).is_ok_and(|one| one.state_index(&said).is_some());
    let reported = match said.as_str() {
        CANNOT_TELL => None,
        _ if known => Some(said),
        _ => {
            nothing(
                filled,
                "said",
                "Press what you see, or \u{201c}Can\u{2019}t tell\u{201d}.",
            );
            return None;
        }
    };
    Some(Said {
        readings: vec![PracticeReading {
            trait_id: see.trait_id.clone(),
            shown: see.truth.clone(),
            reported,
        }],
        ..Said::default()
    })
}

fn of_pair(app: &App, pair: &Pair, filled: &mut Filled) -> Option<Said> {
    let which = filled.get("which").to_owned();
    let by = filled.get("by").to_owned();
    let mut said = Said {
        taxon: Some(pair.wanted().taxon.clone()),
        against: Some(pair.other().taxon.clone()),
        ..Said::default()
    };
    let Some(side) = Side::from_id(&which) else {
        if which != CANNOT_TELL {
            nothing(
                filled,
                "which",
                "Choose the left one, the right one, or \u{201c}Can\u{2019}t tell\u{201d}.",
            );
            return None;
        }
        return Some(said);
    };
    if app.key.trait_by_id(&by).is_none() || !pair.choices.contains(&by) {
        nothing(filled, "by", "Choose by what you told them apart.");
        return None;
    }
    // Whoever takes the one for the other calls each by the other's name.
    said.named = Some(pair.at(side).taxon.clone());
    said.by = Some(by);
    Some(said)
}

fn of_name(app: &App, name: &Name, walked: &Evidence, filled: &mut Filled) -> Option<Said> {
    let field = match filled.get("said") {
        LISTED => "listed",
        _ => "said",
    };
    let said = filled.get(field).to_owned();
    let named = match said.as_str() {
        CANNOT_TELL => None,
        SOMETHING_ELSE => Some(said),
        id if app.key.taxon(id).is_some() => Some(said),
        _ => {
            nothing(
                filled,
                "said",
                "Choose a name, or \u{201c}Can\u{2019}t tell\u{201d}.",
            );
            return None;
        }
    };
    Some(Said {
        taxon: Some(name.truth().to_owned()),
        named,
        readings: readings(app, name, walked),
        ..Said::default()
    })
}

/// What was reported of each trait that this plant has, in a walk. Several states at once are no reading:
/// she could not tell.
fn readings(app: &App, name: &Name, walked: &Evidence) -> Vec<PracticeReading> {
    walked
        .answers()
        .iter()
        .filter_map(|answer| {
            let columns = app.table.traits.get(answer.trait_index)?;
            let trait_id = columns.id.to_string();
            let shown = match name {
                Name::Drawn(specimen) => specimen.shows_of(&trait_id)?.to_owned(),
                Name::Photo(photo) => photo.state_of(&trait_id)?,
            };
            let reported = match &answer.reading {
                Reading::Measure(_) => return None,
                Reading::CannotTell => None,
                Reading::States(states) => match states.as_slice() {
                    [one] => Some(columns.states.get(*one)?.to_string()),
                    _ => None,
                },
            };
            Some(PracticeReading {
                trait_id,
                shown,
                reported,
            })
        })
        .collect()
}

fn nothing(filled: &mut Filled, field: &str, mend: &str) {
    filled
        .troubles
        .add(field, format!("Nothing was kept yet. {mend}"));
}

/// The record of an answer.
pub(super) fn record(
    app: &App,
    here: &Here,
    spot: &Spot,
    posed: &Posed,
    said: Said,
    filled: &Filled,
) -> Result<Practice, Failure> {
    Ok(Practice {
        scout: filled.get("scout").to_owned(),
        drill: posed.drill(),
        question: spot.text.clone(),
        with_book: spot.with_book,
        key_id: app.key.id.clone(),
        table_fingerprint: app.table.fingerprint.clone(),
        taxon: said.taxon,
        against: said.against,
        named: said.named,
        by: said.by,
        readings: said.readings,
        cells: Vec::new(),
        seconds: seconds(app, here, filled.id(), filled.get("issued"))?,
        of_set: spot.of_set.as_ref().map(|(of, _)| *of),
    })
}

/// From the page to the answer, where that is known: both by the clock of this machine. Sent a second time
/// it is what it was the first time.
fn seconds(app: &App, here: &Here, id: RecordId, issued: &str) -> Result<Option<f64>, Failure> {
    if let Some(kept) = app.book.practice(id)? {
        return Ok(kept.body.seconds);
    }
    if here.born_at.is_some() {
        return Ok(None);
    }
    let stamps = parse_stamp(issued).zip(parse_stamp(&here.now()));
    Ok(stamps
        .map(|(issued, now)| now.duration_since(issued).as_secs_f64())
        .filter(|seconds| (0.0..=LONGEST_S).contains(seconds)))
}
