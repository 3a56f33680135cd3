//! The plants that should be settled first, as the Desk lists them.

use axum::extract::State;
use axum::response::Response;
use schemars::JsonSchema;
use serde::Serialize;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::named::Called;

use super::problem::Refused;
use super::sent::{Limit, answer, id_asked};
use crate::app::Shared;
use crate::desk;
use crate::form::Query;

/// Plants, those first that matter most.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Doubtful {
    pub plants: Vec<PlantInDoubt>,
}

/// A determination and what settling it would change.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct PlantInDoubt {
    /// Id of the determination, its current version.
    pub determination: RecordId,
    /// Id of its point, as the determination names it.
    pub point: RecordId,
    /// How it is called now.
    pub called: CalledAs,
    /// The id of the taxon, or the genus; left out where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What the engine said when it was recorded.
    pub outcome: String,
    /// Probability of the leading name then, 0 to 1.
    pub leading: f64,
    /// Chance that the count has it on the wrong side, 0 to 1.
    pub wrong: f64,
    /// Readings of the visit that rest on its name.
    pub readings: u32,
    /// Readings of the visit.
    pub of: u32,
    /// Whether those who looked give different names.
    pub disputed: bool,
    /// Whether anybody gave a second opinion.
    pub second_opinion: bool,
}

/// Of what kind a name is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum CalledAs {
    /// A taxon of the key.
    Taxon,
    /// Like the taxon; it has to be compared (*confer*).
    Cf,
    /// Near the taxon, but not it (*affinis*).
    Aff,
    /// Sure of the genus only.
    Genus,
    /// No name of the key fits.
    NotInKey,
    /// Nobody gave a name.
    NoName,
}

impl From<&Called> for CalledAs {
    fn from(called: &Called) -> CalledAs {
        match called {
            Called::Taxon(_) => CalledAs::Taxon,
            Called::Compare(_) => CalledAs::Cf,
            Called::Near(_) => CalledAs::Aff,
            Called::Genus(_) => CalledAs::Genus,
            Called::NotInKey => CalledAs::NotInKey,
            Called::NoName => CalledAs::NoName,
        }
    }
}

/// `GET /api/doubtful`
pub(super) async fn show(
    State(app): State<Shared>,
    Query(query): Query,
) -> Result<Response, Refused> {
    answer(app, move |app| {
        let limit = Limit::asked(&query)?;
        let visit = match id_asked(&query, "visit")? {
            Some(id) => {
                let visit = app.book.visit(id)?;
                Some(visit.ok_or_else(|| Refused::not_found("visit", id))?.id)
            }
            None => None,
        };
        Ok(Doubtful {
            plants: desk::in_doubt(app, visit, limit)?,
        })
    })
    .await
}
