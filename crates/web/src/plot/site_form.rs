//! The form of a site: a place with an owner.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::Site;
use standbook_fieldbook::{Body, RecordId};

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::{Fresh, fresh};
use crate::plot::keep::{Draft, keep, refuse, saved};

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
    filled.default_to("id", RecordId::new().to_string());
    filled.default_to("scout", here.scout.clone().unwrap_or_default());
    let title = match filled.supersedes() {
        Some(_) => "Correct a site",
        None => "New site",
    };
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
        let filled = match fresh(app, "/sites/new", &query, |id| {
            format!("/plantings/new?site={id}")
        })? {
            Fresh::Form(filled) => *filled,
            Fresh::Elsewhere(there) => return Ok(there),
        };
        page(app, &here, filled)
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
        page(app, &here, filled)
    })
    .await
}

/// Reads the fields of a site, each name with `prefix` before it.
pub(super) fn read(filled: &mut Filled, prefix: &str) -> Site {
    let field = |name: &str| format!("{prefix}{name}");
    Site {
        name: filled.read_name(&field("name"), "The name of the site"),
        locality: filled.read_note(&field("locality"), "County and state"),
        permission: filled.read_note(&field("permission"), "Owner and access"),
        owner: String::new(),
        county: String::new(),
        state: String::new(),
    }
}

/// Keeps a site.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled {
            form,
            ..Filled::new()
        };
        let site = read(&mut filled, "");
        let scout = filled.read_name("scout", "Your name");
        if filled.troubles.none() {
            let draft = Draft {
                id: filled.id(),
                supersedes: filled.supersedes(),
                body: Body::Site(site),
            };
            match keep(app, &scout, std::slice::from_ref(&draft)) {
                Ok(()) => {
                    // A new site is there to be planted; a corrected one is done.
                    let to = match draft.supersedes {
                        Some(_) => "/plot".to_owned(),
                        None => format!("/plantings/new?site={}", draft.id),
                    };
                    return Ok(saved(&to, &scout, None));
                }
                Err(error) => refuse(app, &mut filled, &error, "site")?,
            }
        }
        page(app, &here, filled)
    })
    .await
}
