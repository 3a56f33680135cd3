//! The form of a flag: come back to a plant, or correct what is said of it.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::ComeBack;
use standbook_fieldbook::{Body, RecordId};

use super::when::{Offer, offers};
use crate::app::{App, Shared, run};
use crate::count::fix::{fill_position, read_position};
use crate::desk::subject::{Kind, Subject};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::words::date_words;

/// A reason to choose.
struct Choice {
    value: &'static str,
    words: &'static str,
    /// The day offered, in words; may be empty.
    due: String,
    source: String,
    chosen: bool,
}

/// The form.
#[derive(Template)]
#[template(path = "desk/come_back_form.html")]
struct ComeBackPage {
    shell: Shell,
    /// The plant, in a few words.
    plant: String,
    /// Where it stands.
    place: String,
    /// Its page.
    back: String,
    /// Where the form goes.
    action: String,
    choices: Vec<Choice>,
    /// Whether its point has a position.
    point_has_fix: bool,
    filled: Filled,
}

/// What is offered on a form: after the visit, and after the day on which the form was opened, which its id
/// tells. A form sent twice thus means the same day.
fn offered(app: &App, subject: &Subject, id: RecordId) -> [Offer; 3] {
    let visit = subject.place.visit.body.on.as_str();
    let opened = id.born_at();
    let opened = opened.get(..10).unwrap_or_default();
    offers(&app.standards, visit.max(opened))
}

fn page(
    app: &App,
    here: &Here,
    subject: &Subject,
    about: RecordId,
    mut filled: Filled,
) -> Result<Response, Failure> {
    filled.begin(here);
    filled.default_to("reason", "heading");
    let choices = offered(app, subject, filled.id()).map(|offer| Choice {
        value: offer.value,
        words: offer.words,
        due: offer.due_on.as_deref().map(date_words).unwrap_or_default(),
        source: offer.source,
        chosen: filled.get("reason") == offer.value,
    });
    let page = ComeBackPage {
        shell: Shell::new(
            app,
            here,
            Tab::Plant,
            filled.title("Come back to it", "Correct a flag to come back"),
        ),
        plant: subject.short(),
        place: subject.place_words(),
        back: subject.address(),
        action: format!("/{}/{about}/come-back", subject.kind.folder()),
        choices: choices.into(),
        point_has_fix: subject.place.point.body.position.is_some(),
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /determinations/{id}/come-back`, `GET /unknowns/{id}/come-back`.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    kind: Kind,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    let id = record_id(&id, "plant")?;
    run(app, move |app| {
        let subject = Subject::load(app, kind, id)?;
        let path = format!("/{}/{id}/come-back", kind.folder());
        let saved = |_| format!("{}#come-back", subject.address());
        fresh(app, &path, &query, saved, |filled| {
            page(app, &here, &subject, id, filled)
        })
    })
    .await
}

/// `GET /come-back/{id}/correct`.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "flag")?;
    run(app, move |app| {
        let flag = app
            .book
            .come_back(id)?
            .ok_or(Failure::NotFound { what: "flag" })?;
        let subject = Subject::find(app, flag.body.about)?;
        let mut filled = Filled::new();
        filled.set("supersedes", flag.id.to_string());
        let offers = offers(&app.standards, "");
        let chosen = offers.iter().find(|one| one.reason == flag.body.reason);
        filled.set("reason", chosen.map_or("", |one| one.value));
        filled.set("due_on", flag.body.due_on);
        filled.set("pin", flag.body.pin);
        fill_position(&mut filled, flag.body.position);
        page(app, &here, &subject, flag.body.about, filled)
    })
    .await
}

/// `POST` of the same address.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    kind: Kind,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    let id = record_id(&id, "plant")?;
    run(app, move |app| take_form(app, &here, kind, id, form)).await
}

/// The same, for a form that came by whatever way.
pub(crate) fn take_form(
    app: &App,
    here: &Here,
    kind: Kind,
    about: RecordId,
    form: Form,
) -> Result<Response, Failure> {
    let subject = Subject::load(app, kind, about)?;
    let mut filled = Filled::sent(form);
    let id = filled.id();
    filled.set("id", id.to_string());
    let reason = filled.get("reason").to_owned();
    let offers = offered(app, &subject, id);
    let offer = offers.into_iter().find(|one| one.value == reason);
    if offer.is_none() {
        let words = "What is waited for is missing. Choose one.";
        filled.troubles.add("reason", words);
    }
    let due_on = match offer.as_ref().and_then(|one| one.due_on.clone()) {
        Some(offered) if filled.get("due_on").is_empty() => offered,
        _ => filled.read_date("due_on", "The day from which it is worth going"),
    };
    let pin = filled.read_note("pin", "How it is marked");
    let position = read_position(&mut filled);
    // What was found stays with the flag when the rest of it is corrected.
    let before = match filled.supersedes() {
        Some(old) => app.book.come_back(old)?.map(|flag| flag.body),
        None => None,
    };
    let (seen_on, found) = before.map_or((None, String::new()), |flag| (flag.seen_on, flag.found));
    let flag = offer.map(|offer| {
        Body::ComeBack(ComeBack {
            about,
            due_on,
            reason: offer.reason,
            pin,
            position,
            seen_on,
            found,
        })
    });
    let to = |_| format!("{}#come-back", subject.address());
    match keep_form(app, here, &mut filled, "flag", flag, to)? {
        Some(saved) => Ok(saved),
        None => page(app, here, &subject, about, filled),
    }
}
