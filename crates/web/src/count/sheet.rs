//! The page on which a frame is read: grid or quadrat, and what its buttons do.
//!
//! Nothing is kept until Save: the draft travels in the form. Buttons other than Save bring the
//! form back with something added, and everything marked still marked.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::{BookError, RecordId, limits};

use super::check::check;
use super::draft::{Device, Draft, What, cells_in_a_row};
use super::palette::{self, Choice};
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::filled::Troubles;
use crate::plot::keep::{at_point, current_id, keep, saved};
use crate::plot::place::Place;

/// What overlooking costs; shown beside the second look, with its source.
pub(super) const OVERLOOKED: &str = "small, pale, single-leaf seedlings are overlooked more often than misnamed (about 19 % against 1 to 2 % in work on Kansas tallgrass prairie)";
/// Source of [`OVERLOOKED`] (abstract read).
pub(super) const OVERLOOKED_SOURCE: &str = "Morrison L.W. and others 2020 (authors partly from memory). Observer error at Tallgrass Prairie National Preserve. Journal of Plant Ecology 13:641";

/// One cell of a column's grid.
struct Cell {
    /// From 1, row by row from the upper left.
    number: u32,
    /// Whether it is marked.
    marked: bool,
}

/// A column as shown.
struct ColumnView {
    /// As the form spells it.
    code: String,
    /// Common name, or `unknown 3`.
    name: String,
    /// Scientific name, or what the unknown looks like; may be empty.
    more: String,
    /// Whether it is planted here.
    planted: bool,
    /// Whether it is an unknown.
    unknown: bool,
    /// An unknown that is made with this frame: its id, number and description.
    new: Option<(RecordId, String, String)>,
    /// What is wrong with its description.
    wrong_description: Option<String>,
    /// Whether its cells are the ones shown.
    shown: bool,
    /// Its cells.
    cells: Vec<Cell>,
    /// Plants, as typed.
    plants: String,
    /// What is wrong with the number of plants.
    wrong_plants: Option<String>,
}

/// The page.
#[derive(Template)]
#[template(path = "count/sheet.html")]
struct SheetPage {
    /// Frame around the page.
    shell: Shell,
    /// Where the frame lies.
    place: Place,
    /// What is wrong.
    troubles: Troubles,
    /// What has just been done, such as adding a species.
    news: Option<String>,
    /// The draft: plain fields.
    draft: Draft,
    /// Its columns.
    columns: Vec<ColumnView>,
    /// Cells in a row.
    row: u32,
    /// What else may be added.
    rest: Vec<Choice>,
    /// What is chosen in that list.
    chosen: String,
    /// Description typed for a new unknown that is not added yet.
    describe: String,
    /// Number the next new unknown gets.
    next_unknown: u32,
    /// The frame this form was saved as, when it came back changed: its address and number.
    saved_as: Option<(String, u32)>,
    /// What overlooking costs.
    overlooked: &'static str,
    /// Where that is from.
    overlooked_source: &'static str,
}

/// What goes with a draft when the page is shown again.
#[derive(Default)]
struct Around {
    troubles: Troubles,
    news: Option<String>,
    chosen: String,
    describe: String,
    saved_as: Option<(String, u32)>,
}

fn view(
    app: &App,
    place: &Place,
    draft: &Draft,
    troubles: &Troubles,
) -> Result<Vec<ColumnView>, BookError> {
    let cells = draft.device.cells();
    let show = if draft.show < draft.columns.len() {
        draft.show
    } else {
        0
    };
    let mut views = Vec::new();
    for (at, column) in draft.columns.iter().enumerate() {
        let said = palette::said(app, &column.what)?;
        let new = match &column.what {
            What::New {
                id,
                number,
                description,
            } => Some((*id, number.clone(), description.clone())),
            _ => None,
        };
        views.push(ColumnView {
            code: column.what.code(),
            planted: matches!(&column.what, What::Taxon(id) if place.planting.body.mix.iter().any(|item| item.taxon == *id)),
            unknown: said.unknown,
            name: said.name,
            more: said.more,
            wrong_description: new
                .as_ref()
                .and_then(|(id, ..)| troubles.at(&format!("new.{id}")))
                .map(str::to_owned),
            new,
            shown: at == show,
            cells: (1..=cells)
                .map(|number| Cell {
                    number,
                    marked: column.cells.contains(&number),
                })
                .collect(),
            plants: column.plants.clone(),
            wrong_plants: troubles.at(&format!("p.{at}")).map(str::to_owned),
        });
    }
    Ok(views)
}

/// The number a new unknown gets in this draft.
fn next_unknown(app: &App, place: &Place, draft: &Draft) -> Result<u32, BookError> {
    let in_draft = draft
        .columns
        .iter()
        .filter_map(|column| match &column.what {
            What::New { number, .. } => number.parse::<u32>().ok(),
            _ => None,
        });
    let in_book = app.book.next_unknown_number(place.visit.id)?;
    Ok(in_draft
        .map(|n| n.saturating_add(1))
        .fold(in_book, u32::max))
}

