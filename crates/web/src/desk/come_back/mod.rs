//! Plants to come back to: flagged in the field, due at heading or after green-up, seen again.
//!
//! In: a form on a plant's page, a form for what was found. Out: `ComeBack` records, the list of what is due,
//! the same as GPX, a line on the pages of planting and visit.
//! `form` is the form, `seen` says what was found, `when` the days offered, `flag` a flag with its plant,
//! `list` the list and its GPX. What the plant turned out to be is an opinion (`desk::opinion`).

use axum::Router;
use axum::routing::get;

use crate::app::Shared;

pub(super) mod flag;
pub(crate) mod form;
mod list;
mod seen;
mod when;

pub(crate) use flag::{DueLine, due_line};

/// The addresses of this place. Scouts go back as well, so none of them is the office's alone.
pub(super) fn routes() -> Router<Shared> {
    let form = || get(form::blank).post(form::save);
    Router::new()
        .route("/determinations/{id}/come-back", form())
        .route("/unknowns/{id}/come-back", form())
        .route("/come-back/{id}/correct", get(form::correct))
        .route("/come-back/{id}/seen", get(seen::show).post(seen::save))
        .route("/desk/come-back", get(list::list))
        .route("/desk/come-back.gpx", get(list::gpx))
}
