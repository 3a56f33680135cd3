//! The pages of the outbox: what waits on this device, and a file of it taken in.

use askama::Template;
use axum::body::Bytes;
use axum::extract::State;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_TYPE, SET_COOKIE};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde_json::json;

use super::clock::apart;
use super::photo;
use super::take::take;
use super::wire::{Answer, read};
use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::pocket;

#[derive(Template)]
#[template(path = "outbox.html")]
struct OutboxPage {
    shell: Shell,
    /// What became of a file.
    answer: Option<Answer>,
    /// Which files could not be read, and why.
    troubles: Vec<String>,
    /// Address of the script that lists the photos that wait.
    script: String,
}

impl OutboxPage {
    fn new(app: &crate::App, here: &Here) -> OutboxPage {
        OutboxPage {
            shell: Shell::new(app, here, Tab::Plot, "Unsent records"),
            answer: None,
            troubles: Vec::new(),
            script: pocket::address("photo_list.js"),
        }
    }
}

/// `GET /outbox`
pub(super) async fn show(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| html(&OutboxPage::new(app, &here))).await
}

/// `POST /outbox`: forms as JSON from a phone's script.
pub(super) async fn batch(
    State(app): State<Shared>,
    here: Here,
    bytes: Bytes,
) -> Result<Response, Failure> {
    run(app, move |app| match read(&bytes) {
        Ok(outbox) => {
            let clock = apart(&outbox.sent, &standbook_fieldbook::time::now());
            let answer = Answer {
                clock,
                ..take(app, &here, outbox.items)
            };
            let mut response = said(StatusCode::OK, &answer)?;
            for cookie in answer.remember {
                response.headers_mut().append(SET_COOKIE, cookie);
            }
            Ok(response)
        }
        Err(why) => said(StatusCode::BAD_REQUEST, &json!({ "error": why })),
    })
    .await
}

pub(super) fn said(status: StatusCode, answer: &impl Serialize) -> Result<Response, Failure> {
    let text = serde_json::to_vec(answer).map_err(|_| Failure::Ours)?;
    Ok((status, [(CONTENT_TYPE, "application/json")], text).into_response())
}

/// `POST /outbox/file`: files that phones wrote, and a page that says what came of them.
pub(super) async fn file(
    State(app): State<Shared>,
    here: Here,
    multipart: Result<Multipart, MultipartRejection>,
) -> Result<Response, Failure> {
    let unreadable = || {
        Failure::BadRequest(
            "The file did not arrive whole. Nothing was taken from it; choose it again.".to_owned(),
        )
    };
    let mut multipart = multipart.map_err(|_| unreadable())?;
    let (mut answer, mut troubles) = (None::<Answer>, Vec::new());
    // One at a time: photos are large.
    while let Some(field) = multipart.next_field().await.map_err(|_| unreadable())? {
        if field.name() != Some("file") {
            continue;
        }
        let name = field.file_name().unwrap_or("file").to_owned();
        let bytes = field.bytes().await.map_err(|_| unreadable())?;
        let from = here.clone();
        let taken = run(app.clone(), move |app| {
            Ok(read(&bytes).map(|outbox| {
                let mut answer = take(app, &from, outbox.items);
                photo::take_written(app, &from, outbox.photos, &mut answer);
                answer
            }))
        });
        match taken.await? {
            Ok(taken) => answer.get_or_insert_default().add(taken),
            Err(why) => troubles.push(format!("{name}: {why}")),
        }
    }
    if answer.is_none() && troubles.is_empty() {
        troubles.push("No file was chosen. Choose the file that the phone wrote.".to_owned());
    }
    run(app, move |app| {
        let mut page = OutboxPage::new(app, &here);
        let status = match troubles.is_empty() {
            true => StatusCode::OK,
            false => StatusCode::UNPROCESSABLE_ENTITY,
        };
        page.answer = answer;
        page.troubles = troubles;
        Ok((status, html(&page)?).into_response())
    })
    .await
}
