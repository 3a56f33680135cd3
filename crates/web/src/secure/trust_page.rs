//! What a phone's owner reads before the phone trusts this laptop, and the file to install.

use askama::Template;
use axum::extract::State;
use axum::http::header::{CONTENT_TYPE, HOST};
use axum::http::{Extensions, HeaderMap};
use axum::response::{IntoResponse, Response};

use super::names::clock_is_wrong;
use crate::app::{App, Shared, run};
use crate::assets;
use crate::failure::Failure;
use crate::guard::without_port;
use crate::page::html;
use crate::phones::{Arrived, Who};

/// Address of the page.
pub(super) const PAGE: &str = "/trust";

/// Address of the file: the certificate alone, DER.
pub(super) const FILE: &str = "/trust/ca.crt";

#[derive(Template)]
#[template(path = "phones/trust.html")]
struct TrustPage {
    css: String,
    /// Whether this page came by https.
    secure: bool,
    /// Whether over a cable, or on the laptop.
    cable: bool,
    /// Whether the phone was let in.
    inside: bool,
    /// What the phone lists once it is installed, and what both screens must show.
    authority: Option<Installed>,
    /// This page by https.
    https: String,
    /// Whether the laptop's clock shows a day that can't be.
    clock_is_wrong: bool,
}

/// An authority, as it is told from others.
struct Installed {
    name: String,
    fingerprint: [String; 4],
    until: String,
}

/// `GET /trust`
pub(super) async fn show(
    State(app): State<Shared>,
    extensions: Extensions,
    headers: HeaderMap,
) -> Result<Response, Failure> {
    let host = headers.get(HOST).and_then(|host| host.to_str().ok());
    let host = without_port(host.unwrap_or_default()).to_owned();
    run(app, move |app| {
        let phones = app.phones.as_ref();
        let secure = phones.and_then(|phones| phones.secure.as_ref());
        html(&TrustPage {
            css: assets::css_address(),
            secure: Arrived::by_https(&extensions),
            cable: Arrived::of(&extensions).is_none_or(|arrived| arrived.at.ip().is_loopback()),
            inside: Who::of(&extensions) != Who::Stranger,
            authority: secure.map(|secure| Installed {
                name: secure.authority.name.clone(),
                fingerprint: secure.authority.fingerprint(),
                until: secure.authority.until.to_string(),
            }),
            https: secure.map_or(String::new(), |secure| secure.address(secure.called(&host))),
            clock_is_wrong: clock_is_wrong(),
        })
    })
    .await
}

/// `GET /trust/ca.crt`
pub(super) async fn file(State(app): State<Shared>) -> Result<Response, Failure> {
    let certificate = |app: &App| {
        let secure = app.phones.as_ref()?.secure.as_ref()?;
        Some(secure.authority.certificate().to_vec())
    };
    let bytes = certificate(&app).ok_or(Failure::NotFound {
        what: "certificate",
    })?;
    // Not as an attachment: some phones would put it among their files instead of offering it.
    Ok(([(CONTENT_TYPE, "application/x-x509-ca-cert")], bytes).into_response())
}
