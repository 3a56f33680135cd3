//! What has been recorded, in words: names of what a tally counts, a frame in a line or two.

use std::collections::BTreeMap;

use standbook_fieldbook::record::{Counted, Determination, Frame, FrameShape, Unknown};
use standbook_fieldbook::{BookError, Entry, RecordId};

use crate::app::App;
use crate::words;

/// How a taxon or an unknown is said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Said {
    /// Common name, or `unknown 3`.
    pub name: String,
    /// Scientific name, or what the unknown looks like; may be empty.
    pub more: String,
    /// Whether it is an unknown.
    pub unknown: bool,
}

/// How what a tally counts is said.
pub(crate) fn say(app: &App, what: &Counted) -> Result<Said, BookError> {
    Ok(match what {
        Counted::Taxon(id) => {
            let (name, more) = words::taxon_name(app, id);
            Said {
                name,
                more,
                unknown: false,
            }
        }
        Counted::Unknown(id) => match app.book.unknown(*id)? {
            Some(unknown) => Said {
                name: format!("unknown {}", unknown.body.number),
                more: unknown.body.description,
                unknown: true,
            },
            None => Said {
                name: format!("unknown {id}"),
                more: String::new(),
                unknown: true,
            },
        },
    })
}

/// Everything counted in a frame, each with its cells or its number of plants, in the order in
/// which it was entered.
pub(crate) fn gathered(frame: &Frame) -> Vec<(Counted, Vec<u32>, u32)> {
    let mut list: Vec<(Counted, Vec<u32>, u32)> = Vec::new();
    let mut at: BTreeMap<Counted, usize> = BTreeMap::new();
    for tally in &frame.tallies {
        let index = *at.entry(tally.what.clone()).or_insert_with(|| {
            list.push((tally.what.clone(), Vec::new(), 0));
            list.len() - 1
        });
        let entry = &mut list[index];
        entry.1.extend(tally.cell);
        entry.2 = entry.2.saturating_add(tally.plants.unwrap_or(0));
    }
    list
}

/// What was laid, such as `25 cells of 15 cm` or `quadrat of 0.25 m² (2.7 ft²)`.
pub(crate) fn shape_words(shape: FrameShape) -> String {
    match shape {
        FrameShape::Grid {
            cells,
            cell_side_cm,
        } => format!(
            "{cells} cells of {} cm ({} in)",
            words::plain(cell_side_cm),
            words::plain((cell_side_cm / words::CM_PER_INCH * 10.0).round() / 10.0)
        ),
        FrameShape::Quadrat { area_m2 } => format!("quadrat of {}", words::area(area_m2)),
        FrameShape::Row {
            length_m,
            row_spacing_cm,
        } => format!(
            "{} m ({} ft) of row, rows {} cm ({} in) apart",
            words::digits(length_m),
            words::digits(length_m / 0.3048),
            words::digits(row_spacing_cm),
            words::digits(row_spacing_cm / words::CM_PER_INCH)
        ),
    }
}

/// The entries of a frame in words, one for each thing counted; empty means looked, none.
pub(crate) fn frame_words(app: &App, frame: &Frame) -> Result<Vec<String>, BookError> {
    gathered(frame)
        .into_iter()
        .map(|(what, cells, plants)| {
            let name = say(app, &what)?.name;
            Ok(match frame.shape {
                FrameShape::Grid { cells: all, .. } => {
                    format!("{name} in {} of {all} cells", cells.len())
                }
                FrameShape::Quadrat { .. } | FrameShape::Row { .. } => {
                    let n = usize::try_from(plants).unwrap_or(usize::MAX);
                    format!("{name}: {}", words::number_of(n, "plant"))
                }
            })
        })
        .collect()
}

/// One line of a list that leads somewhere.
pub(crate) struct Row {
    /// Where it leads.
    pub address: String,
    /// What it is.
    pub title: String,
    /// More of it, may be empty.
    pub more: String,
}

/// A frame as a line.
pub(crate) fn frame_row(app: &App, frame: &Entry<Frame>) -> Result<Row, BookError> {
    let entries = frame_words(app, &frame.body)?;
    let what = if entries.is_empty() {
        "looked, none".to_owned()
    } else {
        entries.join("; ")
    };
    Ok(Row {
        address: format!("/frames/{}", frame.id),
        title: format!("Frame {}", frame.body.number),
        more: format!(
            "{what} ({}, {})",
            shape_words(frame.body.shape),
            frame.body.scout
        ),
    })
}

/// A determination as a line.
pub(crate) fn determination_row(app: &App, determination: &Entry<Determination>) -> Row {
    let name = match &determination.body.taxon {
        Some(taxon) => words::taxon_name(app, taxon).0,
        None => "no name".to_owned(),
    };
    let cell = match determination.body.cell {
        Some(cell) => format!(", cell {cell}"),
        None => String::new(),
    };
    Row {
        address: format!("/determinations/{}", determination.id),
        title: format!("Determination: {name}"),
        more: format!(
            "{}{cell}, {}",
            words::outcome_words(&determination.body.evidence.outcome),
            determination.author
        ),
    }
}

/// An unknown as a line that leads to looking at it at this point.
pub(crate) fn unknown_row(unknown: &Entry<Unknown>, point: RecordId) -> Row {
    Row {
        address: format!("/at/{point}/plant?unknown={}", unknown.id),
        title: format!("Unknown {}", unknown.body.number),
        more: format!("{}. Look at it now", unknown.body.description),
    }
}

/// Whether an unknown was first seen at this point, any version of it.
pub(crate) fn seen_at(
    app: &App,
    unknown: &Entry<Unknown>,
    point: RecordId,
) -> Result<bool, BookError> {
    Ok(app
        .book
        .point(unknown.body.first_seen)?
        .is_some_and(|first| first.id == point))
}
