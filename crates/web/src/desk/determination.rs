//! One determination: what was seen, what the book said, what others say.
//!
//! In: a determination's id, of any version. Out: its page; a second opinion kept. Nothing here
//! changes what the scout recorded; she corrects it by walking the plant again (place Plant).

use askama::Template;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::named::Called;
use standbook_fieldbook::record::{Body, Determination};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_key::{LeafStage, Need};

use super::apart::{Apart, apart};
use super::audits;
use super::give::{self, Looked, OpinionForm};
use super::names::{name_of, standing};
use super::opinion::{self, Shown};
use super::replay::{Replay, Seen, in_words, replay};
use super::subject::Kind;
use super::with_plant::WithPlant;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::photos::form::{self, PhotoForm};
use crate::photos::gallery::Gallery;
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::saved;
use crate::plot::place::Place;
use crate::stand::name::{Name, first_words};
use crate::stand::resolve::{Unknowns, in_order};
use crate::words::{instant_words, outcome_words};

/// The unknown a plant was recorded as.
struct OfUnknown {
    id: RecordId,
    words: String,
    settled: bool,
}

#[derive(Template)]
#[template(path = "desk/determination.html")]
struct DeterminationPage {
    /// The frame around the page.
    shell: Shell,
    /// Its id.
    id: RecordId,
    /// The current name.
    name: Name,
    /// Why it is the current one.
    why: String,
    /// Whether those who looked differ.
    disputed: bool,
    /// `North, point 3, cell 7`.
    place: String,
    /// Site and planting.
    planting: String,
    /// Date of the visit.
    visit: String,
    /// The point, for the way there.
    point: RecordId,
    /// Who determined it, and when.
    scout: String,
    /// When, in words.
    when: String,
    /// The name the scout gave.
    scouts_name: Name,
    /// The scout's words; may be empty.
    note: String,
    /// The outcome then, in words.
    outcome: String,
    /// Leaf stage in words.
    stage: String,
    /// Tools in hand.
    tools: String,
    /// Answers in order.
    answers: Vec<Seen>,
    /// What the evidence says today.
    replay: Replay,
    /// The unknown it was made for.
    unknown: Option<OfUnknown>,
    /// The walk with its answers filled in, for the scout to correct it.
    correct: String,
    /// Earlier versions, oldest first, one line each.
    earlier: Vec<String>,
    /// Specimens, and flags to come back.
    with_plant: WithPlant,
    /// Photos.
    gallery: Gallery,
    /// The audit it was drawn for: its id, how far it is, the next plant of it.
    audit: Option<(RecordId, String, Option<RecordId>)>,
    /// Second opinions, oldest first.
    opinions: Vec<Shown>,
    /// The scout's looks beside those of the reviewers who walked it.
    aparts: Vec<Apart>,
    /// The form for one more.
    form: OpinionForm,
    /// The form for photos.
    photos: PhotoForm,
}

/// `GET /determinations/{id}`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let id = record_id(&id, "determination")?;
        page(app, &here, id, give::blank(&here), PhotoForm::blank(&here))
    })
    .await
}

/// `POST /determinations/{id}/opinions`.
pub(super) async fn give_opinion(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let entry = find(app, record_id(&id, "determination")?)?;
        match give::give(app, &here, entry.id, form, Looked::default())? {
            Ok(author) => {
                let to = format!("/determinations/{}#opinions", entry.id);
                Ok(saved(&to, &author, None))
            }
            Err(filled) => page(app, &here, entry.id, filled, PhotoForm::blank(&here)),
        }
    })
    .await
}

/// `POST /determinations/{id}/photos`.
pub(super) async fn add_photos(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    multipart: Result<Multipart, MultipartRejection>,
) -> Result<Response, Failure> {
    let upload = form::read(multipart).await?;
    run(app, move |app| {
        let entry = find(app, record_id(&id, "determination")?)?;
        match form::take(app, &here, entry.id, upload) {
            Ok(author) => {
                let to = format!("/determinations/{}#photos", entry.id);
                Ok(saved(&to, &author, None))
            }
            Err(filled) => page(app, &here, entry.id, give::blank(&here), filled),
        }
    })
    .await
}

