//! Whether a draft may be saved, and what the book gets then.
//!
//! In: a draft at a place. Out: the frame and the unknowns made with it, or everything that is
//! wrong. Numbers that were free when the form was shown and are taken now are given anew: the
//! scout only has to look and save again.

use standbook_fieldbook::record::{Frame, FrameShape, Tally, Unknown};
use standbook_fieldbook::{Body, BookError, Entry, RecordId, limits};

use super::device::shape;
use super::draft::{Draft, What, short};
use crate::app::App;
use crate::plot::filled::Troubles;
use crate::plot::keep;
use crate::plot::place::Place;
use crate::words;

/// What is written on the form for a column, for messages.
fn called(app: &App, what: &What) -> Result<String, BookError> {
    Ok(match what {
        What::Taxon(id) => short(&words::taxon_name(app, id).0),
        What::Unknown(id) => match app.book.unknown(*id)? {
            Some(unknown) => format!("unknown {}", unknown.body.number),
            None => format!("unknown {id}"),
        },
        What::New { number, .. } => format!("unknown {}", short(number)),
    })
}

/// The tallies of a draft.
fn tallies(
    app: &App,
    draft: &Draft,
    shape: FrameShape,
    troubles: &mut Troubles,
) -> Result<Vec<Tally>, BookError> {
    let mut list = Vec::new();
    for (at, column) in draft.columns.iter().enumerate() {
        let name = called(app, &column.what)?;
        match shape {
            FrameShape::Grid { cells, .. } => {
                for cell in &column.cells {
                    if !(1..=cells).contains(cell) {
                        troubles.add(
                            "c",
                            format!("{name}: cell {cell} is not in this frame of {cells} cells. Mark cells 1 to {cells}."),
                        );
                    }
                    list.push(Tally {
                        cell: Some(*cell),
                        what: column.what.counted(),
                        plants: None,
                    });
                }
            }
            FrameShape::Quadrat { .. } | FrameShape::Row { .. } => {
                if column.plants.is_empty() {
                    continue;
                }
                match column.plants.parse::<u32>() {
                    Ok(0) => {}
                    Ok(n) if n <= limits::PLANTS => list.push(Tally {
                        cell: None,
                        what: column.what.counted(),
                        plants: Some(n),
                    }),
                    _ => troubles.add(
                        &format!("p.{at}"),
                        format!(
                            "{name}: \u{201c}{}\u{201d} is no number of plants. Use a whole number from 0 to {}.",
                            short(&column.plants),
                            limits::PLANTS
                        ),
                    ),
                }
            }
        }
    }
    Ok(list)
}

