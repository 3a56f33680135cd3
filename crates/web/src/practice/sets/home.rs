//! Practice at the Desk: what a trainer can do, and the sets that there are.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::RecordId;

use super::results::{begun, place, shape};
use super::words;
use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::words::day_words;

/// A set of the list.
struct Row {
    id: RecordId,
    title: String,
    /// `field test, 14 July 2026: ...`.
    more: String,
}

#[derive(Template)]
#[template(path = "practice/sets/home.html")]
struct HomePage {
    shell: Shell,
    rows: Vec<Row>,
}

/// `GET /desk/practice`.
pub(super) async fn show(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut rows = Vec::new();
        let mut sets = app.book.practice_sets()?;
        // The latest first: it is the one that is being worked with.
        sets.sort_by(|a, b| (&b.born_at, b.id).cmp(&(&a.born_at, a.id)));
        for set in sets {
            let place = place(app, &set.body)?;
            let of = if place.is_empty() { "" } else { "; " };
            rows.push(Row {
                id: set.id,
                more: format!(
                    "{} of {}: {}{of}{place}; {}",
                    words::purpose(set.body.purpose),
                    day_words(&set.born_at),
                    shape(&set.body),
                    begun(app, &set)?
                ),
                title: set.body.title,
            });
        }
        html(&HomePage {
            shell: Shell::new(app, &here, Tab::Desk, "Practice at the Desk"),
            rows,
        })
    })
    .await
}
