//! Events: the seeding of a planting, visits, plots on a visit, points, frames.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use standbook_fieldbook::record::{FrameShape, OutlineOf, Purpose, SeedingMethod, Visit};
use standbook_fieldbook::{RecordId, Rooted};

use super::sheet::{Rows, number};
use crate::error::Done;
use crate::leaving::{Field, Leaving, Spot};
use crate::wkt::{self, degrees};

/// The datum of every coordinate. Source: Darwin Core, geodeticDatum.
const DATUM: &str = "EPSG:4326";

type Cells<'a> = Vec<(&'static str, Cow<'a, str>)>;

/// Outlines by what they enclose: a planting's field or a plot, as well-known text.
type Footprints = HashMap<RecordId, String>;

pub(super) fn write(leaving: &Leaving, rows: &mut Rows) -> Done {
    let mut footprints = Footprints::new();
    leaving.each_outline(|field, outline| {
        let of = match outline.entry.body.of {
            OutlineOf::Field => field.root,
            OutlineOf::Plot(plot) => leaving.root(plot)?,
            OutlineOf::KeepOut => return Ok(()),
        };
        footprints.insert(of, wkt::outline(&outline.entry.body.polygons));
        Ok(())
    })?;
    for field in &leaving.fields {
        seeding(leaving, field, &footprints, rows)?;
    }
    leaving.each_visit(|field, visit| {
        one_visit(leaving, field, visit, rows)?;
        let mut plots = HashSet::new();
        leaving.each_point(field, visit, |spot| {
            if plots.insert(spot.plot_root) {
                plot(leaving, spot, &footprints, rows)?;
            }
            point(leaving, spot, rows)
        })
    })
}

/// What every event says of where it is.
fn place<'a>(leaving: &'a Leaving, field: &'a Field, location: RecordId) -> Cells<'a> {
    let site = &field.site;
    let locality: Vec<&str> = [site.name.as_str(), site.locality.as_str()]
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect();
    vec![
        ("locationID", location.to_string().into()),
        ("countryCode", leaving.request.country.as_str().into()),
        ("stateProvince", site.state.as_str().into()),
        ("county", site.county.as_str().into()),
        ("locality", locality.join(", ").into()),
        ("habitat", habitat(field).into()),
        ("informationWithheld", leaving.withheld().into()),
        ("dataGeneralizations", leaving.generalised().into()),
    ]
}

fn habitat(field: &Field) -> String {
    let purpose = match field.planting.body.purpose {
        Purpose::Forage => "forage",
        Purpose::Biomass => "biomass",
        Purpose::Conservation => "conservation cover",
        Purpose::Wildlife => "wildlife habitat",
    };
    let how = match field.planting.body.method {
        SeedingMethod::Drilled { row_spacing_cm } => {
            format!("drilled in rows {row_spacing_cm} cm apart")
        }
        SeedingMethod::Broadcast => "broadcast".to_owned(),
    };
    format!("field seeded with native grasses for {purpose}, {how}")
}

fn footprint<'a>(footprints: &'a Footprints, of: RecordId) -> Cells<'a> {
    match footprints.get(&of) {
        Some(wkt) => vec![
            ("footprintWKT", wkt.as_str().into()),
            ("footprintSRS", DATUM.into()),
        ],
        None => Vec::new(),
    }
}

fn seeding(leaving: &Leaving, field: &Field, footprints: &Footprints, rows: &mut Rows) -> Done {
    let planting = &field.planting.body;
    let mut cells = place(leaving, field, field.root);
    cells.extend(footprint(footprints, field.root));
    cells.extend([
        ("eventID", field.root.to_string().into()),
        ("eventType", "Seeding".into()),
        ("fieldNumber", planting.name.as_str().into()),
        ("eventDate", planting.seeded_on.as_str().into()),
        ("eventRemarks", leaving.words(&planting.note).into()),
        ("modified", field.planting.born_at.as_str().into()),
    ]);
    rows.put(&cells)
}

fn one_visit(leaving: &Leaving, field: &Field, visit: &Rooted<Visit>, rows: &mut Rows) -> Done {
    let body = &visit.entry.body;
    let mut cells = place(leaving, field, field.root);
    cells.extend([
        ("eventID", visit.root.to_string().into()),
        ("eventType", "Visit".into()),
        ("fieldNumber", field.planting.body.name.as_str().into()),
        ("eventDate", body.on.as_str().into()),
        (
            "samplingEffort",
            format!("{} observer(s)", body.scouts.len()).into(),
        ),
        ("eventRemarks", leaving.words(&body.note).into()),
        ("modified", visit.entry.born_at.as_str().into()),
    ]);
    rows.put(&cells)
}

/// The id of a plot's event on a visit.
fn plot_event(spot: &Spot) -> String {
    format!("{}:{}", spot.visit.root, spot.plot_root)
}

