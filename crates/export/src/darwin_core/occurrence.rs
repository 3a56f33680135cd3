//! Occurrences: plants walked through the key, what stood in frames, and what certainly did not.

use std::borrow::Cow;

use standbook_fieldbook::record::{
    Counted, Determination, Frame, FrameShape, Preparation, Voucher,
};
use standbook_fieldbook::{RecordId, Rooted};
use standbook_key::Role;

use super::Shown;
use super::sheet::Rows;
use crate::error::Done;
use crate::leaving::{Field, Leaving, Spot};
use crate::settled::{InFrame, Standing};

type Cells<'a> = Vec<(&'static str, Cow<'a, str>)>;

/// The id of something in a frame: the same in every export, and for a taxon the same whether it was
/// found there or, after a correction, was not.
pub(super) fn in_frame_id(frame: RecordId, code: &str) -> String {
    format!("{frame}:{code}")
}

pub(super) fn write(leaving: &Leaving, shown: &Shown, rows: &mut Rows) -> Done {
    leaving.each_spot(|spot| {
        leaving.moment.each_frame(spot.point.root, |frame| {
            in_frame(leaving, shown, spot, &frame, rows)
        })?;
        leaving.moment.each_determination(spot.point.root, |plant| {
            one_plant(leaving, shown, spot, &plant, rows)
        })
    })
}

/// What every occurrence says.
fn common<'a>(leaving: &Leaving, event: RecordId, id: String) -> Cells<'a> {
    vec![
        ("eventID", event.to_string().into()),
        ("occurrenceID", id.into()),
        ("basisOfRecord", "HumanObservation".into()),
        ("kingdom", crate::taxa::KINGDOM.into()),
        ("informationWithheld", leaving.withheld().into()),
        ("dataGeneralizations", leaving.generalised().into()),
    ]
}

/// What a name says of an occurrence or an identification.
pub(super) fn name_cells<'a>(leaving: &'a Leaving, named: &'a crate::taxa::Named) -> Cells<'a> {
    let according = match named.taxon.is_empty() {
        true => "",
        false => leaving.given.key.id.as_str(),
    };
    vec![
        ("verbatimIdentification", named.verbatim.as_str().into()),
        ("identificationQualifier", named.qualifier.as_str().into()),
        ("taxonID", named.taxon.as_str().into()),
        ("scientificName", named.scientific.as_str().into()),
        ("taxonRank", named.rank.into()),
        ("vernacularName", named.vernacular.as_str().into()),
        ("nameAccordingTo", according.into()),
    ]
}

fn standing_cells<'a>(leaving: &'a Leaving, standing: &'a Standing) -> Cells<'a> {
    let mut cells = name_cells(leaving, &standing.named);
    cells.extend([
        ("identifiedBy", standing.by.as_str().into()),
        ("dateIdentified", standing.on.as_str().into()),
        ("identificationVerificationStatus", standing.verified.into()),
    ]);
    cells
}

/// How a taxon came to be there. What was sown here must not be taken for wild. Source: vocabularies of
/// establishmentMeans and degreeOfEstablishment (rs.tdwg.org/dwc/doc/em, doe; memory). Whether one plant
/// of a sown taxon came from the seed nobody knows, hence `uncertain`.
fn establishment<'a>(leaving: &Leaving, field: &Field, taxon: &str) -> Cells<'a> {
    if field
        .planting
        .body
        .mix
        .iter()
        .any(|item| item.taxon == taxon)
    {
        return vec![
            ("establishmentMeans", "uncertain".into()),
            ("degreeOfEstablishment", "cultivated".into()),
        ];
    }
    match leaving.taxa.get(taxon).map(|taxon| taxon.role) {
        Some(Role::Volunteer) => vec![("establishmentMeans", "native".into())],
        _ => Vec::new(),
    }
}

fn sown(field: &Field, taxon: &str) -> Option<String> {
    let sown = field
        .planting
        .body
        .mix
        .iter()
        .any(|item| item.taxon == taxon);
    sown.then(|| format!("sown here on {}", field.planting.body.seeded_on))
}

fn media<'a>(shown: &Shown, of: &[RecordId]) -> Cow<'a, str> {
    let names: Vec<&str> = of
        .iter()
        .filter_map(|id| shown.get(id))
        .flatten()
        .map(String::as_str)
        .collect();
    names.join(" | ").into()
}

