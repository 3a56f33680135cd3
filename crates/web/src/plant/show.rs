//! The walk's page: what it says so far, the next look, the answers, the reasons, saving.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::{Plot, Point, Unknown, Visit};
use standbook_fieldbook::{Entry, RecordId};
use standbook_identify::reasons::would_change;
use standbook_identify::{Planted, assess, look_next, looks};
use standbook_key::{LeafStage, Need, TaxonId, TraitClass};

use crate::app::{App, Shared, run};
use crate::desk::Again;
use crate::failure::{Failure, record_id};
use crate::form::Query;
use crate::here::{Here, remember_point};
use crate::page::{Shell, Tab, html};
use crate::photos::form::PhotoForm;
use crate::plant::couplet_view::{self, CoupletView};
use crate::plant::question::{Question, question};
use crate::plant::verdict::{self, Verdict};
use crate::plant::walk::Walk;
use crate::practice::Practised;
use crate::practice::eye::{self, EyeView};

/// Where a walk takes place.
#[derive(Debug, Clone)]
pub struct Spot {
    /// The point.
    pub point: Entry<Point>,
    /// The version of it that was asked for, which is what is recorded (as in `Place`).
    pub asked: RecordId,
    /// Its plot.
    pub plot: Entry<Plot>,
    /// Its visit.
    pub visit: Entry<Visit>,
    /// The planted species, as ids.
    pub mix: Vec<TaxonId>,
}

impl Spot {
    /// Finds a point with everything around it.
    pub fn find(app: &App, point: RecordId) -> Result<Spot, Failure> {
        let missing = |what| move || Failure::NotFound { what };
        let book = &app.book;
        let asked = point;
        let point = book.point(point)?.ok_or_else(missing("point"))?;
        let plot = book.plot(point.body.plot)?.ok_or_else(missing("plot"))?;
        let visit = book.visit(point.body.visit)?.ok_or_else(missing("visit"))?;
        let planting = book
            .planting(plot.body.planting)?
            .ok_or_else(missing("planting"))?;
        let mix = planting
            .body
            .mix
            .iter()
            .map(|item| TaxonId::new(item.taxon.as_str()))
            .collect();
        Ok(Spot {
            point,
            asked,
            plot,
            visit,
            mix,
        })
    }
}

/// Classes of traits in the order in which they are looked at, with their names.
pub(crate) const CLASSES: [(TraitClass, &str); 6] = [
    (TraitClass::TillerBase, "Tiller base"),
    (TraitClass::Hairs, "Hairs"),
    (TraitClass::Vernation, "Newest leaf"),
    (TraitClass::Ligule, "Ligule"),
    (TraitClass::Habit, "How it stands"),
    (TraitClass::Other, "The rest"),
];

/// Of so many of the best looks it is worked out what would change the outcome.
const CHANGES_FROM: usize = 6;

/// An answer given.
#[derive(Debug, Clone)]
pub struct Given {
    /// Trait id, for taking it back.
    pub id: String,
    /// Trait name.
    pub name: String,
    /// What was seen.
    pub seen: String,
}

/// Traits of one class that can be looked at.
#[derive(Debug, Clone)]
pub struct ClassView {
    /// Name of the class.
    pub name: &'static str,
    /// Trait id and name.
    pub traits: Vec<(String, String)>,
}

/// The page.
#[derive(Template)]
#[template(path = "plant/walk.html")]
pub struct WalkPage {
    /// Frame around the page.
    pub shell: Shell,
    /// Id of the point.
    pub point: RecordId,
    /// The page that the walk is on.
    pub at: String,
    /// What a second look shows beside; none for a scout's own walk.
    pub again: Option<Again>,
    /// The drawn plant that is walked in practice, and the form in which it is named.
    pub(crate) practice: Option<Practised>,
    /// Where, in words.
    pub place: String,
    /// Hidden fields that carry the walk.
    pub fields: Vec<(String, String)>,
    /// What is wrong, on top.
    pub faults: Vec<String>,
    /// Whether saving would correct an earlier record.
    pub corrects: bool,
    /// Stage not told yet: the page asks for it first.
    pub ask_stage: bool,
    /// Stages: id, name, chosen.
    pub stages: Vec<(&'static str, &'static str, bool)>,
    /// Tools: id, name, in hand.
    pub tools: Vec<(&'static str, &'static str, bool)>,
    /// What the walk says so far; nothing before there is evidence.
    pub verdict: Option<Verdict>,
    /// What it would say for the scout's own eye, or the switch to it.
    pub eye: Option<EyeView>,
    /// What would change it, in words; at most two.
    pub would_change: Vec<String>,
    /// Whether anything was answered: then it may be saved.
    pub answered: bool,
    /// Stage and tools in words.
    pub situation: String,
    /// The look on the page.
    pub question: Option<Question>,
    /// Couplets, when they are read.
    pub couplets: Option<CoupletView>,
    /// Answers so far.
    pub given: Vec<Given>,
    /// Other looks.
    pub others: Vec<ClassView>,
    /// Unknowns of this visit: id, words, chosen.
    pub unknowns: Vec<(String, String, bool)>,
    /// The number a new unknown would get.
    pub next_unknown: u32,
    /// Id of a new unknown, minted here.
    pub unknown_id: String,
    /// All taxa of the key: id and common name.
    pub taxa: Vec<(String, String)>,
    /// The fields of the save form as typed.
    pub save: SaveFields,
    /// The form for photos, which wait for the plant to be saved.
    pub(crate) photos: PhotoForm,
}

