//! A column of a frame as shown: its chip and its cells, or its number of plants.
//!
//! In: a draft, of which columns the cells are on the page, what is wrong. Out: what the partials
//! `_grid_column` and `_plants_row` show.

use standbook_fieldbook::{BookError, RecordId};

use super::draft::{Column, Draft, What, spelled};
use super::palette::{self, Setting};
use crate::app::App;
use crate::plot::filled::Troubles;

/// One cell of a column's grid.
pub(super) struct Cell {
    /// From 1, row by row from the upper left.
    pub number: u32,
    /// Whether it is marked.
    pub marked: bool,
    /// Class of the box: ` class=c7`, or ` class="c7 f"` when the first look marked it.
    pub class: String,
    /// Whether something is marked in it whose cells are not on this page.
    pub other: bool,
}

/// A column as shown.
pub(super) struct ColumnView {
    /// As the form spells it.
    pub code: String,
    /// Common name, or `unknown 3`.
    pub name: String,
    /// Scientific name, or what the unknown looks like; may be empty.
    pub more: String,
    /// Whether it is planted here.
    pub planted: bool,
    /// Whether it is an unknown.
    pub unknown: bool,
    /// An unknown that is made with this frame: its id, number and description.
    pub new: Option<(RecordId, String, String)>,
    /// What is wrong with its description.
    pub wrong_description: Option<String>,
    /// Whether its cells are the ones shown.
    pub shown: bool,
    /// Its cells; empty when they are not on this page.
    pub cells: Vec<Cell>,
    /// Its marks, when its cells are not on this page.
    pub unseen_marks: String,
    /// What the first look found, as the form spells it.
    pub first: String,
    /// Plants, as typed.
    pub plants: String,
    /// What is wrong with the number of plants.
    pub wrong_plants: Option<String>,
}

/// The column whose cells are shown.
fn shown(draft: &Draft) -> usize {
    Some(draft.show)
        .filter(|at| *at < draft.columns.len())
        .unwrap_or(0)
}

/// Which columns have their cells on the page: the one shown, then the first ones.
pub(super) fn on_the_page(draft: &Draft) -> Vec<bool> {
    let show = shown(draft);
    let fit = palette::columns_on_the_page(draft.device.cells());
    let mut left = fit - 1;
    (0..draft.columns.len())
        .map(|at| {
            let room = at != show && left > 0;
            left -= usize::from(room);
            at == show || room
        })
        .collect()
}

/// The cells of a column.
fn cells_of(column: &Column, cells: u32, unseen: &[&Column]) -> Vec<Cell> {
    (1..=cells)
        .map(|number| {
            let first = column.first_cells.contains(&number);
            // Only cells of the trade's frame have a class of their own in the style sheet.
            let class = match (number <= super::device::CELLS, first) {
                (true, true) => format!(" class=\"c{number} f\""),
                (true, false) => format!(" class=c{number}"),
                (false, true) => " class=f".to_owned(),
                (false, false) => String::new(),
            };
            Cell {
                number,
                marked: column.cells.contains(&number),
                class,
                other: unseen.iter().any(|it| it.cells.contains(&number)),
            }
        })
        .collect()
}

/// The columns; `here` says of which the cells are on the page.
pub(super) fn view(
    app: &App,
    setting: Setting,
    draft: &Draft,
    here: &[bool],
    troubles: &Troubles,
) -> Result<Vec<ColumnView>, BookError> {
    let cells = draft.device.cells();
    let show = shown(draft);
    let unseen: Vec<&Column> = draft
        .columns
        .iter()
        .zip(here)
        .filter(|(_, here)| !**here)
        .map(|(column, _)| column)
        .collect();
    let mut views = Vec::new();
    for (at, column) in draft.columns.iter().enumerate() {
        let said = palette::said(app, &column.what)?;
        let new = match &column.what {
            What::New {
                id,
                number,
                description,
            } => Some((*id, number.clone(), description.clone())),
            _ => None,
        };
        let planted = match &column.what {
            What::Taxon(id) => setting.mix.iter().any(|it| it.taxon == *id),
            _ => false,
        };
        views.push(ColumnView {
            code: column.what.code(),
            planted,
            unknown: said.unknown,
            name: said.name,
            more: said.more,
            wrong_description: new
                .as_ref()
                .and_then(|(id, ..)| troubles.at(&format!("new.{id}")))
                .map(str::to_owned),
            new,
            shown: at == show,
            cells: if here[at] {
                cells_of(column, cells, &unseen)
            } else {
                Vec::new()
            },
            unseen_marks: if here[at] {
                String::new()
            } else {
                spelled(&column.cells)
            },
            first: column.first(),
            plants: column.plants.clone(),
            wrong_plants: troubles.at(&format!("p.{at}")).map(str::to_owned),
        });
    }
    Ok(views)
}