fn in_frame(
    leaving: &Leaving,
    shown: &Shown,
    spot: &Spot,
    frame: &Rooted<Frame>,
    rows: &mut Rows,
) -> Done {
    let body = &frame.entry.body;
    let found = leaving.in_frame(body)?;
    let scout = leaving.people.say(&body.scout);
    let visited_on = spot.visit.entry.body.on.as_str();
    let again = body
        .repeats
        .map(|_| "second reading of a frame that is here as well".to_owned());
    let remarks = |more: [Option<String>; 3]| -> Cow<'_, str> {
        let said: Vec<String> = more.into_iter().flatten().collect();
        said.join("; ").into()
    };
    for it in &found {
        let standing = leaving.tally_stands(body, visited_on, it);
        let id = in_frame_id(frame.root, &it.code);
        let mut cells = common(leaving, frame.root, id);
        cells.extend(standing_cells(leaving, &standing));
        cells.extend(establishment(leaving, spot.field, &standing.named.taxon));
        cells.extend(amount(body.shape, it));
        let unknown = match (&it.what, &it.known) {
            (Counted::Unknown(_), Some(known)) => {
                let id = known.unknown.root;
                cells.push(("recordNumber", known.code().into()));
                cells.push(("associatedMedia", media(shown, &[id])));
                Some(
                    leaving
                        .words(&known.unknown.entry.body.description)
                        .to_owned(),
                )
            }
            _ => None,
        };
        let sown = sown(spot.field, &standing.named.taxon);
        cells.extend([
            ("recordedBy", scout.clone()),
            ("occurrenceStatus", "present".into()),
            ("occurrenceRemarks", remarks([sown, unknown, again.clone()])),
        ]);
        rows.put(&cells)?;
    }
    for taxon in leaving.absent(spot.field, body, &found) {
        let mut cells = common(leaving, frame.root, in_frame_id(frame.root, &taxon));
        let named = leaving.taxa.by_id(&taxon);
        cells.extend(name_cells(leaving, &named));
        cells.extend(establishment(leaving, spot.field, &taxon));
        let none = "looked for in the frame, not found".to_owned();
        cells.extend([
            ("recordedBy", scout.clone()),
            ("occurrenceStatus", "absent".into()),
            ("individualCount", "0".into()),
            ("organismQuantity", "0".into()),
            ("organismQuantityType", quantity(body.shape).into()),
            ("identifiedBy", scout.clone()),
            ("dateIdentified", visited_on.into()),
            (
                "occurrenceRemarks",
                remarks([sown(spot.field, &taxon), Some(none), again.clone()]),
            ),
        ]);
        rows.put(&cells)?;
    }
    Ok(())
}

fn quantity(shape: FrameShape) -> &'static str {
    match shape {
        FrameShape::Grid { .. } => "occupied cells",
        FrameShape::Quadrat { .. } | FrameShape::Row { .. } => "individuals",
    }
}

fn amount<'a>(shape: FrameShape, it: &InFrame) -> Cells<'a> {
    let (many, counted) = match shape {
        FrameShape::Grid { .. } => (it.cells.len().to_string(), None),
        FrameShape::Quadrat { .. } | FrameShape::Row { .. } => {
            (it.plants.to_string(), Some(it.plants.to_string()))
        }
    };
    vec![
        ("organismQuantity", many.into()),
        ("organismQuantityType", quantity(shape).into()),
        ("individualCount", counted.unwrap_or_default().into()),
    ]
}

fn one_plant(
    leaving: &Leaving,
    shown: &Shown,
    spot: &Spot,
    plant: &Rooted<Determination>,
    rows: &mut Rows,
) -> Done {
    let body = &plant.entry.body;
    let opinions = leaving.moment.opinions(plant.root)?;
    let known = body
        .unknown
        .map(|id| leaving.unknown(id))
        .transpose()?
        .flatten();
    let standing = leaving.plant_stands(plant, &opinions, known.as_deref());
    let mut cells = common(leaving, spot.point.root, plant.root.to_string());
    cells.extend(standing_cells(leaving, &standing));
    cells.extend(establishment(leaving, spot.field, &standing.named.taxon));
    let cell = body.cell.map(|cell| format!("in cell {cell} of the frame"));
    let said: Vec<String> = [
        sown(spot.field, &standing.named.taxon),
        cell,
        Some(leaving.words(&body.note).to_owned()),
    ]
    .into_iter()
    .flatten()
    .filter(|words| !words.is_empty())
    .collect();
    let mut of = vec![plant.root];
    of.extend(known.as_ref().map(|known| known.unknown.root));
    let code = known.as_ref().map(|known| known.code());
    cells.extend([
        ("recordedBy", leaving.author(&plant.entry)),
        ("occurrenceStatus", "present".into()),
        ("individualCount", "1".into()),
        ("lifeStage", life_stage(&body.evidence.leaf_stage).into()),
        ("associatedMedia", media(shown, &of)),
        ("occurrenceRemarks", said.join("; ").into()),
    ]);
    cells.extend(kept(leaving, &of, code)?);
    rows.put(&cells)
}

/// The specimen of a plant: its number, how it is kept, and where. Without one the number is the field
/// code of an unknown, if it is one.
fn kept<'a>(leaving: &Leaving, of: &[RecordId], code: Option<String>) -> Done<Cells<'a>> {
    let mut kept = Vec::new();
    for of in of {
        kept.extend(leaving.moment.vouchers(*of)?);
    }
    let list = |say: &dyn Fn(&Voucher) -> String| -> Cow<'a, str> {
        let said = kept.iter().map(|specimen| say(&specimen.entry.body));
        let said: Vec<String> = said.filter(|words| !words.is_empty()).collect();
        said.join(" | ").into()
    };
    if kept.is_empty() {
        return Ok(vec![("recordNumber", code.unwrap_or_default().into())]);
    }
    Ok(vec![
        ("recordNumber", list(&|it| it.number.clone())),
        (
            "preparations",
            list(&|it| {
                let how = match it.preparation {
                    Preparation::Pressed => "pressed",
                    Preparation::Dried => "dried",
                    Preparation::Living => "living",
                    Preparation::InSpirit => "in spirit",
                };
                how.to_owned()
            }),
        ),
        (
            "disposition",
            list(&|it| leaving.words(&it.kept_at).to_owned()),
        ),
    ])
}

/// The leaf stage as a stage of life; the stage itself is among the measurements.
fn life_stage(leaf_stage: &str) -> &'static str {
    match leaf_stage {
        "one_leaf" | "few_leaves" => "seedling",
        "tillering" => "vegetative",
        "heading" => "flowering",
        _ => "",
    }
}
