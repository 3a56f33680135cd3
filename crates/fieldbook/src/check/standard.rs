//! Rules of standards by themselves.
//!
//! Not here: whether its taxa are in the key; the book knows none.

use super::{Faults, limits};
use crate::record::{Standard, StandardMeasure};

pub(super) fn standard(faults: &mut Faults, standard: &Standard) {
    faults.name("name", &standard.name);
    for (at, purpose) in standard.purposes.iter().enumerate() {
        if standard.purposes[..at].contains(purpose) {
            let field = format!("purposes[{at}]");
            faults.add(
                field,
                "this purpose is in the list already",
                "Enter it once.",
            );
        }
    }
    let taxa = &standard.taxa;
    faults.items("taxa", taxa.len(), 0, limits::STANDARD_TAXA, "taxa");
    for (at, taxon) in taxa.iter().enumerate() {
        faults.id(format!("taxa[{at}]"), taxon);
    }
    faults.once("taxa", "", taxa.iter().map(String::as_str));
    faults.line("region", &standard.region);
    match standard.measure {
        StandardMeasure::Frequency => {
            if !(standard.at_least > 0.0 && standard.at_least <= 1.0) {
                faults.add(
                    "at_least",
                    format!("{} is no share of cells to ask for", standard.at_least),
                    "Use a number above 0 and at most 1: 0.25 for 25 percent of the cells.",
                );
            }
        }
        StandardMeasure::Density => faults.above_zero(
            "at_least",
            standard.at_least,
            limits::STANDARD_PLANTS_PER_M2,
            "plants per m2",
        ),
    }
    if let Some(season) = standard.season {
        faults.whole_number("season", season, limits::SEASON);
    }
    faults.text("source", &standard.source, 1, limits::NOTE_CHARS, true);
}
