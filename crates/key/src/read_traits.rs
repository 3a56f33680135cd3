//! Reads `traits.yaml`: what a scout can look at, how, and how often it is misread.

use std::collections::BTreeMap;

use crate::fault::{Findings, short, suggest};
use crate::fields::{At, Fields};
use crate::ids::{SourceId, StateId, TraitId};
use crate::model::{
    AppliesTo, LeafStage, Measure, Misread, Need, Source, State, Trait, TraitClass, TraitKind,
};
use crate::yaml::Yaml;

const FILE: &str = "traits.yaml";

const CLASSES: [(&str, TraitClass); 6] = [
    ("tiller_base", TraitClass::TillerBase),
    ("hairs", TraitClass::Hairs),
    ("vernation", TraitClass::Vernation),
    ("ligule", TraitClass::Ligule),
    ("habit", TraitClass::Habit),
    ("other", TraitClass::Other),
];

#[derive(Clone, Copy)]
enum Kind {
    States,
    Ordered,
    Measure,
    Note,
}

const KINDS: [(&str, Kind); 4] = [
    ("states", Kind::States),
    ("ordered", Kind::Ordered),
    ("measure", Kind::Measure),
    ("note", Kind::Note),
];

/// Reads the list of traits; `sources` is `None` when that file could not be read.
pub(crate) fn read(
    yaml: &Yaml,
    sources: Option<&BTreeMap<SourceId, Source>>,
    findings: &mut Findings,
) -> Option<Vec<Trait>> {
    let mut fields = Fields::open(FILE, yaml, "the list of traits", findings)?;
    let list = fields.required("traits");
    let items = list.and_then(|yaml| fields.as_list(yaml, "traits"));
    fields.close();
    let mut traits: Vec<Trait> = Vec::new();
    let mut limits = Vec::new();
    for item in items? {
        let Some((one, limit)) = read_trait(item, sources, findings) else {
            continue;
        };
        if traits.iter().any(|t| t.id == one.id) {
            findings.fault(
                FILE,
                item.place,
                format!("trait `{}` stands twice", one.id),
                "merge the two, or give one another id",
            );
            continue;
        }
        traits.push(one);
        limits.push(limit);
    }
    // Only now are all traits known that another may depend on.
    for (at, limit) in limits.into_iter().enumerate() {
        if let Some(yaml) = limit {
            let applies = read_applies_to(yaml, &traits, &traits[at].id.clone(), findings);
            traits[at].applies_to = applies;
        }
    }
    Some(traits)
}

