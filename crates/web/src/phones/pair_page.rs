//! What a phone sees that is not let in yet: a field for the code.

use std::time::Instant;

use askama::Template;
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};

use super::door::{forget_key, give_key};
use super::laptop_page::{door, failed};
use super::who::Who;
use crate::app::{Shared, run};
use crate::assets;
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::remember_scout;
use crate::page::html;

#[derive(Template)]
#[template(path = "phones/pair.html")]
struct PairPage {
    css: String,
    /// Whose phone it is, once it is let in, and whether for the Desk too.
    inside: Option<(String, bool)>,
    /// What is typed already.
    code: String,
    /// What was wrong with it.
    trouble: Option<String>,
}

/// `GET /pair`
pub(super) async fn show(
    Extension(who): Extension<Who>,
    Query(query): Query,
) -> Result<Response, Failure> {
    let digits = query.get("code").chars().filter(char::is_ascii_digit);
    html(&PairPage {
        css: assets::css_address(),
        inside: match who {
            Who::Phone(phone) => Some((phone.scout, phone.desk)),
            Who::Laptop | Who::Stranger => None,
        },
        code: digits.take(super::code::DIGITS).collect(),
        trouble: None,
    })
}

/// `POST /pair`: lets the phone in that types the code of the laptop's screen.
pub(super) async fn pair(State(app): State<Shared>, form: Form) -> Result<Response, Failure> {
    run(app, move |app| {
        let phones = door(app)?;
        let guest = match phones.waiting.take(form.get("code"), Instant::now()) {
            Ok(guest) => guest,
            Err(refused) => {
                let page = html(&PairPage {
                    css: assets::css_address(),
                    inside: None,
                    code: String::new(),
                    trouble: Some(refused.to_string()),
                })?;
                return Ok((StatusCode::FORBIDDEN, page).into_response());
            }
        };
        let (key, phone) = phones.roster.let_in(&guest).map_err(|e| failed(&e))?;
        let mut response = Redirect::to("/plot").into_response();
        for cookie in [give_key(&key), remember_scout(&phone.scout)] {
            let cookie = cookie.ok_or(Failure::Ours)?;
            response.headers_mut().append(SET_COOKIE, cookie);
        }
        Ok(response)
    })
    .await
}

/// `POST /pair/leave`: the phone forgets its key, and the key is void.
pub(super) async fn leave(
    State(app): State<Shared>,
    Extension(who): Extension<Who>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        if let Who::Phone(phone) = who {
            let sent = door(app)?.roster.send_away(&phone.id);
            sent.map_err(|error| failed(&error))?;
        }
        let mut response = Redirect::to("/pair").into_response();
        response.headers_mut().append(SET_COOKIE, forget_key());
        Ok(response)
    })
    .await
}
