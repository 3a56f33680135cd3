//! Measurements: seed tags and rates of a planting; of a plant its leaf stage, what was seen on it, and
//! what the key made of that.

use std::borrow::Cow;

use standbook_fieldbook::record::{AnswerGiven, Determination, SeedLot, ValueGiven};
use standbook_fieldbook::{RecordId, Rooted};
use standbook_key::LeafStage;

use super::sheet::{Rows, number};
use crate::error::Done;
use crate::leaving::{Field, Leaving, Spot};

pub(super) fn write(leaving: &Leaving, rows: &mut Rows) -> Done {
    for field in &leaving.fields {
        rates(leaving, field, rows)?;
    }
    leaving.moment.each::<SeedLot, _>(|lot| {
        let of = leaving.root(lot.entry.body.planting)?;
        match leaving.fields.iter().any(|field| field.root == of) {
            true => seed_lot(leaving, of, &lot, rows),
            false => Ok(()),
        }
    })?;
    leaving.each_spot(|spot| {
        leaving.moment.each_determination(spot.point.root, |plant| {
            one_plant(leaving, spot, &plant, rows)
        })
    })
}

fn common_name<'a>(leaving: &'a Leaving, taxon: &'a str) -> &'a str {
    let known = leaving.taxa.get(taxon);
    known.map_or(taxon, |taxon| taxon.common_name.as_str())
}

fn rates(leaving: &Leaving, field: &Field, rows: &mut Rows) -> Done {
    let planting = &field.planting;
    for item in &planting.body.mix {
        for (what, kind, value) in [
            ("applied", "pure live seed, applied", item.pls_lb_per_acre),
            (
                "planned",
                "pure live seed, planned",
                item.planned_pls_lb_per_acre,
            ),
        ] {
            if value.is_none() {
                continue;
            }
            rows.put(&[
                ("eventID", field.root.to_string().into()),
                (
                    "measurementID",
                    format!("{}:{}:{what}", field.root, item.taxon).into(),
                ),
                ("measurementType", kind.into()),
                ("measurementValue", number(value)),
                ("measurementUnit", "lb/acre".into()),
                ("measurementDeterminedBy", leaving.author(planting)),
                (
                    "measurementDeterminedDate",
                    planting.body.seeded_on.as_str().into(),
                ),
                (
                    "measurementRemarks",
                    common_name(leaving, &item.taxon).into(),
                ),
            ])?;
        }
    }
    Ok(())
}

fn seed_lot(leaving: &Leaving, planting: RecordId, lot: &Rooted<SeedLot>, rows: &mut Rows) -> Done {
    let body = &lot.entry.body;
    let of = format!("{}, lot {}", common_name(leaving, &body.taxon), body.lot);
    let mut put = |id: String, kind: &str, value: Option<f64>, unit: &str| -> Done {
        if value.is_none() {
            return Ok(());
        }
        rows.put(&[
            ("eventID", planting.to_string().into()),
            ("measurementID", format!("{}:{id}", lot.root).into()),
            ("measurementType", kind.into()),
            ("measurementValue", number(value)),
            ("measurementUnit", unit.into()),
            ("measurementMethod", "seed tag".into()),
            ("measurementDeterminedBy", leaving.author(&lot.entry)),
            (
                "measurementDeterminedDate",
                body.tested.as_deref().unwrap_or_default().into(),
            ),
            ("measurementRemarks", of.as_str().into()),
        ])
    };
    for (id, kind, value, unit) in [
        ("purity", "pure seed", body.purity_percent, "%"),
        ("germination", "germination", body.germination_percent, "%"),
        (
            "dormant",
            "dormant, hard or firm seed",
            body.dormant_percent,
            "%",
        ),
        (
            "other_crop",
            "other crop seed",
            body.other_crop_percent,
            "%",
        ),
        ("inert", "inert matter", body.inert_percent, "%"),
        ("weed", "weed seed", body.weed_percent, "%"),
        (
            "seeds_per_lb",
            "pure seeds per pound",
            body.seeds_per_lb,
            "1/lb",
        ),
        ("bulk", "bulk seed bought", body.bulk_lb, "lb"),
    ] {
        put(id.to_owned(), kind, value, unit)?;
    }
    for (at, kind) in body.noxious.iter().enumerate() {
        let name = format!("noxious seed in bulk seed: {}", kind.name);
        put(
            format!("noxious_{}", at + 1),
            &name,
            Some(kind.per_lb),
            "1/lb",
        )?;
    }
    Ok(())
}

