//! Reads `traits.yaml`: what a scout can look at, how, and how often it is misread.

use std::collections::{BTreeMap, BTreeSet};

use crate::applies_to;
use crate::fault::{Findings, meant, short};
use crate::fields::{At, Fields};
use crate::ids::{SourceId, StateId, TraitId};
use crate::model::{
    LeafStage, Measure, Misread, Need, Source, State, Together, Trait, TraitClass, TraitKind,
};
use crate::read_misread::read_misread;
use crate::together;
use crate::yaml::Yaml;

pub(crate) const FILE: &str = "traits.yaml";

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

/// The traits as far as they could be read.
pub(crate) struct Traits {
    /// In file order. Where something of one is faulty a placeholder stands in its place; a
    /// fault keeps the key back, so that no placeholder leaves this crate.
    pub list: Vec<Trait>,
    /// Ids of traits whose values could not be read: what others say of them can't be judged.
    pub unread: BTreeSet<String>,
    /// Sets of traits that say partly the same.
    pub together: Vec<Together>,
}

impl Traits {
    /// The trait that `id` names; `Err` with whether it stands in the file at all.
    pub fn find(&self, id: &str) -> Result<&Trait, Unfound> {
        match self.list.iter().find(|t| t.id == *id) {
            Some(one) => Ok(one),
            None if self.unread.contains(id) => Err(Unfound::Unread),
            None => Err(Unfound::Unknown),
        }
    }

    /// All ids, for suggestions.
    pub fn ids(&self) -> impl Iterator<Item = &str> + Clone {
        let list = self.list.iter().map(|t| t.id.as_str());
        list.chain(self.unread.iter().map(String::as_str))
    }
}

/// Why there is no trait.
pub(crate) enum Unfound {
    /// It stands in the file, and its own faults are reported there.
    Unread,
    /// No trait has this id.
    Unknown,
}

/// Reads the list of traits; `sources` is `None` when that file could not be read.
pub(crate) fn read(
    yaml: &Yaml,
    sources: Option<&BTreeMap<SourceId, Source>>,
    findings: &mut Findings,
) -> Option<Traits> {
    let mut fields = Fields::open(FILE, yaml, "the list of traits", findings)?;
    let list = fields.required("traits");
    let items = list.and_then(|yaml| fields.as_list(yaml, "traits"));
    let sets = fields.list("together");
    fields.close();
    let mut traits = Traits {
        list: Vec::new(),
        unread: BTreeSet::new(),
        together: Vec::new(),
    };
    let mut seen = BTreeSet::new();
    let mut limits = Vec::new();
    for item in items? {
        let Some(read) = read_trait(item, sources, findings) else {
            continue;
        };
        if let Some(id) = read.id
            && !seen.insert(id.value)
        {
            findings.fault(
                FILE,
                id.place,
                format!("trait `{}` stands twice", id.value),
                "merge the two, or give one another id",
            );
            continue;
        }
        limits.push((read.id.map(|id| id.value), read.applies_to));
        match (read.id, read.one) {
            (_, Some(one)) => traits.list.push(one),
            (Some(id), None) => {
                traits.unread.insert(id.value.to_owned());
            }
            (None, None) => {}
        }
    }
    // Only now are all traits known that another may depend on.
    let mut places = BTreeMap::new();
    for (id, limit) in limits {
        let Some(yaml) = limit else { continue };
        let applies = applies_to::read(yaml, &traits, id, findings);
        if let Some(one) = traits.list.iter_mut().find(|t| Some(t.id.as_str()) == id) {
            one.applies_to = applies;
            places.insert(one.id.clone(), yaml.place);
        }
    }
    applies_to::refuse_circles(&traits.list, &places, findings);
    traits.together = together::read(FILE, sets, &traits, sources, findings);
    Some(traits)
}

/// One trait as far as it could be read.
struct ReadTrait<'a> {
    id: Option<At<&'a str>>,
    /// `None` where id or values are unreadable.
    one: Option<Trait>,
    applies_to: Option<&'a Yaml>,
}

fn read_trait<'a>(
    yaml: &'a Yaml,
    sources: Option<&BTreeMap<SourceId, Source>>,
    findings: &mut Findings,
) -> Option<ReadTrait<'a>> {
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
    let kind = match kind {
        Some(kind) => read_kind(&mut fields, kind),
        None => {
            // Which of these belong here can't be said, so none is called unknown.
            for name in ["unit", "bounds", "states"] {
                fields.optional(name);
            }
            None
        }
    };
    let misread = match &kind {
        Some(TraitKind::Note) => Some(Misread {
            rate: 0.0,
            mixed_up: Vec::new(),
            taken_for: Vec::new(),
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
    let words = |text: Option<At<&str>>| text.map_or_else(String::new, |t| t.value.to_owned());
    // Placeholders: see `Traits::list`.
    let one = id.zip(kind).map(|(id, kind)| Trait {
        id: TraitId::new(id.value),
        name: words(name),
        class: class.unwrap_or(TraitClass::Other),
        kind,
        question: words(question),
        where_on_plant: words(where_on_plant),
        how: words(how),
        effort_s: effort.unwrap_or(1),
        needs,
        from_stage: from_stage.unwrap_or(LeafStage::OneLeaf),
        until_stage,
        decides: decides.unwrap_or(true),
        applies_to: None,
        misread: misread.unwrap_or(Misread {
            rate: 0.0,
            mixed_up: Vec::new(),
            taken_for: Vec::new(),
            source: SourceId::new("memory"),
        }),
    });
    Some(ReadTrait {
        id,
        one,
        applies_to,
    })
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
                    "write the smallest and the largest sensible value, both above 0: measures \
                     are compared by ratio",
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
            let mut all_read = true;
            for item in items {
                let state = read_state(fields, item, &states);
                all_read &= state.is_some();
                states.extend(state);
            }
            if items.len() < 2 {
                fields.fault(
                    fields.place,
                    format!(
                        "a trait needs at least two states, this one has {}",
                        items.len()
                    ),
                    "add a state, or make the trait a note",
                );
                return None;
            }
            // With a state missing, right uses of it elsewhere would be called wrong.
            all_read.then_some(if matches!(kind, Kind::Ordered) {
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
            meant(
                source.value,
                sources.keys().map(SourceId::as_str),
                "add it to sources.yaml, or write `memory`",
            ),
        );
    }
}
