//! The page of a saved frame: what was entered, who and when, its versions, and the way on.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Body, Counted, Frame, FrameShape};
use standbook_fieldbook::{BookError, Entry, Record, RecordId};

use super::agree::{self, Overlooking, Pair};
use super::draft::again;
use super::drawing::{Drawing, draw, letter};
use super::enough;
use super::next_stop::{Card, cards};
use super::notices::{self, Notice};
use super::walk::Walk;
use super::walk_page::progress;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::keep::at_point;
use crate::plot::place::Place;
use crate::plot::recorded::{frame_words, gathered, say, shape_words};
use crate::words;

/// One line of the legend.
struct LegendLine {
    /// Letter in the drawing; empty where plants are counted.
    letter: String,
    /// Common name, or `unknown 3`.
    name: String,
    /// Scientific name, or what the unknown looks like; may be empty.
    more: String,
    /// How much of it, in words.
    amount: String,
    /// Where an unknown is walked through its traits.
    walk: Option<String>,
}

/// The page.
#[derive(Template)]
#[template(path = "count/frame.html")]
struct FramePage {
    /// Frame around the page.
    shell: Shell,
    /// Where it lay.
    place: Place,
    /// The frame.
    frame: Entry<Frame>,
    /// What was laid, in words.
    shape: String,
    /// When it was saved, in words.
    when: String,
    /// What does not fit about clock, date or place.
    notices: Vec<Notice>,
    /// The drawing, for a grid.
    drawing: Option<Drawing>,
    /// What was entered in words, for those who can't see the drawing.
    in_words: String,
    /// What was entered.
    legend: Vec<LegendLine>,
    /// Versions before this one, oldest first, in words.
    versions: Vec<String>,
    /// The first reading, when this is a repeat: its scout.
    repeat_of: Option<String>,
    /// Double readings of this frame.
    pairs: Vec<Pair>,
    /// Where the words for agreement are from.
    agreement_sources: String,
    /// What double readings of the visit say about overlooking.
    overlooking: Option<Overlooking>,
    /// What the stopping rule says, or how wide the interval is; may be empty.
    enough: String,
    /// How far the walk by plan has come; empty without a plan.
    progress: String,
    /// Stops of the plan to walk to; empty without a plan or when all are done.
    cards: Vec<Card>,
    /// An empty form with the same device.
    again: String,
    /// Its number.
    next_number: u32,
    /// The next point of the plot: its address and label, when there is one already.
    next_point: Option<(String, String)>,
    /// Otherwise, what a new point will be called, and the id it will have.
    new_point: (String, RecordId),
}

/// How much of something was found, in words.
fn amount(shape: FrameShape, cells: usize, plants: u32) -> String {
    let number = usize::try_from(plants).unwrap_or(usize::MAX);
    let number = words::number_of(number, "plant");
    match shape {
        FrameShape::Grid { cells: all, .. } => format!("{cells} of {all} cells"),
        FrameShape::Quadrat { area_m2 } => format!(
            "{number}, {}",
            words::plants_per_area(f64::from(plants) / area_m2)
        ),
        FrameShape::Row { length_m, .. } => {
            let per_foot = f64::from(plants) * super::device::M_PER_FOOT / length_m;
            let mut text = format!("{number}, {} per foot of row", words::digits(per_foot));
            if let Some(area_m2) = shape.counted_area_m2() {
                text.push_str(&format!(
                    ", {}",
                    words::plants_per_area(f64::from(plants) / area_m2)
                ));
            }
            text
        }
    }
}

