//! What the names in a file and on the command line mean.
//!
//! In: taxa as people wrote them. Out: taxa of the key, plants without a name, what each is to the
//! count; or what is wrong, with the name that was perhaps meant.
//! Not here: reading the file (crate `import`).

use std::collections::{BTreeMap, BTreeSet};

use standbook_judge::{About, Label, Role};
use standbook_key::fault::short;
use standbook_key::{Key, Role as KeyRole};

use crate::trouble::Trouble;
use standbook_import::Fault;
use standbook_import::frames::Read;
use standbook_import::names::Names;

/// What may stand in the column `taxon`.
const OTHERWISE: &str =
    "use a name of the key, `unknown ...` for a plant without a name, or `not_in_key`";

/// What was sown, by id.
pub(super) fn planted(key: &Key, written: &[String]) -> Result<BTreeSet<String>, Trouble> {
    let names = written
        .iter()
        .map(|name| name.trim())
        .filter(|n| !n.is_empty());
    let known = Names::of(key);
    names
        .map(|name| {
            let id = known.exact(name).map(str::to_owned);
            id.ok_or_else(|| Trouble::CommandLine {
                message: format!("--planted: the key has no taxon `{}`", short(name)),
                hint: known.meant(
                    name,
                    "run `standbook stand --help`; names are those of the key",
                ),
            })
        })
        .collect()
}

/// What every taxon of the file is.
pub(super) fn labels(key: &Key, read: &Read) -> Result<BTreeMap<String, Label>, Vec<Fault>> {
    let known = Names::of(key);
    let mut labels = BTreeMap::new();
    let mut faults: Vec<Fault> = Vec::new();
    for (written, line) in &read.taxa {
        let label = match written.to_lowercase().as_str() {
            standbook_identify::NOT_IN_KEY | "not in this key" => Label::NotInKey,
            other if other == "unknown" || other.starts_with("unknown ") => {
                // One plant, however the word is written.
                Label::Unknown(other.to_owned())
            }
            _ => match known.exact(written) {
                Some(id) => Label::Taxon(id.to_owned()),
                None => {
                    let said = known.unknown(written, OTHERWISE);
                    let fault = format!("{}: {said}", read.place("taxon"));
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
