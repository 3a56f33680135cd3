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

/// Shows a blank form at `path`, or leads to the address that names its record, or to what was
/// saved from it already (`saved` gives the address of that).
pub(crate) fn fresh(
    app: &App,
    path: &str,
    query: &Form,
    saved: impl Fn(RecordId) -> String,
    show: impl FnOnce(Filled) -> Result<Response, Failure>,
) -> Result<Response, Failure> {
    let Ok(id) = query.get("id").parse::<RecordId>() else {
        let mut address = form_urlencoded::Serializer::new(String::new());
        let others = query.0.iter().filter(|(name, _)| name != "id");
        address.extend_pairs(others);
        address.append_pair("id", &RecordId::new().to_string());
        let to = format!("{path}?{}", address.finish());
        return Ok(Redirect::to(&to).into_response());
    };
    if app.book.get(id)?.is_some() {
        return Ok(Redirect::to(&saved(id)).into_response());
    }
    let mut filled = Filled::new();
    filled.set("id", id.to_string());
    show(filled)
}
