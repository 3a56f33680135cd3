//! One record with its history.

use axum::extract::{Path, State};
use axum::response::Response;
use schemars::JsonSchema;
use serde::Serialize;
use standbook_fieldbook::Record;

use super::problem::Refused;
use super::sent::{answer, id_in_path};
use crate::app::Shared;

/// A record and everything it was corrected from and to.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct RecordSaid {
    /// The version that counts now.
    pub current: Record,
    /// All versions; one comes after that which it corrects.
    pub versions: Vec<Record>,
}

/// `GET /api/records/{id}`
pub(super) async fn show(
    State(app): State<Shared>,
    Path(id): Path<String>,
) -> Result<Response, Refused> {
    answer(app, move |app| {
        let id = id_in_path(&id)?;
        let current = app.book.current_record(id)?;
        let current = current.ok_or_else(|| Refused::not_found("record", id))?;
        let versions = app.book.history(id)?;
        Ok(RecordSaid { current, versions })
    })
    .await
}
