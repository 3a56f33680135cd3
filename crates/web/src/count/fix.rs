//! A position typed by hand: both degrees or none, and how far off it may be.
//!
//! In: fields `latitude`, `longitude` (signed decimal degrees, WGS 84) and `uncertainty_m` of a
//! form. Out: the position, or what is wrong with it.
//! Not here: where a point was planned; that is no fix.

use standbook_fieldbook::limits;
use standbook_fieldbook::record::Position;

use crate::plot::filled::Filled;

/// Fills the fields with a position that is to be corrected.
pub(crate) fn fill_position(filled: &mut Filled, position: Option<Position>) {
    let Some(position) = position else {
        return;
    };
    filled.set("latitude", position.latitude.to_string());
    filled.set("longitude", position.longitude.to_string());
    if let Some(radius) = position.uncertainty_m {
        filled.set("uncertainty_m", radius.to_string());
    }
}

/// Reads a position: both degrees or none.
pub(crate) fn read_position(filled: &mut Filled) -> Option<Position> {
    let mut degrees = |name: &str, what: &str, most: f64| {
        let value = filled.read_number(name, what, "degrees")?;
        if value.abs() > most {
            filled.troubles.add(
                name,
                format!("{what}: {value} is out of range. Use signed decimal degrees from -{most} to {most}."),
            );
        }
        Some(value)
    };
    let latitude = degrees("latitude", "Latitude", 90.0);
    let longitude = degrees("longitude", "Longitude", 180.0);
    let uncertainty_m = filled.read_number("uncertainty_m", "Uncertainty", "metres");
    if let Some(radius) = uncertainty_m
        && !(radius > 0.0 && radius <= limits::UNCERTAINTY_M)
    {
        filled.troubles.add(
            "uncertainty_m",
            format!(
                "Uncertainty: {radius} is out of range. Use metres above 0, or leave it empty."
            ),
        );
    }
    match (latitude, longitude) {
        (Some(latitude), Some(longitude)) => Some(Position {
            latitude,
            longitude,
            uncertainty_m,
        }),
        (None, None) => {
            if uncertainty_m.is_some() && filled.troubles.none() {
                filled.troubles.add(
                    "latitude",
                    "An uncertainty without a position says nothing. Type latitude and longitude, or empty all three.",
                );
            }
            None
        }
        _ => {
            let missing = match latitude {
                None => "latitude",
                Some(_) => "longitude",
            };
            if filled.troubles.at(missing).is_none() {
                filled.troubles.add(
                    missing,
                    format!("The {missing} is missing. Type it, or empty both degrees."),
                );
            }
            None
        }
    }
}
