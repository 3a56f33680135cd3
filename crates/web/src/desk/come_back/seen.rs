//! The form for what was found: it ends a flag, and leads on to an opinion.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::ComeBack;
use standbook_fieldbook::{Body, Entry};

use super::flag::Flag;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::dates::ask_about_future;
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::keep_form;
use crate::words::today;

/// The form.
#[derive(Template)]
#[template(path = "desk/seen_form.html")]
struct SeenPage {
    shell: Shell,
    flag: Flag,
    action: String,
    filled: Filled,
}

fn find(app: &App, id: &str) -> Result<Entry<ComeBack>, Failure> {
    app.book
        .come_back(record_id(id, "flag")?)?
        .ok_or(Failure::NotFound { what: "flag" })
}

fn page(
    app: &App,
    here: &Here,
    id: &str,
    flag: Entry<ComeBack>,
    mut filled: Filled,
) -> Result<Response, Failure> {
    filled.begin(here);
    let page = SeenPage {
        shell: Shell::new(app, here, Tab::Plant, "Seen again"),
        action: format!("/come-back/{id}/seen"),
        flag: Flag::of(app, flag)?,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /come-back/{id}/seen`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let flag = find(app, &id)?;
        let mut filled = Filled::new();
        filled.set("supersedes", flag.id.to_string());
        let on = flag.body.seen_on.clone().unwrap_or_else(today);
        filled.set("seen_on", on);
        filled.set("found", flag.body.found.clone());
        page(app, &here, &id, flag, filled)
    })
    .await
}

/// `POST /come-back/{id}/seen`.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let flag = find(app, &id)?;
        let mut filled = Filled::sent(form);
        filled.default_to("supersedes", flag.id.to_string());
        let seen_on = filled.read_date("seen_on", "The day on which it was seen");
        ask_about_future(&mut filled, "seen_on", "The day on which it was seen");
        let found = filled.read_note("found", "What was found");
        if found.trim().is_empty() {
            filled.troubles.add(
                "found",
                "What was found is missing. Write it, or that the plant was not there.",
            );
        }
        let body = Body::ComeBack(ComeBack {
            seen_on: Some(seen_on),
            found,
            ..flag.body.clone()
        });
        let about = flag.body.about;
        let address = crate::found::address_of(app, about)?.unwrap_or_else(|| "/desk".to_owned());
        let to = |_| format!("{address}#come-back");
        match keep_form(app, &here, &mut filled, "flag", Some(body), to)? {
            Some(saved) => Ok(saved),
            None => page(app, &here, &id, flag, filled),
        }
    })
    .await
}
