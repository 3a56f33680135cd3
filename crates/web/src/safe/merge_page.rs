//! Merging another book, at the Desk: a file is chosen, looked at or merged, and the report shown.

use askama::Template;
use axum::extract::State;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::response::{IntoResponse, Redirect, Response};

use super::said::{Part, parts};
use super::upload;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::words::taxon_name;

/// The report of the last merge.
struct Report {
    /// What the file was called.
    file: String,
    /// Whether it was only looked at.
    looked: bool,
    parts: Vec<Part>,
}

#[derive(Template)]
#[template(path = "safe/merge.html")]
struct MergePage {
    shell: Shell,
    filled: Filled,
    report: Option<Report>,
    /// Whether something waits to be settled.
    to_settle: bool,
}

fn page(app: &App, here: &Here, filled: Filled) -> Result<Response, Failure> {
    let name = |id: &str| taxon_name(app, id).0;
    let report = app
        .remembered
        .merged()
        .as_ref()
        .map(|(file, merged)| Report {
            file: file.clone(),
            looked: merged.looked,
            parts: parts(merged, &name),
        });
    let page = MergePage {
        shell: Shell::new(app, here, Tab::Desk, "Merge another book"),
        report: report.filter(|_| filled.troubles.none()),
        filled,
        to_settle: !app.book.both_corrected()?.is_empty(),
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /desk/merge`.
pub(super) async fn show(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| page(app, &here, Filled::new())).await
}

/// `POST /desk/merge`: a file, and whether to look or to merge.
pub(super) async fn merge(
    State(app): State<Shared>,
    here: Here,
    form: Result<Multipart, MultipartRejection>,
) -> Result<Response, Failure> {
    let form = form.map_err(|_| {
        Failure::BadRequest("This is not a form with a file. Nothing was merged. Choose the file on the page Merge another book.".to_owned())
    })?;
    let sent = upload::read(form, app.book.path()).await?;
    run(app, move |app| {
        let look = sent.form.get("do") == "look";
        let mut filled = Filled::new();
        let Some((path, called)) = &sent.file else {
            filled.troubles.add(
                "file",
                "No file was chosen, or it is empty. Choose a book's file or an exchange file.",
            );
            return page(app, &here, filled);
        };
        match app.book.merge(path, look) {
            Ok(merged) => {
                *app.remembered.merged() = Some((called.clone(), merged));
                Ok(Redirect::to("/desk/merge#report").into_response())
            }
            Err(error) => {
                // The person knows the file by the name it had, not by where it lies meanwhile.
                let said = error
                    .to_string()
                    .replace(&path.display().to_string(), called);
                filled.troubles.add("file", said);
                page(app, &here, filled)
            }
        }
    })
    .await
}