fn plot(leaving: &Leaving, spot: &Spot, footprints: &Footprints, rows: &mut Rows) -> Done {
    let mut cells = place(leaving, spot.field, spot.plot_root);
    cells.extend(footprint(footprints, spot.plot_root));
    let record = leaving.plots.get(&spot.plot_root);
    let note = record.map_or("", |plot| leaving.words(&plot.entry.body.note));
    cells.extend([
        ("eventID", plot_event(spot).into()),
        ("parentEventID", spot.visit.root.to_string().into()),
        ("eventType", "Plot".into()),
        ("fieldNumber", spot.plot.into()),
        ("eventDate", spot.visit.entry.body.on.as_str().into()),
        ("eventRemarks", note.into()),
    ]);
    rows.put(&cells)
}

/// Where a point or frame is.
fn position(leaving: &Leaving, spot: &Spot) -> Cells<'static> {
    let Some(place) = spot.at else {
        return Vec::new();
    };
    let how = match leaving.request.blur_m {
        Some(_) => "position fix, moved to the middle of a grid cell",
        None => "position fix of a phone or receiver, or typed in",
    };
    vec![
        ("decimalLatitude", number(Some(degrees(place.at[0])))),
        ("decimalLongitude", number(Some(degrees(place.at[1])))),
        ("geodeticDatum", DATUM.into()),
        ("coordinateUncertaintyInMeters", number(place.uncertainty_m)),
        ("georeferenceProtocol", how.into()),
    ]
}

fn point(leaving: &Leaving, spot: &Spot, rows: &mut Rows) -> Done {
    let body = &spot.point.entry.body;
    let mut frames = Vec::new();
    leaving.moment.each_frame(spot.point.root, |frame| {
        frames.push(frame);
        Ok::<_, crate::ExportError>(())
    })?;
    let here: Cells = [
        place(leaving, spot.field, spot.plot_root),
        position(leaving, spot),
    ]
    .concat();
    let protocol = match body.planned {
        Some(_) => "point of a plan that was drawn before the walk",
        None => "point chosen in the field",
    };
    let remarks = match body.unreachable.as_str() {
        "" => String::new(),
        why => format!("not reached, nothing was looked at: {}", leaving.words(why)),
    };
    let mut cells = here.clone();
    cells.extend([
        ("eventID", spot.point.root.to_string().into()),
        ("parentEventID", plot_event(spot).into()),
        ("eventType", "Point".into()),
        ("fieldNumber", body.label.as_str().into()),
        ("eventDate", spot.visit.entry.body.on.as_str().into()),
        ("samplingProtocol", protocol.into()),
        (
            "samplingEffort",
            format!("{} frame(s)", frames.len()).into(),
        ),
        ("eventRemarks", remarks.into()),
        ("modified", spot.point.entry.born_at.as_str().into()),
    ]);
    rows.put(&cells)?;
    for frame in &frames {
        let body = &frame.entry.body;
        let found = leaving.in_frame(body)?;
        let (protocol, m2) = shape(body.shape);
        let mut remarks = Vec::new();
        if body.repeats.is_some() {
            remarks.push("a second reading of a frame that is here as well: do not add the two");
        }
        if body.looked_twice {
            remarks.push("gone over a second time for overlooked seedlings");
        }
        if found.is_empty() {
            remarks.push("looked, none");
        } else if leaving.absent(spot.field, body, &found).is_empty() {
            remarks.push("absence is not stated: all that was sown was found, or a plant here has no certain name yet");
        }
        // A second reading has the number of the first.
        let again = if body.repeats.is_some() { " again" } else { "" };
        let number = format!("{}/{}{again}", spot.point.entry.body.label, body.number);
        let mut cells = here.clone();
        cells.extend([
            ("eventID", frame.root.to_string().into()),
            ("parentEventID", spot.point.root.to_string().into()),
            ("eventType", "Frame".into()),
            ("fieldNumber", number.into()),
            ("eventDate", spot.visit.entry.body.on.as_str().into()),
            ("samplingProtocol", protocol.into()),
            ("sampleSizeValue", super::sheet::number(Some(m2))),
            ("sampleSizeUnit", "square metre".into()),
            ("eventRemarks", remarks.join("; ").into()),
            ("modified", frame.entry.born_at.as_str().into()),
        ]);
        rows.put(&cells)?;
    }
    Ok(())
}

/// What was laid, in words, and the ground that it covers, m2.
fn shape(shape: FrameShape) -> (String, f64) {
    let m2 = |value: f64| (value * 1e6).round() / 1e6;
    let counted = shape.counted_area_m2().unwrap_or_default();
    match shape {
        FrameShape::Grid {
            cells,
            cell_side_cm,
        } => (
            format!(
                "grid of {cells} square cells of {cell_side_cm} cm; each cell was read as occupied or not"
            ),
            m2(f64::from(cells) * cell_side_cm * cell_side_cm / 10_000.0),
        ),
        FrameShape::Quadrat { area_m2 } => (
            format!("quadrat of {area_m2} square metre; plants were counted"),
            m2(counted),
        ),
        FrameShape::Row {
            length_m,
            row_spacing_cm,
        } => (
            format!(
                "{length_m} m of a drilled row, rows {row_spacing_cm} cm apart; plants were counted"
            ),
            m2(counted),
        ),
    }
}
