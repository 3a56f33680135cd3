//! Sets as a scout sees them: which there are, where she stands in one, and her result.
//!
//! In: a set and her answers. Out: one page that says what it is before she begins, where to go on, how
//! much time is left, and at the end what was right, with the way to each answer. In a test nothing is said
//! about an answer before all are given or the time is over: what one question teaches would help with the
//! next.
//!
//! Not here: the questions themselves (`practice::ask`, `practice::frame`).

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use jiff::Timestamp;
use standbook_fieldbook::record::{Practice, PracticeSet, SetItem, SetPurpose};
use standbook_fieldbook::{Entry, RecordId};
use standbook_practice::Question;

use super::judged::{Tally, Verdict, planted_or_not, verdict};
use super::results::{mix_of, place, said, shape};
use super::sitting::{Sitting, answers};
use super::{set_of, words};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::practice::after::item_address;
use crate::practice::ask::SOMETHING_ELSE;

/// A set of the list.
struct Row {
    id: RecordId,
    title: String,
    more: String,
    /// Where she stands; empty where nobody said who she is.
    state: String,
}

#[derive(Template)]
#[template(path = "practice/sets/list.html")]
struct ListPage {
    shell: Shell,
    rows: Vec<Row>,
}

/// `GET /practice/sets`.
pub(super) async fn list(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let mut sets = app.book.practice_sets()?;
        sets.sort_by(|a, b| (&b.born_at, b.id).cmp(&(&a.born_at, a.id)));
        let mut rows = Vec::new();
        for set in sets {
            let state = match &here.scout {
                Some(scout) => {
                    let sitting = Sitting::of(&set.body, &answers(app, &set)?, scout);
                    match (sitting.done(), sitting.given.len()) {
                        (0, _) => "not begun".to_owned(),
                        (done, all) if done == all => "all answered: see how it went".to_owned(),
                        (done, all) => format!("{done} of {all} answered: go on"),
                    }
                }
                None => String::new(),
            };
            rows.push(Row {
                id: set.id,
                more: format!("{}: {}", words::purpose(set.body.purpose), shape(&set.body)),
                title: set.body.title,
                state,
            });
        }
        html(&ListPage {
            shell: Shell::new(app, &here, Tab::Practice, "Sets and tests"),
            rows,
        })
    })
    .await
}

/// One answer of hers, once it may be spoken of.
struct Answered {
    number: usize,
    /// What was asked.
    asked: String,
    verdict: &'static str,
    /// What she answered; empty: she could not tell, or a frame.
    said: String,
    with_book: bool,
    late: bool,
    from_paper: bool,
    /// Where it is explained.
    address: String,
}

/// How a part of a test went.
struct Part {
    title: &'static str,
    /// `8 of 10 right; planted or not: 9 of 10`.
    words: String,
}

#[derive(Template)]
#[template(path = "practice/sets/set.html")]
struct SetPage {
    shell: Shell,
    id: RecordId,
    purpose: SetPurpose,
    shape: String,
    of: String,
    done: usize,
    all: usize,
    /// Number and address of the next question; `None` where all are answered, or nobody said who she is.
    next: Option<(usize, String)>,
    /// Whether what comes now is the part with the book.
    second_part: bool,
    /// How much time is left, a sentence.
    left: Option<String>,
    timed: bool,
    parts: Vec<Part>,
    answered: Vec<Answered>,
}

/// `GET /practice/sets/{id}`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let set = set_of(app, &id)?;
        let scout = here.scout.clone().unwrap_or_default();
        let sitting = Sitting::of(&set.body, &answers(app, &set)?, &scout);
        let known = !scout.is_empty();
        let next = sitting.next().filter(|_| known);
        let left = sitting.left(Timestamp::now());
        let told = is_told(&set.body, &sitting);
        let mix = mix_of(app, &set.body)?;
        let mix: Vec<&str> = mix.iter().map(String::as_str).collect();
        html(&SetPage {
            shell: Shell::new(app, &here, Tab::Practice, set.body.title.clone()),
            id: set.id,
            purpose: set.body.purpose,
            shape: shape(&set.body),
            of: place(app, &set.body)?,
            done: sitting.done(),
            all: sitting.given.len(),
            second_part: next.is_some_and(|at| is_second_part(&set.body, at)),
            next: next.and_then(|at| Some((at + 1, address(&set, at)?))),
            left: left.filter(|_| !sitting.is_finished()).map(words::left),
            timed: set.body.minutes.is_some(),
            parts: match told {
                true => parts(&sitting, &mix),
                false => Vec::new(),
            },
            answered: match told {
                true => answered(app, &set.body, &sitting, &mix),
                false => Vec::new(),
            },
        })
    })
    .await
}

/// Whether the question at a place is the first of the part with the book, after one without.
pub(super) fn is_second_part(set: &PracticeSet, at: usize) -> bool {
    let with_book = |at: usize| set.questions.get(at).is_some_and(|one| one.with_book);
    at > 0 && with_book(at) && !with_book(at - 1)
}

