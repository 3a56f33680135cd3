//! A blank form whose address names the record to be.
//!
//! Browsers show a page again, fields filled in, when somebody goes back after saving. Were the
//! id minted at every showing, saving again would make a second record. So the id stands in the
//! address: going back shows the same form, and once it is saved, what was saved.

use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::RecordId;

use crate::app::App;
use crate::failure::Failure;
use crate::form::Form;
use crate::plot::filled::Filled;

/// The blank form that an address names; or the way to the address that names one, or to what
/// was saved from it.
pub(super) enum Fresh {
    /// Show this form.
    Form(Box<Filled>),
    /// Go there instead.
    Elsewhere(Response),
}

/// Begins a form at `path`; `saved` is the address of a record that was saved from it.
pub(super) fn fresh(
    app: &App,
    path: &str,
    query: &Form,
    saved: impl Fn(RecordId) -> String,
) -> Result<Fresh, Failure> {
    let Ok(id) = query.get("id").parse::<RecordId>() else {
        let mut address = form_urlencoded::Serializer::new(String::new());
        let others = query.0.iter().filter(|(name, _)| name != "id");
        address.extend_pairs(others);
        address.append_pair("id", &RecordId::new().to_string());
        let to = format!("{path}?{}", address.finish());
        return Ok(Fresh::Elsewhere(Redirect::to(&to).into_response()));
    };
    if app.book.get(id)?.is_some() {
        return Ok(Fresh::Elsewhere(Redirect::to(&saved(id)).into_response()));
    }
    let mut filled = Filled::new();
    filled.set("id", id.to_string());
    Ok(Fresh::Form(Box::new(filled)))
}
