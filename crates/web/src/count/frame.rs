//! The page of a saved frame: what was entered, who and when, its versions, and the way on.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Body, Frame, FrameShape};
use standbook_fieldbook::{Entry, RecordId};

use super::draft::again;
use super::drawing::{Drawing, draw, letter};
use crate::app::{Shared, run};
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::keep::at_point;
use crate::plot::place::Place;
use crate::plot::recorded::{frame_words, gathered, say, shape_words};
use crate::words;

/// One line of the legend.
struct LegendLine {
    /// Letter in the drawing; empty for a quadrat.
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
    /// The drawing, for a grid.
    drawing: Option<Drawing>,
    /// What was entered in words, for those who can't see the drawing.
    in_words: String,
    /// What was entered.
    legend: Vec<LegendLine>,
    /// Versions before this one, oldest first, in words.
    versions: Vec<String>,
    /// An empty form with the same device.
    again: String,
    /// Its number.
    next_number: u32,
    /// The next point of the plot: its address and label, when there is one already.
    next_point: Option<(String, String)>,
    /// Otherwise, what a new point will be called, and the id it will have.
    new_point: (String, RecordId),
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
        let mut legend = Vec::new();
        for (n, (what, cells, plants)) in gathered(&frame.body).into_iter().enumerate() {
            let said = say(app, &what)?;
            let (mark, amount) = match frame.body.shape {
                FrameShape::Grid { cells: all, .. } => {
                    (letter(n), format!("{} of {all} cells", cells.len()))
                }
                FrameShape::Quadrat { area_m2 } => {
                    let n = usize::try_from(plants).unwrap_or(usize::MAX);
                    let density = words::plants_per_area(f64::from(plants) / area_m2);
                    (
                        String::new(),
                        format!("{}, {density}", words::number_of(n, "plant")),
                    )
                }
            };
            let walk = match what {
                standbook_fieldbook::record::Counted::Unknown(unknown) => {
                    Some(format!("/at/{point}/plant?unknown={unknown}"))
                }
                standbook_fieldbook::record::Counted::Taxon(_) => None,
            };
            legend.push(LegendLine {
                letter: mark,
                name: said.name,
                more: said.more,
                amount,
                walk,
            });
        }
        let mut versions = Vec::new();
        for record in app.book.history(frame.id)? {
            if record.id == frame.id {
                continue;
            }
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
        let in_words = match frame_words(app, &frame.body)? {
            entries if entries.is_empty() => "Looked, none.".to_owned(),
            entries => entries.join("; "),
        };
        let next_point = app
            .book
            .points_in(place.plot.id, place.visit.id)?
            .into_iter()
            .skip_while(|other| other.id != point)
            .nth(1)
            .map(|other| (format!("/at/{}/count", other.id), other.body.label));
        let page = FramePage {
            shell: Shell::new(
                app,
                &here,
                Tab::Count,
                format!("Frame {}", frame.body.number),
            ),
            shape: shape_words(frame.body.shape),
            when: words::instant_words(&frame.born_at),
            drawing: match frame.body.shape {
                FrameShape::Grid { cells, .. } => Some(draw(&frame.body, cells)),
                FrameShape::Quadrat { .. } => None,
            },
            in_words,
            legend,
            versions,
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