fn read_trait<'a>(
    yaml: &'a Yaml,
    sources: Option<&BTreeMap<SourceId, Source>>,
    findings: &mut Findings,
) -> Option<(Trait, Option<&'a Yaml>)> {
    let stages: Vec<(&'static str, LeafStage)> = LeafStage::ALL
        .iter()
        .map(|(id, stage, _)| (*id, *stage))
        .collect();
    let tools: Vec<(&'static str, Need)> =
        Need::ALL.iter().map(|(id, need, _)| (*id, *need)).collect();

    let mut fields = Fields::open(FILE, yaml, "a trait", findings)?;
    let id = fields.id("id");
    let name = fields.text("name");
    let class = fields.word("class", &CLASSES);
    let kind = fields.word("kind", &KINDS);
    let question = fields.text("question");
    let where_on_plant = fields.text("where");
    let how = fields.text("how");
    let effort = fields.number("effort_s");
    let needs_list = fields.list("needs");
    let needs: Vec<Need> = needs_list
        .iter()
        .filter_map(|yaml| fields.one_of(yaml, "needs", &tools))
        .collect();
    let from_stage = fields.word("from_stage", &stages);
    let until_stage = fields.optional_word("until_stage", &stages);
    let decides = fields.truth("decides");
    let applies_to = fields.optional("applies_to");
    let kind = kind.and_then(|kind| read_kind(&mut fields, kind));
    let misread = match &kind {
        Some(TraitKind::Note) => Some(Misread {
            rate: 0.0,
            mixed_up: Vec::new(),
            source: SourceId::new("memory"),
        })
        .filter(|_| {
            fields.optional("misread");
            true
        }),
        _ => read_misread(&mut fields, kind.as_ref(), sources),
    };
    let effort = effort.and_then(|effort| whole_seconds(&mut fields, effort));
    if let (Some(from), Some(until)) = (from_stage, until_stage)
        && until < from
    {
        fields.fault(
            fields.place,
            format!(
                "this trait is seen from {} but only until {}",
                from.id(),
                until.id()
            ),
            "`until_stage` must not come before `from_stage`",
        );
    }
    if matches!(kind, Some(TraitKind::Note)) && decides == Some(true) {
        fields.fault(
            fields.place,
            "a note cannot decide",
            "write `decides: false`, or give it states",
        );
    }
    fields.close();
    Some((
        Trait {
            id: TraitId::new(id?.value),
            name: name?.value.to_owned(),
            class: class?,
            kind: kind?,
            question: question?.value.to_owned(),
            where_on_plant: where_on_plant?.value.to_owned(),
            how: how?.value.to_owned(),
            effort_s: effort?,
            needs,
            from_stage: from_stage?,
            until_stage,
            decides: decides?,
            applies_to: None,
            misread: misread?,
        },
        applies_to,
    ))
}

fn whole_seconds(fields: &mut Fields, effort: At<f64>) -> Option<u32> {
    if effort.value.fract() == 0.0 && (1.0..=3600.0).contains(&effort.value) {
        // In range, so the conversion is exact.
        return Some(effort.value as u32);
    }
    fields.fault(
        effort.place,
        format!(
            "`effort_s` is {}, not whole seconds from 1 to 3600",
            effort.value
        ),
        "write the seconds that one look takes, such as 10",
    );
    None
}

fn read_kind(fields: &mut Fields, kind: Kind) -> Option<TraitKind> {
    match kind {
        Kind::Note => Some(TraitKind::Note),
        Kind::Measure => {
            let unit = fields.text("unit");
            let bounds = fields.range("bounds");
            let bounds = bounds?;
            let (lowest, highest) = bounds.value;
            if lowest <= 0.0 || lowest == highest {
                fields.fault(
                    bounds.place,
                    format!(
                        "the bounds {lowest} to {highest} leave no room, or begin at or below 0"
                    ),
                    "measures are compared by ratio: write the smallest and largest sensible value",
                );
                return None;
            }
            Some(TraitKind::Measure(Measure {
                unit: unit?.value.to_owned(),
                lowest,
                highest,
            }))
        }
        Kind::States | Kind::Ordered => {
            let list = fields.required("states");
            let items = list.and_then(|yaml| fields.as_list(yaml, "states"))?;
            let mut states: Vec<State> = Vec::new();
            for item in items {
                states.extend(read_state(fields, item, &states));
            }
            if items.len() < 2 {
                fields.fault(
                    fields.place,
                    format!(
                        "a trait needs at least two states, here are {}",
                        items.len()
                    ),
                    "add a state, or make the trait a note",
                );
                return None;
            }
            Some(if matches!(kind, Kind::Ordered) {
                TraitKind::Ordered(states)
            } else {
                TraitKind::States(states)
            })
        }
    }
}

fn read_state(fields: &mut Fields, yaml: &Yaml, known: &[State]) -> Option<State> {
    let mut fields = Fields::open(fields.file, yaml, "a state", fields.findings)?;
    let id = fields.id("id");
    let name = fields.text("name");
    let looks = fields.text("looks");
    if let Some(id) = id
        && known.iter().any(|s| s.id == *id.value)
    {
        fields.fault(
            id.place,
            format!("state `{}` stands twice in this trait", id.value),
            "remove one of the two",
        );
        fields.close();
        return None;
    }
    fields.close();
    Some(State {
        id: StateId::new(id?.value),
        name: name?.value.to_owned(),
        looks: looks?.value.to_owned(),
    })
}

fn read_misread(
    fields: &mut Fields,
    kind: Option<&TraitKind>,
    sources: Option<&BTreeMap<SourceId, Source>>,
) -> Option<Misread> {
    let yaml = fields.required("misread")?;
    let mut fields = Fields::open(fields.file, yaml, "misread", fields.findings)?;
    let rate = fields.number("rate");
    let pairs = fields.list("mixed_up");
    let source = fields.id("source");
    let states: Vec<&str> = match kind {
        Some(TraitKind::States(states) | TraitKind::Ordered(states)) => {
            states.iter().map(|s| s.id.as_str()).collect()
        }
        _ => Vec::new(),
    };
    let mut mixed_up = Vec::new();
    for pair in pairs {
        let Some(items) = fields.as_list(pair, "mixed_up") else {
            continue;
        };
        let texts: Vec<At<&str>> = items
            .iter()
            .filter_map(|yaml| fields.as_text(yaml, "mixed_up"))
            .collect();
        if texts.len() != 2 {
            fields.fault(
                pair.place,
                format!("a mixed-up pair has two states, here are {}", items.len()),
                "write `- [one, other]`",
            );
            continue;
        }
        // Without readable states, unknown names here would only repeat that fault.
        for text in texts
            .iter()
            .filter(|t| kind.is_some() && !states.contains(&t.value))
        {
            fields.fault(
                text.place,
                format!("`{}` is not a state of this trait", short(text.value)),
                suggest(
                    text.value,
                    states.iter().copied(),
                    "use a state of this trait",
                ),
            );
        }
        mixed_up.push((StateId::new(texts[0].value), StateId::new(texts[1].value)));
    }
    if let Some(rate) = rate
        && !(0.0..=0.5).contains(&rate.value)
    {
        fields.fault(
            rate.place,
            format!(
                "a misreading rate of {} is not a share from 0 to 0.5",
                rate.value
            ),
            "write the share of looks that go wrong, such as 0.06",
        );
    }
    if let Some(source) = source {
        check_source(&mut fields, source, sources);
    }
    fields.close();
    Some(Misread {
        rate: rate?.value,
        mixed_up,
        source: SourceId::new(source?.value),
    })
}

/// A source must be known; without a readable list of sources nothing is said.
pub(crate) fn check_source(
    fields: &mut Fields,
    source: At<&str>,
    sources: Option<&BTreeMap<SourceId, Source>>,
) {
    let Some(sources) = sources else { return };
    if !sources.contains_key(source.value) {
        fields.fault(
            source.place,
            format!("`{}` is not a source of this key", short(source.value)),
            suggest(
                source.value,
                sources.keys().map(SourceId::as_str),
                "add it to sources.yaml, or write `memory`",
            ),
        );
    }
}

fn read_applies_to(
    yaml: &Yaml,
    traits: &[Trait],
    of: &TraitId,
    findings: &mut Findings,
) -> Option<AppliesTo> {
    let mut fields = Fields::open(FILE, yaml, "applies_to", findings)?;
    let other = fields.id("trait");
    let states = fields.texts("states");
    let at = fields.place;
    if states.is_empty() {
        fields.fault(
            at,
            "`applies_to` names no state",
            "write `states: [...]` with the states for which this trait can be seen",
        );
    }
    let other = other?;
    let target = traits
        .iter()
        .find(|t| t.id == *other.value)
        .filter(|t| t.id != *of && !t.states().is_empty());
    let Some(target) = target else {
        fields.fault(
            other.place,
            format!("`{}` is not another trait with states", short(other.value)),
            suggest(
                other.value,
                traits.iter().filter(|t| t.id != *of).map(|t| t.id.as_str()),
                "name a trait of this file",
            ),
        );
        return None;
    };
    for state in &states {
        if target.state_index(state.value).is_none() {
            fields.fault(
                state.place,
                format!("`{}` is not a state of `{}`", short(state.value), target.id),
                suggest(
                    state.value,
                    target.states().iter().map(|s| s.id.as_str()),
                    "use a state of that trait",
                ),
            );
        }
    }
    fields.close();
    Some(AppliesTo {
        trait_id: target.id.clone(),
        states: states.iter().map(|s| StateId::new(s.value)).collect(),
    })
}
