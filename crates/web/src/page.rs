//! What all pages share: the frame around them.

use askama::Template;
use axum::response::{Html, IntoResponse, Response};

use crate::app::App;
use crate::assets;
use crate::failure::Failure;
use crate::here::Here;
use crate::pocket;
use crate::safe::Backups;

/// The places of the bottom bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tab {
    /// Where am I.
    Plot,
    /// What is this plant.
    Plant,
    /// What is in this frame.
    Count,
    /// Has it come up.
    Stand,
    /// Learn to see it.
    Practice,
    /// The office.
    Desk,
}

/// The frame around a page; field `shell` of every page that extends `layout.html`.
#[derive(Debug, Clone)]
pub struct Shell {
    /// Title of the page, without the program's name.
    pub title: String,
    /// Address of the style sheet.
    pub css: String,
    /// Address of the script that keeps what is saved while the laptop is out of reach. Pages are
    /// complete without it.
    pub script: String,
    /// The place this page belongs to.
    pub tab: Tab,
    /// Who is working.
    pub scout: Option<String>,
    /// Where the bar's Plant and Count lead: the point last worked at, or the choice of one.
    pub plant_address: String,
    /// See `plant_address`.
    pub count_address: String,
    /// Whether the Desk is theirs who ask.
    pub desk: bool,
    /// Whether this is the demo.
    pub demo: bool,
    /// Why nothing can be saved, when the book is open for viewing only.
    pub read_only: Option<String>,
    /// Why there is no newer backup, when the last try failed.
    pub no_backup: Option<String>,
}

impl Shell {
    /// The frame for a page of `tab`.
    pub fn new(app: &App, here: &Here, tab: Tab, title: impl Into<String>) -> Shell {
        // Cookies are shared by all ports of this machine: a point of another book is none here.
        let point = here
            .point
            .filter(|id| matches!(app.book.point(*id), Ok(Some(_))));
        let at = |place: &str| match point {
            Some(point) => format!("/at/{point}/{place}"),
            None => format!("/plot?for={place}"),
        };
        Shell {
            title: title.into(),
            css: assets::css_address(),
            script: pocket::address("save.js"),
            tab,
            scout: here.scout.clone(),
            plant_address: at("plant"),
            count_address: at("count"),
            desk: here.who.may_use_desk(),
            demo: app.demo,
            read_only: app.book.read_only().map(str::to_owned),
            no_backup: app.backups.as_ref().and_then(Backups::trouble),
        }
    }

    /// For the bar: `page` when this tab is the page's own.
    pub fn current(&self, tab: &str) -> &'static str {
        let own = match self.tab {
            Tab::Plot => "plot",
            Tab::Plant => "plant",
            Tab::Count => "count",
            Tab::Stand => "stand",
            Tab::Practice => "practice",
            Tab::Desk => "desk",
        };
        if own == tab { "page" } else { "false" }
    }
}

/// Renders a page.
pub fn html(page: &impl Template) -> Result<Response, Failure> {
    match page.render() {
        Ok(html) => Ok(Html(html).into_response()),
        Err(error) => {
            eprintln!("standbook: a page could not be written: {error}");
            Err(Failure::Ours)
        }
    }
}
