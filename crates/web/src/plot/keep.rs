//! Keeping what a form says: the envelope around it, a second sending, the way on.
//!
//! In: bodies with the ids their forms carry. Out: records in the book, or why not.
//! A form sent twice is one record: the envelope's `born_at` of the first sending counts.

use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::{Body, BookError, Record, RecordId};

use crate::app::App;
use crate::failure::Failure;
use crate::here::{Here, remember_point, remember_scout};
use crate::plot::filled::Filled;

/// A record before its envelope is closed.
#[derive(Debug, Clone)]
pub(crate) struct Draft {
    /// Id carried by the form.
    pub id: RecordId,
    /// What it corrects.
    pub supersedes: Option<RecordId>,
    /// What was entered.
    pub body: Body,
}

/// Keeps drafts of one author, all or none. A draft that is in the book already with the same
/// content is fine; with other content it is [`BookError::Conflict`].
pub(crate) fn keep(
    app: &App,
    here: &Here,
    author: &str,
    drafts: &[Draft],
) -> Result<(), BookError> {
    match try_keep(app, here, author, drafts) {
        // Two sendings at once: the other one was first by a moment, so look again.
        Err(BookError::Conflict { .. }) => try_keep(app, here, author, drafts),
        other => other,
    }
}

fn try_keep(app: &App, here: &Here, author: &str, drafts: &[Draft]) -> Result<(), BookError> {
    let mut records = Vec::new();
    for draft in drafts {
        let before = app.book.get(draft.id)?;
        let (born_at, device) = match (&before, draft.supersedes) {
            (Some(first), _) => (first.born_at.clone(), first.device.clone()),
            (None, Some(old)) => (after(app, here, old)?, here.device(app)),
            (None, None) => (here.now(), here.device(app)),
        };
        records.push(Record {
            id: draft.id,
            born_at,
            received_at: None,
            device,
            author: author.to_owned(),
            supersedes: draft.supersedes,
            body: draft.body.clone(),
        });
    }
    here.append(app, records)
}

/// Now, or just after the record to be corrected when that one comes from a clock that is
/// ahead: the newest version is the one that counts.
fn after(app: &App, here: &Here, old: RecordId) -> Result<String, BookError> {
    let now = here.now();
    let old = app.book.get(old)?.map(|record| record.born_at);
    Ok(match old {
        Some(old) => standbook_fieldbook::time::later(now, &old),
        None => now,
    })
}

/// The way on after saving; remembers who saved and, if given, where.
pub(crate) fn saved(to: &str, scout: &str, point: Option<RecordId>) -> Response {
    let mut response = Redirect::to(to).into_response();
    let cookies = [remember_scout(scout), point.and_then(remember_point)];
    for cookie in cookies.into_iter().flatten() {
        response.headers_mut().append(SET_COOKIE, cookie);
    }
    response
}

/// Remembers the point on any page at it.
pub(crate) fn at_point(mut response: Response, point: RecordId) -> Response {
    if let Some(cookie) = remember_point(point) {
        response.headers_mut().append(SET_COOKIE, cookie);
    }
    response
}

/// Keeps what a form of one record says, and leads to `to` of its id. In: the body, `None` when
/// it could not be read. `None` out: something is wrong, and the form is to be shown again.
pub(crate) fn keep_form(
    app: &App,
    here: &Here,
    filled: &mut Filled,
    what: &str,
    body: Option<Body>,
    to: impl FnOnce(RecordId) -> String,
) -> Result<Option<Response>, Failure> {
    let scout = filled.read_name("scout", "Your name");
    let (Some(body), true) = (body, filled.troubles.none()) else {
        return Ok(None);
    };
    let draft = Draft {
        id: filled.id(),
        supersedes: filled.supersedes(),
        body,
    };
    match keep(app, here, &scout, std::slice::from_ref(&draft)) {
        Ok(()) => {
            let point = matches!(draft.body, Body::Point(_)).then_some(draft.id);
            Ok(Some(saved(&to(draft.id), &scout, point)))
        }
        Err(error) => {
            refuse(app, filled, &error, what)?;
            Ok(None)
        }
    }
}

/// The current version of a record's chain; the id itself when it is not in the book.
pub(crate) fn current_id(app: &App, id: RecordId) -> Result<RecordId, BookError> {
    let chain = app.book.history(id)?;
    let current = chain
        .iter()
        .filter(|record| {
            !chain
                .iter()
                .any(|other| other.supersedes == Some(record.id))
        })
        .max_by(|a, b| (&a.born_at, a.id).cmp(&(&b.born_at, b.id)));
    Ok(current.map_or(id, |record| record.id))
}

/// Puts a refusal on the form. A form that was saved already and then changed (the back button)
/// turns into a correction of what was saved.
pub(crate) fn refuse(
    app: &App,
    filled: &mut Filled,
    error: &BookError,
    what: &str,
) -> Result<(), Failure> {
    let BookError::Conflict { id } = error else {
        filled.troubles.refused(error, form_field);
        return Ok(());
    };
    filled.set("supersedes", current_id(app, *id)?.to_string());
    filled.set("id", RecordId::new().to_string());
    filled.troubles.conflict(format!(
        "This {what} was saved already when you sent the form the first time, and the form has been changed since. \
         Nothing new was saved. To keep the change, save it now: it becomes a correction, and the first version stays in the book."
    ));
    Ok(())
}

/// The form's field for a record's field; forms call most of them the same. Those in which a
/// number may be typed in another unit than the book's carry no unit in their name.
fn form_field(_kind: &str, field: &str) -> String {
    let last = field.rsplit('.').next().unwrap_or(field);
    let own = match field.split(['[', '.']).next().unwrap_or(field) {
        "author" => "scout",
        "position" | "method" | "what" => last,
        first => first,
    };
    let own = match own {
        "height_cm" => "height",
        "mm" => "rain",
        "stated_area_m2" => "area",
        own => own,
    };
    own.to_owned()
}
