//! Which stand: a planting and a visit to it.
//!
//! Where there is but one planting, its latest visit is shown at once.

use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};

use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::words::date_words;

/// A planting with its visits.
struct Choice {
    /// `Quill Farm, north forty`.
    name: String,
    /// When it was sown, in words.
    seeded: String,
    /// Visits, latest first: address and date in words.
    visits: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "stand/choose.html")]
struct ChoosePage {
    /// The frame around the page.
    shell: Shell,
    /// Plantings to choose from; empty when the book has none.
    choices: Vec<Choice>,
}

/// `GET /stand`.
pub(super) async fn choose(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let plantings = app.book.plantings()?;
        if let [only] = plantings.as_slice() {
            return Ok(Redirect::to(&format!("/stand/{}", only.id)).into_response());
        }
        let mut choices = Vec::new();
        for planting in plantings {
            let site = app.book.site(planting.body.site)?;
            let site = site.map_or_else(String::new, |site| format!("{}, ", site.body.name));
            let address = format!("/stand/{}", planting.id);
            let mut visits: Vec<(String, String)> = app
                .book
                .visits(planting.id)?
                .into_iter()
                .map(|visit| {
                    let address = format!("{address}?visit={}", visit.id);
                    (address, date_words(&visit.body.on))
                })
                .collect();
            visits.reverse();
            choices.push(Choice {
                name: format!("{site}{}", planting.body.name),
                seeded: date_words(&planting.body.seeded_on),
                visits,
            });
        }
        html(&ChoosePage {
            shell: Shell::new(app, &here, Tab::Stand, "Stand"),
            choices,
        })
    })
    .await
}
