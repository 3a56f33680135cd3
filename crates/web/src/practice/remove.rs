//! Somebody's practice is removed, because she asks for it.
//!
//! In: a name and a tick. Out: a record that it is to go, and it gone. What was counted and named in the
//! field stays: that is the stand's, and every number rests on it.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::record::{Body, PracticeRemoval, whose};
use standbook_fieldbook::time::now;
use standbook_fieldbook::{BookError, RecordId};

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::{Draft, keep, saved};
use crate::words::number_of;

#[derive(Template)]
#[template(path = "practice/remove.html")]
struct RemovePage {
    shell: Shell,
    filled: Filled,
    /// Who practised: name, and how many answers.
    scouts: Vec<(String, String)>,
    /// Whether something was just removed.
    done: bool,
}

fn page(app: &App, here: &Here, filled: Filled, done: bool) -> Result<Response, Failure> {
    let mut scouts = Vec::new();
    for name in app.book.practice_scouts()? {
        let many = app.book.practice_of(&name)?.len();
        scouts.push((name, number_of(many, "answer")));
    }
    let page = RemovePage {
        shell: Shell::new(app, here, Tab::Desk, "Remove somebody’s practice"),
        filled,
        scouts,
        done,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /desk/practice/remove`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::new();
        filled.set("id", RecordId::new().to_string());
        filled.set("author", here.scout.clone().unwrap_or_default());
        filled.set("scout", query.get("scout").to_owned());
        page(app, &here, filled, query.get("done") == "1")
    })
    .await
}

/// `POST /desk/practice/remove`.
pub(super) async fn remove(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled {
            form,
            ..Filled::new()
        };
        let id = filled.id();
        filled.set("id", id.to_string());
        let author = filled.read_name("author", "Your name");
        let scout = filled.read_name("scout", "Whose practice");
        if filled.get("sure") != "1" {
            filled.troubles.add(
                "sure",
                "Nothing was removed. Tick that it is to go: it can’t be brought back.",
            );
        }
        // The form sent again: it is done already.
        let done_before = app.book.get(id)?.is_some();
        if filled.troubles.none() && !done_before && app.book.practice_of(&scout)?.is_empty() {
            filled.troubles.add(
                "scout",
                "Nobody of this name has practised in this book. Choose one of the list.",
            );
        }
        if !filled.troubles.none() {
            return page(app, &here, filled, false);
        }
        if !done_before {
            let draft = Draft {
                id,
                supersedes: None,
                body: Body::PracticeRemoval(removal(app, &scout)?),
            };
            if let Err(error) = keep(app, &here, &author, &[draft]) {
                filled.troubles.refused(&error, |_, field| field.to_owned());
                return page(app, &here, filled, false);
            }
        }
        Ok(saved("/desk/practice/remove?done=1", &author, None))
    })
    .await
}

/// Everything that she practised until now, and what a clock that is ahead dates later.
fn removal(app: &App, scout: &str) -> Result<PracticeRemoval, BookError> {
    let until = now();
    let later = app
        .book
        .practice_of(scout)?
        .into_iter()
        .filter(|answer| answer.born_at > until)
        .map(|answer| answer.id)
        .collect();
    Ok(PracticeRemoval {
        whose: whose(scout),
        until,
        also: later,
    })
}
