//! Tables of seed and of what happened since, and of the words that ids stand for.

use standbook_fieldbook::Rooted;
use standbook_fieldbook::record::{Event, EventKind, SeedLot};
use standbook_key::{Role, TraitKind};

use super::Type::{Date, Real, Text, Truth, Whole};
use super::{Sink, Source, Table, column};
use crate::error::Done;

pub(super) const MIX: Table = Table {
    name: "mix",
    meaning: "species sown",
    own: &[
        column("planting", Text, "the planting, see plantings.id"),
        column("number", Whole, "its place on the list"),
        column("taxon", Text, "the species, see taxa.id"),
        column("applied_pls_lb_per_acre", Real, "pure live seed, applied")
            .unit("lb/acre")
            .empty("not known"),
        column("planned_pls_lb_per_acre", Real, "pure live seed, planned")
            .unit("lb/acre")
            .empty("not known"),
    ],
    records: false,
    fill: mix,
};

fn mix(from: &Source, to: &mut dyn Sink) -> Done {
    for field in &from.leaving.fields {
        for (at, item) in field.planting.body.mix.iter().enumerate() {
            to.row(&[
                field.root.into(),
                (at + 1).into(),
                item.taxon.as_str().into(),
                item.pls_lb_per_acre.into(),
                item.planned_pls_lb_per_acre.into(),
            ])?;
        }
    }
    Ok(())
}

pub(super) const SEED_LOTS: Table = Table {
    name: "seed_lots",
    meaning: "seed of one species, as its tag says",
    own: &[
        column("planting", Text, "the planting, see plantings.id"),
        column("taxon", Text, "the species, see taxa.id"),
        column("lot", Text, "lot number"),
        column("variety", Text, "variety").empty("not stated"),
        column("origin", Text, "where the seed was grown").empty("not stated"),
        column("purity_percent", Real, "pure seed, by weight")
            .unit("%")
            .empty("not on the tag"),
        column(
            "germination_percent",
            Real,
            "germination without dormant seed",
        )
        .unit("%")
        .empty("not on the tag"),
        column("dormant_percent", Real, "dormant, hard or firm seed")
            .unit("%")
            .empty("not on the tag"),
        column("other_crop_percent", Real, "other crop seed, by weight")
            .unit("%")
            .empty("not on the tag"),
        column("inert_percent", Real, "inert matter, by weight")
            .unit("%")
            .empty("not on the tag"),
        column("weed_percent", Real, "weed seed, by weight")
            .unit("%")
            .empty("not on the tag"),
        column(
            "tested_month",
            Text,
            "month of the germination test, as 2026-02",
        )
        .empty("not on the tag"),
        column("seeds_per_lb", Real, "seeds in a pound of pure seed")
            .unit("1/lb")
            .empty("not on the tag"),
        column("bulk_lb", Real, "bulk seed bought")
            .unit("lb")
            .empty("not known"),
        column("note", Text, "anything else").empty("nothing, or left out of this export"),
    ],
    records: true,
    fill: seed_lots,
};

fn each_lot(from: &Source, mut take: impl FnMut(Rooted<SeedLot>) -> Done) -> Done {
    from.leaving.moment.each::<SeedLot, _>(|lot| {
        match from.leaving.has_planting(lot.entry.body.planting)? {
            true => take(lot),
            false => Ok(()),
        }
    })
}

fn seed_lots(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    each_lot(from, |lot| {
        let it = &lot.entry.body;
        let own = vec![
            leaving.root(it.planting)?.into(),
            it.taxon.as_str().into(),
            it.lot.as_str().into(),
            it.variety.as_str().into(),
            it.origin.as_str().into(),
            it.purity_percent.into(),
            it.germination_percent.into(),
            it.dormant_percent.into(),
            it.other_crop_percent.into(),
            it.inert_percent.into(),
            it.weed_percent.into(),
            it.tested.as_deref().into(),
            it.seeds_per_lb.into(),
            it.bulk_lb.into(),
            leaving.words(&it.note).into(),
        ];
        to.record(leaving, &lot, own)
    })
}

pub(super) const NOXIOUS_SEEDS: Table = Table {
    name: "noxious_seeds",
    meaning: "noxious kinds on seed tags",
    own: &[
        column("seed_lot", Text, "the lot, see seed_lots.id"),
        column("name", Text, "its name as the tag has it"),
        column("seeds_per_lb", Real, "seeds in a pound of bulk seed").unit("1/lb"),
    ],
    records: false,
    fill: noxious_seeds,
};

