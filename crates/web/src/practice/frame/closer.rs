//! One cell from nearer: drawn large, with its two marks, and its plants to be taken up.

use askama::Template;
use axum::response::Response;
use standbook_practice::frame::{CELLS, Role};

use super::laid::taken_up;
use super::marks::Marks;
use super::sheet::{Carried, planted};
use super::which::FrameAsked;
use crate::app::App;
use crate::count::spelled;
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::plot::filled::Filled;

/// A plant of the cell: its drawings with what each shows.
struct Plant {
    number: usize,
    views: Vec<(&'static str, String)>,
}

#[derive(Template)]
#[template(path = "practice/frame_cell.html")]
struct CellPage {
    shell: Shell,
    cell: u32,
    planted: Vec<(String, Option<String>)>,
    carried: Carried,
    scout: String,
    second: bool,
    /// Marks of this cell.
    marked: [bool; 2],
    /// Marks of the other cells, as forms spell them.
    elsewhere: [String; 2],
    /// Marks of the first look.
    first: [String; 2],
    drawing: String,
    plants: Vec<Plant>,
    before: u32,
    after: u32,
}

/// The page of a cell.
///
/// # Errors
/// [`Failure::NotFound`] for a cell that a frame does not have.
pub(super) fn show(
    app: &App,
    here: &Here,
    asked: &FrameAsked,
    marks: &Marks,
    filled: &Filled,
    cell: u32,
) -> Result<Response, Failure> {
    if !(1..=CELLS).contains(&cell) {
        return Err(Failure::NotFound { what: "cell" });
    }
    let from = marks.from();
    let here_in = asked.laid.in_cell(cell, from);
    let plants = here_in.iter().enumerate().map(|(at, (plant, shown))| {
        let number = at + 1;
        let views = taken_up(plant, shown).into_iter().enumerate();
        let views = views.map(|(view, (what, drawing))| {
            let id = format!("plant-{number}-{view}");
            let title = format!("Plant {number}: {what}");
            (what, drawing.inline(&id, &title, ""))
        });
        Plant {
            number,
            views: views.collect(),
        }
    });
    let elsewhere = |role: Role| {
        let mut cells = marks.of(role).clone();
        cells.remove(&cell);
        spelled(&cells)
    };
    let title = format!("Cell {cell}, closer");
    html(&CellPage {
        shell: Shell::new(app, here, Tab::Practice, &title),
        cell,
        planted: planted(app, asked),
        carried: Carried::of(asked, filled),
        scout: filled.get("scout").to_owned(),
        second: marks.second,
        marked: [marks.at(cell).planted, marks.at(cell).other],
        elsewhere: Role::BOTH.map(elsewhere),
        first: Role::BOTH.map(|role| spelled(marks.first(role))),
        drawing: asked.laid.cell(cell, from).inline(
            "cell",
            &title,
            "What grows in it, and what hangs in from beside it.",
        ),
        plants: plants.collect(),
        before: if cell == 1 { CELLS } else { cell - 1 },
        after: if cell == CELLS { 1 } else { cell + 1 },
    })
}
