//! A frame read again by another scout who has not seen the first reading.
//!
//! In: a saved frame. Out: an empty sheet for the same device at the same spot that shows nothing
//! of what was found; its frame names the one it repeats. What both readings say together stands
//! on the pages of the frames afterwards (`agree`).
//! Not here: whether it may be saved (`check`).

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::RecordId;

use super::check::same_person;
use super::device::Device;
use super::draft::Draft;
use super::palette::{self, Setting};
use super::sheet_page::{Around, show};
use crate::app::{Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Query;
use crate::here::Here;
use crate::plot::place::Place;

/// The empty sheet. As with every new frame, its address names the id that it will have.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    let id = record_id(&id, "frame")?;
    run(app, move |app| {
        let frame = app.book.frame(id)?;
        let frame = frame.ok_or(Failure::NotFound { what: "frame" })?;
        // A third scout repeats the first reading too, not the repeat.
        if let Some(first) = frame.body.repeats {
            return Ok(Redirect::to(&format!("/frames/{first}/repeat")).into_response());
        }
        let place = Place::load(app, frame.body.point)?;
        let scout = here.scout.clone().unwrap_or_default();
        // The name remembered is that of the first scout, until the phone is handed over.
        let scout = match same_person(&scout, &frame.body.scout) {
            true => String::new(),
            false => scout,
        };
        let device = Device::of(frame.body.shape);
        let Ok(named) = query.get("id").parse::<RecordId>() else {
            let mut draft = Draft::new(device, frame.body.number, scout);
            draft.repeats = Some(frame.id);
            palette::offer(app, Setting::of(&place, &draft), &mut draft)?;
            return Ok(Redirect::to(&draft.address(place.point.id)).into_response());
        };
        if app.book.get(named)?.is_some() {
            let to = match app.book.frame(named)? {
                Some(saved) => format!("/frames/{}", saved.id),
                None => format!("/frames/{}/repeat", frame.id),
            };
            return Ok(Redirect::to(&to).into_response());
        }
        let mut draft = Draft::read(&query);
        draft.device = device;
        draft.number = frame.body.number.to_string();
        draft.scout = scout;
        draft.repeats = Some(frame.id);
        draft.strange.clear();
        show(app, &here, place, draft, Around::default())
    })
    .await
}