/// A fact about a plant.
struct Fact<'a> {
    id: String,
    kind: Cow<'a, str>,
    value: Cow<'a, str>,
    unit: &'a str,
    remarks: Cow<'a, str>,
}

fn one_plant(
    leaving: &Leaving,
    spot: &Spot,
    plant: &Rooted<Determination>,
    rows: &mut Rows,
) -> Done {
    let entry = &plant.entry;
    let evidence = &entry.body.evidence;
    let method = format!("key {}, table {}", evidence.key, evidence.table_fingerprint);
    let mut put = |fact: Fact<'_>| {
        rows.put(&[
            ("eventID", spot.point.root.to_string().into()),
            ("occurrenceID", plant.root.to_string().into()),
            (
                "measurementID",
                format!("{}:{}", plant.root, fact.id).into(),
            ),
            ("measurementType", fact.kind),
            ("measurementValue", fact.value),
            ("measurementUnit", fact.unit.into()),
            ("measurementMethod", method.as_str().into()),
            ("measurementDeterminedBy", leaving.author(entry)),
            ("measurementDeterminedDate", entry.born_at.as_str().into()),
            ("measurementRemarks", fact.remarks),
        ])
    };
    let stage = LeafStage::from_id(&evidence.leaf_stage).map_or("", LeafStage::name);
    put(Fact {
        id: "leaf_stage".to_owned(),
        kind: "leaf stage".into(),
        value: stage.into(),
        unit: "",
        remarks: evidence.leaf_stage.as_str().into(),
    })?;
    for (at, answer) in evidence.answers.iter().enumerate() {
        put(seen(leaving, at + 1, answer))?;
    }
    put(Fact {
        id: "outcome".to_owned(),
        kind: "outcome by the key".into(),
        value: evidence.outcome.replace('_', " ").into(),
        unit: "",
        remarks: "what the key made of all that was seen, before anybody chose a name".into(),
    })?;
    // The chance of the name chosen; where none was, of the likeliest.
    let ranked = match &entry.body.taxon {
        Some(taxon) => evidence
            .ranking
            .iter()
            .find(|ranked| ranked.taxon == *taxon),
        None => evidence.ranking.first(),
    };
    match ranked {
        None => Ok(()),
        Some(ranked) => put(Fact {
            id: "probability".to_owned(),
            kind: "probability by the key".into(),
            value: ranked.probability.to_string().into(),
            unit: "1",
            remarks: format!(
                "of {}",
                common_name(leaving, &ranked.taxon).replace('_', " ")
            )
            .into(),
        }),
    }
}

/// An answer: what was seen of one trait.
fn seen<'a>(leaving: &'a Leaving, at: usize, answer: &'a AnswerGiven) -> Fact<'a> {
    let known = leaving.given.key.trait_by_id(&answer.r#trait);
    let measure = known.and_then(|it| it.measure());
    let state = |id: &'a String| -> &'a str {
        let states = known.map_or(&[][..], |it| it.states());
        let state = states.iter().find(|state| state.id == **id);
        state.map_or(id.as_str(), |state| state.name.as_str())
    };
    let (value, remarks) = match &answer.value {
        ValueGiven::States(states) => {
            let names: Vec<&str> = states.iter().map(state).collect();
            (names.join(" | ").into(), states.join("|"))
        }
        ValueGiven::Measure(value) => (number(Some(*value)), String::new()),
        ValueGiven::CannotTell => ("could not tell".into(), "cannot_tell".to_owned()),
    };
    Fact {
        // The place in the walk: a trait can be asked of once, but old books may hold it twice.
        id: format!("{at}:{}", answer.r#trait),
        kind: known
            .map_or(answer.r#trait.as_str(), |it| it.name.as_str())
            .into(),
        value,
        unit: match &answer.value {
            ValueGiven::Measure(_) => measure.map_or("", |measure| measure.unit.as_str()),
            _ => "",
        },
        remarks: match remarks.is_empty() {
            true => answer.r#trait.as_str().into(),
            false => format!("{}: {remarks}", answer.r#trait).into(),
        },
    }
}
