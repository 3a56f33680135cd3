//! The form of a set: made from a visit's plants, or corrected.
//!
//! In: a visit, or a set. Out: a `PracticeSet` of the questions that the trainer left ticked. A correction
//! is a new version; what was answered before stays with the version that it names.
//!
//! Fields: `title`, `purpose`, `scout` (who makes it), and those of `fields`.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::{Body, PracticeSet, SetPurpose, Visit};
use standbook_fieldbook::{Entry, RecordId};
use standbook_practice::Question;

use super::propose::{Group, groups};
use super::settled::of_visit;
use super::{fields, set_of, words};
use crate::app::{App, Shared, run};
use crate::desk::choice::{Choice, visits};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::ground::seed_of;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::plot::place::planting_and_site;
use crate::words::{date_words, number_of, plain};

/// What a set made from a visit can be for: value, words.
const PURPOSES: [(&str, &str); 2] = [
    ("drill", "a drill: what was right is said after each answer"),
    ("field_test", "a test: what was right is said at the end"),
];

/// Whether the book is open: value, words.
const BOOKS: [(&str, &str); 3] = [
    ("0", "without the book"),
    ("1", "with the book"),
    ("third", "the first third without it, the rest with it"),
];

#[derive(Template)]
#[template(path = "practice/sets/choose_visit.html")]
struct VisitsPage {
    shell: Shell,
    visits: Vec<Choice>,
}

/// A question that the set has already.
struct Current {
    /// What the form sends of it.
    value: String,
    words: String,
    ticked: bool,
}

#[derive(Template)]
#[template(path = "practice/sets/set_form.html")]
struct FormPage {
    shell: Shell,
    /// Where the form goes.
    action: String,
    back: String,
    /// `north forty, 14 July 2026`; empty where no visit is behind it.
    of: String,
    purposes: Vec<(&'static str, &'static str, bool)>,
    books: Vec<(&'static str, &'static str, bool)>,
    current: Vec<Current>,
    groups: Vec<Group>,
    /// Plants of the visit that can't be asked about, in words; may be empty.
    left_out: String,
    filled: Filled,
    /// Whether the form was sent, so that its ticks count and not the usual ones.
    sent: bool,
}

impl FormPage {
    fn is_ticked(&self, question: &str, usual: &bool) -> bool {
        match self.sent {
            true => self.filled.holds("q", question),
            false => *usual,
        }
    }
}

/// What a form is about.
struct About {
    visit: Option<Entry<Visit>>,
    set: Option<Entry<PracticeSet>>,
}

impl About {
    fn visit(app: &App, id: RecordId) -> Result<About, Failure> {
        let visit = app.book.visit(id)?;
        Ok(About {
            visit: Some(visit.ok_or(Failure::NotFound { what: "visit" })?),
            set: None,
        })
    }

    fn set(app: &App, id: &str) -> Result<About, Failure> {
        let set = set_of(app, id)?;
        let visit = match set.body.visit {
            Some(visit) => app.book.visit(visit)?,
            None => None,
        };
        Ok(About {
            visit,
            set: Some(set),
        })
    }

    fn address(&self) -> String {
        match (&self.set, &self.visit) {
            (Some(set), _) => format!("/desk/practice/sets/{}/correct", set.id),
            (None, Some(visit)) => format!("/desk/practice/sets/new?visit={}", visit.id),
            (None, None) => "/desk/practice/sets/new".to_owned(),
        }
    }

    /// Seed of what is drawn: that of the first version, so that a correction offers the same plants.
    fn seed(&self, app: &App, filled: &Filled) -> Result<u32, Failure> {
        let first = match &self.set {
            Some(set) => app.book.history(set.id)?.first().map(|first| first.id),
            None => None,
        };
        Ok(seed_of(first.unwrap_or_else(|| filled.id())))
    }
}

fn page(
    app: &App,
    here: &Here,
    about: &About,
    mut filled: Filled,
    sent: bool,
) -> Result<Response, Failure> {
    filled.begin(here);
    filled.default_to("purpose", "drill");
    filled.default_to("book", "0");
    let current: Vec<Current> = match &about.set {
        Some(set) => current(app, &set.body, &filled, sent),
        None => Vec::new(),
    };
    let (mut of, mut left_out, mut offered) = (String::new(), String::new(), Vec::new());
    if let Some(visit) = &about.visit {
        let (planting, site) = planting_and_site(app, visit.body.planting)?;
        let on = date_words(&visit.body.on);
        of = format!("{}, {}, visit of {on}", site.body.name, planting.body.name);
        filled.default_to("title", format!("{}, {on}", planting.body.name));
        let settled = of_visit(app, visit.id)?;
        let all = app.book.determinations(visit.id)?.len();
        left_out = left_out_words(
            all - settled.len(),
            settled.iter().filter(|plant| plant.waits()).count(),
        );
        let mix: Vec<&str> = planting
            .body
            .mix
            .iter()
            .map(|item| item.taxon.as_str())
            .collect();
        offered = groups(app, &settled, &mix, about.seed(app, &filled)?)?;
        let has = |text: &str| {
            let set = about.set.as_ref();
            set.is_some_and(|set| set.body.questions.iter().any(|one| one.question == text))
        };
        for group in &mut offered {
            group.offers.retain(|offer| !has(&offer.question));
            if about.set.is_some() {
                // What a trainer left out once is not ticked again behind her back.
                group
                    .offers
                    .iter_mut()
                    .for_each(|offer| offer.usual = false);
            }
        }
        offered.retain(|group| !group.offers.is_empty());
    }
    let marked = |list: &[(&'static str, &'static str)], chosen: &str| {
        list.iter()
            .map(|(value, words)| (*value, *words, *value == chosen))
            .collect()
    };
    let page = FormPage {
        shell: Shell::new(
            app,
            here,
            Tab::Desk,
            match about.set {
                Some(_) => "Correct a set",
                None => "A set from a visit",
            },
        ),
        action: about.address(),
        back: match &about.set {
            Some(set) => format!("/desk/practice/sets/{}", set.id),
            None => "/desk/practice".to_owned(),
        },
        of,
        purposes: marked(&PURPOSES, filled.get("purpose")),
        books: marked(&BOOKS, filled.get("book")),
        current,
        groups: offered,
        left_out,
        filled,
        sent,
    };
    respond(&page.filled.troubles, &page)
}

