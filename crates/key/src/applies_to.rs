//! Traits that apply only given another: reading the condition, refusing circles.
//!
//! In: the `applies_to` of a trait and all traits read so far. Out: the condition with every
//! id known, and a fault for traits that wait for each other.

use std::collections::{BTreeMap, BTreeSet};

use crate::fault::{Findings, Place, meant_within, short};
use crate::fields::{At, Fields};
use crate::ids::{StateId, TraitId};
use crate::model::{AppliesTo, Trait};
use crate::read_traits::{FILE, Traits, Unfound};
use crate::yaml::Yaml;

/// Two traits that each wait for the other can never be looked at.
pub(crate) fn refuse_circles(
    traits: &[Trait],
    places: &BTreeMap<TraitId, Place>,
    findings: &mut Findings,
) {
    let needs: BTreeMap<&TraitId, &TraitId> = traits
        .iter()
        .filter_map(|t| Some((&t.id, &t.applies_to.as_ref()?.trait_id)))
        .collect();
    let mut told = BTreeSet::new();
    for one in needs.keys() {
        let mut circle = vec![*one];
        while let Some(next) = circle.last().and_then(|last| needs.get(last)) {
            if next == one && !told.contains(one) {
                let names: Vec<&str> = circle.iter().map(|id| id.as_str()).collect();
                findings.fault(
                    FILE,
                    places.get(*one).copied().unwrap_or(Place::START),
                    format!("{} apply only given one another", names.join(", ")),
                    "remove one of these `applies_to`: the first trait looked at needs none",
                );
                told.extend(circle.iter().copied());
            }
            if told.contains(next) || circle.contains(next) {
                break;
            }
            circle.push(next);
        }
    }
}

/// Reads the condition of trait `of`; `None` when any part of it can't be known.
pub(crate) fn read(
    yaml: &Yaml,
    traits: &Traits,
    of: Option<&str>,
    findings: &mut Findings,
) -> Option<AppliesTo> {
    let mut fields = Fields::open(FILE, yaml, "`applies_to`", findings)?;
    let other = fields.id("trait");
    let states_yaml = fields.required("states");
    let items = states_yaml.and_then(|yaml| fields.as_list(yaml, "states"));
    fields.close();
    let states: Vec<At<&str>> = items
        .unwrap_or(&[])
        .iter()
        .filter_map(|yaml| fields.as_text(yaml, "states"))
        .collect();
    if items.is_some_and(<[Yaml]>::is_empty) {
        fields.fault(
            fields.place,
            "`applies_to` names no state",
            "write `states: [...]` with the states for which this trait can be seen",
        );
    }
    let other = other?;
    let target = match traits.find(other.value) {
        Err(Unfound::Unread) => return None,
        Ok(one) if Some(one.id.as_str()) != of && !one.states().is_empty() => one,
        _ => {
            let with_states = traits
                .list
                .iter()
                .filter(|t| Some(t.id.as_str()) != of && !t.states().is_empty());
            fields.fault(
                other.place,
                format!("`{}` is not another trait with states", short(other.value)),
                meant_within(
                    other.value,
                    with_states.map(|t| t.id.as_str()),
                    "name another trait of this file that has states",
                ),
            );
            return None;
        }
    };
    let mut all_known = !states.is_empty() && items.is_some_and(|i| i.len() == states.len());
    for state in &states {
        if target.state_index(state.value).is_none() {
            all_known = false;
            fields.fault(
                state.place,
                format!("`{}` is not a state of `{}`", short(state.value), target.id),
                meant_within(
                    state.value,
                    target.states().iter().map(|s| s.id.as_str()),
                    "see its states in traits.yaml",
                ),
            );
        }
    }
    // Without all its states, facts on this trait can't be said to occur or not.
    all_known.then(|| AppliesTo {
        trait_id: target.id.clone(),
        states: states.iter().map(|s| StateId::new(s.value)).collect(),
    })
}