fn legend(app: &App, frame: &Frame, point: RecordId) -> Result<Vec<LegendLine>, BookError> {
    let mut legend = Vec::new();
    for (n, (what, cells, plants)) in gathered(frame).into_iter().enumerate() {
        let said = say(app, &what)?;
        legend.push(LegendLine {
            letter: match frame.shape {
                FrameShape::Grid { .. } => letter(n),
                FrameShape::Quadrat { .. } | FrameShape::Row { .. } => String::new(),
            },
            name: said.name,
            more: said.more,
            amount: amount(frame.shape, cells.len(), plants),
            walk: match what {
                Counted::Unknown(unknown) => Some(format!("/at/{point}/plant?unknown={unknown}")),
                Counted::Taxon(_) => None,
            },
        });
    }
    Ok(legend)
}

/// Versions before the current one, in words.
fn versions(app: &App, current: RecordId, history: &[Record]) -> Result<Vec<String>, BookError> {
    let mut versions = Vec::new();
    for record in history.iter().filter(|record| record.id != current) {
        if let Body::Frame(body) = &record.body {
            let entries = frame_words(app, body)?;
            versions.push(format!(
                "{}, {}: {}",
                words::instant_words(&record.born_at),
                record.author,
                if entries.is_empty() {
                    "looked, none".to_owned()
                } else {
                    entries.join("; ")
                }
            ));
        }
    }
    Ok(versions)
}

/// Shows a frame.
pub(super) async fn show(
    State(app): State<Shared>,
    mut here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "frame")?;
    run(app, move |app| {
        let frame = app
            .book
            .frame(id)?
            .ok_or(Failure::NotFound { what: "frame" })?;
        let place = Place::load(app, frame.body.point)?;
        let point = place.point.id;
        here.point = Some(point);
        let history = app.book.history(frame.id)?;
        let in_words = match frame_words(app, &frame.body)? {
            entries if entries.is_empty() => "Looked, none.".to_owned(),
            entries => entries.join("; "),
        };
        let points = app.book.points_in(place.plot.id, place.visit.id)?;
        let next_point = points
            .into_iter()
            .skip_while(|other| other.id != point)
            .nth(1)
            .map(|other| (format!("/at/{}/count", other.id), other.body.label));
        let walk = Walk::load(app, &place.visit, None)?;
        let scout = &frame.body.scout;
        let cards = match &walk {
            Some(walk) => cards(app, walk, place.visit.id, Some(&place.point), scout)?,
            None => Vec::new(),
        };
        // One way on is enough here; the page of the walk has the other.
        let cards: Vec<Card> = cards.into_iter().take(1).collect();
        let repeat_of = match frame.body.repeats {
            Some(first) => app.book.frame(first)?.map(|first| first.body.scout),
            None => None,
        };
        let pairs = agree::pairs(app, &place, &frame)?;
        let page = FramePage {
            shell: Shell::new(
                app,
                &here,
                Tab::Count,
                format!("Frame {}", frame.body.number),
            ),
            shape: shape_words(frame.body.shape),
            when: words::instant_words(&frame.born_at),
            notices: notices::of_a_frame(app, &place, &frame, history.first())?,
            drawing: match frame.body.shape {
                FrameShape::Grid { cells, .. } => Some(draw(&frame.body, cells)),
                FrameShape::Quadrat { .. } | FrameShape::Row { .. } => None,
            },
            in_words,
            legend: legend(app, &frame.body, point)?,
            versions: versions(app, frame.id, &history)?,
            repeat_of,
            overlooking: match pairs.is_empty() {
                true => None,
                false => agree::overlooking(app, &place, &place.visit)?,
            },
            pairs,
            agreement_sources: agree::sources(),
            enough: enough::after_a_frame(app, &place.visit, walk.as_ref())?.unwrap_or_default(),
            progress: walk.as_ref().map(progress).unwrap_or_default(),
            cards,
            again: again(point, frame.body.shape),
            next_number: app.book.next_frame_number(point)?,
            next_point,
            new_point: (
                app.book.next_point_label(place.plot.id, place.visit.id)?,
                RecordId::new(),
            ),
            place,
            frame,
        };
        Ok(at_point(page::html(&page)?, point))
    })
    .await
}
