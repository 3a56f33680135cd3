//! Selects of the Desk's pages.

use std::collections::BTreeMap;

use standbook_fieldbook::{BookError, RecordId};

use crate::app::App;
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::words::date_words;

/// A line of a select.
pub(crate) struct Choice {
    /// What the address says.
    pub value: String,
    /// For people.
    pub words: String,
    /// Whether it is chosen.
    pub chosen: bool,
}

/// Lines of a select, sorted by their words.
pub(crate) fn choices(values: BTreeMap<String, String>, chosen: &str) -> Vec<Choice> {
    let mut list: Vec<Choice> = values
        .into_iter()
        .map(|(value, words)| Choice {
            chosen: value == chosen,
            value,
            words,
        })
        .collect();
    list.sort_by(|a, b| a.words.cmp(&b.words));
    list
}

/// The visit that a query asks for, its current version; `None` where it asks for all.
///
/// # Errors
/// [`Failure::NotFound`] for a visit that the book lacks.
pub(crate) fn asked_visit(app: &App, query: &Form) -> Result<Option<RecordId>, Failure> {
    match query.get("visit") {
        "" => Ok(None),
        id => {
            let visit = app.book.visit(record_id(id, "visit")?)?;
            let visit = visit.ok_or(Failure::NotFound { what: "visit" })?;
            Ok(Some(visit.id))
        }
    }
}

/// All visits, planting by planting.
pub(crate) fn visits(app: &App, chosen: Option<RecordId>) -> Result<Vec<Choice>, BookError> {
    let mut list = Vec::new();
    for planting in app.book.plantings()? {
        for visit in app.book.visits(planting.id)? {
            list.push(Choice {
                value: visit.id.to_string(),
                words: format!("{}, {}", planting.body.name, date_words(&visit.body.on)),
                chosen: chosen == Some(visit.id),
            });
        }
    }
    Ok(list)
}