/// Adds what is wrong with the things counted, and gives the unknowns to be made.
fn unknowns(
    app: &App,
    place: &Place,
    draft: &mut Draft,
    troubles: &mut Troubles,
) -> Result<Vec<keep::Draft>, BookError> {
    let taken: Vec<(u32, RecordId)> = app
        .book
        .unknowns(place.visit.id)?
        .iter()
        .map(|unknown| (unknown.body.number, unknown.id))
        .collect();
    let mut next = app.book.next_unknown_number(place.visit.id)?;
    // A corrected frame may name what the key no longer has.
    let before = match draft.supersedes {
        Some(old) => app.book.frame(old)?.map(|frame| frame.body.tallies),
        None => None,
    }
    .unwrap_or_default();
    let mut made = Vec::new();
    for column in &mut draft.columns {
        let marked = column.marked();
        let counted = column.what.counted();
        match &mut column.what {
            What::Taxon(id) => {
                if app.key.taxon(id).is_none() && !before.iter().any(|tally| tally.what == counted)
                {
                    troubles.add(
                        "col",
                        format!(
                            "\u{201c}{}\u{201d} is no species of this key. Clear its marks and choose from the list, or add an unknown.",
                            short(id)
                        ),
                    );
                }
            }
            What::Unknown(id) => {
                if app.book.unknown(*id)?.is_none() {
                    troubles.add(
                        "col",
                        format!("Unknown {id} is not in this book. Clear its marks."),
                    );
                }
            }
            What::New {
                id,
                number,
                description,
            } => {
                // Made when this form was sent the first time.
                if app.book.get(*id)?.is_some() {
                    continue;
                }
                let wanted = number
                    .parse::<u32>()
                    .ok()
                    .filter(|n| (1..=limits::NUMBER).contains(n));
                let free = wanted.filter(|n| !taken.iter().any(|(t, _)| t == n));
                let given = match free {
                    Some(n) => {
                        next = next.max(n + 1);
                        n
                    }
                    None => {
                        troubles.add(
                            "col",
                            format!(
                                "Number {} went to another unknown of this visit meanwhile. This one is now unknown {next}: correct its tag, then save again.",
                                short(number)
                            ),
                        );
                        *number = next.to_string();
                        next += 1;
                        next - 1
                    }
                };
                if description.trim().is_empty() {
                    troubles.add(
                        &format!("new.{id}"),
                        format!("Unknown {given} has no description. Say what it looks like, so that it can be found again."),
                    );
                } else if description.chars().count() > limits::NOTE_CHARS {
                    troubles.add(
                        &format!("new.{id}"),
                        format!(
                            "The description of unknown {given} has {} characters. Shorten it to {}.",
                            description.chars().count(),
                            limits::NOTE_CHARS
                        ),
                    );
                }
                if !marked {
                    troubles.add(
                        "col",
                        format!(
                            "Unknown {given} is marked nowhere. Mark it, or take it out again."
                        ),
                    );
                }
                made.push(keep::Draft {
                    id: *id,
                    supersedes: None,
                    body: Body::Unknown(Unknown {
                        visit: place.visit.id,
                        number: given,
                        description: description.clone(),
                        first_seen: place.asked,
                    }),
                });
            }
        }
    }
    Ok(made)
}

/// A frame of this point that has the number and the scout of the draft already.
pub(super) struct Twin {
    /// The frame.
    pub id: RecordId,
    /// Its number.
    pub number: u32,
}

/// Whether two names are those of one person, as far as spelling goes.
pub(super) fn same_person(one: &str, other: &str) -> bool {
    let words = |name: &str| -> Vec<String> {
        let words = name.split_whitespace();
        words.map(str::to_lowercase).collect()
    };
    words(one) == words(other)
}

/// Reads the frame's number; one that this scout has used here already is replaced by the next,
/// and the frame that has it is given back.
fn number(
    app: &App,
    place: &Place,
    draft: &mut Draft,
    troubles: &mut Troubles,
) -> Result<(u32, Option<Twin>), BookError> {
    let Some(number) = draft
        .number
        .parse::<u32>()
        .ok()
        .filter(|n| (1..=limits::NUMBER).contains(n))
    else {
        troubles.add(
            "number",
            format!(
                "\u{201c}{}\u{201d} is no number of a frame. Use a whole number from 1 to {}.",
                short(&draft.number),
                limits::NUMBER
            ),
        );
        return Ok((0, None));
    };
    // Sent before: then the book decides whether it is the same.
    if app.book.get(draft.id)?.is_some() {
        return Ok((number, None));
    }
    let own = match draft.supersedes {
        Some(old) => app.book.frame(old)?.map(|frame| frame.id),
        None => None,
    };
    let twin = app
        .book
        .frames_numbered(place.point.id, number)?
        .into_iter()
        .find(|frame| same_person(&frame.body.scout, &draft.scout) && Some(frame.id) != own);
    let Some(twin) = twin else {
        return Ok((number, None));
    };
    if draft.repeats.is_some() {
        troubles.add(
            "scout",
            format!(
                "{} has read frame {number} at this point already. Only somebody who has not seen it can read it again blind.",
                draft.scout
            ),
        );
        return Ok((number, None));
    }
    let next = app.book.next_frame_number(place.point.id)?;
    troubles.add(
        "number",
        format!(
            "{} has read frame {number} at this point already. If this is another laying, it is now frame {next}: save again. \
             If it is the same one read anew, correct frame {number} with it. If somebody else read it, type that name and save it as a second reading.",
            draft.scout
        ),
    );
    draft.number = next.to_string();
    Ok((
        number,
        Some(Twin {
            id: twin.id,
            number,
        }),
    ))
}

