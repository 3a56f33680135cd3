//! The addresses in words, for whoever writes a script.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use super::address::{Address, Holds};
use super::all::addresses;
use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};

/// An address in words.
struct Row {
    /// `GET`, `POST`.
    method: String,
    path: String,
    words: String,
    /// Where it can simply be opened.
    link: bool,
    asked: Vec<Question>,
    /// What it takes: words, types of content.
    takes: Option<(String, String)>,
    office: bool,
}

/// A question in words.
struct Question {
    name: &'static str,
    words: String,
}

#[derive(Template)]
#[template(path = "api.html")]
struct ApiPage {
    shell: Shell,
    /// Parts, each with its addresses.
    parts: Vec<(&'static str, Vec<Row>)>,
}

fn row(address: &Address) -> Row {
    let asked = address.asked.iter().map(|asked| Question {
        name: asked.name,
        words: match asked.holds {
            Holds::Id => format!("An id. {}", asked.words),
            Holds::Number { least, most, usual } => format!(
                "{} From {least} to {most}; {usual} where it is left out.",
                asked.words
            ),
        },
    });
    let takes = address.takes.as_ref().map(|takes| {
        let kinds: Vec<&str> = takes.content.iter().map(|(kind, _)| *kind).collect();
        (takes.words.to_owned(), kinds.join(" or "))
    });
    Row {
        method: address.method.id().to_ascii_uppercase(),
        path: address.path.clone(),
        words: address.words.clone(),
        link: takes.is_none() && !address.path.contains('{'),
        asked: asked.collect(),
        takes,
        office: address.office,
    }
}

/// `GET /api`
pub(super) async fn show(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut parts: Vec<(&'static str, Vec<Row>)> = Vec::new();
        for address in addresses() {
            if !parts.iter().any(|(part, _)| *part == address.part) {
                parts.push((address.part, Vec::new()));
            }
            let part = parts.iter_mut().find(|(part, _)| *part == address.part);
            if let Some((_, rows)) = part {
                rows.push(row(&address));
            }
        }
        html(&ApiPage {
            shell: Shell::new(app, &here, Tab::Desk, "For programs"),
            parts,
        })
    })
    .await
}
