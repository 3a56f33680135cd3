//! Which book this is.

use std::collections::BTreeMap;

use axum::extract::State;
use axum::response::Response;
use schemars::JsonSchema;
use serde::Serialize;

use super::problem::Refused;
use super::sent::answer;
use crate::app::Shared;
use crate::here::Here;

/// A book.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct BookSaid {
    /// Version of the book's schema.
    pub schema_version: i64,
    /// Version of the program that answers.
    pub program_version: &'static str,
    /// Records of all kinds, superseded ones too.
    pub records: u64,
    /// The same by kind.
    pub by_kind: BTreeMap<&'static str, u64>,
    /// Why nothing can be saved; left out where it can.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub read_only: Option<String>,
    /// Whether this is the demo.
    pub demo: bool,
    /// What stands as `device` in records made here. A phone's records must say just this.
    pub device: String,
    /// Id of the key in use.
    pub key: String,
    /// Fingerprint of the table by which plants are named now, hex.
    pub table_fingerprint: String,
}

/// `GET /api/book`
pub(super) async fn show(State(app): State<Shared>, here: Here) -> Result<Response, Refused> {
    answer(app, move |app| {
        let by_kind: BTreeMap<_, _> = app.book.count_by_kind()?.into_iter().collect();
        Ok(BookSaid {
            schema_version: standbook_fieldbook::SCHEMA_VERSION,
            program_version: env!("CARGO_PKG_VERSION"),
            records: by_kind.values().sum(),
            by_kind,
            read_only: app.book.read_only().map(str::to_owned),
            demo: app.demo,
            device: here.device(app),
            key: app.key.id.clone(),
            table_fingerprint: app.table.fingerprint.clone(),
        })
    })
    .await
}
