//! The form of a site: a place with an owner.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::Body;
use standbook_fieldbook::record::Site;

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;

/// The form.
#[derive(Template)]
#[template(path = "plot/form_site.html")]
struct SitePage {
    /// Frame around the page.
    shell: Shell,
    /// What is filled in.
    filled: Filled,
}

fn page(app: &App, here: &Here, mut filled: Filled) -> Result<Response, Failure> {
    filled.begin(here);
    let title = filled.title("New site", "Correct a site");
    let page = SitePage {
        shell: Shell::new(app, here, Tab::Plot, title),
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// An empty form.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let saved = |id| format!("/plantings/new?site={id}");
        fresh(app, "/sites/new", &query, saved, |filled| {
            page(app, &here, filled)
        })
    })
    .await
}

/// The form filled in with a site, to correct it.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "site")?;
    run(app, move |app| {
        let site = app
            .book
            .site(id)?
            .ok_or(Failure::NotFound { what: "site" })?;
        let mut filled = Filled::new();
        filled.set("supersedes", site.id.to_string());
        filled.set("name", site.body.name);
        filled.set("locality", site.body.locality);
        filled.set("permission", site.body.permission);
        filled.set("owner", site.body.owner);
        filled.set("county", site.body.county);
        filled.set("state", site.body.state);
        page(app, &here, filled)
    })
    .await
}

/// Reads the fields of a site, each name with `prefix` before it.
pub(super) fn read(filled: &mut Filled, prefix: &str) -> Site {
    let field = |name: &str| format!("{prefix}{name}");
    Site {
        name: filled.read_name(&field("name"), "The name of the site"),
        locality: filled.read_note(&field("locality"), "Where it is"),
        permission: filled.read_note(&field("permission"), "What was agreed"),
        owner: filled.read_line(&field("owner"), "The owner"),
        county: filled.read_line(&field("county"), "The county"),
        state: filled.read_line(&field("state"), "The state"),
    }
}

/// Keeps a site.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::sent(form);
        let site = Some(Body::Site(read(&mut filled, "")));
        // A new site is there to be planted; a corrected one is done.
        let corrects = filled.supersedes().is_some();
        let to = |id| match corrects {
            true => "/plot".to_owned(),
            false => format!("/plantings/new?site={id}"),
        };
        match keep_form(app, &here, &mut filled, "site", site, to)? {
            Some(saved) => Ok(saved),
            None => page(app, &here, filled),
        }
    })
    .await
}
