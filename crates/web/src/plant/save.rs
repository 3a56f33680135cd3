//! Saving a walk as a determination, with its whole evidence.
//!
//! What the engine says is worked out here from the answers, never taken from the form.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::{Body, Determination, Record, Unknown};
use standbook_fieldbook::{BookError, RecordId};
use standbook_identify::{NOT_IN_KEY, Planted, assess};

use crate::app::{App, Shared, run};
use crate::evidence::record_of;
use crate::failure::{Failure, Troubled, record_id};
use crate::form::Form;
use crate::here::{Here, remember_scout};
use crate::page::{Shell, Tab, html};
use crate::photos::form::PhotoForm;
use crate::photos::gallery::Gallery;
use crate::plant::show::{SaveFields, Spot, page};
use crate::plant::walk::Walk;
use crate::words::{outcome_words, percent, taxon_name};

/// `POST /at/{point}/plant`
pub async fn save(
    State(app): State<Shared>,
    here: Here,
    Path(point): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| take_form(app, &here, &point, form)).await
}

/// The same, for a form that came by whatever way.
pub(crate) fn take_form(
    app: &App,
    here: &Here,
    point: &str,
    form: Form,
) -> Result<Response, Failure> {
    let point = record_id(point, "point")?;
    let spot = Spot::find(app, point)?;
    let mut walk = Walk::read(app, &form);
    let fields = save_fields(&form);
    let here = Here {
        point: Some(point),
        ..here.clone()
    };
    match records(app, &here, &spot, &walk, &fields, &form) {
        Err(faults) => {
            let shown = page(app, &here, &spot, &walk, fields, faults.clone())?;
            refused(html(&shown)?, faults, &Failure::BadRequest(String::new()))
        }
        Ok(records) => match here.append(app, records) {
            // New or kept already: a form sent twice is one record.
            Ok(_) => {
                let to = format!("/at/{point}/plant/saved/{}", walk.id);
                let mut response = Redirect::to(&to).into_response();
                if let Some(cookie) = remember_scout(&fields.scout) {
                    response.headers_mut().append(SET_COOKIE, cookie);
                }
                Ok(response)
            }
            Err(error) => {
                let faults = explain(app, &mut walk, &error);
                let shown = page(app, &here, &spot, &walk, fields, faults.clone())?;
                refused(html(&shown)?, faults, &Failure::Book(error))
            }
        },
    }
}

/// Gives a refused form the status of its failure.
fn refused(
    mut response: Response,
    faults: Vec<String>,
    failure: &Failure,
) -> Result<Response, Failure> {
    response.extensions_mut().insert(Troubled(faults));
    *response.status_mut() = match failure {
        Failure::Book(_) => failure.status(),
        _ => axum::http::StatusCode::UNPROCESSABLE_ENTITY,
    };
    Ok(response)
}

/// What the book refused, in words; after the back button the form turns into a correction.
fn explain(app: &App, walk: &mut Walk, error: &BookError) -> Vec<String> {
    match error {
        BookError::Conflict { .. } => {
            let saved = walk.id;
            walk.id = RecordId::new();
            // A determination of another point is no version of this one.
            walk.corrects = Some(saved);
            let name = match app.book.determination(saved) {
                Ok(Some(d)) => d.body.taxon.map_or_else(
                    || "without a name".to_owned(),
                    |t| format!("as {}", taxon_name(app, &t).0),
                ),
                _ => "before".to_owned(),
            };
            vec![format!(
                "This plant was saved already, {name}. What you have now is different. Press Save again to keep it as a correction; the first one stays in the book. For another plant, start a new walk."
            )]
        }
        BookError::Invalid(problems) => problems
            .iter()
            .map(|p| format!("{}: {}. {}", p.field, p.problem, p.mend))
            .collect(),
        other => vec![other.to_string()],
    }
}

fn save_fields(form: &Form) -> SaveFields {
    SaveFields {
        taxon: form.get("taxon").to_owned(),
        other_taxon: form.get("other_taxon").to_owned(),
        cell: form.get("cell").to_owned(),
        // Browsers send CR LF from a text area.
        note: form.get("note").replace('\r', ""),
        description: form.get("description").replace('\r', ""),
        new_unknown: chosen_unknown(form) == "new",
        scout: form.get("scout").to_owned(),
    }
}

/// The field code chosen. Words for a new unknown without a choice mean a new unknown: they must
/// not get lost.
fn chosen_unknown(form: &Form) -> &str {
    match form.get("unknown") {
        "" if form.has("description") => "new",
        chosen => chosen,
    }
}

