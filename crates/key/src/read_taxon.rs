//! Reads `taxa/<taxon id>.yaml`: what sources say of one taxon.

use std::collections::{BTreeMap, BTreeSet};

use crate::fault::{Findings, Place, meant, meant_within, short};
use crate::fields::{At, Fields};
use crate::ids::{GroupId, SourceId, StateId, TaxonId, TraitId};
use crate::model::{
    Fact, FactValue, Group, LookAlike, LookAlikeOf, Often, PlantAge, Role, Source, Taxon, Trait,
    TraitKind,
};
use crate::read_traits::{Traits, Unfound, check_source};
use crate::yaml::{Value, Yaml};

const ROLES: [(&str, Role); 3] = [
    ("planted", Role::Planted),
    ("volunteer", Role::Volunteer),
    ("weed", Role::Weed),
];

const OFTEN: [(&str, Often); 4] = [
    ("always", Often::Always),
    ("usually", Often::Usually),
    ("sometimes", Often::Sometimes),
    ("rarely", Often::Rarely),
];

const AGES: [(&str, PlantAge); 2] = [("grown", PlantAge::Grown), ("seedling", PlantAge::Seedling)];

/// What the other files say; `None` where they could not be read.
pub(crate) struct Context<'a> {
    pub traits: Option<&'a Traits>,
    pub sources: Option<&'a BTreeMap<SourceId, Source>>,
    pub groups: Option<&'a [Group]>,
}

/// Places needed for checks across files.
pub(crate) struct TaxonPlaces {
    pub look_alikes: Vec<Place>,
}

/// Reads one taxon; `id_of_file` is the file's name without `.yaml`.
pub(crate) fn read(
    file: &str,
    id_of_file: &str,
    yaml: &Yaml,
    context: &Context,
    findings: &mut Findings,
) -> Option<(Taxon, TaxonPlaces)> {
    let mut fields = Fields::open(file, yaml, "a taxon", findings)?;
    let id = fields.id("id");
    if let Some(id) = id.filter(|id| id.value != id_of_file) {
        fields.fault(
            id.place,
            format!("the taxon is `{}`, its file `{id_of_file}`", id.value),
            "give both the same id",
        );
    }
    let scientific_name = fields.text("scientific_name");
    let common_name = fields.text("common_name");
    let role = fields.word("role", &ROLES);
    let group = fields.id("group");
    if let (Some(group), Some(groups)) = (group, context.groups)
        && !groups.iter().any(|g| g.id == *group.value)
    {
        fields.fault(
            group.place,
            format!("`{}` is not a group of this key", group.value),
            meant(
                group.value,
                groups.iter().map(|g| g.id.as_str()),
                "add it to `groups` in key.yaml",
            ),
        );
    }
    let profile_yaml = fields.required("profile");
    let look_alike_items = fields.list("look_alikes");
    fields.close();

    let profile = profile_yaml
        .map(|yaml| read_profile(file, yaml, context, findings))
        .unwrap_or_default();
    let words = |text: Option<At<&str>>| text.map_or_else(String::new, |t| t.value.to_owned());
    let mut look_alikes = Vec::new();
    let mut places = Vec::new();
    for item in look_alike_items {
        if let Some(one) = read_look_alike(file, item, context, findings) {
            look_alikes.push(one);
            places.push(item.place);
        }
    }
    Some((
        Taxon {
            // The file's name counts: it is what other files mean, and where faults stand.
            id: TaxonId::new(id_of_file),
            // Placeholders where a field is faulty; the fault keeps the key back. Without the
            // taxon, right mentions of it elsewhere would be called wrong.
            scientific_name: words(scientific_name),
            common_name: words(common_name),
            role: role.unwrap_or(Role::Weed),
            group: GroupId::new(words(group)),
            profile,
            look_alikes,
        },
        TaxonPlaces {
            look_alikes: places,
        },
    ))
}

