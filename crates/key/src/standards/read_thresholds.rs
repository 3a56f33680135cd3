//! Reads one entry of the part `thresholds`.

use super::settle::{All, FileAt, put};
use super::threshold::{
    ForMixes, Holds, Level, OfWhat, Part, PlantsCounted, Purpose, Threshold, ThresholdUnit,
};
use crate::fault::{Findings, Place, short};
use crate::fields::{At, Fields};
use crate::ids::GroupId;
use crate::yaml::Yaml;

const KIND: &str = "a threshold";

const FOR_MIXES: [(&str, ForMixes); 2] = [("no", ForMixes::No), ("borrowed", ForMixes::Borrowed)];
const HOLDS: [(&str, Holds); 2] = [("anywhere", Holds::Anywhere), ("there", Holds::There)];
const COUNTS: [(&str, PlantsCounted); 2] = [
    ("plants", PlantsCounted::Plants),
    ("seedlings", PlantsCounted::Seedlings),
];
const PARTS: [(&str, Part); 3] = [
    ("decides", Part::Decides),
    ("goal", Part::Goal),
    ("background", Part::Background),
];

pub(super) fn read(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, KIND, findings) else {
        return;
    };
    let id = fields.id("id");
    let replaces = fields.optional_text("replaces");
    let name = fields.text("name");
    let taxa_given = fields.optional("taxa").is_some();
    let taxa = all.taxa(&mut fields, "taxa");
    let group = fields.optional_text("group");
    let of = of_what(&mut fields, all, taxa_given, taxa, group);
    let for_mixes = fields.optional_word("for_mixes", &FOR_MIXES);
    let purposes = purposes(&mut fields);
    let region = optional_words(&mut fields, "region");
    let states = states(&mut fields);
    let holds = fields.optional_word("holds", &HOLDS);
    let season = fields.optional("season").and_then(|yaml| {
        let number = fields.as_number(yaml, "season")?;
        whole(&mut fields, number, "season", 1, 20)
    });
    let counts = fields.word("counts", &COUNTS);
    let units: Vec<(&'static str, ThresholdUnit)> =
        ThresholdUnit::ALL.iter().map(|u| (u.0, u.1)).collect();
    let unit = fields.word("unit", &units);
    let levels = levels(&mut fields, unit);
    let below = optional_words(&mut fields, "below");
    let part = fields.optional_word("part", &PARTS);
    let note = optional_words(&mut fields, "note");
    let sources = file.sources(&mut fields);
    let placed = all.settle(&mut fields, file, KIND, id, replaces);
    if holds == Some(Holds::There) && states.is_empty() && region.is_empty() {
        fields.fault(
            fields.place,
            "`holds: there` needs a place",
            "add `states: [KS]` or `region: ...`",
        );
    }
    fields.close();
    let threshold = || {
        let (levels, established) = levels?;
        let (source, also) = sources?;
        Some(Threshold {
            id: id?.value.to_owned(),
            name: name?.value.to_owned(),
            of: of?,
            for_mixes: for_mixes.unwrap_or(ForMixes::No),
            purposes,
            region,
            states,
            holds: holds.unwrap_or(Holds::Anywhere),
            season,
            counts: counts?,
            unit: unit?,
            levels,
            established,
            below,
            part: part.unwrap_or(Part::Decides),
            note,
            source,
            also,
            own: file.is_own(),
        })
    };
    if let (Some(placed), Some(threshold)) = (placed, threshold()) {
        put(&mut all.standards.thresholds, placed, threshold, |t| &t.id);
    }
}

fn of_what(
    fields: &mut Fields,
    all: &All,
    taxa_given: bool,
    taxa: Vec<crate::ids::TaxonId>,
    group: Option<At<&str>>,
) -> Option<OfWhat> {
    match (taxa_given, group) {
        (true, None) => Some(OfWhat::Taxa(taxa)).filter(|of| *of != OfWhat::Taxa(Vec::new())),
        (false, Some(group)) if group.value == "planted_together" => Some(OfWhat::PlantedTogether),
        (false, Some(group)) => {
            let group = all.group(fields, group)?;
            Some(OfWhat::Group(GroupId::new(group)))
        }
        _ => {
            fields.fault(
                fields.place,
                "a threshold speaks of taxa or of a group",
                "write `taxa: [their ids]`, or `group: planted_together`, not both",
            );
            None
        }
    }
}