/// The records to keep, or everything that is wrong with the form.
fn records(
    app: &App,
    here: &Here,
    spot: &Spot,
    walk: &Walk,
    fields: &SaveFields,
    form: &Form,
) -> Result<Vec<Record>, Vec<String>> {
    let mut faults = walk.faults.clone();
    if walk.evidence.answers().is_empty() {
        faults.push(
            "Nothing has been looked at yet: answer at least one look, then save.".to_owned(),
        );
    }
    if fields.scout.is_empty() {
        faults.push("Who is looking? Write your name under Save.".to_owned());
    }
    let cell = match fields.cell.as_str() {
        "" => None,
        text => match text.parse::<u32>() {
            Ok(cell) if (1..=100).contains(&cell) => Some(cell),
            _ => {
                faults.push(format!(
                    "\u{201c}{}\u{201d} is not a cell: write its number, from 1 (upper left), or leave it empty.",
                    text.chars().take(40).collect::<String>()
                ));
                None
            }
        },
    };
    let taxon = match (fields.other_taxon.as_str(), fields.taxon.as_str()) {
        ("", "" | "none") => None,
        ("", id) | (id, _) => match app.key.taxon(id) {
            Some(taxon) => Some(taxon.id.to_string()),
            None => {
                faults.push(format!(
                    "\u{201c}{}\u{201d} is not a name of this key: choose one of the list, or no name.",
                    id.chars().take(80).collect::<String>()
                ));
                None
            }
        },
    };
    let record = |id: RecordId, supersedes: Option<RecordId>, body: Body| Record {
        id,
        born_at: id.born_at(),
        received_at: None,
        device: here.device(app),
        author: fields.scout.clone(),
        supersedes,
        body,
    };
    let mut records = Vec::new();
    let unknown = match chosen_unknown(form) {
        "" => None,
        "new" => {
            let id = form.get("unknown_id").parse::<RecordId>().ok();
            let number = form.get("unknown_number").parse::<u32>().ok();
            if fields.description.is_empty() {
                faults.push(
                    "A new unknown needs a description, such as: hairy, flat base.".to_owned(),
                );
            }
            match (id, number) {
                (Some(id), Some(number)) => {
                    records.push(record(
                        id,
                        None,
                        Body::Unknown(Unknown {
                            visit: spot.visit.id,
                            number,
                            description: fields.description.clone(),
                            first_seen: spot.asked,
                        }),
                    ));
                    Some(id)
                }
                _ => {
                    faults.push("The new unknown has lost its number: open the walk again from its address.".to_owned());
                    None
                }
            }
        }
        text => match text.parse::<RecordId>() {
            Ok(id) => Some(id),
            Err(error) => {
                faults.push(format!("The unknown can't be found: {error}."));
                None
            }
        },
    };
    if !faults.is_empty() {
        return Err(faults);
    }
    let said = assess(&app.table, &walk.evidence, Planted::Mix(&spot.mix));
    let body = Determination {
        point: spot.asked,
        cell,
        unknown,
        taxon,
        note: fields.note.clone(),
        evidence: record_of(&app.table, &walk.evidence, &walk.situation(), &said),
    };
    records.push(record(walk.id, walk.corrects, Body::Determination(body)));
    Ok(records)
}

/// What was kept, and where to go on.
#[derive(Template)]
#[template(path = "plant/saved.html")]
struct SavedPage {
    shell: Shell,
    point: RecordId,
    place: String,
    id: RecordId,
    /// Common and scientific name; none when no name was given.
    name: Option<(String, String)>,
    outcome: String,
    /// Common name of the likeliest taxon.
    likeliest: String,
    probability: String,
    /// `unknown 3`, when the walk was for one.
    unknown: Option<u32>,
    scout: String,
    /// Photos of the plant.
    gallery: Gallery,
    /// The form for photos.
    photos: PhotoForm,
}

/// `GET /at/{point}/plant/saved/{id}`
pub async fn saved(
    State(app): State<Shared>,
    here: Here,
    Path((point, id)): Path<(String, String)>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let spot = Spot::find(app, record_id(&point, "point")?)?;
        let id = record_id(&id, "determination")?;
        let kept = app.book.determination(id)?.ok_or(Failure::NotFound {
            what: "determination",
        })?;
        let unknown = match kept.body.unknown {
            Some(id) => app.book.unknown(id)?.map(|u| u.body.number),
            None => None,
        };
        let gallery = Gallery::of(app, kept.id)?;
        let photos = PhotoForm::new(
            format!("/determinations/{}/photos", kept.id),
            kept.id,
            gallery.shows(),
            PhotoForm::blank(&here),
        );
        html(&SavedPage {
            shell: Shell::new(app, &here, Tab::Plant, "Saved"),
            point: spot.point.id,
            place: format!("{}, point {}", spot.plot.body.name, spot.point.body.label),
            id: kept.id,
            name: kept.body.taxon.as_deref().map(|t| taxon_name(app, t)),
            outcome: outcome_words(&kept.body.evidence.outcome),
            likeliest: kept
                .body
                .evidence
                .ranking
                .first()
                .map_or_else(String::new, |r| match r.taxon.as_str() {
                    NOT_IN_KEY => "not in this key".to_owned(),
                    id => taxon_name(app, id).0,
                }),
            probability: kept
                .body
                .evidence
                .ranking
                .first()
                .map_or_else(String::new, |r| percent(r.probability)),
            unknown,
            scout: kept.author,
            gallery,
            photos,
        })
    })
    .await
}
