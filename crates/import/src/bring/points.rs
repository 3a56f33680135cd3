//! Points from GeoJSON, KML, GPX or CSV: where something was looked at during the visit.
//!
//! CSV columns: `label`, `latitude`, `longitude` (degrees), `uncertainty_m`, `plot`, `scout`. Map
//! files have a name and a place for each; their lines and polygons are not points.
//! Units: degrees WGS 84, m.

use std::collections::HashMap;

use standbook_fieldbook::limits;
use standbook_fieldbook::record::Position;
use standbook_key::fault::short;
use standbook_plan::{Corner, Form};

use super::maker::Maker;
use super::{Done, State};
use crate::Fault;
use crate::decode::decode;
use crate::delimited::{self, Known, with_point};
use crate::place::{Fits, degrees, fits};

/// The columns of a CSV of points.
const COLUMNS: [Known; 6] = [
    Known {
        name: "label",
        also: &["point", "name"],
        needed: true,
    },
    Known {
        name: "latitude",
        also: &["lat"],
        needed: true,
    },
    Known {
        name: "longitude",
        also: &["lon", "lng", "long"],
        needed: true,
    },
    Known {
        name: "uncertainty_m",
        also: &["accuracy_m"],
        needed: false,
    },
    Known {
        name: "plot",
        also: &[],
        needed: false,
    },
    Known {
        name: "scout",
        also: &[],
        needed: false,
    },
];

/// A point on its way in.
struct Row {
    /// `line 3`, `feature 2`.
    at: String,
    /// Where its label stands, for messages; the same for the others.
    label_at: String,
    place_at: String,
    plot_at: String,
    scout_at: String,
    label: String,
    position: Option<Position>,
    plot: String,
    scout: String,
}

pub(super) fn read(maker: &mut Maker, bytes: &[u8]) -> Done {
    let first = bytes.iter().find(|byte| byte.is_ascii_graphic());
    let rows = match first {
        // Text of a map file is told by its first letter, whatever marks stand before it.
        Some(b'{' | b'[' | b'<') => match from_map(maker, bytes) {
            Ok(rows) => rows,
            Err(said) => {
                maker.fault("the file", said);
                return Ok(Ok(()));
            }
        },
        _ => match from_csv(maker, bytes) {
            Ok(rows) => rows,
            Err(faults) => return Ok(Err(faults)),
        },
    };
    let mut known: HashMap<(String, String), String> = HashMap::new();
    for row in rows {
        take(maker, row, &mut known)?;
    }
    Ok(Ok(()))
}

/// Points of a file that a receiver or a map program wrote.
fn from_map(maker: &mut Maker, bytes: &[u8]) -> Result<Vec<Row>, String> {
    let shapes = standbook_plan::read(bytes).map_err(|error| error.to_string())?;
    let mut rows = Vec::new();
    let mut others = 0;
    for (at, shape) in shapes.shapes.iter().enumerate() {
        let Form::Point(corner) = shape.form else {
            others += 1;
            continue;
        };
        let number = at + 1;
        if shape.name.is_empty() {
            maker.note(
                "Points without a name are called by their place in the file: the third is 3.",
            );
        }
        let label = match shape.name.is_empty() {
            true => number.to_string(),
            false => shape.name.clone(),
        };
        rows.push(Row {
            at: shape.place.clone(),
            label_at: "its name".to_owned(),
            place_at: "its place".to_owned(),
            plot_at: "its plot".to_owned(),
            scout_at: "its scout".to_owned(),
            label,
            position: Some(Position {
                latitude: corner[0],
                longitude: corner[1],
                uncertainty_m: None,
            }),
            plot: String::new(),
            scout: String::new(),
        });
    }
    for note in shapes.notes {
        maker.note(note);
    }
    if others > 0 {
        maker.note(format!("Lines and polygons are no points: {others} left out. Outlines of field and plots go in on the page of the planting, under Field outline."));
    }
    match rows.is_empty() {
        true => Err(format!(
            "the {} file holds no point; save the points with it",
            shapes.format
        )),
        false => Ok(rows),
    }
}

fn from_csv(maker: &mut Maker, bytes: &[u8]) -> Result<Vec<Row>, Vec<Fault>> {
    let text = decode(bytes).map_err(|fault| vec![fault])?;
    for note in text.notes {
        maker.note(note);
    }
    let table = delimited::read(&text.text)?;
    let columns = table.columns(&COLUMNS)?;
    let unused: Vec<&str> = columns.rest.iter().map(|at| columns.title(*at)).collect();
    maker.unused(&unused);
    let mut rows = Vec::new();
    let mut faults = Vec::new();
    for row in &table.rows {
        let get = |name| columns.text(row, name);
        let position = match position(
            get("latitude"),
            get("longitude"),
            get("uncertainty_m"),
            table.delimiter,
        ) {
            Ok((position, remark)) => {
                if let Some(remark) = remark {
                    maker.note(format!("Line {}: {remark}.", row.line));
                }
                position
            }
            Err((name, said)) => {
                faults.push((row.line, format!("{}: {said}", columns.place(name))));
                continue;
            }
        };
        rows.push(Row {
            at: format!("line {}", row.line),
            label_at: columns.place("label"),
            place_at: columns.place("latitude"),
            plot_at: columns.place("plot"),
            scout_at: columns.place("scout"),
            label: get("label").to_owned(),
            position,
            plot: get("plot").to_owned(),
            scout: get("scout").to_owned(),
        });
    }
    // Faults of later steps are told of the sound lines as well: all in one go.
    maker.faults(faults);
    Ok(rows)
}