/// Adds what speaks against this being a blind reading of another scout's frame.
fn repeat(
    app: &App,
    place: &Place,
    draft: &Draft,
    troubles: &mut Troubles,
) -> Result<(), BookError> {
    let Some(first) = draft.repeats else {
        return Ok(());
    };
    let Some(first) = app.book.frame(first)? else {
        troubles.add(
            "",
            "The frame that this one reads again is not in this book. Go back to the point and begin anew.",
        );
        return Ok(());
    };
    if same_person(&first.body.scout, &draft.scout) {
        troubles.add("scout", same_scout(&first));
    }
    if app.book.point(first.body.point)?.map(|point| point.id) != Some(place.point.id) {
        troubles.add(
            "",
            "The frame that this one reads again lies at another point. Go back to that point and begin there.",
        );
    }
    Ok(())
}

/// What somebody is told who wants to repeat the own frame.
pub(super) fn same_scout(first: &Entry<Frame>) -> String {
    format!(
        "{} read this frame first. A second reading shows what was overlooked only if somebody else does it, without seeing the first. \
         Hand the phone over, and type the other name.",
        first.body.scout
    )
}

/// What the book gets, or what is wrong; the draft may get new numbers. With it, the frame that
/// had the number already.
pub(super) fn check(
    app: &App,
    place: &Place,
    draft: &mut Draft,
    troubles: &mut Troubles,
) -> Result<(Vec<keep::Draft>, Option<Twin>), BookError> {
    for strange in &draft.strange {
        troubles.add(
            "c",
            format!("{strange}. Look at what is marked below, then save again."),
        );
    }
    if draft.scout.is_empty() {
        troubles.add("scout", "Your name is missing. Type it.");
    } else if draft.scout.chars().count() > limits::NAME_CHARS {
        troubles.add(
            "scout",
            format!(
                "Your name has {} characters. Shorten it to {}.",
                draft.scout.chars().count(),
                limits::NAME_CHARS
            ),
        );
    }
    repeat(app, place, draft, troubles)?;
    let (number, twin) = number(app, place, draft, troubles)?;
    let mut drafts = unknowns(app, place, draft, troubles)?;
    let Some(shape) = shape(&draft.device, troubles) else {
        return Ok((Vec::new(), twin));
    };
    let tallies = tallies(app, draft, shape, troubles)?;
    let grid = matches!(shape, FrameShape::Grid { .. });
    let marked = draft.columns.iter().any(|column| column.marked());
    if !marked && !draft.none && draft.strange.is_empty() {
        let message = if grid {
            "No cell is marked. Mark what is there, or press \u{201c}Looked, none\u{201d}."
        } else {
            "No plant is entered. Enter what is there, or press \u{201c}Looked, none\u{201d}."
        };
        troubles.add("none", message);
    }
    if marked && draft.none {
        let message = if grid {
            "Cells are marked, so \u{201c}Looked, none\u{201d} cannot be. Clear the marks, or save them."
        } else {
            "Plants are entered, so \u{201c}Looked, none\u{201d} cannot be. Clear them, or save them."
        };
        troubles.add("none", message);
    }
    drafts.push(keep::Draft {
        id: draft.id,
        supersedes: draft.supersedes,
        body: Body::Frame(Frame {
            point: place.asked,
            number,
            scout: draft.scout.clone(),
            shape,
            tallies,
            looked_twice: draft.twice,
            repeats: draft.repeats,
        }),
    });
    Ok((drafts, twin))
}
