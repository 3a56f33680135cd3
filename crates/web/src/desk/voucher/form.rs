//! The form of a specimen: keep one of a plant, or correct what is said of it.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Preparation, Voucher};
use standbook_fieldbook::{Body, Entry, RecordId};

use super::number::{after, next_of_all};
use crate::app::{App, Shared, run};
use crate::desk::subject::{Kind, Subject};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::dates::ask_about_future;
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::plot::standards::{CautionLine, cautions};

/// Preparations: as forms spell them, and for people.
const PREPARATIONS: [(&str, Preparation, &str); 4] = [
    ("pressed", Preparation::Pressed, "pressed flat"),
    (
        "dried",
        Preparation::Dried,
        "dried loose, as in a paper bag",
    ),
    ("living", Preparation::Living, "growing on in a pot"),
    ("in_spirit", Preparation::InSpirit, "in alcohol"),
];

/// How it is kept, for people.
pub(super) fn preparation_words(preparation: Preparation) -> &'static str {
    let known = PREPARATIONS.iter().find(|(_, one, _)| *one == preparation);
    known.map_or("", |(.., words)| words)
}

/// Notes of the form: field, its name in messages.
const NOTES: [(&str, &str); 6] = [
    ("parts", "What was collected"),
    ("habitat", "The habitat"),
    ("associates", "What grows with it"),
    ("habit", "How it grows"),
    ("abundance", "How many there are"),
    ("fading", "What is lost on drying"),
];

/// The form.
#[derive(Template)]
#[template(path = "desk/voucher_form.html")]
struct VoucherPage {
    shell: Shell,
    /// The plant, in a few words.
    plant: String,
    /// Where it stands.
    place: String,
    /// Its page.
    back: String,
    /// Where the form goes.
    action: String,
    /// Value, words, whether chosen.
    preparations: Vec<(&'static str, &'static str, bool)>,
    /// Collectors of this book with their next free numbers.
    next: Vec<(String, String)>,
    cautions: Vec<CautionLine>,
    filled: Filled,
}

fn page(
    app: &App,
    here: &Here,
    subject: &Subject,
    about: RecordId,
    mut filled: Filled,
) -> Result<Response, Failure> {
    let all = app.book.vouchers_all()?;
    filled.begin(here);
    let met_by = || here.scout.clone().unwrap_or_else(|| subject.scout.clone());
    filled.default_to("collector", met_by());
    let next = next_of_all(&all);
    let own = next.get(filled.get("collector")).cloned();
    filled.default_to("number", own.unwrap_or_else(|| after([].into_iter())));
    filled.default_to("collected_on", subject.place.visit.body.on.clone());
    filled.default_to("preparation", "pressed");
    let page = VoucherPage {
        shell: Shell::new(
            app,
            here,
            Tab::Plant,
            filled.title("Keep a specimen", "Correct a specimen"),
        ),
        plant: subject.short(),
        place: subject.place_words(),
        back: subject.address(),
        action: format!("/{}/{about}/voucher", subject.kind.folder()),
        preparations: PREPARATIONS
            .iter()
            .map(|(value, _, words)| (*value, *words, filled.get("preparation") == *value))
            .collect(),
        next: next.into_iter().collect(),
        cautions: cautions(app, &["permission", "collecting"]),
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /determinations/{id}/voucher`, `GET /unknowns/{id}/voucher`.
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
        let path = format!("/{}/{id}/voucher", kind.folder());
        let saved = |_| format!("{}#specimens", subject.address());
        fresh(app, &path, &query, saved, |filled| {
            page(app, &here, &subject, id, filled)
        })
    })
    .await
}

/// `GET /vouchers/{id}/correct`.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "specimen")?;
    run(app, move |app| {
        let voucher = app
            .book
            .voucher(id)?
            .ok_or(Failure::NotFound { what: "specimen" })?;
        let subject = Subject::find(app, voucher.body.about)?;
        let about = voucher.body.about;
        page(app, &here, &subject, about, fill(voucher))
    })
    .await
}

fn fill(voucher: Entry<Voucher>) -> Filled {
    let mut filled = Filled::new();
    filled.set("supersedes", voucher.id.to_string());
    let body = voucher.body;
    let preparation = PREPARATIONS
        .iter()
        .find(|(_, one, _)| *one == body.preparation);
    filled.set("preparation", preparation.map_or("", |(value, ..)| *value));
    for (field, text) in [
        ("collector", body.collector),
        ("number", body.number),
        ("collected_on", body.collected_on),
        ("parts", body.parts),
        ("kept_at", body.kept_at),
        ("habitat", body.habitat),
        ("associates", body.associates),
        ("habit", body.habit),
        ("abundance", body.abundance),
        ("fading", body.fading),
    ] {
        filled.set(field, text);
    }
    filled
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
    let collector = filled.read_name("collector", "The collector");
    let number = filled.read_name("number", "The collector's number");
    let collected_on = filled.read_date("collected_on", "The date of collecting");
    ask_about_future(&mut filled, "collected_on", "The date of collecting");
    let kept_at = filled.read_line("kept_at", "Where it is kept");
    let [parts, habitat, associates, habit, abundance, fading] =
        NOTES.map(|(field, what)| filled.read_note(field, what));
    let chosen = filled.get("preparation");
    let preparation = PREPARATIONS.iter().find(|(value, ..)| *value == chosen);
    if preparation.is_none() {
        filled
            .troubles
            .add("preparation", "How it is kept is missing. Choose one.");
    }
    let voucher = preparation.map(|(_, preparation, _)| {
        Body::Voucher(Voucher {
            // The version that the address names: sent again after the plant was corrected, it is
            // still the same record.
            about,
            collector,
            number,
            collected_on,
            preparation: *preparation,
            parts,
            kept_at,
            habitat,
            associates,
            habit,
            abundance,
            fading,
        })
    });
    let to = |_| format!("{}#specimens", subject.address());
    match keep_form(app, here, &mut filled, "specimen", voucher, to)? {
        Some(saved) => Ok(saved),
        None => page(app, here, &subject, about, filled),
    }
}