fn read_profile(
    file: &str,
    yaml: &Yaml,
    context: &Context,
    findings: &mut Findings,
) -> BTreeMap<TraitId, Vec<Fact>> {
    let mut profile = BTreeMap::new();
    let mut cell_places = BTreeMap::new();
    // Traits of which a fact could not be read: what is left of them proves nothing.
    let mut in_part = BTreeSet::new();
    let Value::Map(entries) = &yaml.value else {
        findings.fault(
            file,
            yaml.place,
            "`profile` must be a map of traits",
            "write `trait_id:` and under it a list of facts",
        );
        return profile;
    };
    for entry in entries {
        let Value::List(items) = &entry.value.value else {
            findings.fault(
                file,
                entry.value.place,
                format!("`{}` must be a list of facts", short(&entry.key)),
                "begin each fact with `- `; remove the trait where nothing is recorded",
            );
            continue;
        };
        // Without readable traits the facts can't be judged; their faults would be noise.
        let Some(traits) = context.traits else {
            continue;
        };
        let one = match traits.find(&entry.key) {
            Ok(one) => one,
            Err(Unfound::Unread) => continue,
            Err(Unfound::Unknown) => {
                findings.fault(
                    file,
                    entry.key_place,
                    format!("`{}` is not a trait of this key", short(&entry.key)),
                    meant(
                        &entry.key,
                        traits.ids(),
                        "add it to traits.yaml, or remove it here",
                    ),
                );
                continue;
            }
        };
        let mut facts: Vec<Fact> = Vec::new();
        for item in items {
            let Some(fact) = read_fact(file, item, one, context, findings) else {
                in_part.insert(&one.id);
                continue;
            };
            clashes(file, item.place, &fact, &facts, findings);
            facts.push(fact);
        }
        if !facts.is_empty() {
            cell_places.insert(one.id.clone(), entry.key_place);
            profile.insert(one.id.clone(), facts);
        }
    }
    for one in context.traits.map_or(&[][..], |t| &t.list) {
        let on = one.applies_to.as_ref().map(|applies| &applies.trait_id);
        if on.is_some_and(|on| in_part.contains(on)) {
            continue;
        }
        if let (Some(place), Some(reason)) = (cell_places.get(&one.id), cannot_occur(one, &profile))
        {
            findings.fault(
                file,
                *place,
                reason,
                "remove these facts, or correct the trait on which they depend",
            );
        }
    }
    profile
}

fn read_fact(
    file: &str,
    yaml: &Yaml,
    one: &Trait,
    context: &Context,
    findings: &mut Findings,
) -> Option<Fact> {
    let what = match &one.kind {
        TraitKind::States(_) | TraitKind::Ordered(_) => "a fact on a trait with states",
        TraitKind::Measure(_) => "a fact on a measure",
        TraitKind::Note => "a fact on a note",
    };
    let mut fields = Fields::open(file, yaml, what, findings)?;
    let value = match &one.kind {
        TraitKind::States(_) | TraitKind::Ordered(_) => read_state(&mut fields, one),
        TraitKind::Measure(measure) => {
            let range = fields.range("range");
            range.and_then(
                |At {
                     place,
                     value: (low, high),
                 }| {
                    // A low end of 0 stands for "only the upper bound is given".
                    let low_ok = low == 0.0 || low >= measure.lowest;
                    if low < 0.0 || !low_ok || high <= 0.0 || high > measure.highest {
                        fields.fault(
                            place,
                            format!(
                                "{low} to {high} {u} is outside the bounds of `{}`, {} to {} {u}",
                                one.id,
                                measure.lowest,
                                measure.highest,
                                u = measure.unit
                            ),
                            "check the unit, or widen `bounds` in traits.yaml",
                        );
                        return None;
                    }
                    Some(FactValue::Range { low, high })
                },
            )
        }
        TraitKind::Note => {
            let mark = fields.text("mark");
            let often = fields.word("often", &OFTEN);
            mark.zip(often).map(|(mark, often)| FactValue::Mark {
                mark: mark.value.to_owned(),
                often,
            })
        }
    };
    let source = fields.id("source");
    if let Some(source) = source {
        check_source(&mut fields, source, context.sources);
    }
    let plant = fields.optional_word("plant", &AGES);
    let note = fields.optional_text("note").map(|t| t.value.to_owned());
    fields.close();
    Some(Fact {
        value: value?,
        source: SourceId::new(source?.value),
        plant,
        note,
    })
}

