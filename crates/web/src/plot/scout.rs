//! Who is walking: a name in a cookie, no account.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::BookError;

use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::saved;

/// The page.
#[derive(Template)]
#[template(path = "plot/scout.html")]
struct ScoutPage {
    /// Frame around the page.
    shell: Shell,
    /// What is filled in.
    filled: Filled,
    /// Names that walked before.
    names: Vec<String>,
}

/// Names in the book's visits, in order of the alphabet.
fn names(app: &App) -> Result<Vec<String>, BookError> {
    let mut names = Vec::new();
    for planting in app.book.plantings()? {
        for visit in app.book.visits(planting.id)? {
            names.extend(visit.body.scouts);
        }
    }
    names.sort();
    names.dedup();
    // More names than that are quicker to type than to find.
    names.truncate(30);
    Ok(names)
}

/// Where to go back to: a page of ours, never another website.
fn back(text: &str) -> &str {
    let local = text.starts_with('/')
        && !text.starts_with("//")
        && !text.contains('\\')
        && text.len() <= 500
        && text.chars().all(|c| c.is_ascii_graphic());
    if local { text } else { "/plot" }
}

fn page(app: &App, here: &Here, filled: Filled) -> Result<Response, Failure> {
    let page = ScoutPage {
        shell: Shell::new(app, here, Tab::Plot, "Who is walking?"),
        names: names(app)?,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// Asks who is walking.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled::new();
        filled.set("back", back(query.get("back")));
        filled.set("scout", here.scout.clone().unwrap_or_default());
        page(app, &here, filled)
    })
    .await
}

/// Remembers who is walking.
pub(super) async fn remember(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut filled = Filled {
            form,
            ..Filled::new()
        };
        // A name from the list wins over the field, which may hold the one before.
        let picked = filled.get("pick").to_owned();
        if !picked.is_empty() {
            filled.set("scout", picked);
        }
        let name = filled.read_name("scout", "Your name");
        if !filled.troubles.none() {
            return page(app, &here, filled);
        }
        Ok(saved(back(filled.get("back")), &name, None))
    })
    .await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_our_own_pages_are_gone_back_to() {
        assert_eq!(back("/at/1/count"), "/at/1/count");
        for elsewhere in [
            "//evil.example",
            "https://evil.example",
            "/\\evil.example",
            "",
            "/a\nb",
        ] {
            assert_eq!(back(elsewhere), "/plot", "{elsewhere}");
        }
    }
}
