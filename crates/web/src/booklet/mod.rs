//! The booklet: the key on paper, for the truck and for the day the phone dies.
//!
//! In: a key, its table, its couplets, standards, a day. Out: one HTML file that stands alone
//! (nothing fetched, no script), and the same pages in the app. A drawing is sent once, as a
//! `symbol`, and used wherever it stands; its words stand beside it.

mod couplets;
mod front;
mod glossary;
mod page;
mod pairs;
mod sheets;
mod symbols;

use askama::Template;
use axum::Router;
use axum::routing::get;
use standbook_identify::Table;
use standbook_key::Key;
use standbook_key::couplet::Couplets;
use standbook_key::standards::Standards;

use crate::app::Shared;
use symbols::Symbols;

/// What the pages are printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// A5: 148 x 210 mm (ISO 216).
    #[default]
    A5,
    /// US Letter folded once: 5.5 x 8.5 inches (ANSI Letter is 8.5 x 11).
    HalfLetter,
}

impl Paper {
    /// All, with id, name for people and size as a style sheet says it.
    pub const ALL: [(&'static str, Paper, &'static str, &'static str); 2] = [
        ("a5", Paper::A5, "A5", "148mm 210mm"),
        (
            "half-letter",
            Paper::HalfLetter,
            "half a US Letter sheet",
            "5.5in 8.5in",
        ),
    ];

    /// From an id; nothing for one that is none.
    pub fn from_id(id: &str) -> Option<Paper> {
        Paper::ALL.iter().find(|(one, ..)| *one == id).map(|n| n.1)
    }

    /// Id.
    pub fn id(self) -> &'static str {
        Paper::ALL[self as usize].0
    }

    /// Name for people.
    pub fn name(self) -> &'static str {
        Paper::ALL[self as usize].2
    }

    /// The style sheet of the pages on this paper, without the strokes of drawings.
    pub fn style(self) -> String {
        let size = Paper::ALL[self as usize].3;
        format!("{SHEET}@page {{ size: {size}; }}\n")
    }
}

/// What the pages look like, on a screen and in print.
const SHEET: &str = include_str!("../../static/booklet.css");

/// What a file needs beside: the app's pages have it from the sheet of all pages.
const ALONE: &str = include_str!("../../static/booklet_alone.css");

/// What a booklet is made of.
#[derive(Debug, Clone, Copy)]
pub struct Contents<'a> {
    /// The key.
    pub key: &'a Key,
    /// The key, compiled.
    pub table: &'a Table,
    /// Its couplets.
    pub couplets: &'a Couplets,
    /// Whether somebody wrote the couplets; otherwise they were grown from the records.
    pub authored: bool,
    /// Where cautions for the field are taken from.
    pub standards: &'a Standards,
    /// The day to print on the cover, ISO 8601.
    pub on: &'a str,
}

/// All pages, ready for a template.
struct Book {
    symbols: String,
    cover: front::Cover,
    cautions: front::Cautions,
    order: Vec<front::Step>,
    couplets: couplets::Part,
    pairs: Vec<pairs::Pair>,
    glossary: Vec<glossary::Entry>,
    terms: Vec<glossary::Word>,
    sheets: sheets::Sheets,
}

impl Book {
    fn of(contents: &Contents<'_>) -> Book {
        let mut symbols = Symbols::default();
        let order = front::order(contents.key, &mut symbols);
        let couplets = couplets::part(contents, &mut symbols);
        let pairs = pairs::pairs(contents, &mut symbols);
        let glossary = glossary::entries(contents.key, &mut symbols);
        Book {
            cover: front::cover(contents),
            cautions: front::cautions(contents),
            order,
            couplets,
            pairs,
            glossary,
            terms: glossary::words(contents.key),
            sheets: sheets::sheets(contents.key),
            symbols: symbols.all(),
        }
    }
}

/// The file that stands alone.
#[derive(Template)]
#[template(path = "booklet/file.html")]
struct File {
    book: Book,
    style: String,
}

/// One HTML file with everything in it.
///
/// # Errors
/// Where the pages cannot be written, which would be a fault of this program.
pub fn file(contents: &Contents<'_>, paper: Paper) -> Result<String, askama::Error> {
    File {
        book: Book::of(contents),
        style: format!(
            "{ALONE}{}{}\n",
            paper.style(),
            standbook_drawing::pen::STYLE
        ),
    }
    .render()
}

/// The addresses of this place.
pub(crate) fn routes() -> Router<Shared> {
    Router::new().route("/key/booklet", get(page::page))
}