fn read_state(fields: &mut Fields, one: &Trait) -> Option<FactValue> {
    let state = fields.text("state");
    let often = fields.word("often", &OFTEN);
    let state = state?;
    if one.state_index(state.value).is_none() {
        fields.fault(
            state.place,
            format!("`{}` is not a state of `{}`", short(state.value), one.id),
            meant_within(
                state.value,
                one.states().iter().map(|s| s.id.as_str()),
                "see its states in traits.yaml",
            ),
        );
        return None;
    }
    Some(FactValue::State {
        state: StateId::new(state.value),
        often: often?,
    })
}

/// One source can't say the same thing twice, nor `always` of two states; of seedlings it
/// may say something else than of grown plants.
fn clashes(file: &str, place: Place, fact: &Fact, before: &[Fact], findings: &mut Findings) {
    let same_plants = |f: &&Fact| f.source == fact.source && f.plant == fact.plant;
    for known in before.iter().filter(same_plants) {
        let (
            FactValue::State { state, often },
            FactValue::State {
                state: known_state,
                often: known_often,
            },
        ) = (&fact.value, &known.value)
        else {
            continue;
        };
        if state == known_state {
            findings.fault(
                file,
                place,
                format!("`{}` says `{state}` twice", fact.source),
                "keep one of the two, name the second source, or say of which `plant`",
            );
        } else if *often == Often::Always && *known_often == Often::Always {
            findings.fault(
                file,
                place,
                format!(
                    "`{}` says always `{state}` and always `{known_state}`",
                    fact.source
                ),
                "write `usually` or `sometimes` for at least one",
            );
        }
    }
}

/// Facts on a trait that never applies to this taxon.
fn cannot_occur(one: &Trait, profile: &BTreeMap<TraitId, Vec<Fact>>) -> Option<String> {
    let applies = one.applies_to.as_ref()?;
    let on = profile.get(&applies.trait_id)?;
    let possible = on.iter().any(
        |fact| matches!(&fact.value, FactValue::State { state, .. } if applies.states.contains(state)),
    );
    (!possible).then(|| {
        format!(
            "`{}` cannot occur here: it needs `{}` to be one of {}",
            one.id,
            applies.trait_id,
            applies
                .states
                .iter()
                .map(StateId::as_str)
                .collect::<Vec<_>>()
                .join(", ")
        )
    })
}

fn read_look_alike(
    file: &str,
    yaml: &Yaml,
    context: &Context,
    findings: &mut Findings,
) -> Option<LookAlike> {
    let mut fields = Fields::open(file, yaml, "a look-alike", findings)?;
    let taxon = fields.optional_text("taxon");
    let outside = fields.optional_text("outside");
    let separates = fields.text("separates");
    let source = fields.id("source");
    if let Some(source) = source {
        check_source(&mut fields, source, context.sources);
    }
    let other = match (taxon, outside) {
        (Some(taxon), None) => Some(LookAlikeOf::Taxon(TaxonId::new(taxon.value))),
        (None, Some(name)) => Some(LookAlikeOf::Outside(name.value.to_owned())),
        _ => {
            fields.fault(
                fields.place,
                "a look-alike is either in this key or outside it",
                "write `taxon: its_id`, or `outside: its name`, not both",
            );
            None
        }
    };
    fields.close();
    Some(LookAlike {
        other: other?,
        separates: separates?.value.to_owned(),
        source: SourceId::new(source?.value),
    })
}