/// A fix with a remark, or the column that is wrong and why.
type Fix = Result<(Option<Position>, Option<String>), (&'static str, String)>;

fn position(latitude: &str, longitude: &str, uncertainty: &str, delimiter: u8) -> Fix {
    if latitude.is_empty() && longitude.is_empty() {
        return match uncertainty.is_empty() {
            true => Ok((None, None)),
            false => Err(("uncertainty_m", "an uncertainty without a place says nothing; give latitude and longitude, or leave it empty".to_owned())),
        };
    }
    if latitude.is_empty() || longitude.is_empty() {
        let missing = if latitude.is_empty() {
            "latitude"
        } else {
            "longitude"
        };
        return Err((
            missing,
            "empty beside the other; give both, or neither".to_owned(),
        ));
    }
    let (at, remark) = degrees(latitude, longitude).map_err(|said| ("latitude", said))?;
    let uncertainty_m = match uncertainty {
        "" => None,
        text => match with_point(text, delimiter).parse::<f64>() {
            Ok(radius) if radius > 0.0 && radius <= limits::UNCERTAINTY_M => Some(radius),
            _ => {
                return Err((
                    "uncertainty_m",
                    format!(
                        "`{}` is no number of metres above 0 and up to {}; write one, or leave it empty",
                        short(text),
                        limits::UNCERTAINTY_M
                    ),
                ));
            }
        },
    };
    Ok((
        Some(Position {
            latitude: at[0],
            longitude: at[1],
            uncertainty_m,
        }),
        remark,
    ))
}

/// Takes one point.
fn take(
    maker: &mut Maker,
    row: Row,
    known: &mut HashMap<(String, String), String>,
) -> Result<(), standbook_fieldbook::BookError> {
    let at = &row.at;
    if row.label.trim().is_empty() {
        maker.fault(
            at,
            format!("{}: empty; give every point a label", row.label_at),
        );
        return Ok(());
    }
    let corner: Option<Corner> = row.position.map(|fix| [fix.latitude, fix.longitude]);
    let mut outside = String::new();
    if let (Some(corner), Some(fix)) = (corner, row.position) {
        match fits(corner, fix.uncertainty_m, maker.visited.field.as_ref()) {
            Fits::Yes => {}
            Fits::Near { by_m } => {
                outside = format!(", {by_m:.0} m outside the outline of the field")
            }
            Fits::No(said) => {
                maker.fault(at, format!("{}: {said}", row.place_at));
                return Ok(());
            }
        }
    }
    let Some(author) = maker.scout(at, &row.scout_at, &row.scout) else {
        return Ok(());
    };
    let plot = match maker.plot(&row.plot, corner, &author)? {
        Ok(plot) => plot,
        Err(said) => {
            maker.fault(at, format!("{}: {said}", row.plot_at));
            return Ok(());
        }
    };
    let key = (plot.name.to_lowercase(), row.label.trim().to_lowercase());
    if let Some(first) = known.insert(key, at.clone()) {
        maker.fault(
            at,
            format!(
                "{}: {} has a point {} in {first} already; give each its own label",
                row.label_at,
                short(&plot.name),
                short(&row.label)
            ),
        );
        return Ok(());
    }
    let (id, state) = maker.make_point(&plot, &row.label, row.position, &author)?;
    let taken = maker.visited.points.iter().any(|point| {
        point
            .body
            .label
            .trim()
            .eq_ignore_ascii_case(row.label.trim())
            && maker
                .visited
                .plot_of(&point.body)
                .is_some_and(|own| own.id == plot.id)
    });
    if state == State::New && taken {
        maker.fault(at, format!(
            "{}: {} has another point {} in this visit already; give this one another label, or take the line out",
            row.label_at, short(&plot.name), short(&row.label)
        ));
        return Ok(());
    }
    let fix = match row.position {
        None => "without a place".to_owned(),
        Some(fix) => {
            let within = fix
                .uncertainty_m
                .map_or_else(String::new, |m| format!(" within {m} m"));
            format!("at {:.6}, {:.6}{within}", fix.latitude, fix.longitude)
        }
    };
    maker.becomes(
        at,
        state,
        format!("{}, point {} {fix}{outside}", plot.name, row.label),
        vec![id],
    );
    Ok(())
}
