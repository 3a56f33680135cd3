//! What people have to settle: records corrected twice, apart, and unknowns named apart.
//!
//! Nothing is chosen for anybody. Whoever says which version is right adds corrections that say so;
//! nothing is overwritten.

use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use standbook_fieldbook::RecordId;
use standbook_fieldbook::safe::both::Twice;

use super::said;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::saved;
use crate::words::taxon_name;

/// A version to choose.
struct Choice {
    id: RecordId,
    /// Who, where and when.
    by: String,
    /// In what it differs; empty for the one that counts.
    differs: Vec<String>,
}

/// A record that was corrected twice.
struct Item {
    /// The first version.
    root: RecordId,
    what: String,
    /// The version that counts now.
    current: Choice,
    others: Vec<Choice>,
}

/// A row of the Desk's list.
pub(crate) struct Row {
    /// Where it is settled.
    pub address: String,
    /// What it is.
    pub what: String,
    /// What was said by whom.
    pub more: String,
}

#[derive(Template)]
#[template(path = "safe/settle.html")]
struct SettlePage {
    shell: Shell,
    filled: Filled,
    items: Vec<Item>,
}

/// Everything that waits to be settled, for the Desk's list. Determinations named apart stand
/// in that list as disputed.
pub(crate) fn rows(app: &App) -> Result<Vec<Row>, Failure> {
    let name = |id: &str| taxon_name(app, id).0;
    let mut rows: Vec<Row> = Vec::new();
    for one in app.book.both_corrected()? {
        rows.push(Row {
            address: format!("/desk/settle#r{}", one.root),
            more: said::twice(&one),
            what: "Corrected twice".to_owned(),
        });
    }
    for one in app.book.unknowns_named_apart()? {
        rows.push(Row {
            address: format!("/unknowns/{}", one.root),
            more: said::apart(&one, &name),
            what: "Named apart".to_owned(),
        });
    }
    Ok(rows)
}

fn item(one: Twice) -> Item {
    let choice = |version: &standbook_fieldbook::safe::both::Version| Choice {
        id: version.id,
        by: said::by(version),
        differs: version
            .differs
            .iter()
            .map(|d| {
                format!(
                    "{}: {} (the other has {})",
                    d.field.replace('_', " "),
                    d.other,
                    d.one
                )
            })
            .collect(),
    };
    Item {
        current: choice(&one.current),
        others: one.others.iter().map(choice).collect(),
        root: one.root,
        what: one.what,
    }
}

fn page(app: &App, here: &Here, mut filled: Filled) -> Result<Response, Failure> {
    filled.default_to("scout", here.scout.clone().unwrap_or_default());
    let page = SettlePage {
        shell: Shell::new(app, here, Tab::Desk, "Corrected twice"),
        items: app.book.both_corrected()?.into_iter().map(item).collect(),
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /desk/settle`.
pub(super) async fn show(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| page(app, &here, Filled::new())).await
}

/// `POST /desk/settle`: the id of the version that is right.
pub(super) async fn settle(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::sent(form);
        let author = filled.read_name("scout", "Your name");
        if !filled.troubles.none() {
            return page(app, &here, filled);
        }
        let right = record_id(filled.get("right"), "record")?;
        // A second sending finds nothing to settle, which is as well.
        app.book.settle(right, &author, &here.device(app))?;
        Ok(saved("/desk/settle", &author, None).into_response())
    })
    .await
}
