//! Which grasses are asked about: what was sown, and what it may be taken for.
//!
//! In: the key and a planting, or none. Out: ids of taxa. Taken for it are its look-alikes by any source
//! of the key, and all grasses of the genera that are named wrongly most often.

use std::collections::BTreeSet;

use standbook_fieldbook::record::Planting;
use standbook_key::{Key, LookAlikeOf, Role, Taxon};

use crate::stand::resolve::genus_of;

/// Genera that are named wrongly most often.
const HARD_GENERA: [&str; 3] = ["Setaria", "Digitaria", "Echinochloa"];

/// What is asked about.
pub(crate) struct Asked {
    /// What counts as planted: the mix, or, without a planting, all that are sown in native plantings.
    pub planted: BTreeSet<String>,
    /// What they may be taken for.
    pub others: BTreeSet<String>,
    /// Whether the planted ones are those of a planting.
    pub of_planting: bool,
}

impl Asked {
    /// Of a planting, or of the whole key.
    pub fn of(key: &Key, planting: Option<&Planting>) -> Asked {
        let mix: BTreeSet<String> = planting
            .iter()
            .flat_map(|planting| &planting.mix)
            .filter(|item| key.taxon(&item.taxon).is_some())
            .map(|item| item.taxon.clone())
            .collect();
        let of_planting = !mix.is_empty();
        let planted = match of_planting {
            true => mix,
            false => key
                .taxa
                .iter()
                .filter(|taxon| taxon.role == Role::Planted)
                .map(|taxon| taxon.id.to_string())
                .collect(),
        };
        let others = key
            .taxa
            .iter()
            .filter(|taxon| !planted.contains(taxon.id.as_str()))
            .filter(|taxon| {
                is_hard(taxon)
                    || planted
                        .iter()
                        .any(|name| are_look_alikes(key, name, taxon.id.as_str()))
            })
            .map(|taxon| taxon.id.to_string())
            .collect();
        Asked {
            planted,
            others,
            of_planting,
        }
    }
}

/// Whether it is of a genus that is named wrongly most often.
pub(super) fn is_hard(taxon: &Taxon) -> bool {
    HARD_GENERA.contains(&genus_of(taxon))
}

/// Whether a source says of either that it is taken for the other.
pub(super) fn are_look_alikes(key: &Key, one: &str, other: &str) -> bool {
    let says = |of: &str, name: &str| {
        key.taxon(of).is_some_and(|taxon| {
            taxon
                .look_alikes
                .iter()
                .any(|alike| matches!(&alike.other, LookAlikeOf::Taxon(id) if id.as_str() == name))
        })
    };
    says(one, other) || says(other, one)
}