/// The save form as typed.
#[derive(Debug, Clone, Default)]
pub struct SaveFields {
    /// The name chosen: a taxon id, `none`, or empty.
    pub taxon: String,
    /// A name chosen from the long list.
    pub other_taxon: String,
    /// Cell.
    pub cell: String,
    /// Words.
    pub note: String,
    /// Description of a new unknown.
    pub description: String,
    /// Whether a new unknown was chosen.
    pub new_unknown: bool,
    /// Scout.
    pub scout: String,
}

/// `GET /at/{point}/plant`
pub async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(point): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let point = record_id(&point, "point")?;
        let spot = Spot::find(app, point)?;
        let walk = Walk::read(app, &query);
        if walk.is_step && walk.faults.is_empty() {
            return Ok(Redirect::to(&walk.address(app, point)).into_response());
        }
        let here = Here {
            point: Some(point),
            ..here
        };
        let status = if walk.faults.is_empty() {
            StatusCode::OK
        } else {
            StatusCode::UNPROCESSABLE_ENTITY
        };
        let save = SaveFields {
            cell: walk.cell.clone(),
            scout: here.scout.clone().unwrap_or_default(),
            ..SaveFields::default()
        };
        let faults = walk.faults.clone();
        let mut response = html(&page(app, &here, &spot, &walk, save, faults)?)?;
        *response.status_mut() = status;
        if let Some(cookie) = remember_point(point) {
            response.headers_mut().append(SET_COOKIE, cookie);
        }
        Ok(response)
    })
    .await
}

/// What stands around a walk.
pub(crate) struct Around<'a> {
    /// The planted species.
    pub mix: &'a [TaxonId],
    /// The page that the walk is on.
    pub at: String,
    /// The point; of no use where nothing is saved at one.
    pub point: RecordId,
    /// Where, in words.
    pub place: String,
    /// Unknowns of the visit.
    pub unknowns: Vec<Entry<Unknown>>,
    /// The number that a new one would get.
    pub next_unknown: u32,
    /// Whether it may say what it comes to for the scout's own eye.
    pub own_eye: bool,
}

/// Builds the page of a walk at a point.
pub fn page(
    app: &App,
    here: &Here,
    spot: &Spot,
    walk: &Walk,
    save: SaveFields,
    faults: Vec<String>,
) -> Result<WalkPage, Failure> {
    let around = Around {
        mix: &spot.mix,
        at: format!("/at/{}/plant", spot.point.id),
        point: spot.point.id,
        place: format!("{}, point {}", spot.plot.body.name, spot.point.body.label),
        unknowns: app.book.unknowns(spot.visit.id)?,
        next_unknown: app.book.next_unknown_number(spot.visit.id)?,
        own_eye: true,
    };
    page_around(app, here, around, walk, save, faults)
}