fn find(app: &App, id: RecordId) -> Result<Entry<Determination>, Failure> {
    let what = "determination";
    app.book
        .determination(id)?
        .ok_or(Failure::NotFound { what })
}

fn page(
    app: &App,
    here: &Here,
    id: RecordId,
    opinion: Filled,
    photo: Filled,
) -> Result<Response, Failure> {
    let entry = find(app, id)?;
    let place = Place::load(app, entry.body.point)?;
    let opinions = in_order(app.book.opinions(entry.id)?);
    let unknowns = Unknowns::read(app, entry.body.unknown)?;
    let unknown = entry.body.unknown.and_then(|id| unknowns.get(id));
    let stands = standing(&app.key, &entry, &opinions, unknown);
    let address = format!("/determinations/{}", entry.id);
    let form = OpinionForm::new(
        app,
        format!("{address}/opinions"),
        "Add this opinion",
        &place.planting.body,
        opinion,
    );
    let gallery = Gallery::of(app, entry.id)?;
    let photos = PhotoForm::new(
        format!("{address}/photos"),
        entry.id,
        gallery.shows(),
        photo,
    );
    let evidence = &entry.body.evidence;
    let mut where_it_stood = place.words();
    if let Some(cell) = entry.body.cell {
        where_it_stood.push_str(&format!(", cell {cell}"));
    }
    let page = DeterminationPage {
        shell: Shell::new(app, here, Tab::Desk, "Determination"),
        id: entry.id,
        name: name_of(&stands.called, app),
        why: stands.why,
        disputed: stands.disputed,
        place: where_it_stood,
        planting: format!("{}, {}", place.site.body.name, place.planting.body.name),
        visit: place.visit_words(),
        point: place.point.id,
        scout: entry.author.clone(),
        when: instant_words(&entry.born_at),
        scouts_name: name_of(&Called::by_scout(&entry.body), app),
        note: entry.body.note.clone(),
        outcome: outcome_words(&evidence.outcome),
        stage: LeafStage::from_id(&evidence.leaf_stage).map_or_else(
            || evidence.leaf_stage.clone(),
            |stage| stage.name().to_owned(),
        ),
        tools: tools(&evidence.tools),
        answers: evidence
            .answers
            .iter()
            .map(|given| in_words(app, given))
            .collect(),
        replay: replay(app, evidence),
        unknown: unknown.map(|known| OfUnknown {
            id: known.entry.id,
            words: format!(
                "unknown {}: {}",
                known.entry.body.number,
                first_words(&known.entry.body.description)
            ),
            settled: known.is_settled(),
        }),
        correct: crate::plant::address_of(entry.id, &entry.body),
        earlier: earlier(app, &entry)?,
        with_plant: WithPlant::of(app, Kind::Determination, entry.id, here.who.may_use_desk())?,
        gallery,
        audit: audits::of_plant(app, place.visit.id, entry.id)?,
        opinions: opinion::shown(app, &opinions, entry.id)?,
        aparts: opinions
            .iter()
            .filter_map(|opinion| apart(app, &entry, opinion))
            .collect(),
        form,
        photos,
    };
    let troubles = if page.form.filled.troubles.none() {
        &page.photos.filled.troubles
    } else {
        &page.form.filled.troubles
    };
    respond(troubles, &page)
}

fn tools(ids: &[String]) -> String {
    if ids.is_empty() {
        return "eyes and fingers only".to_owned();
    }
    ids.iter()
        .map(|id| match Need::from_id(id) {
            Some(need) => need.name(),
            None => id.as_str(),
        })
        .collect::<Vec<_>>()
        .join(", ")
}

fn earlier(app: &App, entry: &Entry<Determination>) -> Result<Vec<String>, BookError> {
    if entry.supersedes.is_none() {
        return Ok(Vec::new());
    }
    let chain = app.book.history(entry.id)?;
    Ok(chain
        .into_iter()
        .filter(|record| record.id != entry.id)
        .filter_map(|record| match record.body {
            Body::Determination(body) => {
                let name = name_of(&Called::by_scout(&body), app).common;
                let when = instant_words(&record.born_at);
                Some(format!("{name}, {} on {when}", record.author))
            }
            _ => None,
        })
        .collect())
}
