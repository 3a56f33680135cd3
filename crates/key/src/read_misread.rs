//! Reads how often a trait is misread, and as what.
//!
//! In: the `misread` map of a trait. Out: [`Misread`], or every fault in it.

use std::collections::BTreeMap;

use crate::fault::{meant_within, short};
use crate::fields::{At, Fields};
use crate::ids::{SourceId, StateId};
use crate::model::{Misread, Source, TakenFor, TraitKind};
use crate::read_traits::check_source;
use crate::yaml::Yaml;

/// More than this share of misread looks would make the trait worthless, or is a slip.
const MOST: f64 = 0.5;

pub(crate) fn read_misread(
    fields: &mut Fields,
    kind: Option<&TraitKind>,
    sources: Option<&BTreeMap<SourceId, Source>>,
) -> Option<Misread> {
    let yaml = fields.required("misread")?;
    let mut fields = Fields::open(fields.file, yaml, "`misread`", fields.findings)?;
    let rate = fields.number("rate");
    let pairs = fields.list("mixed_up");
    let counted = fields.list("taken_for");
    let source = fields.id("source");
    // Without readable states, unknown names here would only repeat that fault.
    let states: Option<Vec<&str>> = match kind {
        Some(TraitKind::States(states) | TraitKind::Ordered(states)) => {
            Some(states.iter().map(|s| s.id.as_str()).collect())
        }
        Some(_) => Some(Vec::new()),
        None => None,
    };
    let mixed_up = pairs
        .iter()
        .filter_map(|pair| read_pair(&mut fields, pair, states.as_deref()))
        .collect();
    let mut taken_for: Vec<TakenFor> = Vec::new();
    for item in counted {
        let read = read_taken_for(&mut fields, item, states.as_deref(), &taken_for);
        taken_for.extend(read);
    }
    if let Some(rate) = rate
        && !(0.0..=MOST).contains(&rate.value)
    {
        fields.fault(
            rate.place,
            format!(
                "a misreading rate of {} is not a share from 0 to {MOST}",
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
        taken_for,
        source: SourceId::new(source?.value),
    })
}

fn read_pair<'a>(
    fields: &mut Fields<'a, '_>,
    pair: &'a Yaml,
    states: Option<&[&str]>,
) -> Option<(StateId, StateId)> {
    let items = fields.as_list(pair, "mixed_up")?;
    let texts: Vec<At<&str>> = items
        .iter()
        .filter_map(|yaml| fields.as_text(yaml, "mixed_up"))
        .collect();
    let [one, other] = texts[..] else {
        fields.fault(
            pair.place,
            format!("a mixed-up pair has two states, this one {}", items.len()),
            "write `- [one, other]`",
        );
        return None;
    };
    for text in [one, other] {
        known_state(fields, text, states, "mixed_up");
    }
    Some((StateId::new(one.value), StateId::new(other.value)))
}

fn read_taken_for(
    fields: &mut Fields,
    yaml: &Yaml,
    states: Option<&[&str]>,
    before: &[TakenFor],
) -> Option<TakenFor> {
    let mut fields = Fields::open(fields.file, yaml, "an item of `taken_for`", fields.findings)?;
    let shown = fields.id("shown");
    let said = fields.id("said");
    let share = fields.number("share");
    for state in [shown, said].into_iter().flatten() {
        known_state(&mut fields, state, states, "taken_for");
    }
    fields.close();
    let (shown, said, share) = (shown?, said?, share?);
    if shown.value == said.value {
        fields.fault(
            said.place,
            format!("`{}` is taken for itself", said.value),
            "name the state that is reported instead",
        );
        return None;
    }
    let same = |t: &&TakenFor| t.shown == *shown.value;
    if before.iter().filter(same).any(|t| t.said == *said.value) {
        fields.fault(
            said.place,
            format!("`{}` taken for `{}` stands twice", shown.value, said.value),
            "remove one of the two",
        );
        return None;
    }
    let others: f64 = before.iter().filter(same).map(|t| t.share).sum();
    if !(share.value > 0.0 && share.value + others <= MOST) {
        fields.fault(
            share.place,
            format!(
                "`{}` would be taken for something else in a share of {} of looks; above 0 and \
                 all together at most {MOST} is possible",
                shown.value,
                share.value + others
            ),
            "write the share of looks at plants that show it, such as 0.2",
        );
        return None;
    }
    Some(TakenFor {
        shown: StateId::new(shown.value),
        said: StateId::new(said.value),
        share: share.value,
    })
}

fn known_state(fields: &mut Fields, text: At<&str>, states: Option<&[&str]>, list: &str) {
    let Some(states) = states else { return };
    if !states.contains(&text.value) {
        fields.fault(
            text.place,
            format!("`{}` is not a state of this trait", short(text.value)),
            meant_within(
                text.value,
                states.iter().copied(),
                &format!("{list} is for traits with states; remove it, or use ids of its states"),
            ),
        );
    }
}
