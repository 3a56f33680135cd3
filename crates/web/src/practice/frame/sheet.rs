//! The page on which a practice frame is marked, and what its buttons do.
//!
//! In: the question, marks, a button. Out: the page again with every mark, one cell from nearer, or a
//! record in the book and the way on.
//! Buttons (`do`): `stay`, `again` (the second look), `cell.N` (look closer), `save`, `none`.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::{Drill, Practice};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_practice::frame::Role;

use super::marks::Marks;
use super::which::FrameAsked;
use super::{closer, held};
use crate::app::{App, Shared, run};
use crate::count::{OVERLOOKED_SOURCE, spelled};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::{Draft, keep, saved};
use crate::practice::after;
use crate::practice::history::day_of;
use crate::words::taxon_name;

/// Longer than this between page and answer, s, and somebody was called away.
const LONGEST_SECONDS: f64 = 3_600.0;

/// A box of the grid.
struct CellBox {
    number: u32,
    marked: bool,
    /// Whether it was marked when the second look began.
    first: bool,
}

/// The grid of one kind of mark.
struct Column {
    /// As forms spell it.
    code: u32,
    name: &'static str,
    /// What it takes, in words.
    more: &'static str,
    shown: bool,
    boxes: Vec<CellBox>,
    /// Cells of the first look, as forms spell them.
    first: String,
}

#[derive(Template)]
#[template(path = "practice/frame.html")]
struct FramePage {
    shell: Shell,
    /// `3 of 6` within a set.
    place: String,
    /// Names of what is planted; with their page in the key where the book may be open.
    planted: Vec<(String, Option<String>)>,
    carried: Carried,
    columns: Vec<Column>,
    /// The cells, for looking closer, as they lie before the scout.
    cells: Vec<u32>,
    looking: bool,
    second: bool,
    drawing: String,
    source: &'static str,
    filled: Filled,
}

/// What every form about the frame carries on.
pub(super) struct Carried {
    /// The question.
    pub q: String,
    /// `1` where the book may be open.
    pub book: &'static str,
    /// The set and the item in it; may be empty.
    pub set: String,
    /// See `set`.
    pub item: String,
    /// The record to be.
    pub id: String,
}

impl Carried {
    /// Of a question.
    pub fn of(asked: &FrameAsked, filled: &Filled) -> Carried {
        let of_set = asked.of_set;
        Carried {
            q: asked.text.clone(),
            book: if asked.with_book { "1" } else { "0" },
            set: of_set.map(|of| of.set.to_string()).unwrap_or_default(),
            item: of_set.map(|of| of.item.to_string()).unwrap_or_default(),
            id: filled.get("id").to_owned(),
        }
    }
}

/// `GET /practice/frame`: a frame with nothing marked.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let asked = FrameAsked::read(app, &query)?;
        if let Some(before) = marked_before(app, &here, &asked)? {
            return Ok(Redirect::to(&after::address(app, &before)?).into_response());
        }
        let on = |id| lead_on(app, id).unwrap_or_else(|_| "/practice".to_owned());
        fresh(app, "/practice/frame", &query, on, |mut filled| {
            filled.begin(&here);
            show(app, &here, &asked, &Marks::default(), filled)
        })
    })
    .await
}

/// `POST /practice/frame`: a button was pressed.
pub(super) async fn take(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let asked = FrameAsked::read(app, &form)?;
        let mut marks = Marks::read(&form);
        let mut filled = Filled::sent(form);
        filled.begin(&here);
        let wanted = filled.get("do").to_owned();
        if let Some(cell) = wanted.strip_prefix("cell.").and_then(|cell| cell.parse().ok()) {
            return closer::show(app, &here, &asked, &marks, &filled, cell);
        }
        match wanted.as_str() {
            "again" => marks.look_again(),
            "none" if marks.count() > 0 => filled.troubles.add(
                "do",
                "You marked cells, and said that nothing stands in the frame. Take the marks off, or save them.",
            ),
            "none" => return save(app, &here, &asked, &marks, filled),
            "save" if marks.count() == 0 => filled.troubles.add(
                "do",
                "Nothing is marked. Mark the cells in which something stands; if there is none, press \u{201c}Looked, none\u{201d}.",
            ),
            "save" => return save(app, &here, &asked, &marks, filled),
            _ => {}
        }
        show(app, &here, &asked, &marks, filled)
    })
    .await
}

