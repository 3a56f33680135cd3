//! One visit to a planting and what is made of it: the file of the report, here as an answer.

use axum::extract::{Path, State};
use axum::response::Response;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;
use standbook_fieldbook::record::{Event, SeedLot, Site};

use super::problem::Refused;
use super::sent::{answer, id_asked};
use crate::app::Shared;
use crate::failure::Failure;
use crate::form::Query;
use crate::report::{Gathered, Place, whole};

/// `GET /api/plantings/{planting}/judgement`
pub(super) async fn show(
    State(app): State<Shared>,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Refused> {
    answer(app, move |app| {
        let visit = id_asked(&query, "visit")?.map(|id| id.to_string());
        let place = Place::read(app, &id)?;
        let visit = place.visit(app, visit.as_deref().unwrap_or_default())?;
        let visit = visit.ok_or(Failure::NotFound {
            what: "visit to this planting yet, so nothing to judge",
        })?;
        Ok(whole(app, &Gathered::read(app, place, visit)?)?)
    })
    .await
}

/// The form of the file; what is made from many types of other rooms is left open, and said in
/// words in `about`.
#[derive(Serialize, JsonSchema)]
#[allow(dead_code)] // the form only: the file is written by `report`
pub(super) struct Judged {
    /// What each part is, in words.
    pub about: std::collections::BTreeMap<String, String>,
    /// Name and version of the program.
    pub program: Value,
    /// The key by which plants were named.
    pub key: Value,
    /// Day of writing.
    pub written_on: String,
    /// What was sown, as entered, with its id.
    pub planting: Value,
    /// The place and its owner, as entered.
    pub site: Option<Site>,
    /// The day of counting, with its id.
    pub visit: Value,
    /// Seed tags, as entered.
    pub seed_lots: Vec<SeedLot>,
    /// What was done or happened, as entered.
    pub events: Vec<Event>,
    /// Where it lies.
    pub outlines: Vec<Value>,
    /// Every point of the visit.
    pub points: Vec<Value>,
    /// Every frame laid.
    pub frames: Vec<Value>,
    /// Estimates, thresholds, verdicts, advice and doubts.
    pub judgement: JudgementSaid,
}

/// The judgement.
#[derive(Serialize, JsonSchema)]
#[allow(dead_code)] // see above
pub(super) struct JudgementSaid {
    /// What the case is.
    pub facts: Value,
    /// The one verdict over all.
    pub verdict: Value,
    /// Every threshold that fits, with its verdict.
    pub compared: Vec<Value>,
    /// Estimates with limits and methods.
    pub summary: Value,
    /// What to do, with sources.
    pub advice: Vec<Value>,
}
