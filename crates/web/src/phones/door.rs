//! What every request through the phones' door passes, and what is kept for the laptop.

use std::net::SocketAddr;

use axum::extract::connect_info::Connected;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::header::COOKIE;
use axum::http::{Extensions, HeaderMap, HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use axum::serve::IncomingStream;
use tokio::net::TcpListener;

use super::who::Who;
use crate::app::Shared;
use crate::failure::Failure;

/// Cookie that holds a phone's key.
const KEY: &str = "phone";

/// Seconds for which a browser keeps the key: 400 days, the most that browsers allow (RFC 6265bis).
const KEPT_S: u32 = 34_560_000;

/// The address of this machine at which a connection arrived.
#[derive(Debug, Clone, Copy)]
pub struct Arrived(pub Option<SocketAddr>);

impl Connected<IncomingStream<'_, TcpListener>> for Arrived {
    fn connect_info(stream: IncomingStream<'_, TcpListener>) -> Arrived {
        Arrived(stream.io().local_addr().ok())
    }
}

/// Whether a request calls this machine by the address it arrived at. A name could be pointed at
/// it by a website (DNS rebinding); a number can't.
pub(crate) fn is_own_name(host: &str, extensions: &Extensions) -> bool {
    let arrived = extensions.get::<ConnectInfo<Arrived>>();
    let Some(address) = arrived.and_then(|ConnectInfo(Arrived(address))| *address) else {
        return false;
    };
    host.parse().ok() == Some(address)
        // Port 80 is not written.
        || host.trim_matches(['[', ']']).parse().ok() == Some(address.ip()) && address.port() == 80
}

/// Lets in phones that show a key of the roster, and shows strangers the way to pair.
pub(crate) async fn gate(State(app): State<Shared>, mut request: Request, next: Next) -> Response {
    let key = key_of(request.headers());
    let shown = tokio::task::spawn_blocking(move || {
        let phones = app.phones.as_ref()?;
        phones.roster.shown(key.as_deref()?)
    });
    let who = match shown.await.ok().flatten() {
        Some(phone) => Who::Phone(phone),
        None => Who::Stranger,
    };
    let path = request.uri().path();
    let open_to_all = path == "/pair" || path.starts_with("/assets/");
    if who == Who::Stranger && !open_to_all {
        if request.method() == Method::GET || request.method() == Method::HEAD {
            return Redirect::to("/pair").into_response();
        }
        return Failure::NotLetIn(
            "This phone is not let in, or no longer. Nothing was saved. Let it in at the laptop, go back, and send this again."
                .to_owned(),
        )
        .into_response();
    }
    request.extensions_mut().insert(who);
    next.run(request).await
}

/// For whoever sits at the laptop.
pub(super) async fn laptop_only(request: Request, next: Next) -> Response {
    if Who::of(request.extensions()) == Who::Laptop {
        return next.run(request).await;
    }
    Failure::NotLetIn("Phones are let in and sent away at the laptop only.".to_owned())
        .into_response()
}

/// For the laptop, and phones that were let in to the Desk.
pub(crate) async fn office_only(request: Request, next: Next) -> Response {
    if Who::of(request.extensions()).may_use_desk() {
        return next.run(request).await;
    }
    Failure::NotLetIn(
        "The Desk is the office's. Nothing was saved. This phone was let in for the field: at the laptop, let it in again with \u{201c}also the Desk\u{201d}."
            .to_owned(),
    )
    .into_response()
}

fn key_of(headers: &HeaderMap) -> Option<String> {
    let cookies = headers.get_all(COOKIE).into_iter();
    cookies
        .filter_map(|header| header.to_str().ok())
        .flat_map(|header| header.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(name, _)| *name == KEY)
        .map(|(_, value)| value.to_owned())
}

/// A `Set-Cookie` value that gives a phone its key.
pub(super) fn give_key(key: &str) -> Option<HeaderValue> {
    HeaderValue::from_str(&format!(
        "{KEY}={key}; Path=/; Max-Age={KEPT_S}; SameSite=Strict; HttpOnly"
    ))
    .ok()
}

/// A `Set-Cookie` value that takes it back.
pub(super) fn forget_key() -> HeaderValue {
    HeaderValue::from_static("phone=; Path=/; Max-Age=0; SameSite=Strict; HttpOnly")
}
