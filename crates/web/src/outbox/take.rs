//! A form of an outbox on its way into the book.

use std::sync::PoisonError;

use axum::http::StatusCode;
use axum::http::header::{LOCATION, SET_COOKIE};
use axum::response::{IntoResponse, Response};
use standbook_fieldbook::record::Body;
use standbook_fieldbook::{Record, RecordId, time};

use super::wire::{Answer, Item, Kept, Refused};
use crate::app::App;
use crate::desk::subject::Kind;
use crate::failure::{Failure, Troubled, record_id};
use crate::form::Form;
use crate::here::{Gathered, Here};
use crate::{count, desk, plant, plot};

/// Most forms that share a sync: a file may hold thousands.
const TOGETHER: usize = 50;

/// Takes forms in their order: an unknown comes before the frame that counts it.
pub(super) fn take(app: &App, here: &Here, items: Vec<Item>) -> Answer {
    let mut answer = Answer::default();
    for items in items.chunks(TOGETHER) {
        let at_once = take_together(app, here, items);
        for (item, at_once) in items.iter().zip(at_once) {
            let response = match (at_once, check(item)) {
                (Some(kept), _) => kept,
                // By itself, after those before it: what it hangs on may be there now, and what is
                // wrong is said as its page says it.
                (None, Ok(form)) => send(app, &of_item(here, item), &item.to, form)
                    .unwrap_or_else(IntoResponse::into_response),
                (None, Err(why)) => {
                    answer.refused.push(Refused {
                        id: item.id.clone(),
                        why: vec![why],
                    });
                    continue;
                }
            };
            sort(&mut answer, item.id.clone(), &response);
        }
    }
    answer
}

fn of_item(here: &Here, item: &Item) -> Here {
    Here {
        born_at: Some(item.made.clone()),
        ..here.clone()
    }
}

/// Tries to keep forms with one sync for all. Each is looked at as if those before it were not there
/// yet; the book itself judges their records in order. The answers of those that are on disk now;
/// none for a form that has to go its way alone.
fn take_together(app: &App, here: &Here, items: &[Item]) -> Vec<Option<Response>> {
    let (mut answers, mut calls, mut whose) = (Vec::new(), Vec::new(), Vec::new());
    for (at, item) in items.iter().enumerate() {
        let gathered = Gathered::default();
        let here = Here {
            together: Some(gathered.clone()),
            ..of_item(here, item)
        };
        let taken = check(item).ok();
        let taken = taken.and_then(|form| send(app, &here, &item.to, form).ok());
        let mut own = std::mem::take(&mut *gathered.lock().unwrap_or_else(PoisonError::into_inner));
        let taken = taken.filter(|it| it.status().is_redirection() && stands_alone(&own));
        if taken.is_some() {
            calls.append(&mut own);
            whose.push(at);
        }
        answers.push(taken);
    }
    for (at, kept) in whose.into_iter().zip(app.book.append_each(calls)) {
        if kept.is_err() {
            answers[at] = None;
        }
    }
    answers
}

/// Whether what a form keeps is the same whatever came just before it: a correction looks at what it
/// corrects, a point at the labels that are taken.
fn stands_alone(calls: &[Vec<Record>]) -> bool {
    let hangs = |it: &Record| it.supersedes.is_some() || matches!(it.body, Body::Point(_));
    calls.len() == 1 && !calls.iter().flatten().any(hangs)
}

/// What is wrong with an item before anybody looks at its form.
fn check(item: &Item) -> Result<Form, String> {
    let id: RecordId = item
        .id
        .parse()
        .map_err(|_| "Its id is none that this program makes; it can't be kept.".to_owned())?;
    if time::parse_stamp(&item.made).is_none() {
        return Err(format!(
            "Its time \u{201c}{}\u{201d} is not written as 2026-07-14T15:02:07.250Z.",
            item.made.chars().take(40).collect::<String>()
        ));
    }
    let form = Form::parse(item.fields.as_bytes()).map_err(|failure| failure.to_string())?;
    // Else an answer would be given about another record than the phone keeps.
    let named = [form.get("walk"), form.get("id")];
    match named.iter().any(|name| name.parse() == Ok(id)) {
        true => Ok(form),
        false => Err("Its fields name another record than its id does.".to_owned()),
    }
}

/// Where forms of the field go. Nothing else is taken from an outbox.
fn send(app: &App, here: &Here, to: &str, form: Form) -> Result<Response, Failure> {
    let parts: Vec<&str> = to.split('/').collect();
    match parts.as_slice() {
        ["", "at", point, "count"] => count::take_form(app, here, point, form),
        ["", "at", point, "plant"] => plant::take_form(app, here, point, form),
        ["", "visits", visit, "walk"] => count::take_arrival(app, here, visit, form),
        ["", plants, plant, what @ ("voucher" | "come-back")] => {
            let kind = Kind::of_folder(plants).ok_or(Failure::NotFound { what: "plant" })?;
            let plant = record_id(plant, "plant")?;
            match *what {
                "voucher" => desk::voucher::form::take_form(app, here, kind, plant, form),
                _ => desk::come_back::form::take_form(app, here, kind, plant, form),
            }
        }
        ["", "points"] => plot::take_point(app, here, form),
        _ => Err(Failure::BadRequest(format!(
            "An outbox takes no forms for \u{201c}{}\u{201d}.",
            to.chars().take(80).collect::<String>()
        ))),
    }
}

/// A form that is taken answers with a redirect; one that is not, with its page and what is wrong.
fn sort(answer: &mut Answer, id: String, response: &Response) {
    let status = response.status();
    if status.is_redirection() {
        let to = response.headers().get(LOCATION);
        let to = to.and_then(|to| to.to_str().ok()).unwrap_or("/plot");
        let cookies = response.headers().get_all(SET_COOKIE);
        answer.remember = cookies.into_iter().cloned().collect();
        answer.kept.push(Kept {
            id,
            to: to.to_owned(),
        });
        return;
    }
    let why = match response.extensions().get::<Troubled>() {
        Some(Troubled(why)) if !why.is_empty() => why.clone(),
        _ => vec!["It was not saved; its page says why.".to_owned()],
    };
    let list = match waits(status) {
        true => &mut answer.waiting,
        false => &mut answer.refused,
    };
    list.push(Refused { id, why });
}

/// Whether what was sent is none the worse for being refused: the disk is full, the book is locked
/// or open for viewing only, or the fault is ours.
pub(super) fn waits(status: StatusCode) -> bool {
    status.is_server_error() || status == StatusCode::FORBIDDEN
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_disk_is_no_fault_of_the_form() {
        for (status, waits) in [
            (StatusCode::INSUFFICIENT_STORAGE, true),
            (StatusCode::SERVICE_UNAVAILABLE, true),
            (StatusCode::INTERNAL_SERVER_ERROR, true),
            (StatusCode::FORBIDDEN, true),
            (StatusCode::UNPROCESSABLE_ENTITY, false),
            (StatusCode::CONFLICT, false),
            (StatusCode::NOT_FOUND, false),
            (StatusCode::OK, false),
        ] {
            let mut answer = Answer::default();
            sort(&mut answer, "x".to_owned(), &status.into_response());
            let found = (answer.waiting.len(), answer.refused.len());
            assert_eq!(found, (usize::from(waits), usize::from(!waits)), "{status}");
        }
    }
}