fn show(
    app: &App,
    here: &Here,
    place: Place,
    draft: Draft,
    around: Around,
) -> Result<Response, Failure> {
    let mut here = here.clone();
    here.point = Some(place.point.id);
    let title = match draft.supersedes {
        Some(_) => format!("Correct frame {}", draft.number),
        None => format!("Frame {}", draft.number),
    };
    let point = place.point.id;
    let page = SheetPage {
        shell: Shell::new(app, &here, Tab::Count, title),
        columns: view(app, &place, &draft, &around.troubles)?,
        row: cells_in_a_row(draft.device.cells()),
        rest: palette::rest(app, &place, &draft)?,
        next_unknown: next_unknown(app, &place, &draft)?,
        chosen: around.chosen,
        describe: around.describe,
        saved_as: around.saved_as,
        overlooked: OVERLOOKED,
        overlooked_source: OVERLOOKED_SOURCE,
        troubles: around.troubles,
        news: around.news,
        place,
        draft,
    };
    let status = page.troubles.status();
    Ok(at_point(
        (status, page::html(&page)?).into_response(),
        point,
    ))
}

/// An empty frame. Without a device in the address: what this scout laid last in this visit, or
/// the trade's frame.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    let id = record_id(&id, "point")?;
    run(app, move |app| {
        let place = Place::load(app, id)?;
        let device = match Device::read(&query) {
            Some(device) => {
                let mut troubles = Troubles::default();
                super::check::shape(&device, &mut troubles);
                // An area may still be empty: it has a field on the page.
                if matches!(device, Device::Grid { .. }) && !troubles.none() {
                    return super::choose::page(app, &here, place, &query, troubles);
                }
                device
            }
            None => app
                .book
                .frames(place.visit.id)?
                .iter()
                .rfind(|frame| here.scout.as_deref() == Some(frame.body.scout.as_str()))
                .map_or_else(Device::usual, |frame| Device::of(frame.body.shape)),
        };
        let number = app.book.next_frame_number(place.point.id)?;
        let mut draft = Draft::new(device, number, here.scout.clone().unwrap_or_default());
        palette::offer(app, &place, &mut draft)?;
        show(app, &here, place, draft, Around::default())
    })
    .await
}

/// The form filled in with a frame of the book, to correct it.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "frame")?;
    run(app, move |app| {
        let frame = app
            .book
            .frame(id)?
            .ok_or(Failure::NotFound { what: "frame" })?;
        let place = Place::load(app, frame.body.point)?;
        let mut draft = Draft::correcting(&frame, frame.body.scout.clone());
        palette::offer(app, &place, &mut draft)?;
        show(app, &here, place, draft, Around::default())
    })
    .await
}

/// Adds what is chosen in the list or described as a new unknown; says what it added.
fn add(
    app: &App,
    place: &Place,
    draft: &mut Draft,
    form: &Form,
    around: &mut Around,
) -> Result<Option<String>, BookError> {
    let mut added = None;
    let more = form.get("more");
    if let Some(id) = more.strip_prefix("t.")
        && app.key.taxon(id).is_some()
    {
        draft.add(What::Taxon(id.to_owned()));
        added = Some(crate::words::taxon_name(app, id).0);
    } else if let Some(id) = more
        .strip_prefix("u.")
        .and_then(|id| id.parse::<RecordId>().ok())
        && let Some(unknown) = app.book.unknown(id)?
    {
        draft.add(What::Unknown(unknown.id));
        added = Some(format!("unknown {}", unknown.body.number));
    } else if !more.is_empty() {
        around.troubles.add(
            "more",
            "What was chosen to be added is not in this key. Choose from the list.",
        );
    }
    let description = form.get("describe").replace("\r\n", "\n");
    if description.is_empty() {
        return Ok(added);
    }
    let chars = description.chars().count();
    if chars > limits::NOTE_CHARS {
        around.troubles.add(
            "describe",
            format!(
                "The description has {chars} characters. Shorten it to {}.",
                limits::NOTE_CHARS
            ),
        );
        around.describe = description;
        return Ok(added);
    }
    let number = next_unknown(app, place, draft)?;
    draft.add(What::New {
        id: RecordId::new(),
        number: number.to_string(),
        description,
    });
    Ok(Some(format!("unknown {number}")))
}

