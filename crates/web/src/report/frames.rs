//! Every frame, cell by cell, as CSV that the command line reads back.
//!
//! In: the frames of a visit, blind repeats among them. Out: one row for every cell and taxon, or
//! for every taxon counted; a frame with nothing in it is one row without a taxon (`looked, none`).
//!
//! Columns: `point,frame,scout,date,latitude,longitude,cell,taxon,count,looked_twice,repeats`, then
//! what was laid: `cells,cell_side_cm,area_m2,row_length_m,row_spacing_cm`. A taxon is what the
//! tally counts as now: an unknown that was settled goes by its name, one that was not by
//! `unknown 3`. `repeats` is the number of the frame at the same point that was read again.
//! Units: degrees WGS 84, cm, m, m2.

use std::collections::BTreeMap;

use standbook_fieldbook::record::{Frame, FrameShape};
use standbook_fieldbook::{Entry, RecordId};

use axum::response::Response;

use super::files::{Cell, csv, file_name};
use super::gather::{Gathered, label_id};
use crate::failure::Failure;

/// The columns.
const HEAD: [&str; 16] = [
    "point",
    "frame",
    "scout",
    "date",
    "latitude",
    "longitude",
    "cell",
    "taxon",
    "count",
    "looked_twice",
    "repeats",
    "cells",
    "cell_side_cm",
    "area_m2",
    "row_length_m",
    "row_spacing_cm",
];

/// The file.
pub(crate) fn frames(gathered: &Gathered) -> Result<Response, Failure> {
    let mut rows = Vec::new();
    for (spot, frame) in &gathered.frames {
        rows.extend(of_frame(gathered, *spot, frame));
    }
    csv(&file_name(gathered, "frames", "csv"), &HEAD, rows)
}

/// The number of the frame that this one reads again.
pub(crate) fn repeats(gathered: &Gathered, frame: &Frame) -> Option<u32> {
    let first = frame.repeats?;
    let known = gathered.frames.iter().find(|(_, f)| f.id == first);
    // The frame read again was corrected since: at one point a number names one frame.
    known.map(|(_, f)| f.body.number).or(Some(frame.number))
}

fn of_frame(gathered: &Gathered, spot: RecordId, frame: &Entry<Frame>) -> Vec<Vec<Cell>> {
    let point = gathered.points.iter().find(|point| point.id == spot);
    let fix = point.and_then(|point| point.body.position);
    let body = &frame.body;
    let number = |n: u32| Cell::Number(f64::from(n));
    let (mut cells, mut side, mut area, mut length, mut spacing) = (
        Cell::Empty,
        Cell::Empty,
        Cell::Empty,
        Cell::Empty,
        Cell::Empty,
    );
    match body.shape {
        FrameShape::Grid {
            cells: n,
            cell_side_cm,
        } => {
            cells = number(n);
            side = Cell::Number(cell_side_cm);
        }
        FrameShape::Quadrat { area_m2 } => area = Cell::Number(area_m2),
        FrameShape::Row {
            length_m,
            row_spacing_cm,
        } => {
            length = Cell::Number(length_m);
            spacing = Cell::Number(row_spacing_cm);
        }
    }
    let row = |cell: Cell, taxon: Cell, count: Cell| {
        vec![
            Cell::text(gathered.point_name(spot)),
            number(body.number),
            Cell::text(&*body.scout),
            Cell::text(&*gathered.visit.body.on),
            Cell::maybe(fix.map(|fix| fix.latitude)),
            Cell::maybe(fix.map(|fix| fix.longitude)),
            cell,
            taxon,
            count,
            Cell::text(if body.looked_twice { "yes" } else { "no" }),
            repeats(gathered, body).map_or(Cell::Empty, number),
            cells.clone(),
            side.clone(),
            area.clone(),
            length.clone(),
            spacing.clone(),
        ]
    };
    if body.tallies.is_empty() {
        return vec![row(Cell::Empty, Cell::Empty, Cell::Empty)];
    }
    // Two unknowns settled as one taxon are one entry of a cell, and add up where plants were
    // counted.
    let mut entries: BTreeMap<(Option<u32>, String), Option<u32>> = BTreeMap::new();
    for tally in &body.tallies {
        let taxon = label_id(&gathered.unknowns, &gathered.counts_as(&tally.what));
        let plants = entries.entry((tally.cell, taxon)).or_default();
        *plants = match (*plants, tally.plants) {
            (Some(a), Some(b)) => Some(a.saturating_add(b)),
            (a, b) => a.or(b),
        };
    }
    entries
        .into_iter()
        .map(|((cell, taxon), plants)| {
            row(
                cell.map_or(Cell::Empty, number),
                Cell::text(taxon),
                plants.map_or(Cell::Empty, number),
            )
        })
        .collect()
}
