//! What every request through the phones' door passes, and what is kept for the laptop.

use std::net::SocketAddr;
use std::sync::LazyLock;
use std::time::Duration;

use axum::extract::{ConnectInfo, Request, State};
use axum::http::header::{COOKIE, SET_COOKIE};
use axum::http::{Extensions, HeaderMap, HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use super::who::Who;
use crate::api::is_api;
use crate::app::Shared;
use crate::failure::Failure;
use crate::secure::names;
use crate::{kept, secure};

/// Cookie that holds a phone's key.
const KEY: &str = "phone";

/// The same on https. By its prefix browsers take it from https only, for this host only (RFC
/// 6265bis, 4.1.3.2), so nobody on plain http puts another into its place.
const SECURE_KEY: &str = "__Host-phone";

/// How long a stranger may take over one request: the phones must not wait behind many that do.
const STRANGERS_PATIENCE: Duration = Duration::from_secs(20);

/// The name of this machine in the local network.
static OWN_NAME: LazyLock<Option<String>> = LazyLock::new(names::of_this_machine);

/// Seconds for which a browser keeps the key: 400 days, the most that browsers allow (RFC 6265bis).
const KEPT_S: u32 = 34_560_000;

/// How a connection came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arrived {
    /// The address of this machine at which it arrived.
    pub at: SocketAddr,
    /// Whether by https.
    pub secure: bool,
}

impl Arrived {
    /// How a request came in; `None` through the laptop's own door.
    pub fn of(extensions: &Extensions) -> Option<Arrived> {
        let arrived = extensions.get::<ConnectInfo<Arrived>>();
        arrived.map(|ConnectInfo(arrived)| *arrived)
    }

    /// Whether a request came in by https.
    pub fn by_https(extensions: &Extensions) -> bool {
        Arrived::of(extensions).is_some_and(|arrived| arrived.secure)
    }
}

/// Whether a request calls this machine by the address it arrived at, or by the name that it has in
/// the local network. Any other name could be pointed at it by a website (DNS rebinding); a number
/// can't, and names under `.local` are not asked of the internet (RFC 6762, 3).
pub(crate) fn is_own_name(host: &str, extensions: &Extensions) -> bool {
    let Some(Arrived { at, secure }) = Arrived::of(extensions) else {
        return false;
    };
    // The port that an address of this kind does not write.
    let unwritten = at.port() == if secure { 443 } else { 80 };
    if host.parse().ok() == Some(at) {
        return true;
    }
    if host.trim_matches(['[', ']']).parse().ok() == Some(at.ip()) {
        return unwritten;
    }
    let (name, own_port) = match host.rsplit_once(':') {
        Some((name, port)) => (name, port.parse().ok() == Some(at.port())),
        None => (host, unwritten),
    };
    own_port
        && OWN_NAME
            .as_deref()
            .is_some_and(|own| own.eq_ignore_ascii_case(name))
}

/// Lets in phones that show a key of the roster, and shows strangers the way to pair.
pub(crate) async fn gate(State(app): State<Shared>, mut request: Request, next: Next) -> Response {
    let arrived = Arrived::of(request.extensions());
    let secure = arrived.is_some_and(|arrived| arrived.secure);
    let keys = keys_of(request.headers(), secure);
    let known = tokio::task::spawn_blocking(move || {
        let roster = &app.phones.as_ref()?.roster;
        // One that was taken away may lie beside one that was given since by the other door.
        let mut all = keys.into_iter();
        let (phone, shown) = all.find_map(|shown| Some((roster.shown(&shown.key)?, shown)))?;
        if let Some(arrived) = arrived {
            roster.seen_at(&phone.id, arrived.at.ip());
        }
        Some((phone, shown))
    });
    let Some((phone, shown)) = known.await.ok().flatten() else {
        return stranger(request, next).await;
    };
    request.extensions_mut().insert(Who::Phone(phone));
    let mut response = next.run(request).await;
    // Not with an answer that gives or takes cookies itself, as leaving does: the next one will do.
    if secure
        && !shown.own
        && !response.headers().contains_key(SET_COOKIE)
        && let Some(cookie) = give_key(&shown.key, secure)
    {
        response.headers_mut().append(SET_COOKIE, cookie);
    }
    response
}

async fn stranger(mut request: Request, next: Next) -> Response {
    let path = request.uri().path();
    let open = path == "/pair"
        || path.starts_with("/assets/")
        || secure::is_open(path)
        || kept::is_open(path);
    if !open {
        let reads = request.method() == Method::GET || request.method() == Method::HEAD;
        // A program has nothing to type a code into.
        if reads && !is_api(path) {
            return Redirect::to("/pair").into_response();
        }
        return Failure::NotLetIn(
            "This phone is not let in, or no longer. Nothing was saved. Let it in at the laptop, go back, and send this again."
                .to_owned(),
        )
        .into_response();
    }
    request.extensions_mut().insert(Who::Stranger);
    let answered = tokio::time::timeout(STRANGERS_PATIENCE, next.run(request));
    answered.await.unwrap_or_else(|_| {
        Failure::BadRequest("This request took too long to arrive. Send it again.".to_owned())
            .into_response()
    })
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

/// A key that a request shows.
struct Shown {
    key: String,
    /// Whether in the cookie of this door.
    own: bool,
}

/// The keys that a request shows, the door's own first. On plain http only its own.
fn keys_of(headers: &HeaderMap, secure: bool) -> Vec<Shown> {
    let names: &[&str] = if secure { &[SECURE_KEY, KEY] } else { &[KEY] };
    let keys = names.iter().enumerate().filter_map(|(at, name)| {
        let key = cookie(headers, name)?;
        Some(Shown { key, own: at == 0 })
    });
    keys.collect()
}

fn cookie(headers: &HeaderMap, called: &str) -> Option<String> {
    let cookies = headers.get_all(COOKIE).into_iter();
    cookies
        .filter_map(|header| header.to_str().ok())
        .flat_map(|header| header.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(name, _)| *name == called)
        .map(|(_, value)| value.to_owned())
}

/// A `Set-Cookie` value that gives a phone its key.
pub(super) fn give_key(key: &str, secure: bool) -> Option<HeaderValue> {
    let (name, also) = match secure {
        true => (SECURE_KEY, "; Secure"),
        false => (KEY, ""),
    };
    HeaderValue::from_str(&format!(
        "{name}={key}; Path=/; Max-Age={KEPT_S}; SameSite=Strict; HttpOnly{also}"
    ))
    .ok()
}

/// `Set-Cookie` values that take it back, of both doors as far as this one may.
pub(super) fn forget_key(secure: bool) -> Vec<HeaderValue> {
    let plain = "phone=; Path=/; Max-Age=0; SameSite=Strict; HttpOnly";
    let own = "__Host-phone=; Path=/; Max-Age=0; SameSite=Strict; HttpOnly; Secure";
    let all = if secure {
        vec![plain, own]
    } else {
        vec![plain]
    };
    all.into_iter().map(HeaderValue::from_static).collect()
}
