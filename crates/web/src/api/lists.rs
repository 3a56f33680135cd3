//! Records of a kind, a page at a time.

use axum::extract::State;
use axum::response::Response;
use schemars::JsonSchema;
use serde::Serialize;
use standbook_fieldbook::{List, Record, RecordId, Under};

use super::problem::Refused;
use super::sent::{Limit, answer, id_asked};
use crate::app::{App, Shared};
use crate::form::{Form, Query};

/// A page of records.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct PageSaid {
    /// The records, in the order in which they were first recorded.
    pub items: Vec<ListedSaid>,
    /// Ask for `after` this to go on; left out where there are no more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<RecordId>,
}

/// A record of a page.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ListedSaid {
    /// Its first version, which gives it its place: a correction does not move it.
    pub first: RecordId,
    /// The version that counts now.
    pub record: Record,
}

/// `GET /api/{plural}`
pub(super) async fn show(
    State(app): State<Shared>,
    Query(query): Query,
    list: &'static List,
) -> Result<Response, Refused> {
    answer(app, move |app| {
        let after = id_asked(&query, "after")?;
        let limit = Limit::asked(&query)?;
        let page = app
            .book
            .page(list, belonging(app, list, &query)?, after, limit)?;
        let items = page.items.into_iter().map(|it| ListedSaid {
            first: it.first,
            record: it.record,
        });
        Ok(PageSaid {
            items: items.collect(),
            next: page.next,
        })
    })
    .await
}

/// What the records must belong to, if anything is asked.
fn belonging(
    app: &App,
    list: &'static List,
    query: &Form,
) -> Result<Option<(&'static Under, RecordId)>, Refused> {
    let mut asked = None;
    for under in list.under {
        let Some(id) = id_asked(query, under.name)? else {
            continue;
        };
        if asked.is_some() {
            return Err(Refused::asked(
                under.name,
                "records are asked for by one thing at a time",
                "Leave all but one out.",
            ));
        }
        let found = app.book.get(id)?;
        let fits =
            |record: &Record| under.kinds.is_empty() || under.kinds.contains(&record.body.kind());
        if !found.as_ref().is_some_and(fits) {
            let what = match under.kinds {
                [] => "record".to_owned(),
                kinds => kinds.join(" or "),
            };
            return Err(Refused::not_found(&what, id));
        }
        asked = Some((under, id));
    }
    Ok(asked)
}
