//! What the buttons on the page of a frame do: save it, or bring the form back with something
//! added.
//!
//! Nothing is kept until Save: the draft travels in the form, and whatever a button does,
//! everything marked comes back marked.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::{BookError, RecordId, limits};

use super::check::check;
use super::device::{self, Device};
use super::draft::{Draft, What};
use super::palette::{self, Setting};
use super::sheet_page::{Around, next_unknown, show};
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::plot::filled::Troubles;
use crate::plot::keep::{current_id, keep, saved};
use crate::plot::place::Place;

/// An empty frame. Its address names the id it will have, the device and the columns, so that a
/// browser that comes back to it gets the same form and puts the marks back where they were;
/// and when the frame has been saved meanwhile, coming back leads to the saved frame, not to a
/// second one with the same marks.
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
                if query.has("hoop")
                    && device::ring(query.get("hoop"), query.get("hoop_unit")).is_none()
                {
                    troubles.add(
                        "hoop",
                        format!(
                            "\u{201c}{}\u{201d} is no width of a hoop. Measure it from inside to inside, and type a number above 0.",
                            super::draft::short(query.get("hoop"))
                        ),
                    );
                } else if device.is_grid() {
                    // An area or a length may still be empty: it has a field on the page.
                    device::shape(&device, &mut troubles);
                }
                if !troubles.none() {
                    return super::choose::page(app, &here, place, &query, troubles);
                }
                device.spaced_as(place.planting.body.method)
            }
            None => device_of(app, &here, place.visit.id)?,
        };
        let number = app.book.next_frame_number(place.point.id)?;
        let scout = here.scout.clone().unwrap_or_default();
        let Ok(named) = query.get("id").parse::<RecordId>() else {
            let mut draft = Draft::new(device, number, scout);
            palette::offer(app, Setting::of(&place, &draft), &mut draft)?;
            return Ok(Redirect::to(&draft.address(place.point.id)).into_response());
        };
        if app.book.get(named)?.is_some() {
            // The id of anything else is one that somebody made up: begin anew.
            let to = match app.book.frame(named)? {
                Some(frame) => format!("/frames/{}", frame.id),
                None => format!("/at/{}/count", place.point.id),
            };
            return Ok(Redirect::to(&to).into_response());
        }
        let mut draft = Draft::read(&query);
        draft.number = number.to_string();
        draft.scout = scout;
        draft.strange.clear();
        show(app, &here, place, draft, Around::default())
    })
    .await
}

/// What this scout laid last in this visit, or the trade's frame.
pub(super) fn device_of(app: &App, here: &Here, visit: RecordId) -> Result<Device, BookError> {
    let frames = app.book.frames(visit)?;
    let last = frames.iter().rfind(|frame| {
        here.scout.as_deref() == Some(frame.body.scout.as_str()) && frame.body.repeats.is_none()
    });
    Ok(last.map_or_else(Device::usual, |frame| Device::of(frame.body.shape)))
}

/// The form filled in with a frame of the book, to correct it or to look a second time.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    let id = record_id(&id, "frame")?;
    run(app, move |app| {
        let frame = app
            .book
            .frame(id)?
            .ok_or(Failure::NotFound { what: "frame" })?;
        let place = Place::load(app, frame.body.point)?;
        let mut draft = Draft::correcting(&frame, frame.body.scout.clone());
        palette::offer(app, Setting::of(&place, &draft), &mut draft)?;
        // A second look after saving: what it adds is told from what was saved.
        if query.has("second") {
            draft.none = false;
            draft.look_again();
        }
        let mut around = Around::default();
        // Two phones that did not see each other: what this one sent was the same frame.
        if let Ok(first) = query.get("repeats").parse::<RecordId>()
            && let Some(first) = app.book.frame(first)?
        {
            draft.repeats = Some(first.id);
            around.news = Some(format!(
                "Save it as it stands: then it is the second reading of the frame that {} read first, and this version stays in the book.",
                first.body.scout
            ));
        }
        show(app, &here, place, draft, around)
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
    let number = next_unknown(app, place.visit.id, draft)?;
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
    run(app, move |app| take_form(app, &here, &id, form)).await
}

/// The same, for a form that came by whatever way.
pub(crate) fn take_form(
    app: &App,
    here: &Here,
    point: &str,
    form: Form,
) -> Result<Response, Failure> {
    let place = Place::load(app, record_id(point, "point")?)?;
    let mut draft = Draft::read(&form);
    if let Some(first) = draft.repeats {
        draft.repeats = app.book.frame(first)?.map(|frame| frame.id).or(Some(first));
    }
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
        return show(app, here, place, draft, around);
    }
    if let Some(at) = asked.strip_prefix("show.") {
        draft.show = at.parse().unwrap_or(0);
    }
    let added = add(app, &place, &mut draft, &form, &mut around)?;
    let correct = asked.strip_prefix("correct.");
    let repeat = asked.strip_prefix("repeat.");
    let save =
        matches!(asked, "save" | "save_new" | "none") || correct.is_some() || repeat.is_some();
    if asked == "look" {
        draft.look_again();
    }
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
            None if matches!(asked, "look") || asked.starts_with("show.") => None,
            None => Some("Nothing is saved yet.".to_owned()).filter(|_| around.troubles.none()),
        };
        return show(app, here, place, draft, around);
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
    // The scout says that this is the frame with the same number, read anew.
    if let Some(id) = correct
        && let Some(frame) = app.book.frame(record_id(id, "frame")?)?
    {
        draft.supersedes = Some(frame.id);
        draft.number = frame.body.number.to_string();
        draft.repeats = frame.body.repeats;
    }
    // Or that somebody else read that frame with a phone that bears the first one's name.
    if let Some(id) = repeat
        && let Some(frame) = app.book.frame(record_id(id, "frame")?)?
    {
        draft.repeats = Some(frame.body.repeats.unwrap_or(frame.id));
        draft.number = frame.body.number.to_string();
    }
    if asked == "none" {
        draft.none = true;
    }
    save_frame(app, here, place, draft, around)
}

fn save_frame(
    app: &App,
    here: &Here,
    place: Place,
    mut draft: Draft,
    mut around: Around,
) -> Result<Response, Failure> {
    let (drafts, twin) = check(app, &place, &mut draft, &mut around.troubles)?;
    around.twin = twin;
    if !around.troubles.none() {
        return show(app, here, place, draft, around);
    }
    match keep(app, here, &draft.scout, &drafts) {
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
                    ("frame", "shape.area_m2") => "area".to_owned(),
                    ("frame", "shape.length_m") => "length".to_owned(),
                    ("frame", "shape.row_spacing_cm") => "spacing".to_owned(),
                    ("frame", "repeats") => "scout".to_owned(),
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
