//! The header of a file of frames: which columns there are, and whether a line is a whole frame.

use std::collections::BTreeMap;

use super::Usual;
use crate::Fault;

/// Columns that are known.
pub(super) const KNOWN: [&str; 18] = [
    "plot",
    "point",
    "frame",
    "cell",
    "taxon",
    "count",
    "scout",
    "date",
    "latitude",
    "longitude",
    "looked_twice",
    "repeats",
    "cells",
    "cell_side_cm",
    "area_m2",
    "row_length_m",
    "row_spacing_cm",
    "description",
];

/// Columns that are names, where nothing says that a line is a cell or one taxon.
pub(super) fn wide_columns(header: &[String], is_name: &dyn Fn(&str) -> bool) -> Vec<usize> {
    if header
        .iter()
        .any(|name| ["taxon", "cell", "count"].contains(&name.as_str()))
    {
        return Vec::new();
    }
    let names = header.iter().enumerate();
    names
        .filter(|(_, name)| !KNOWN.contains(&name.as_str()) && is_name(name))
        .map(|(at, _)| at)
        .collect()
}

/// A number of plants needs ground that it was counted on; a number of cells does not say which.
pub(super) fn sizes_of_wide(
    wide: &[usize],
    usual: Usual,
    columns: &BTreeMap<String, usize>,
) -> Result<(), Vec<Fault>> {
    let sized = usual.area_m2.is_some()
        || usual.row_m.is_some()
        || ["area_m2", "row_length_m"]
            .iter()
            .any(|name| columns.contains_key(*name));
    match wide.first() {
        Some(at) if !sized => Err(vec![(
            1,
            format!(
                "column {}: a line is a frame here, with a number for each name. Numbers of occupied cells don't say which cells: write a line for each cell (point,frame,cell,taxon). If they are plants in a quadrat or along a row, say how large it was, in a column area_m2 or row_length_m",
                at + 1
            ),
        )]),
        _ => Ok(()),
    }
}

/// Columns by name; refuses a header without what is needed.
pub(super) fn columns(
    header: &[String],
    long: bool,
) -> Result<BTreeMap<String, usize>, Vec<Fault>> {
    let mut columns = BTreeMap::new();
    let mut faults = Vec::new();
    for (at, name) in header.iter().enumerate() {
        if columns.insert(name.clone(), at).is_some() && KNOWN.contains(&name.as_str()) {
            faults.push((
                1,
                format!(
                    "column {} ({name}): the header has it twice; leave one out",
                    at + 1
                ),
            ));
        }
    }
    let has = |name: &str| columns.contains_key(name);
    let needed = ["point", "frame", "taxon"].into_iter();
    let needed = needed.filter(|name| long || *name != "taxon");
    let missing: Vec<&str> = needed.filter(|name| !has(name)).collect();
    if !missing.is_empty() || (long && !(has("cell") || has("count"))) {
        let lacks = match missing.as_slice() {
            [] => "cell or count".to_owned(),
            names => names.join(", "),
        };
        faults.push((1, format!(
            "column 1: the header is `{}` and lacks {lacks}; write `point,frame,cell,taxon` for grids or `point,frame,taxon,count` for quadrats and rows",
            header.join(",").chars().take(80).collect::<String>()
        )));
    }
    if faults.is_empty() {
        Ok(columns)
    } else {
        Err(faults)
    }
}