/// Plants without a name that stands, and plants that wait for a reviewer, in words; may be empty.
fn left_out_words(nameless: usize, waiting: usize) -> String {
    let mut said = Vec::new();
    if nameless > 0 {
        said.push(format!(
            "{} of the visit can\u{2019}t be asked about: the name is disputed, open, or no species of this key.",
            number_of(nameless, "plant")
        ));
    }
    if waiting > 0 {
        said.push(format!(
            "{} with photos: only the scout has given a name. A second opinion at the Desk makes questions of the photos.",
            number_of(waiting, "plant")
        ));
    }
    said.join(" ")
}

fn current(app: &App, set: &PracticeSet, filled: &Filled, sent: bool) -> Vec<Current> {
    let questions = set.questions.iter();
    questions
        .map(|one| {
            let value = format!("{} {}", u8::from(one.with_book), one.question);
            let book = match one.with_book {
                true => "with the book",
                false => "without the book",
            };
            let what = match one.question.parse::<Question>() {
                Ok(question) => words::with_truth(app, &question),
                Err(_) => one.question.clone(),
            };
            Current {
                ticked: !sent || filled.holds("q", &value),
                words: format!("{what} ({book})"),
                value,
            }
        })
        .collect()
}

/// `GET /desk/practice/sets/new`: which visit, or the form for one.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        if !query.has("visit") {
            return html(&VisitsPage {
                shell: Shell::new(app, &here, Tab::Desk, "A set from a visit"),
                visits: visits(app, None)?,
            });
        }
        let about = About::visit(app, record_id(query.get("visit"), "visit")?)?;
        let saved = |id| format!("/desk/practice/sets/{id}");
        fresh(app, "/desk/practice/sets/new", &query, saved, |filled| {
            page(app, &here, &about, filled, false)
        })
    })
    .await
}

/// `POST /desk/practice/sets/new`.
pub(super) async fn make(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let about = About::visit(app, record_id(query.get("visit"), "visit")?)?;
        keep(app, &here, &about, form)
    })
    .await
}

/// `GET /desk/practice/sets/{id}/correct`.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let about = About::set(app, &id)?;
        let Some(set) = &about.set else {
            return Err(Failure::NotFound { what: "set" });
        };
        if set.id.to_string() != id {
            // An earlier version: what is corrected is the one that stands.
            return Ok(Redirect::to(&about.address()).into_response());
        }
        let mut filled = Filled::new();
        filled.set("supersedes", set.id.to_string());
        filled.set("title", set.body.title.clone());
        let minutes = set.body.minutes.map(plain);
        filled.set("minutes", minutes.unwrap_or_default());
        page(app, &here, &about, filled, false)
    })
    .await
}

/// `POST /desk/practice/sets/{id}/correct`.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let about = About::set(app, &id)?;
        keep(app, &here, &about, form)
    })
    .await
}

fn keep(app: &App, here: &Here, about: &About, form: Form) -> Result<Response, Failure> {
    let mut filled = Filled::sent(form);
    let title = filled.read_name("title", "The title");
    let minutes = fields::minutes(&mut filled);
    let questions = fields::questions(app, &mut filled)?;
    let body = match &about.set {
        Some(set) => PracticeSet {
            title,
            minutes,
            questions,
            ..set.body.clone()
        },
        None => PracticeSet {
            title,
            purpose: match filled.get("purpose") {
                "field_test" => SetPurpose::FieldTest,
                _ => SetPurpose::Drill,
            },
            planting: about.visit.as_ref().map(|visit| visit.body.planting),
            visit: about.visit.as_ref().map(|visit| visit.id),
            minutes,
            questions,
        },
    };
    let body = filled.troubles.none().then_some(Body::PracticeSet(body));
    let to = |id| format!("/desk/practice/sets/{id}");
    match keep_form(app, here, &mut filled, "set", body, to)? {
        Some(response) => Ok(response),
        None => page(app, here, about, filled, true),
    }
}
