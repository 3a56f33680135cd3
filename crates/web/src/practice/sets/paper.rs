//! A set on paper: a sheet for a scout without answers, and one for the trainer with them.
//!
//! In: a set, a size of paper, whether pictures are printed (plants that lie on a table need none). Out: a
//! page to print. Frames stay on the screen: their cells are too small for a pencil.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::PracticeSet;
use standbook_fieldbook::{Entry, RecordId};
use standbook_practice::Question;

use super::results::{place, shape};
use super::{set_of, words};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::practice::ask::sheet::{Sheet, Writes};
use crate::practice::asked::Asked;

/// Papers: as addresses spell them, and for people.
const PAPERS: [(&str, &str); 2] = [("letter", "US Letter"), ("a4", "A4")];

/// A question on the sheet.
struct Item {
    number: usize,
    with_book: bool,
    /// What a trainer needs to find the plant again.
    words: String,
    /// The question, or why it can't be asked any more.
    sheet: Result<Sheet, String>,
}

impl Item {
    fn writes(&self, what: Writes) -> bool {
        self.sheet.as_ref().is_ok_and(|sheet| sheet.writes == what)
    }
}

/// What both pages share.
struct OnPaper {
    set: Entry<PracticeSet>,
    /// Value, words, whether chosen.
    papers: Vec<(&'static str, &'static str, bool)>,
    paper: &'static str,
    pictures: bool,
    /// Without the book, then with it.
    parts: Vec<(bool, Vec<Item>)>,
    /// Frames, which are not on the sheet.
    frames: usize,
    of: String,
    shape: String,
}

impl OnPaper {
    fn read(app: &App, id: &str, query: &Form) -> Result<OnPaper, Failure> {
        let set = set_of(app, id)?;
        let asked = query.get("paper");
        let found = PAPERS
            .iter()
            .find(|(value, _)| asked.is_empty() || *value == asked);
        let paper = found.map(|(value, _)| *value).ok_or_else(|| {
            Failure::BadRequest(format!(
                "There is no paper \u{201c}{}\u{201d}. Ask for letter or a4.",
                asked.chars().take(60).collect::<String>()
            ))
        })?;
        let mut parts: Vec<(bool, Vec<Item>)> = Vec::new();
        let mut frames = 0;
        for item in items(app, &set.body)? {
            let Some(item) = item else {
                frames += 1;
                continue;
            };
            match parts.last_mut() {
                Some((with_book, list)) if *with_book == item.with_book => list.push(item),
                _ => parts.push((item.with_book, vec![item])),
            }
        }
        Ok(OnPaper {
            papers: PAPERS
                .iter()
                .map(|(value, words)| (*value, *words, *value == paper))
                .collect(),
            paper,
            pictures: query.get("pictures") != "no",
            parts,
            frames,
            of: place(app, &set.body)?,
            shape: shape(&set.body),
            set,
        })
    }

    fn id(&self) -> RecordId {
        self.set.id
    }
}

/// The names among which a set asks: those of its planting come first.
pub(super) fn asked(app: &App, set: &PracticeSet) -> Result<Asked, Failure> {
    let planting = match set.planting {
        Some(id) => app.book.planting(id)?,
        None => None,
    };
    let planting = planting.as_ref().map(|planting| &planting.body);
    Ok(Asked::of(&app.key, planting))
}

/// Every question in order; `None` for a frame.
fn items(app: &App, set: &PracticeSet) -> Result<Vec<Option<Item>>, Failure> {
    let about = asked(app, set)?;
    let mut items = Vec::new();
    for (at, one) in set.questions.iter().enumerate() {
        let question = one.question.parse::<Question>();
        if let Ok(Question::CountFrame { .. }) = question {
            items.push(None);
            continue;
        }
        let (words, sheet) = match question {
            Ok(question) => (
                match question {
                    // The name stands beside it.
                    Question::NameIt { .. } | Question::NamePhoto { .. } => {
                        words::specimen(&question)
                    }
                    _ => words::with_truth(app, &question),
                },
                Sheet::of(app, &question, &about, &format!("q{}-", at + 1))?,
            ),
            Err(none) => (one.question.clone(), Err(none.to_string())),
        };
        items.push(Some(Item {
            number: at + 1,
            with_book: one.with_book,
            words,
            sheet,
        }));
    }
    Ok(items)
}

#[derive(Template)]
#[template(path = "practice/sets/paper.html")]
struct PaperPage {
    shell: Shell,
    on: OnPaper,
    timed: Option<String>,
}

/// `GET /desk/practice/sets/{id}/paper`.
pub(super) async fn sheet(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let on = OnPaper::read(app, &id, &query)?;
        html(&PaperPage {
            shell: Shell::new(app, &here, Tab::Desk, on.set.body.title.clone()),
            timed: on.set.body.minutes.map(words::minutes),
            on,
        })
    })
    .await
}

#[derive(Template)]
#[template(path = "practice/sets/paper_answers.html")]
struct AnswersPage {
    shell: Shell,
    on: OnPaper,
}

/// `GET /desk/practice/sets/{id}/paper/answers`.
pub(super) async fn answers(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let on = OnPaper::read(app, &id, &query)?;
        html(&AnswersPage {
            shell: Shell::new(
                app,
                &here,
                Tab::Desk,
                format!("Answers: {}", on.set.body.title),
            ),
            on,
        })
    })
    .await
}
