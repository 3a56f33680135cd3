//! Which planting a scout practises for: its grasses and what they are taken for come first.
//!
//! In: her choice, kept in a cookie; without one, where she worked last. Out: the planting, or none: then
//! all grasses of the key are asked.

use axum::extract::State;
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::Planting;

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Form;
use crate::here::{Here, remember_practice_for};

/// Value that means: for no planting in particular.
pub(super) const ALL: &str = "all";

/// The planting to practise for.
pub(super) fn what_for(app: &App, here: &Here) -> Result<Option<Entry<Planting>>, Failure> {
    match here.practice_for.as_deref() {
        Some(ALL) => return Ok(None),
        Some(id) => {
            // Cookies are shared by all ports of this machine: a planting of another book is none here.
            if let Ok(id) = id.parse()
                && let Some(planting) = app.book.planting(id)?
            {
                return Ok(Some(planting));
            }
        }
        None => {}
    }
    if let Some(point) = here.point
        && let Some(point) = app.book.point(point)?
        && let Some(visit) = app.book.visit(point.body.visit)?
    {
        return Ok(app.book.planting(visit.body.planting)?);
    }
    // The one that was seeded last is the next to be looked at.
    let plantings = app.book.plantings()?;
    Ok(plantings
        .into_iter()
        .max_by(|a, b| (&a.body.seeded_on, a.id).cmp(&(&b.body.seeded_on, b.id))))
}

/// `POST /practice/for`: remembers the choice.
pub(super) async fn choose(State(app): State<Shared>, form: Form) -> Result<Response, Failure> {
    run(app, move |app| {
        let chosen = form.get("planting");
        let known = match chosen.parse() {
            Ok(id) => app.book.planting(id)?.is_some(),
            Err(_) => chosen == ALL,
        };
        let mut response = Redirect::to("/practice").into_response();
        if let (true, Some(cookie)) = (known, remember_practice_for(chosen)) {
            response.headers_mut().append(SET_COOKIE, cookie);
        }
        Ok(response)
    })
    .await
}
