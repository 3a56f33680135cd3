//! Sets of traits that say partly the same, read from `traits.yaml`.
//!
//! In: the list `together`. Out: [`Together`], or every fault in it. A trait may stand in one
//! set only: an answer can't be told twice that it says less.

use std::collections::{BTreeMap, BTreeSet};

use crate::fault::{Findings, meant, short};
use crate::fields::Fields;
use crate::ids::{SourceId, TraitId};
use crate::model::{Source, Together};
use crate::read_traits::{Traits, check_source};
use crate::yaml::Yaml;

pub(crate) fn read(
    file: &str,
    items: &[Yaml],
    traits: &Traits,
    sources: Option<&BTreeMap<SourceId, Source>>,
    findings: &mut Findings,
) -> Vec<Together> {
    let mut all = Vec::new();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    for item in items {
        let Some(mut fields) = Fields::open(file, item, "an item of `together`", findings) else {
            continue;
        };
        let names = fields.texts("traits");
        let overlap = fields.number("overlap");
        let source = fields.id("source");
        for name in &names {
            let known = traits.ids().any(|id| id == name.value);
            if !known {
                fields.fault(
                    name.place,
                    format!("`{}` is not a trait of this key", short(name.value)),
                    meant(name.value, traits.ids(), "use ids of traits.yaml"),
                );
            } else if !seen.insert(name.value.to_owned()) {
                fields.fault(
                    name.place,
                    format!("`{}` stands in `together` twice", name.value),
                    "leave it in one set only",
                );
            }
        }
        if names.len() < 2 {
            fields.fault(
                fields.place,
                format!(
                    "a set of `together` has two traits or more, this one {}",
                    names.len()
                ),
                "write `traits: [one, other]`",
            );
        }
        if let Some(overlap) = overlap
            && !(0.0..=1.0).contains(&overlap.value)
        {
            fields.fault(
                overlap.place,
                format!("an overlap of {} is not from 0 to 1", overlap.value),
                "write which part of a further answer was said already, such as 0.2",
            );
        }
        if let Some(source) = source {
            check_source(&mut fields, source, sources);
        }
        fields.close();
        if let (Some(overlap), Some(source)) = (overlap, source) {
            all.push(Together {
                traits: names.iter().map(|n| TraitId::new(n.value)).collect(),
                overlap: overlap.value,
                source: SourceId::new(source.value),
            });
        }
    }
    all
}