/// Takes the form: saves the frame, or brings the form back.
pub(super) async fn take(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    let id = record_id(&id, "point")?;
    run(app, move |app| {
        let place = Place::load(app, id)?;
        let mut draft = Draft::read(&form);
        let mut around = Around::default();
        let asked = form.get("do");
        // A form that came back changed after saving stays one until it is saved.
        if let Ok(first) = form.get("again").parse::<RecordId>()
            && let Some(frame) = app.book.frame(first)?
        {
            around.saved_as = Some((format!("/frames/{}", frame.id), frame.body.number));
        }
        if let Some(at) = asked.strip_prefix("drop.") {
            draft.drop_column(at.parse().unwrap_or(usize::MAX));
            around.describe = form.get("describe").to_owned();
            around.chosen = form.get("more").to_owned();
            return show(app, &here, place, draft, around);
        }
        let added = add(app, &place, &mut draft, &form, &mut around)?;
        let save = matches!(asked, "save" | "save_new");
        if !save {
            if asked == "unknown" && form.get("describe").is_empty() {
                around.troubles.add(
                    "describe",
                    "Say what the unknown looks like, so that it can be found again.",
                );
            }
            around.news = match added {
                Some(name) => Some(format!(
                    "Added: {name}. Mark it below; nothing is saved yet."
                )),
                None => Some("Nothing is saved yet.".to_owned()).filter(|_| around.troubles.none()),
            };
            return show(app, &here, place, draft, around);
        }
        if let Some(name) = added {
            around.troubles.add(
                "more",
                format!("You chose {name} without adding it. It is added now: mark it, then save."),
            );
        }
        if asked == "save_new" {
            draft.supersedes = None;
            draft.number = app.book.next_frame_number(place.point.id)?.to_string();
            around.saved_as = None;
        }
        save_frame(app, &here, place, draft, around)
    })
    .await
}

fn save_frame(
    app: &App,
    here: &Here,
    place: Place,
    mut draft: Draft,
    mut around: Around,
) -> Result<Response, Failure> {
    let drafts = check(app, &place, &mut draft, &mut around.troubles)?;
    if !around.troubles.none() {
        return show(app, here, place, draft, around);
    }
    match keep(app, &draft.scout, &drafts) {
        Ok(()) => Ok(saved(
            &format!("/frames/{}", draft.id),
            &draft.scout,
            Some(place.point.id),
        )),
        Err(BookError::Conflict { .. }) => {
            let current = current_id(app, draft.id)?;
            let Some(frame) = app.book.frame(current)? else {
                return Ok(page_gone());
            };
            around.troubles.conflict(format!(
                "This form was saved already as frame {}, and what is marked here differs from it. Nothing new was saved. \
                 Save it as a correction of frame {}, or as a new frame.",
                frame.body.number, frame.body.number
            ));
            around.saved_as = Some((format!("/frames/{}", frame.id), frame.body.number));
            draft.id = RecordId::new();
            draft.supersedes = Some(frame.id);
            show(app, here, place, draft, around)
        }
        Err(error) => {
            around
                .troubles
                .refused(&error, |kind, field| match (kind, field) {
                    ("frame", "scout" | "number") => field.to_owned(),
                    (_, "author") => "scout".to_owned(),
                    ("frame", shape) if shape.starts_with("shape.area") => "area".to_owned(),
                    _ => "c".to_owned(),
                });
            show(app, here, place, draft, around)
        }
    }
}

/// The id of the form is that of some other kind of record: only a made-up form has that.
fn page_gone() -> Response {
    Redirect::to("/plot").into_response()
}

impl SheetPage {
    /// The grid's device, for hidden fields.
    fn grid(&self) -> Option<(&str, &str)> {
        match &self.draft.device {
            Device::Grid { cells, side } => Some((cells, side)),
            Device::Quadrat { .. } => None,
        }
    }

    /// The quadrat's area and unit.
    fn quadrat(&self) -> (&str, &str) {
        match &self.draft.device {
            Device::Quadrat { area, unit } => (area, unit),
            Device::Grid { .. } => ("", ""),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use axum::http::StatusCode;

    /// A full disk can't be had in a test of pages, so the error is made by hand: the form must
    /// come back with its own status and all of its marks.
    #[test]
    fn a_full_disk_gives_the_marks_back() {
        let folder = tempfile::tempdir().unwrap();
        let (app, place) = crate::count::samples::place(folder.path());
        let form = Form::parse(
            b"device=grid&cells=25&side=15&col=t.panicum_virgatum&c=0.7&scout=A.+Fenn&number=1",
        )
        .unwrap();
        let draft = Draft::read(&form);
        let mut around = Around::default();
        around.troubles.refused(
            &BookError::Full {
                path: "season.book".into(),
            },
            |_, f| f.to_owned(),
        );
        let page = SheetPage {
            shell: Shell::new(&app, &Here::default(), Tab::Count, "Frame 1"),
            columns: view(&app, &place, &draft, &around.troubles).unwrap(),
            row: 5,
            rest: Vec::new(),
            chosen: String::new(),
            describe: String::new(),
            next_unknown: 1,
            saved_as: None,
            overlooked: OVERLOOKED,
            overlooked_source: OVERLOOKED_SOURCE,
            troubles: around.troubles,
            news: None,
            place,
            draft,
        };
        assert_eq!(page.troubles.status(), StatusCode::INSUFFICIENT_STORAGE);
        let html = page.render().unwrap();
        assert!(html.contains("the disk is full"), "{html}");
        assert!(html.contains("value=0.7 class=c7 checked"), "{html}");
    }
}