/// Levels from lowest to highest, and which of them means established.
fn levels(fields: &mut Fields, unit: Option<ThresholdUnit>) -> Option<(Vec<Level>, usize)> {
    let list = fields.required("levels");
    let from = fields.optional("established_at");
    let from = from.and_then(|yaml| fields.as_number(yaml, "established_at"));
    let list = list?;
    let items = fields.as_list(list, "levels")?;
    if items.is_empty() {
        fields.fault(
            list.place,
            "`levels` is empty",
            "write at least one `- at_least: number` with its `word`",
        );
        return None;
    }
    let mut levels: Vec<Level> = Vec::new();
    let mut places: Vec<Place> = Vec::new();
    let mut sound = true;
    for item in items {
        let Some(mut level) = Fields::open(fields.file, item, "a level", fields.findings) else {
            sound = false;
            continue;
        };
        let at_least = level.number("at_least");
        let word = level.text("word");
        if let (Some(number), Some(unit)) = (at_least, unit)
            && !(number.value > 0.0 && number.value <= unit.most())
        {
            level.fault(
                number.place,
                format!("{} {} is no level", number.value, unit.name()),
                format!("write a number above 0 and at most {}", unit.most()),
            );
            sound = false;
        }
        level.close();
        match (at_least, word) {
            (Some(number), Some(word)) => {
                levels.push(Level {
                    at_least: number.value,
                    word: word.value.to_owned(),
                });
                places.push(number.place);
            }
            _ => sound = false,
        }
    }
    let in_range = sound;
    for (two, place) in levels.windows(2).zip(places.iter().skip(1)) {
        if in_range && two[1].at_least <= two[0].at_least {
            fields.fault(
                *place,
                format!(
                    "levels are upside down: {} comes after {}",
                    two[1].at_least, two[0].at_least
                ),
                "order them from the lowest to the highest, none twice",
            );
            sound = false;
        }
    }
    if !sound {
        return None;
    }
    match from {
        None if levels.len() == 1 => Some((levels, 0)),
        None => {
            fields.fault(
                list.place,
                "several levels, and none is said to mean established",
                "add a line `established_at: ...` with the number of one of them",
            );
            None
        }
        Some(from) => {
            let Some(at) = levels.iter().position(|l| l.at_least == from.value) else {
                let all: Vec<String> = levels.iter().map(|l| l.at_least.to_string()).collect();
                fields.fault(
                    from.place,
                    format!("{} is none of the levels", from.value),
                    format!("use one of {}", all.join(", ")),
                );
                return None;
            };
            Some((levels, at))
        }
    }
}

/// The purposes an entry is for; none: all.
pub(super) fn purposes(fields: &mut Fields) -> Vec<Purpose> {
    let known: Vec<(&'static str, Purpose)> = Purpose::ALL.iter().map(|p| (p.0, p.1)).collect();
    fields
        .list("purposes")
        .iter()
        .filter_map(|yaml| fields.one_of(yaml, "purposes", &known))
        .collect()
}

fn states(fields: &mut Fields) -> Vec<String> {
    let mut states = Vec::new();
    for text in fields.texts("states") {
        if text.value.len() == 2 && text.value.bytes().all(|b| b.is_ascii_uppercase()) {
            states.push(text.value.to_owned());
        } else {
            fields.fault(
                text.place,
                format!("`{}` is not a state", short(text.value)),
                "use the two capital letters, such as KS",
            );
        }
    }
    states
}

/// Text that may be missing, then empty.
pub(super) fn optional_words(fields: &mut Fields, name: &'static str) -> String {
    fields
        .optional_text(name)
        .map_or_else(String::new, |t| t.value.to_owned())
}

/// A whole number from `least` to `most`.
pub(super) fn whole(
    fields: &mut Fields,
    number: At<f64>,
    name: &str,
    least: u32,
    most: u32,
) -> Option<u32> {
    let value = number.value;
    if value.fract() == 0.0 && (f64::from(least)..=f64::from(most)).contains(&value) {
        return Some(value as u32);
    }
    fields.fault(
        number.place,
        format!("{value} is no `{name}`"),
        format!("write a whole number from {least} to {most}"),
    );
    None
}
