//! The addresses in words, for whoever writes a script.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use super::address::{Address, Holds};
use super::all::{PARTS, addresses};
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
#[derive(Debug, Clone, PartialEq)]
struct Question {
    name: &'static str,
    words: String,
}

/// A part of the page.
struct Part {
    title: &'static str,
    /// What holds for all of it; may be empty.
    words: String,
    /// What each of its addresses may be asked.
    asked: Vec<Question>,
    rows: Vec<Row>,
}

impl Part {
    /// What all addresses may be asked is told once.
    fn new(title: &'static str, words: &'static str, mut rows: Vec<Row>) -> Part {
        let mut asked = Vec::new();
        if rows.len() > 1 {
            let first = rows.first().map_or(&[][..], |row| row.asked.as_slice());
            asked = first.to_vec();
            asked.retain(|question| rows.iter().all(|row| row.asked.contains(question)));
        }
        for row in &mut rows {
            row.asked.retain(|question| !asked.contains(question));
        }
        Part {
            title,
            words: plain(words),
            asked,
            rows,
        }
    }
}

#[derive(Template)]
#[template(path = "api.html")]
struct ApiPage {
    shell: Shell,
    parts: Vec<Part>,
}

/// Words as the document has them, quoted where it marks code.
fn plain(words: &str) -> String {
    words.replace('`', "\"")
}

fn row(address: &Address) -> Row {
    let asked = address.asked.iter().map(|asked| Question {
        name: asked.name,
        words: match asked.holds {
            Holds::Id => format!("An id. {}", plain(&asked.words)),
            Holds::Number { least, most, usual } => format!(
                "{} From {least} to {most}; {usual} where it is left out.",
                plain(&asked.words)
            ),
        },
    });
    let takes = address.takes.as_ref().map(|takes| {
        let kinds: Vec<&str> = takes.content.iter().map(|(kind, _)| *kind).collect();
        (plain(takes.words), kinds.join(" or "))
    });
    Row {
        method: address.method.id().to_ascii_uppercase(),
        path: address.path.clone(),
        words: plain(&address.words),
        link: takes.is_none() && !address.path.contains('{'),
        asked: asked.collect(),
        takes,
        office: address.office,
    }
}

/// `GET /api`
pub(super) async fn show(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let all = addresses();
        let parts = PARTS.map(|(title, words)| {
            let own = all.iter().filter(|address| address.part == title);
            Part::new(title, words, own.map(row).collect())
        });
        html(&ApiPage {
            shell: Shell::new(app, &here, Tab::Desk, "For programs"),
            parts: parts.into(),
        })
    })
    .await
}
