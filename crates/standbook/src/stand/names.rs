//! What the names in a file and on the command line mean.
//!
//! In: taxa as people wrote them. Out: taxa of the key, plants without a name, what each is to the
//! count; or what is wrong, with the name that was perhaps meant.
//! Not here: reading the file (`super::frames`).

use std::collections::{BTreeMap, BTreeSet};

use standbook_judge::{About, Label, Role};
use standbook_key::fault::{short, suggest};
use standbook_key::{Key, Role as KeyRole};

use super::frames::{Fault, Read};
use crate::trouble::Trouble;

/// What may stand in the column `taxon`.
const OTHERWISE: &str =
    "use a name of the key, `unknown ...` for a plant without a name, or `not_in_key`";

/// The id of a taxon written as id, common or scientific name, whatever the case of letters.
fn taxon_id(key: &Key, written: &str) -> Option<String> {
    let wanted = written.to_lowercase();
    key.taxa
        .iter()
        .find(|taxon| {
            taxon.id.as_str() == wanted
                || taxon.common_name.to_lowercase() == wanted
                || taxon.scientific_name.to_lowercase() == wanted
        })
        .map(|taxon| taxon.id.to_string())
}

fn meant(key: &Key, written: &str, otherwise: &str) -> String {
    let names: Vec<&str> = key
        .taxa
        .iter()
        .flat_map(|taxon| {
            [
                taxon.id.as_str(),
                taxon.common_name.as_str(),
                taxon.scientific_name.as_str(),
            ]
        })
        .collect();
    suggest(written, names.iter().copied(), otherwise)
}

/// What was sown, by id.
pub(super) fn planted(key: &Key, written: &[String]) -> Result<BTreeSet<String>, Trouble> {
    let names = written
        .iter()
        .map(|name| name.trim())
        .filter(|n| !n.is_empty());
    names
        .map(|name| {
            taxon_id(key, name).ok_or_else(|| Trouble::CommandLine {
                message: format!("--planted: the key has no taxon `{}`", short(name)),
                hint: meant(
                    key,
                    name,
                    "run `standbook stand --help`; names are those of the key",
                ),
            })
        })
        .collect()
}

/// What every taxon of the file is.
pub(super) fn labels(key: &Key, read: &Read) -> Result<BTreeMap<String, Label>, Vec<Fault>> {
    let mut labels = BTreeMap::new();
    let mut faults: Vec<Fault> = Vec::new();
    for (written, line) in &read.taxa {
        let label = match written.to_lowercase().as_str() {
            standbook_identify::NOT_IN_KEY | "not in this key" => Label::NotInKey,
            other if other == "unknown" || other.starts_with("unknown ") => {
                // One plant, however the word is written.
                Label::Unknown(other.to_owned())
            }
            _ => match taxon_id(key, written) {
                Some(id) => Label::Taxon(id),
                None => {
                    let fault = format!(
                        "{}: the key has no `{}`; {}",
                        read.place("taxon"),
                        short(written),
                        meant(key, written, OTHERWISE)
                    );
                    faults.push((*line, fault));
                    continue;
                }
            },
        };
        labels.insert(written.clone(), label);
    }
    if faults.is_empty() {
        Ok(labels)
    } else {
        Err(faults)
    }
}

/// What every label is to the count.
pub(super) fn about<'l>(
    key: &Key,
    planted: &BTreeSet<String>,
    labels: impl Iterator<Item = &'l Label>,
) -> BTreeMap<Label, About> {
    let sown = planted.iter().map(|id| Label::Taxon(id.clone()));
    labels
        .cloned()
        .chain(sown)
        .map(|label| {
            let taxon = label.taxon().and_then(|id| key.taxon(id));
            let role = match (&label, taxon.map(|taxon| taxon.role)) {
                (Label::Taxon(id), _) if planted.contains(id) => Role::Planted,
                (Label::Unknown(_), _) => Role::Unsettled,
                (_, Some(KeyRole::Planted | KeyRole::Volunteer)) => Role::Volunteer,
                _ => Role::Weed,
            };
            let group = taxon.map_or_else(String::new, |taxon| taxon.group.to_string());
            (label, About { group, role })
        })
        .collect()
}
