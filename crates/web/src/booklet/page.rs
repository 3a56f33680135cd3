//! The booklet in the app: the same pages, with a word on how to print them.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use super::{Book, Contents, Paper};
use crate::app::{Shared, run};
use crate::assets;
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::words::today;

/// The page.
#[derive(Template)]
#[template(path = "booklet/page.html")]
struct BookletPage {
    shell: Shell,
    /// Address of the style sheet of this paper.
    sheet: String,
    /// Papers: id, name, chosen.
    papers: Vec<(&'static str, &'static str, bool)>,
    book: Book,
}

/// `GET /key/booklet`; a paper that there is not is refused with the choices.
pub async fn page(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let paper = match query.get("paper") {
            "" => Paper::default(),
            id => Paper::from_id(id).ok_or_else(|| {
                let papers = Paper::ALL.map(|(id, ..)| id).join(" or ");
                Failure::BadRequest(format!(
                    "There is no paper \u{201c}{}\u{201d}. Ask for {papers}.",
                    id.chars().take(60).collect::<String>()
                ))
            })?,
        };
        let on = today();
        let book = Book::of(&Contents {
            key: &app.key,
            table: &app.table,
            couplets: &app.couplets,
            authored: app.couplets_authored,
            standards: &app.standards,
            on: &on,
        });
        html(&BookletPage {
            shell: Shell::new(app, &here, Tab::Plant, "Booklet to print"),
            sheet: assets::booklet_address(paper),
            papers: Paper::ALL
                .iter()
                .map(|(id, one, name, _)| (*id, *name, *one == paper))
                .collect(),
            book,
        })
    })
    .await
}
