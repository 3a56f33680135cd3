//! Agreement on the same frames as tables to take away.
//!
//! `agreement.csv` has a line for each two and each kind of mark; `cells.csv` one for every cell of every
//! frame that a scout marked, so that whoever wants can work everything out again.

use axum::extract::{Path, State};
use axum::response::Response;
use standbook_practice::frame::{CELLS, Role};

use super::agree::{Pair, pairs as pairs_of};
use super::crew::Crew;
use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::report::{Cell, csv, plain_name};

const PAIRS: [&str; 16] = [
    "set",
    "mark",
    "first",
    "second",
    "frames",
    "cells",
    "both",
    "first_only",
    "second_only",
    "neither",
    "agreement",
    "kappa",
    "kappa_lower_95",
    "kappa_upper_95",
    "positive_agreement",
    "negative_agreement",
];

/// What the second column says where a scout is compared with what stands there.
const TRUTH: &str = "what stands there";

/// `GET /desk/practice/sets/{id}/agreement.csv`.
pub(super) async fn pairs(
    State(app): State<Shared>,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let crew = Crew::read(app, &id)?;
        let title = &crew.set.body.title;
        let all = Role::BOTH.iter().flat_map(|role| pairs_of(&crew, *role));
        let rows = all.map(|pair| row(title, &pair)).collect();
        csv(&name(title, "agreement"), &PAIRS, rows)
    })
    .await
}

fn row(title: &str, pair: &Pair) -> Vec<Cell> {
    let whole = |n: u64| Cell::Number(n as f64);
    let cells = pair.cells;
    let agreement = pair.agreement();
    let kappa = agreement.as_ref().and_then(|found| found.kappa.ok());
    let limits = kappa.and_then(|kappa| kappa.interval);
    vec![
        Cell::text(title),
        Cell::text(word(pair.role)),
        Cell::text(&pair.first),
        Cell::text(pair.second.as_deref().unwrap_or(TRUTH)),
        Cell::Number(pair.frames as f64),
        whole(cells.cells()),
        whole(cells.both),
        whole(cells.first_only),
        whole(cells.second_only),
        whole(cells.neither),
        Cell::maybe(agreement.map(|found| found.observed)),
        Cell::maybe(kappa.map(|kappa| kappa.value)),
        Cell::maybe(limits.map(|limits| limits.lower)),
        Cell::maybe(limits.map(|limits| limits.upper)),
        Cell::maybe(cells.positive_agreement()),
        Cell::maybe(cells.negative_agreement()),
    ]
}

const CELL_COLUMNS: [&str; 8] = [
    "set",
    "frame",
    "cell",
    "scout",
    "marked_planted",
    "marked_other",
    "planted",
    "other",
];

/// `GET /desk/practice/sets/{id}/cells.csv`.
pub(super) async fn cells(
    State(app): State<Shared>,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let crew = Crew::read(app, &id)?;
        let title = &crew.set.body.title;
        let yes = |is: bool| Cell::Number(f64::from(u8::from(is)));
        let mut rows = Vec::new();
        for frame in &crew.frames {
            for (scout, marks) in &frame.marks {
                let name = crew.scouts.get(*scout).map_or("", String::as_str);
                for cell in 1..=CELLS {
                    let found = marks.iter().find(|one| one.cell == cell);
                    let is = |what: fn(&standbook_fieldbook::record::PracticeCell) -> bool| {
                        yes(found.is_some_and(what))
                    };
                    rows.push(vec![
                        Cell::text(title),
                        Cell::Number(f64::from(frame.item)),
                        Cell::Number(f64::from(cell)),
                        Cell::text(name),
                        is(|one| one.marked_planted),
                        is(|one| one.marked_other),
                        is(|one| one.planted),
                        is(|one| one.other),
                    ]);
                }
            }
        }
        csv(&name(title, "cells"), &CELL_COLUMNS, rows)
    })
    .await
}

fn word(role: Role) -> &'static str {
    match role {
        Role::Planted => "planted",
        Role::Other => "something else",
    }
}

fn name(title: &str, what: &str) -> String {
    format!("{}-{what}.csv", plain_name(title))
}
