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
use super::take::take;
use super::wire::{Answer, read};
use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};

#[derive(Template)]
#[template(path = "outbox.html")]
struct OutboxPage {
    shell: Shell,
    /// What became of a file.
    answer: Option<Answer>,
    /// Why a file could not be read.
    trouble: Option<String>,
}

impl OutboxPage {
    fn new(app: &crate::App, here: &Here) -> OutboxPage {
        OutboxPage {
            shell: Shell::new(app, here, Tab::Plot, "Unsent records"),
            answer: None,
            trouble: None,
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

fn said(status: StatusCode, answer: &impl Serialize) -> Result<Response, Failure> {
    let text = serde_json::to_vec(answer).map_err(|_| Failure::Ours)?;
    Ok((status, [(CONTENT_TYPE, "application/json")], text).into_response())
}

/// `POST /outbox/file`: a file that a phone wrote, and a page that says what came of it.
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
    let mut bytes = Bytes::new();
    while let Some(field) = multipart.next_field().await.map_err(|_| unreadable())? {
        if field.name() == Some("file") {
            bytes = field.bytes().await.map_err(|_| unreadable())?;
        }
    }
    run(app, move |app| {
        let mut page = OutboxPage::new(app, &here);
        match read(&bytes) {
            Ok(outbox) => page.answer = Some(take(app, &here, outbox.items)),
            Err(why) => page.trouble = Some(why),
        }
        let status = match page.trouble {
            Some(_) => StatusCode::UNPROCESSABLE_ENTITY,
            None => StatusCode::OK,
        };
        Ok((status, html(&page)?).into_response())
    })
    .await
}
