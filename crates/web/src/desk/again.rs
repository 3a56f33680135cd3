//! A second look at a plant, blind: the reviewer walks it or names it before the first answer is shown.
//!
//! In: the id of a determination or an unknown, and a walk in the address, as in the place Plant. Out: the
//! walk's page with the photos on top and nothing that the scout said of the plant; an opinion with what
//! the reviewer saw. Whoever says that they had seen the first answer is believed: then it is an
//! opinion like any other.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::RecordId;
use standbook_identify::{Planted, assess};

use super::give::{self, Looked, OpinionForm};
use crate::app::{App, Shared, run};
use crate::evidence::record_of;
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::Tab;
use crate::photos::gallery::Gallery;
use crate::plant::{SaveFields, Spot, Walk, walk_page};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::saved;
use crate::plot::place::Place;

/// What is looked at again.
struct Subject {
    /// The current version.
    id: RecordId,
    /// Its own page.
    page: String,
    /// What stands above the walk.
    title: String,
    /// The point where it stands.
    point: RecordId,
    /// Its photos.
    gallery: Gallery,
}

/// What the page of a walk shows when it is a second look.
pub(crate) struct Again {
    /// What is looked at again: `Plant in cell 7` or an unknown with its words.
    pub title: String,
    /// Site, planting and date of the visit.
    pub visit: String,
    /// Photos of the plant.
    pub gallery: Gallery,
    /// The form that keeps the opinion.
    pub form: OpinionForm,
}

impl Subject {
    fn plant(app: &App, id: &str) -> Result<Subject, Failure> {
        let what = "determination";
        let found = app.book.determination(record_id(id, what)?)?;
        let plant = found.ok_or(Failure::NotFound { what })?;
        Ok(Subject {
            id: plant.id,
            page: format!("/determinations/{}", plant.id),
            title: match plant.body.cell {
                Some(cell) => format!("A plant in cell {cell}"),
                None => "A plant".to_owned(),
            },
            point: plant.body.point,
            gallery: Gallery::of(app, plant.id)?,
        })
    }

    fn unknown(app: &App, id: &str) -> Result<Subject, Failure> {
        let what = "unknown";
        let found = app.book.unknown(record_id(id, what)?)?;
        let unknown = found.ok_or(Failure::NotFound { what })?;
        Ok(Subject {
            id: unknown.id,
            page: format!("/unknowns/{}", unknown.id),
            title: format!(
                "Unknown {}: {}",
                unknown.body.number, unknown.body.description
            ),
            point: unknown.body.first_seen,
            gallery: Gallery::of_unknown(app, unknown.id)?,
        })
    }
}

type Find = fn(&App, &str) -> Result<Subject, Failure>;

/// `GET /determinations/{id}/again`.
pub(super) async fn of_plant(
    app: State<Shared>,
    here: Here,
    id: Path<String>,
    query: Query,
) -> Result<Response, Failure> {
    show(app, here, id, query, Subject::plant).await
}

/// `GET /unknowns/{id}/again`.
pub(super) async fn of_unknown(
    app: State<Shared>,
    here: Here,
    id: Path<String>,
    query: Query,
) -> Result<Response, Failure> {
    show(app, here, id, query, Subject::unknown).await
}

/// `POST /determinations/{id}/again`.
pub(super) async fn save_of_plant(
    app: State<Shared>,
    here: Here,
    id: Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    save(app, here, id, form, Subject::plant).await
}

/// `POST /unknowns/{id}/again`.
pub(super) async fn save_of_unknown(
    app: State<Shared>,
    here: Here,
    id: Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    save(app, here, id, form, Subject::unknown).await
}

async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
    find: Find,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let subject = find(app, &id)?;
        let walk = Walk::read(app, &query);
        if walk.is_step && walk.faults.is_empty() {
            let to = walk.address_at(app, &format!("{}/again", subject.page));
            return Ok(Redirect::to(&to).into_response());
        }
        let mut filled = give::blank(&here);
        // The opinion has the id of the walk: sent again, it is the same record.
        filled.set("id", walk.id.to_string());
        page(app, &here, subject, &walk, filled)
    })
    .await
}

async fn save(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
    find: Find,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let subject = find(app, &id)?;
        let spot = Spot::find(app, subject.point)?;
        let walk = Walk::read(app, &form);
        if !walk.faults.is_empty() {
            // An answer that can't be taken must not be left out silently.
            let mut filled = Filled {
                form,
                ..Filled::new()
            };
            for fault in &walk.faults {
                filled.troubles.add("", fault.clone());
            }
            return page(app, &here, subject, &walk, filled);
        }
        // Worked out here from the answers, never taken from the form.
        let evidence = (!walk.evidence.answers().is_empty()).then(|| {
            let said = assess(&app.table, &walk.evidence, Planted::Mix(&spot.mix));
            record_of(&app.table, &walk.evidence, &walk.situation(), &said)
        });
        let looked = Looked {
            blind: form.get("seen_before") != "yes",
            evidence,
        };
        match give::give(app, &here, subject.id, form, looked)? {
            Ok(author) => Ok(saved(&format!("{}#opinions", subject.page), &author, None)),
            Err(filled) => page(app, &here, subject, &walk, filled),
        }
    })
    .await
}

fn page(
    app: &App,
    here: &Here,
    subject: Subject,
    walk: &Walk,
    mut filled: Filled,
) -> Result<Response, Failure> {
    let spot = Spot::find(app, subject.point)?;
    let place = Place::load(app, subject.point)?;
    let mut page = walk_page(
        app,
        here,
        &spot,
        walk,
        SaveFields::default(),
        walk.faults.clone(),
    )?;
    page.shell.tab = Tab::Desk;
    page.at = format!("{}/again", subject.page);
    // The walk's own name is offered only when it is at least leaning, as to a scout.
    if filled.get("taxon").is_empty() && page.answered && page.save.taxon != "none" {
        filled.set("taxon", page.save.taxon.clone());
    }
    let mut form = OpinionForm::new(
        app,
        page.at.clone(),
        "Save, then show the first answer",
        &place.planting.body,
        filled,
    );
    form.hidden.clone_from(&page.fields);
    form.blind = true;
    let troubles = form.filled.troubles.clone();
    for trouble in &troubles.list {
        if !page.faults.contains(&trouble.message) {
            page.faults.push(trouble.message.clone());
        }
    }
    page.again = Some(Again {
        title: subject.title,
        visit: format!(
            "{}, {}, visit of {}",
            place.site.body.name,
            place.planting.body.name,
            place.visit_words()
        ),
        gallery: subject.gallery,
        form,
    });
    respond(&troubles, &page)
}
