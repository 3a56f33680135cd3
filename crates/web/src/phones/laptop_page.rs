//! Phones, as the laptop sees them: the code for the next one, who was let in, sending one away.

use std::net::IpAddr;
use std::time::Instant;

use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};

use super::code::{Guest, WAITS};
use super::qr;
use super::roster::{Phone, RosterFault};
use super::sharing::Phones;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Form;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::secure::names::clock_is_wrong;

/// What a picture of an address is, beside the address.
const FOR_CAMERA: &str = "The address above, for the phone's camera";

/// A code and where to type it.
struct CodeView {
    /// Six digits in two groups.
    code: String,
    /// For whom.
    scout: String,
    /// What for.
    desk: bool,
    /// How long it waits, minutes.
    minutes: u64,
    /// Where the phone finds the door, likeliest first.
    addresses: Vec<String>,
    /// The first of them, for the phone's camera: two pictures side by side would confuse it.
    picture: Option<String>,
}

/// What a phone's owner needs for https.
struct HttpsView {
    /// The page that says it step by step, by plain http.
    steps: String,
    /// The same for the phone's camera.
    picture: Option<String>,
    port: u16,
    name: String,
    fingerprint: [String; 4],
    until: String,
    /// Where the phone goes afterwards, likeliest first.
    addresses: Vec<String>,
}

/// A phone in the list.
struct Row {
    id: String,
    scout: String,
    desk: bool,
    since: String,
    seen: String,
    away: Option<String>,
}

#[derive(Template)]
#[template(path = "phones/laptop.html")]
struct PhonesPage {
    shell: Shell,
    filled: Filled,
    /// Whether the server has a door for phones.
    shares: bool,
    port: u16,
    code: Option<CodeView>,
    https: Option<HttpsView>,
    /// Why there is no https.
    insecure: String,
    clock_is_wrong: bool,
    /// Phones that were last at an address which this machine has no more.
    left_behind: Vec<(Phone, IpAddr)>,
    rows: Vec<Row>,
}

fn https(phones: &Phones) -> Option<HttpsView> {
    let secure = phones.secure.as_ref()?;
    let door = phones.addresses().into_iter().next();
    let steps = door.map(|address| format!("{address}trust"));
    Some(HttpsView {
        picture: steps
            .as_deref()
            .and_then(|steps| qr::svg(steps, FOR_CAMERA)),
        steps: steps.unwrap_or_else(|| format!("http://localhost:{}/trust", phones.port)),
        port: secure.port,
        name: secure.authority.name.clone(),
        fingerprint: secure.authority.fingerprint(),
        until: secure.authority.until.to_string(),
        addresses: phones.secure_addresses(),
    })
}

fn row(phone: Phone) -> Row {
    // To the minute; records use the same clock.
    let minute = |stamp: &str| {
        let time = stamp.get(..16).unwrap_or(stamp).replace('T', " ");
        format!("{time} UTC")
    };
    Row {
        id: phone.id,
        scout: phone.scout,
        desk: phone.desk,
        since: minute(&phone.since),
        seen: minute(&phone.seen),
        away: phone.away.as_deref().map(minute),
    }
}

fn page(app: &App, here: &Here, filled: Filled) -> Result<Response, Failure> {
    let phones = app.phones.as_ref();
    let code = phones.and_then(|phones| {
        let (code, guest) = phones.waiting.guest(Instant::now())?;
        let addresses = phones.addresses();
        let first = addresses.first();
        let picture =
            first.and_then(|address| qr::svg(&format!("{address}pair?code={code}"), FOR_CAMERA));
        let (front, back) = code.split_at_checked(3)?;
        Some(CodeView {
            code: format!("{front} {back}"),
            scout: guest.scout,
            desk: guest.desk,
            minutes: WAITS.as_secs() / 60,
            addresses,
            picture,
        })
    });
    let page = PhonesPage {
        shell: Shell::new(app, here, Tab::Desk, "Phones"),
        filled,
        shares: phones.is_some(),
        port: phones.map_or(0, |phones| phones.port),
        code,
        https: phones.and_then(https),
        insecure: phones.map_or(String::new(), |phones| phones.insecure.clone()),
        clock_is_wrong: clock_is_wrong(),
        left_behind: phones.map(Phones::left_behind).unwrap_or_default(),
        rows: phones
            .map(|phones| phones.roster.all().into_iter().map(row).collect())
            .unwrap_or_default(),
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /phones`
pub(super) async fn show(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| page(app, &here, Filled::new())).await
}

/// `POST /phones/code`: makes a code for one phone.
pub(super) async fn make_code(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let phones = door(app)?;
        let mut filled = Filled::sent(form);
        let scout = filled.read_name("name", "The scout's name");
        if !filled.troubles.none() {
            return page(app, &here, filled);
        }
        let guest = Guest {
            scout,
            desk: filled.holds("desk", "yes"),
        };
        let made = phones.waiting.offer(guest, Instant::now());
        made.map_err(|error| failed(&RosterFault::Random(error)))?;
        Ok(Redirect::to("/phones").into_response())
    })
    .await
}

/// `POST /phones/away`: sends a phone away.
pub(super) async fn take_away(State(app): State<Shared>, form: Form) -> Result<Response, Failure> {
    run(app, move |app| {
        let sent = door(app)?.roster.send_away(form.get("id"));
        match sent.map_err(|error| failed(&error))? {
            true => Ok(Redirect::to("/phones").into_response()),
            false => Err(Failure::NotFound { what: "phone" }),
        }
    })
    .await
}

/// The phones of a server that shares.
pub(super) fn door(app: &App) -> Result<&super::Phones, Failure> {
    app.phones.as_ref().ok_or_else(|| {
        Failure::BadRequest(
            "This server answers on this machine only. Stop it and start it with --share to let phones in."
                .to_owned(),
        )
    })
}

/// What went wrong with the list, in its own words.
pub(super) fn failed(fault: &RosterFault) -> Failure {
    Failure::Surroundings(fault.to_string())
}