/// Builds the page of a walk, wherever it is.
pub(crate) fn page_around(
    app: &App,
    here: &Here,
    around: Around,
    walk: &Walk,
    mut save: SaveFields,
    faults: Vec<String>,
) -> Result<WalkPage, Failure> {
    let planted = Planted::Mix(around.mix);
    let situation = walk.situation();
    let said = assess(&app.table, &walk.evidence, planted);
    let next = looks(
        &app.table,
        &said.posterior,
        &walk.evidence,
        &situation,
        planted,
    );
    // "Can't tell" is an answer, and no evidence.
    let any = !said.contributions.is_empty();
    let answered = !walk.evidence.answers().is_empty();
    let asked = walk.ask.as_deref().and_then(|id| app.table.trait_index(id));
    let proposed = next.first().map(|look| look.trait_index);
    let shown = asked.or(proposed);
    let couplets = walk.couplets.then(|| couplet_view::view(app, walk));
    let verdict = any.then(|| verdict::verdict(app, &said, planted));
    let changes = match any {
        true => would_change(
            &app.table,
            &walk.evidence,
            &said,
            &next[..next.len().min(CHANGES_FROM)],
            planted,
        ),
        false => Vec::new(),
    };
    let changes = &changes[..changes.len().min(2)];
    if save.taxon.is_empty() {
        // The outcome's own name is offered only when it is at least leaning.
        save.taxon = match said.outcome.rows() {
            [row] => app.table.rows[*row].id.to_string(),
            _ => "none".to_owned(),
        };
    }
    let scout = here.scout.as_deref().filter(|_| around.own_eye);
    Ok(WalkPage {
        shell: Shell::new(app, here, Tab::Plant, "Plant"),
        point: around.point,
        at: around.at,
        again: None,
        practice: None,
        place: around.place,
        fields: walk.fields(app),
        corrects: walk.corrects.is_some(),
        ask_stage: walk.stage.is_none(),
        stages: LeafStage::ALL
            .iter()
            .map(|&(id, stage, name)| (id, name, walk.stage == Some(stage)))
            .collect(),
        tools: Need::ALL
            .iter()
            .map(|&(id, need, name)| (id, name, walk.stage.is_none() || walk.tools.contains(&need)))
            .collect(),
        verdict,
        eye: eye::view(app, scout, walk.eye, &walk.evidence, &said, planted)?,
        would_change: verdict::change_words(app, changes),
        answered,
        situation: situation_words(walk),
        question: shown.map(|at| question(app, walk, at, asked != Some(at), planted)),
        couplets,
        given: given(app, walk),
        others: others(app, walk, shown),
        unknowns: unknown_choices(&around.unknowns, walk.unknown),
        next_unknown: around.next_unknown,
        unknown_id: RecordId::new().to_string(),
        taxa: taxa(app),
        faults,
        save,
        photos: PhotoForm::before_saving(walk.id),
    })
}

fn situation_words(walk: &Walk) -> String {
    let mut words = vec![walk.situation().leaf_stage.name()];
    words.extend(walk.tools.iter().map(|tool| tool.name()));
    words.join(", ")
}

fn given(app: &App, walk: &Walk) -> Vec<Given> {
    walk.evidence
        .answers()
        .iter()
        .map(|answer| {
            let id = app.table.traits[answer.trait_index].id.to_string();
            Given {
                name: app
                    .key
                    .trait_by_id(&id)
                    .map_or_else(|| id.clone(), |t| t.name.clone()),
                seen: verdict::reading_words(app, answer),
                id,
            }
        })
        .collect()
}

fn others(app: &App, walk: &Walk, shown: Option<usize>) -> Vec<ClassView> {
    let situation = walk.situation();
    CLASSES
        .into_iter()
        .map(|(class, name)| ClassView {
            name,
            traits: app
                .table
                .traits
                .iter()
                .enumerate()
                .filter(|(at, columns)| {
                    columns.class == class
                        && Some(*at) != shown
                        && look_next::can_look(&app.table, *at, &walk.evidence, &situation)
                })
                .filter_map(|(_, columns)| {
                    let one = app.key.trait_by_id(columns.id.as_str())?;
                    Some((one.id.to_string(), one.name.clone()))
                })
                .collect(),
        })
        .filter(|class| !class.traits.is_empty())
        .collect()
}

/// Unknowns of a visit to choose from: id, words, chosen.
pub(super) fn unknown_choices(
    unknowns: &[Entry<Unknown>],
    chosen: Option<RecordId>,
) -> Vec<(String, String, bool)> {
    unknowns
        .iter()
        .map(|unknown| {
            (
                unknown.id.to_string(),
                format!(
                    "unknown {}: {}",
                    unknown.body.number, unknown.body.description
                ),
                chosen == Some(unknown.id),
            )
        })
        .collect()
}

/// All taxa of the key by common name: id and name.
pub(super) fn taxa(app: &App) -> Vec<(String, String)> {
    let mut taxa: Vec<(String, String)> = app
        .key
        .taxa
        .iter()
        .map(|t| (t.id.to_string(), t.common_name.clone()))
        .collect();
    taxa.sort_by_key(|(_, name)| name.to_lowercase());
    taxa
}
