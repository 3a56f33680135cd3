//! What a name in a file or on a sheet means.
//!
//! In: a taxon as somebody wrote it. Out: its id in the key, or the names that were perhaps meant.
//! Nothing is guessed: a name that could be two is none.

use std::collections::BTreeMap;

use standbook_key::Key;
use standbook_key::fault::{short, suggest};

/// The names of a key: ids, common and scientific names, whatever the case of letters.
#[derive(Debug)]
pub struct Names<'k> {
    key: &'k Key,
    /// Lower-case name, and the taxa that go by it.
    known: BTreeMap<String, Vec<&'k str>>,
}

impl<'k> Names<'k> {
    /// The names of a key.
    pub fn of(key: &'k Key) -> Names<'k> {
        let mut known: BTreeMap<String, Vec<&str>> = BTreeMap::new();
        for taxon in &key.taxa {
            for name in [
                taxon.id.as_str(),
                &taxon.common_name,
                &taxon.scientific_name,
            ] {
                let ids = known.entry(name.to_lowercase()).or_default();
                if !ids.contains(&taxon.id.as_str()) {
                    ids.push(taxon.id.as_str());
                }
            }
        }
        Names { key, known }
    }

    /// The id of the one taxon that goes by a name.
    pub fn exact(&self, written: &str) -> Option<&'k str> {
        match self.known.get(&spaced(written))?.as_slice() {
            [id] => Some(id),
            _ => None,
        }
    }

    /// The same for the beginning of a name, as a person with a stack of sheets writes it.
    ///
    /// # Errors
    /// What is wrong and how to mend it: no name begins so, or several do.
    pub fn begun(&self, written: &str) -> Result<&'k str, String> {
        let wanted = spaced(written);
        if let Some(id) = self.exact(&wanted) {
            return Ok(id);
        }
        let mut ids: Vec<&str> = Vec::new();
        for (name, taxa) in self.known.range(wanted.clone()..) {
            if wanted.is_empty() || !name.starts_with(&wanted) {
                break;
            }
            ids.extend(
                taxa.iter()
                    .filter(|id| !ids.contains(id))
                    .copied()
                    .collect::<Vec<_>>(),
            );
        }
        match ids.as_slice() {
            [id] => Ok(id),
            [] => Err(self.unknown(written, "write a name of the key, or its beginning")),
            several => {
                let names: Vec<&str> = several.iter().take(6).map(|id| self.common(id)).collect();
                Err(format!(
                    "`{}` may be {}; write more of the name",
                    short(written),
                    names.join(" or ")
                ))
            }
        }
    }

    /// That a name is not in the key, or belongs to two taxa, and which was perhaps meant.
    pub fn unknown(&self, written: &str, otherwise: &str) -> String {
        if let Some(ids) = self.known.get(&spaced(written)).filter(|ids| ids.len() > 1) {
            return format!(
                "the key has {} taxa called `{}`; write one of the ids {}",
                ids.len(),
                short(written),
                ids.join(", ")
            );
        }
        format!(
            "the key has no `{}`; {}",
            short(written),
            self.meant(written, otherwise)
        )
    }

    /// `did you mean ...?` with the nearest name of the key, or what else to do.
    pub fn meant(&self, written: &str, otherwise: &str) -> String {
        let names = self.key.taxa.iter().flat_map(|taxon| {
            [
                taxon.id.as_str(),
                taxon.common_name.as_str(),
                taxon.scientific_name.as_str(),
            ]
        });
        suggest(written, names, otherwise)
    }

    /// The common name of a taxon; its id where the key has none.
    pub fn common<'a>(&self, id: &'a str) -> &'a str
    where
        'k: 'a,
    {
        let taxon = self.key.taxon(id);
        taxon.map_or(id, |taxon| taxon.common_name.as_str())
    }
}

/// Lower case, and one space where there were several: spreadsheets pad.
fn spaced(text: &str) -> String {
    let words: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}
