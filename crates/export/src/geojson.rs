//! GeoJSON (RFC 7946): outlines of fields and plots, points with what their frames held, plants with what
//! was seen on them. One feature after another; nothing is gathered.
//!
//! Every feature says its `role`: `field`, `plot`, `keep out`, `point`, `plant`. A plant lies where its point
//! lies; what was recorded without a position has no geometry.

use std::io::Write;

use serde_json::{Map, Value, json};
use standbook_fieldbook::Rooted;
use standbook_fieldbook::record::{Determination, Frame, FrameShape, ValueGiven};
use standbook_plan::{outline_feature, point_feature};

use crate::error::Done;
use crate::leaving::{Leaving, Spot};

/// Features on their way out.
struct Features<W> {
    out: W,
    count: u64,
}

impl<W: Write> Features<W> {
    fn put(&mut self, feature: &str) -> Done {
        let between = if self.count > 0 { ",\n" } else { "\n" };
        self.count += 1;
        Ok(write!(self.out, "{between}{feature}")?)
    }
}

/// Writes the file; the number of features comes back.
pub(crate) fn write<W: Write>(leaving: &Leaving, mut out: W) -> Done<u64> {
    // Members beside `features` are allowed (RFC 7946, 6.1); readers that don't know them pass over them.
    let said = [leaving.generalised(), leaving.withheld()].join(" ");
    let said = json!(said.trim()).to_string();
    write!(
        out,
        "{{\"type\":\"FeatureCollection\",\"description\":{said},\"features\":["
    )?;
    let mut features = Features { out, count: 0 };
    outlines(leaving, &mut features)?;
    leaving.each_spot(|spot| {
        features.put(&point(leaving, spot)?)?;
        leaving.moment.each_determination(spot.point.root, |one| {
            features.put(&plant(leaving, spot, &one)?)
        })
    })?;
    features.out.write_all(b"\n]}\n")?;
    features.out.flush()?;
    Ok(features.count)
}

fn outlines<W: Write>(leaving: &Leaving, features: &mut Features<W>) -> Done {
    leaving.each_lot(|lot| {
        features.put(&outline_feature(
            &lot.area,
            json!({
                "role": lot.role,
                "id": lot.root.to_string(),
                "name": lot.name,
                "planting": lot.field.planting.body.name,
                "acres": (lot.area.measure().acres() * 1000.0).round() / 1000.0,
            }),
        ))
    })
}

/// What points and plants say of where and when they were seen.
fn shared(spot: &Spot, role: &str, id: String) -> Map<String, Value> {
    let mut said = Map::new();
    let mut put = |name: &str, value: Value| said.insert(name.to_owned(), value);
    put("role", json!(role));
    put("id", json!(id));
    put("planting", json!(spot.field.planting.body.name));
    put("plot", json!(spot.plot));
    put("visited_on", json!(spot.visit.entry.body.on));
    put("point", json!(spot.point.entry.body.label));
    put(
        "uncertainty_m",
        json!(spot.at.and_then(|at| at.uncertainty_m)),
    );
    said
}

fn point(leaving: &Leaving, spot: &Spot) -> Done<String> {
    let mut said = shared(spot, "point", spot.point.root.to_string());
    let (mut frames, mut cells, mut found) = (0_u64, 0_u64, Map::new());
    leaving
        .moment
        .each_frame(spot.point.root, |frame: Rooted<Frame>| {
            let body = &frame.entry.body;
            if body.repeats.is_some() {
                return Ok(()); // a second reading tells about scouts, not about the field
            }
            frames += 1;
            if let FrameShape::Grid { cells: all, .. } = body.shape {
                cells += u64::from(all);
            }
            for it in leaving.in_frame(body)? {
                let named = leaving.tally_stands(body, "", &it).named;
                let name = if named.taxon.is_empty() {
                    named.verbatim
                } else {
                    named.taxon
                };
                let many = it.plants.max(it.cells.len() as u64);
                let before = found.get(&name).and_then(Value::as_u64).unwrap_or(0);
                found.insert(name, json!(before + many));
            }
            Ok::<_, crate::ExportError>(())
        })?;
    said.insert("frames".to_owned(), json!(frames));
    said.insert("cells".to_owned(), json!(cells));
    // Cells in which it stood; for quadrats and rows plants.
    said.insert("found".to_owned(), Value::Object(found));
    let unreachable = leaving.words(&spot.point.entry.body.unreachable);
    let reached = spot.point.entry.body.unreachable.is_empty();
    said.insert("reached".to_owned(), json!(reached));
    said.insert("not_reached_because".to_owned(), json!(unreachable));
    Ok(point_feature(spot.at.map(|at| at.at), Value::Object(said)))
}

fn plant(leaving: &Leaving, spot: &Spot, plant: &Rooted<Determination>) -> Done<String> {
    let body = &plant.entry.body;
    let opinions = leaving.moment.opinions(plant.root)?;
    let known = body
        .unknown
        .map(|id| leaving.unknown(id))
        .transpose()?
        .flatten();
    let standing = leaving.plant_stands(plant, &opinions, known.as_deref());
    let mut said = shared(spot, "plant", plant.root.to_string());
    let mut put = |name: &str, value: Value| said.insert(name.to_owned(), value);
    put("cell", json!(body.cell));
    put("taxon", json!(standing.named.taxon));
    put("scientific_name", json!(standing.named.scientific));
    put("doubt", json!(standing.named.qualifier));
    put("named_as", json!(standing.named.verbatim));
    put("named_by", json!(standing.by));
    put("named_on", json!(standing.on));
    put("checked", json!(standing.verified));
    put("leaf_stage", json!(body.evidence.leaf_stage));
    put("outcome", json!(body.evidence.outcome));
    let best = body.evidence.ranking.first();
    put("likeliest", json!(best.map(|best| &best.taxon)));
    put(
        "likeliest_probability",
        json!(best.map(|best| best.probability)),
    );
    put("note", json!(leaving.words(&body.note)));
    // By the trait's id, so that each is a column of one type to whoever reads it as a table.
    let mut could_not_tell = Vec::new();
    for answer in &body.evidence.answers {
        let value = match &answer.value {
            ValueGiven::States(states) => json!(states.join("|")),
            ValueGiven::Measure(value) => json!(value),
            ValueGiven::CannotTell => {
                could_not_tell.push(answer.r#trait.as_str());
                continue;
            }
        };
        put(&format!("seen_{}", answer.r#trait), value);
    }
    put("could_not_tell", json!(could_not_tell.join("|")));
    Ok(point_feature(spot.at.map(|at| at.at), Value::Object(said)))
}