fn noxious_seeds(from: &Source, to: &mut dyn Sink) -> Done {
    each_lot(from, |lot| {
        for kind in &lot.entry.body.noxious {
            to.row(&[
                lot.root.into(),
                kind.name.as_str().into(),
                kind.per_lb.into(),
            ])?;
        }
        Ok(())
    })
}

pub(super) const HAPPENINGS: Table = Table {
    name: "happenings",
    meaning: "what was done to a planting, or happened to it",
    own: &[
        column("planting", Text, "the planting, see plantings.id"),
        column("happened_on", Date, "when it happened or began"),
        column("what", Text, "what")
            .of("mowed; sprayed; rain; drought; grazed; burned; overseeded; other"),
        column("height_cm", Real, "height left standing")
            .unit("cm")
            .empty("not mowed, or not known"),
        column("entry_after_h", Real, "hours until people may go in")
            .unit("h")
            .empty("not sprayed, or not known"),
        column(
            "graze_after_days",
            Real,
            "days until grazing or haying is allowed",
        )
        .unit("d")
        .empty("not sprayed, or not known"),
        column("rain_mm", Real, "rain")
            .unit("mm")
            .empty("no rain, or not measured"),
        column("note", Text, "in words").empty("nothing, or left out of this export"),
    ],
    records: true,
    fill: happenings,
};

fn happenings(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    leaving.moment.each::<Event, _>(|event| {
        let it = &event.entry.body;
        if !leaving.has_planting(it.planting)? {
            return Ok(());
        }
        let (mut height, mut entry, mut graze, mut rain) = (None, None, None, None);
        let what = match it.what {
            EventKind::Mowed { height_cm } => {
                height = height_cm;
                "mowed"
            }
            EventKind::Sprayed {
                entry_after_h,
                graze_after_days,
            } => {
                (entry, graze) = (entry_after_h, graze_after_days);
                "sprayed"
            }
            EventKind::Rain { mm } => {
                rain = mm;
                "rain"
            }
            EventKind::Drought => "drought",
            EventKind::Grazed => "grazed",
            EventKind::Burned => "burned",
            EventKind::Overseeded => "overseeded",
            EventKind::Other => "other",
        };
        let own = vec![
            leaving.root(it.planting)?.into(),
            it.on.as_str().into(),
            what.into(),
            height.into(),
            entry.into(),
            graze.into(),
            rain.into(),
            leaving.words(&it.note).into(),
        ];
        to.record(leaving, &event, own)
    })
}

pub(super) const TAXA: Table = Table {
    name: "taxa",
    meaning: "plants of the key that this program named them by",
    own: &[
        column("id", Text, "as other tables name it"),
        column("scientific_name", Text, "scientific name without author"),
        column("common_name", Text, "common name"),
        column("role", Text, "what part it plays in plantings").of("planted; volunteer; weed"),
    ],
    records: false,
    fill: taxa,
};

fn taxa(from: &Source, to: &mut dyn Sink) -> Done {
    for taxon in &from.leaving.given.key.taxa {
        let role = match taxon.role {
            Role::Planted => "planted",
            Role::Volunteer => "volunteer",
            Role::Weed => "weed",
        };
        to.row(&[
            taxon.id.to_string().into(),
            taxon.scientific_name.as_str().into(),
            taxon.common_name.as_str().into(),
            role.into(),
        ])?;
    }
    Ok(())
}

pub(super) const TRAITS: Table = Table {
    name: "traits",
    meaning: "what the key asks about a plant",
    own: &[
        column("id", Text, "as answers.trait names it"),
        column("name", Text, "for people"),
        column("question", Text, "as asked of a scout"),
        column("states", Text, "ids of its states, joined by |").empty("a measure or a note"),
        column("unit", Text, "of a measure").empty("not a measure"),
        column("decides", Truth, "whether it may decide, or only supports"),
    ],
    records: false,
    fill: traits,
};

fn traits(from: &Source, to: &mut dyn Sink) -> Done {
    for it in &from.leaving.given.key.traits {
        let states: Vec<String> = it
            .states()
            .iter()
            .map(|state| state.id.to_string())
            .collect();
        let unit = match &it.kind {
            TraitKind::Measure(measure) => measure.unit.as_str(),
            _ => "",
        };
        to.row(&[
            it.id.to_string().into(),
            it.name.as_str().into(),
            it.question.as_str().into(),
            states.join("|").into(),
            unit.into(),
            it.decides.into(),
        ])?;
    }
    Ok(())
}
