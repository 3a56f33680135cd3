//! What a phone sees that is not let in yet: a field for the code.

use std::time::Instant;

use askama::Template;
use axum::extract::State;
use axum::http::header::{HeaderName, SET_COOKIE};
use axum::http::{Extensions, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};

use super::door::{Arrived, forget_key, give_key};
use super::laptop_page::{door, failed};
use super::who::Who;
use crate::app::{App, Shared, run};
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
    /// Whether it came by https.
    secure: bool,
    /// Whether there is https that it had better come by: over a cable it need not.
    offers_https: bool,
}

impl PairPage {
    fn of(app: &App, extensions: &Extensions) -> PairPage {
        let phones = app.phones.as_ref();
        let arrived = Arrived::of(extensions);
        let cable = arrived.is_some_and(|arrived| arrived.at.ip().is_loopback());
        PairPage {
            css: assets::css_address(),
            inside: None,
            code: String::new(),
            trouble: None,
            secure: Arrived::by_https(extensions),
            offers_https: !cable && phones.is_some_and(|phones| phones.secure.is_some()),
        }
    }
}

/// `GET /pair`
pub(super) async fn show(
    State(app): State<Shared>,
    extensions: Extensions,
    Query(query): Query,
) -> Result<Response, Failure> {
    let digits = query.get("code").chars().filter(char::is_ascii_digit);
    html(&PairPage {
        inside: match Who::of(&extensions) {
            Who::Phone(phone) => Some((phone.scout, phone.desk)),
            Who::Laptop | Who::Stranger => None,
        },
        code: digits.take(super::code::DIGITS).collect(),
        ..PairPage::of(&app, &extensions)
    })
}

/// `POST /pair`: lets the phone in that types the code of the laptop's screen.
pub(super) async fn pair(
    State(app): State<Shared>,
    extensions: Extensions,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let phones = door(app)?;
        let guest = match phones.waiting.take(form.get("code"), Instant::now()) {
            Ok(guest) => guest,
            Err(refused) => {
                let page = html(&PairPage {
                    trouble: Some(refused.to_string()),
                    ..PairPage::of(app, &extensions)
                })?;
                return Ok((StatusCode::FORBIDDEN, page).into_response());
            }
        };
        let (key, phone) = phones.roster.let_in(&guest).map_err(|e| failed(&e))?;
        let mut response = Redirect::to("/plot").into_response();
        let secure = Arrived::by_https(&extensions);
        for cookie in [give_key(&key, secure), remember_scout(&phone.scout)] {
            let cookie = cookie.ok_or(Failure::Ours)?;
            response.headers_mut().append(SET_COOKIE, cookie);
        }
        Ok(response)
    })
    .await
}

/// `POST /pair/leave`: the phone forgets its key, and the key is void. What it keeps unsent stays on
/// it: the next code sends that.
pub(super) async fn leave(
    State(app): State<Shared>,
    extensions: Extensions,
) -> Result<Response, Failure> {
    run(app, move |app| {
        if let Who::Phone(phone) = Who::of(&extensions) {
            let sent = door(app)?.roster.send_away(&phone.id);
            sent.map_err(|error| failed(&error))?;
        }
        let mut response = Redirect::to("/pair").into_response();
        let headers = response.headers_mut();
        for cookie in forget_key(Arrived::by_https(&extensions)) {
            headers.append(SET_COOKIE, cookie);
        }
        // Not "storage", which would take what is unsent along; kept pages go by the worker.
        let name = HeaderName::from_static("clear-site-data");
        headers.insert(name, HeaderValue::from_static("\"cache\""));
        Ok(response)
    })
    .await
}
