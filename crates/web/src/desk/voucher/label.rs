//! What stands on the label of a specimen, and on a determination slip.
//!
//! Source: the fields of herbarium labels (name and who gave it, locality from the broad to the precise,
//! coordinates with datum and uncertainty, habitat, associates, habit, abundance, what is lost on drying,
//! collector, number, date) and slips added beside a label, never over it: common practice of herbaria.
//! Not here: paper and where labels stand on it (`sheet`).

use standbook_fieldbook::BookError;
use standbook_fieldbook::record::{Position, Site};

use super::form::preparation_words;
use super::kept::Kept;
use crate::app::App;
use crate::desk::subject::Naming;
use crate::phones::qr;
use crate::words::{date_words, plain};

/// A label.
pub(super) struct Label {
    /// `NE: Hollis`; may be empty.
    pub region: String,
    /// The name that counts now.
    pub named: Option<Naming>,
    /// What it was described as; may be empty.
    pub described: String,
    /// Site, planting, plot, point.
    pub locality: String,
    /// Coordinates with datum and uncertainty.
    pub coordinates: String,
    /// Headed lines: habitat and the like, those that say something.
    pub lines: Vec<(&'static str, String)>,
    /// Who collected it.
    pub collector: String,
    /// The collector's number.
    pub number: String,
    /// The day, in words.
    pub on: String,
    /// The last digits of its record.
    pub code: String,
    /// The address of its record as a picture.
    pub picture: Option<String>,
    /// What is not filled in and herbaria ask for.
    pub lacking: Vec<&'static str>,
    /// Slips: names that do not stand on the label, or all.
    pub slips: Vec<Naming>,
}

/// `40.20134° N, 96.49871° W (WGS 84), within 4 m`.
fn coordinates(position: Option<Position>) -> String {
    let Some(position) = position else {
        return String::new();
    };
    let side = |degrees: f64, sides: [&str; 2]| {
        let side = sides[usize::from(degrees < 0.0)];
        format!("{:.5}° {side}", degrees.abs())
    };
    let within = position
        .uncertainty_m
        .map(|radius| format!(", within {} m", plain(radius)));
    format!(
        "{}, {} (WGS 84{})",
        side(position.latitude, ["N", "S"]),
        side(position.longitude, ["E", "W"]),
        within.unwrap_or_default()
    )
}

fn region(site: &Site) -> String {
    let parts = [site.state.trim(), site.county.trim()];
    let parts: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    parts.join(": ")
}

/// The label of a specimen; `door` is the address of this book, ending with a slash, and `all_slips` asks
/// for a slip of the name on the label too.
pub(super) fn label(
    app: &App,
    kept: &Kept,
    door: &str,
    all_slips: bool,
) -> Result<Label, BookError> {
    let (subject, voucher) = (&kept.subject, &kept.voucher.body);
    let place = &subject.place;
    let site = &place.site.body;
    let mut locality: Vec<&str> = [site.name.trim(), site.locality.trim()]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect();
    let planting = &place.planting.body.name;
    let where_it_stood = subject.place_words();
    locality.extend([planting.as_str(), where_it_stood.as_str()]);
    // The first version: a label printed again after a correction is the same one.
    let chain = app.book.history(kept.voucher.id)?;
    let first = chain.first().map_or(kept.voucher.id, |record| record.id);
    let at = coordinates(place.point.body.position);
    let prepared = match voucher.parts.trim() {
        "" => preparation_words(voucher.preparation).to_owned(),
        parts => format!("{parts}, {}", preparation_words(voucher.preparation)),
    };
    let lines = [
        ("Habitat", voucher.habitat.clone()),
        ("With", voucher.associates.clone()),
        ("Habit", voucher.habit.clone()),
        ("Abundance", voucher.abundance.clone()),
        ("Lost on drying", voucher.fading.clone()),
        ("Collected", prepared),
    ];
    let lacking = [
        ("state", site.state.trim().is_empty()),
        ("county", site.county.trim().is_empty()),
        ("coordinates", at.is_empty()),
        ("habitat", voucher.habitat.trim().is_empty()),
    ];
    let named = subject.named().cloned();
    let slips = subject.namings.iter().enumerate();
    let slips = slips
        .filter(|(at, _)| all_slips || subject.current != Some(*at))
        .map(|(_, naming)| naming.clone());
    Ok(Label {
        region: region(site),
        slips: slips.collect(),
        described: match named {
            Some(_) => String::new(),
            None => subject.described.clone(),
        },
        named,
        locality: locality.join(". "),
        coordinates: at,
        lines: lines
            .into_iter()
            // They stand one behind the other, parted by full stops.
            .map(|(head, text)| (head, text.trim().trim_end_matches('.').to_owned()))
            .filter(|(_, text)| !text.is_empty())
            .collect(),
        collector: voucher.collector.clone(),
        number: voucher.number.clone(),
        on: date_words(&voucher.collected_on),
        code: first.tail(),
        picture: qr::svg(&format!("{door}r/{first}"), "The address of this record"),
        lacking: lacking
            .into_iter()
            .filter_map(|(what, lacks)| lacks.then_some(what))
            .collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coordinates_name_their_side_datum_and_uncertainty() {
        let at = |latitude, longitude, uncertainty_m| {
            coordinates(Some(Position {
                latitude,
                longitude,
                uncertainty_m,
            }))
        };
        assert_eq!(
            at(40.201_338, -96.5, Some(4.0)),
            "40.20134° N, 96.50000° W (WGS 84, within 4 m)"
        );
        assert_eq!(at(-1.0, 2.0, None), "1.00000° S, 2.00000° E (WGS 84)");
        assert_eq!(coordinates(None), "");
    }
}
