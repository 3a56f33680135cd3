//! Names of plants as other programs want them: a scientific name that is certain, its rank, and what
//! is doubtful apart from it.
//!
//! In: ids of the key, and what reviewers wrote. Out: the lowest name that is certain, without any mark
//! of doubt inside; the doubt as a qualifier. Source for qualifiers: Darwin Core, identificationQualifier
//! (`cf. faberi` beside the genus `Setaria`).

use std::collections::BTreeSet;

use standbook_fieldbook::record::{Opinion, Qualifier};
use standbook_key::{Key, Taxon};

/// What the engine calls a plant outside its key; never a taxon.
const NOT_IN_KEY: &str = "not_in_key";

/// All that is certain of a plant without a name.
pub(crate) const KINGDOM: &str = "Plantae";

/// Marks of doubt between or before the words of a name.
const QUALIFIERS: [&str; 6] = ["cf.", "cf", "aff.", "aff", "nr.", "?"];

/// Marks that a genus is all there is.
const GENUS_ONLY: [&str; 4] = ["sp.", "sp", "spp.", "spp"];

/// A name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Named {
    /// Id of the key, where the name says exactly that; empty: no certain name of the key.
    pub taxon: String,
    /// Id of the taxon that the Stand counts it as, which a name that has to be compared (*cf.*) is enough
    /// for; empty: none.
    pub counts_as: String,
    /// The lowest name that is certain.
    pub scientific: String,
    /// Its rank.
    pub rank: &'static str,
    /// Common name; empty where it would say more than is certain.
    pub vernacular: String,
    /// The doubt, such as `cf. faberi`; may be empty.
    pub qualifier: String,
    /// As it was said.
    pub verbatim: String,
}

impl Named {
    /// No name at all.
    pub fn nothing(verbatim: &str) -> Named {
        Named {
            taxon: String::new(),
            counts_as: String::new(),
            scientific: KINGDOM.to_owned(),
            rank: "kingdom",
            vernacular: String::new(),
            qualifier: String::new(),
            verbatim: verbatim.to_owned(),
        }
    }

    fn genus(genus: &str, qualifier: String, verbatim: &str) -> Named {
        Named {
            scientific: genus.to_owned(),
            rank: "genus",
            qualifier,
            ..Named::nothing(verbatim)
        }
    }
}

/// The names of a key.
pub(crate) struct Taxa<'a> {
    key: &'a Key,
    genera: BTreeSet<&'a str>,
}

impl<'a> Taxa<'a> {
    pub fn of(key: &'a Key) -> Taxa<'a> {
        let names = key.taxa.iter().map(|taxon| &taxon.scientific_name);
        let genera = names.filter_map(|name| name.split(' ').next()).collect();
        Taxa { key, genera }
    }

    /// The genus of a taxon.
    pub fn genus(&self, id: &str) -> Option<String> {
        let name = &self.get(id)?.scientific_name;
        name.split(' ').next().map(str::to_owned)
    }

    /// The taxon with this id.
    pub fn get(&self, id: &str) -> Option<&'a Taxon> {
        self.key.taxon(id)
    }

    /// A taxon by its id. One that this key does not have says nothing that is certain.
    pub fn by_id(&self, id: &str) -> Named {
        match self.get(id) {
            _ if id == NOT_IN_KEY => Named::nothing("no name of the key"),
            None => Named::nothing(id),
            Some(taxon) => Named {
                taxon: id.to_owned(),
                counts_as: id.to_owned(),
                scientific: taxon.scientific_name.clone(),
                rank: rank(&taxon.scientific_name),
                vernacular: taxon.common_name.clone(),
                qualifier: String::new(),
                verbatim: taxon.common_name.clone(),
            },
        }
    }

    /// What a scout settled for.
    pub fn by_scout(&self, taxon: Option<&str>) -> Named {
        taxon.map_or_else(|| Named::nothing("no name"), |id| self.by_id(id))
    }

    /// What a reviewer said: the taxon, and no more of it than she is sure of.
    pub fn by_opinion(&self, opinion: &Opinion) -> Named {
        let written = opinion.name_as_written.trim();
        let said = |named: Named| match written.is_empty() {
            true => named,
            false => Named {
                verbatim: written.to_owned(),
                ..named
            },
        };
        let named = match &opinion.taxon {
            Some(id) => self.by_id(id),
            None => Named::nothing("no name of the key"),
        };
        let (genus, epithet) = named.scientific.split_once(' ').unwrap_or_default();
        match (opinion.qualifier, &opinion.genus) {
            // Compared with the species, hence of its genus; near it: of its genus or not, nobody said.
            (Some(Qualifier::Cf), _) if !genus.is_empty() => {
                let verbatim = format!("{genus} cf. {epithet}");
                said(Named {
                    counts_as: named.counts_as,
                    ..Named::genus(genus, format!("cf. {epithet}"), &verbatim)
                })
            }
            (Some(doubt), _) => {
                let sign = match doubt {
                    Qualifier::Cf => "cf.",
                    Qualifier::Aff => "aff.",
                };
                let qualifier = format!("{sign} {}", named.scientific);
                said(Named {
                    verbatim: qualifier.clone(),
                    qualifier,
                    ..Named::nothing("")
                })
            }
            (None, Some(genus)) => said(Named::genus(genus, String::new(), genus)),
            (None, None) if written.is_empty() => named,
            (None, None) => self.in_words(written, named),
        }
    }

    /// A name in a reviewer's own words, beside the taxon that was chosen. Books of earlier versions hold
    /// doubt nowhere else.
    fn in_words(&self, written: &str, named: Named) -> Named {
        let words: Vec<&str> = written.split_whitespace().collect();
        let doubt = words.iter().position(|word| {
            QUALIFIERS.contains(&word.to_lowercase().as_str()) || word.ends_with('?')
        });
        let genus = words.first().copied().filter(|word| is_genus(word));
        let second = words.get(1).map(|word| word.to_lowercase());
        let only_genus = second.is_some_and(|word| GENUS_ONLY.contains(&word.as_str()));
        let counts_as = named.counts_as.clone();
        match (doubt, genus) {
            // All of the name is in doubt.
            (Some(0), _) | (Some(_), None) => Named {
                qualifier: written.to_owned(),
                counts_as,
                ..Named::nothing(written)
            },
            (Some(_), Some(genus)) => Named {
                counts_as,
                ..Named::genus(genus, words[1..].join(" "), written)
            },
            (None, Some(genus)) if only_genus => Named {
                counts_as,
                ..Named::genus(genus, String::new(), written)
            },
            // A common name can look like a genus and a species: only a genus of the key is believed.
            (None, Some(genus)) if named.taxon.is_empty() && self.genera.contains(genus) => {
                match words.as_slice() {
                    [_, species] if is_epithet(species) => Named {
                        scientific: written.to_owned(),
                        rank: "species",
                        ..Named::nothing(written)
                    },
                    _ => Named::genus(genus, String::new(), written),
                }
            }
            _ => Named {
                verbatim: written.to_owned(),
                ..named
            },
        }
    }
}

fn rank(scientific: &str) -> &'static str {
    match scientific.split(' ').count() {
        1 => "genus",
        2 => "species",
        _ => "subspecies",
    }
}

fn is_genus(word: &str) -> bool {
    let mut letters = word.chars();
    letters
        .next()
        .is_some_and(|first| first.is_ascii_uppercase())
        && word.len() > 2
        && letters.all(|letter| letter.is_ascii_lowercase())
}

fn is_epithet(word: &str) -> bool {
    word.len() > 2 && word.chars().all(|c| c.is_ascii_lowercase() || c == '-')
}