fn show(
    app: &App,
    here: &Here,
    asked: &FrameAsked,
    marks: &Marks,
    filled: Filled,
) -> Result<Response, Failure> {
    let column = |role: Role, code: u32, name, more| Column {
        code,
        name,
        more,
        shown: marks.show == code,
        boxes: boxes(marks, role),
        first: spelled(marks.first(role)),
    };
    let place = match asked.of_set {
        Some(of) => {
            let set = app.book.practice_set(of.set)?;
            let all = set.map_or(0, |set| set.body.questions.len());
            format!("{} of {all}", of.item)
        }
        None => String::new(),
    };
    let page = FramePage {
        shell: Shell::new(app, here, Tab::Practice, "Count the frame"),
        place,
        planted: planted(app, asked),
        carried: Carried::of(asked, &filled),
        columns: vec![
            column(
                Role::Planted,
                0,
                "Planted",
                "a planted grass has its base here",
            ),
            column(
                Role::Other,
                1,
                "Something else",
                "anything else has its base here",
            ),
        ],
        cells: marks.from().cells(),
        looking: marks.show == 2,
        second: marks.second,
        drawing: asked.laid.whole(marks.from()).inline(
            "frame",
            "The frame from above",
            "Five rows of five cells, with what grows in them.",
        ),
        source: OVERLOOKED_SOURCE,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

fn boxes(marks: &Marks, role: Role) -> Vec<CellBox> {
    let (all, first): (&BTreeSet<u32>, _) = (marks.of(role), marks.first(role));
    let each = marks.from().cells().into_iter().map(|number| CellBox {
        number,
        marked: all.contains(&number),
        first: first.contains(&number),
    });
    each.collect()
}

/// What is planted, in words, and where the key tells of it.
pub(super) fn planted(app: &App, asked: &FrameAsked) -> Vec<(String, Option<String>)> {
    let each = asked.laid.kinds(Role::Planted).iter().map(|id| {
        let page = asked.with_book.then(|| format!("/key/{id}"));
        (taxon_name(app, id).0, page)
    });
    each.collect()
}

/// Keeps the answer, and leads on.
fn save(
    app: &App,
    here: &Here,
    asked: &FrameAsked,
    marks: &Marks,
    mut filled: Filled,
) -> Result<Response, Failure> {
    let scout = filled.read_name("scout", "Your name");
    if !filled.troubles.none() {
        return show(app, here, asked, marks, filled);
    }
    let id = filled.id();
    let draft = Draft {
        id,
        supersedes: None,
        body: Practice {
            scout: scout.clone(),
            drill: Drill::CountFrame,
            question: asked.text.clone(),
            with_book: asked.with_book,
            key_id: app.key.id.to_string(),
            table_fingerprint: app.table.fingerprint.clone(),
            taxon: None,
            against: None,
            named: None,
            by: None,
            readings: Vec::new(),
            cells: held::cells(&asked.laid.frame, |cell| marks.at(cell)),
            seconds: seconds(here, id),
            of_set: asked.of_set,
        }
        .into(),
    };
    match keep(app, here, &scout, &[draft]) {
        // Sent again with other marks, after what stood there was shown: the first answer counts.
        Ok(()) | Err(BookError::Conflict { .. }) => Ok(saved(&lead_on(app, id)?, &scout, None)),
        Err(error) => {
            filled.troubles.refused(&error, |_, field| match field {
                "author" => "scout".to_owned(),
                field => field.to_owned(),
            });
            show(app, here, asked, marks, filled)
        }
    }
}

/// What a scout marked on this frame of a set before: it is marked once, and looked at again otherwise.
fn marked_before(
    app: &App,
    here: &Here,
    asked: &FrameAsked,
) -> Result<Option<Entry<Practice>>, Failure> {
    let (Some(of), Some(scout)) = (asked.of_set, here.scout.as_deref()) else {
        return Ok(None);
    };
    let mut before = after::answers(app, of.set, scout)?.into_iter();
    Ok(before.find(|answer| answer.body.of_set.is_some_and(|it| it.item == of.item)))
}

/// Where an answer that is in the book leads to.
fn lead_on(app: &App, id: RecordId) -> Result<String, Failure> {
    match app.book.practice(id)? {
        Some(answer) => after::address(app, &answer),
        None => Ok("/practice".to_owned()),
    }
}

/// From the page, whose record's id was made with it, to now; nothing where clocks don't fit.
fn seconds(here: &Here, id: RecordId) -> Option<f64> {
    const SECONDS_PER_DAY: f64 = 86_400.0;
    let took = (day_of(&here.now()) - day_of(&id.born_at())) * SECONDS_PER_DAY;
    // To the millisecond, which is what both stamps have.
    let took = (took * 1_000.0).round() / 1_000.0;
    (0.0..=LONGEST_SECONDS).contains(&took).then_some(took)
}