/// The address of a question, by position.
pub(super) fn address(set: &Entry<PracticeSet>, at: usize) -> Option<String> {
    let item = u32::try_from(at + 1).ok()?;
    item_address(&set.body, SetItem { set: set.id, item })
}

fn parts(sitting: &Sitting, mix: &[&str]) -> Vec<Part> {
    let books = [(false, "Without the book"), (true, "With the book")];
    let parts = books.into_iter().map(|(with_book, title)| {
        let given = sitting
            .given
            .iter()
            .flatten()
            .map(|given| &given.answer.body);
        let of = given.filter(|it| it.with_book == with_book);
        let all: Tally = of.clone().map(verdict).collect();
        let planted: Tally = of.filter_map(|it| planted_or_not(it, mix)).collect();
        let mut words = format!("{} of {} right", all.right, all.all());
        if planted.all() > 0 {
            words.push_str(&format!(
                "; planted or not: {} of {}",
                planted.right,
                planted.all()
            ));
        }
        (all.all() > 0).then_some(Part { title, words })
    });
    parts.flatten().collect()
}

/// What her answer was. Who said of a weed that it is not planted was right in that, without a name.
fn verdict_words(answer: &Practice, mix: &[&str]) -> &'static str {
    let without_name = answer.named.as_deref() == Some(SOMETHING_ELSE);
    match planted_or_not(answer, mix) {
        Some(Verdict::Right) if without_name => "right, not planted",
        Some(_) if without_name => "wrong, it is planted",
        _ => verdict(answer).words(),
    }
}

fn answered(app: &App, set: &PracticeSet, sitting: &Sitting, mix: &[&str]) -> Vec<Answered> {
    let pairs = set.questions.iter().zip(&sitting.given).enumerate();
    pairs
        .filter_map(|(at, (question, given))| {
            let given = given.as_ref()?;
            let asked = question.question.parse::<Question>();
            Some(Answered {
                number: at + 1,
                asked: asked.map_or_else(|_| String::new(), |asked| words::asked(app, &asked)),
                verdict: verdict_words(&given.answer.body, mix),
                said: said(app, &given.answer.body).unwrap_or_default(),
                with_book: question.with_book,
                late: given.late,
                from_paper: given.from_paper,
                address: format!("/practice/answers/{}", given.answer.id),
            })
        })
        .collect()
}

/// Whether a scout may be told what was right: in a test only once all is answered, or the time is over.
pub(crate) fn may_be_told(
    app: &App,
    set: &Entry<PracticeSet>,
    scout: &str,
) -> Result<bool, Failure> {
    let sitting = Sitting::of(&set.body, &answers(app, set)?, scout);
    Ok(is_told(&set.body, &sitting))
}

fn is_told(set: &PracticeSet, sitting: &Sitting) -> bool {
    let over = || {
        sitting
            .left(Timestamp::now())
            .is_some_and(|left| left.is_zero())
    };
    match set.purpose {
        SetPurpose::Drill => true,
        SetPurpose::FieldTest | SetPurpose::SameFrames => sitting.is_finished() || over(),
    }
}

/// What a scout answered to a question of a set, by its number; the answer that counts.
pub(crate) fn given(
    app: &App,
    set: &Entry<PracticeSet>,
    item: u32,
    scout: &str,
) -> Result<Option<Entry<Practice>>, Failure> {
    let at = usize::try_from(item)
        .ok()
        .and_then(|item| item.checked_sub(1));
    let mut sitting = Sitting::of(&set.body, &answers(app, set)?, scout);
    let given = at.and_then(|at| sitting.given.get_mut(at)?.take());
    Ok(given.map(|given| given.answer))
}

/// The first question of a set that a scout has not answered, by position.
pub(crate) fn next(
    app: &App,
    set: &Entry<PracticeSet>,
    scout: &str,
) -> Result<Option<usize>, Failure> {
    Ok(Sitting::of(&set.body, &answers(app, set)?, scout).next())
}

/// Where a scout goes on in a set: the next question, or the set's page where a new part begins or all are
/// answered.
pub(crate) fn on(app: &App, set: &Entry<PracticeSet>, scout: &str) -> Result<String, Failure> {
    let sitting = Sitting::of(&set.body, &answers(app, set)?, scout);
    let page = format!("/practice/sets/{}", set.id);
    Ok(match sitting.next() {
        Some(at) if !is_second_part(&set.body, at) => address(set, at).unwrap_or(page),
        _ => page,
    })
}

/// How much time a scout has left in a set, a sentence; `None` where it is not timed, or she has not begun.
pub(crate) fn time_left(
    app: &App,
    set: &Entry<PracticeSet>,
    scout: &str,
) -> Result<Option<String>, Failure> {
    let sitting = Sitting::of(&set.body, &answers(app, set)?, scout);
    Ok(sitting.left(Timestamp::now()).map(words::left))
}
