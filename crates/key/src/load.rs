//! Reads a whole key and checks it: every fault at once.
//!
//! In: the files of one folder. Out: the key if nothing is wrong with it, and the report.
//! A fault in one file does not hide those of another.

use std::collections::{BTreeMap, BTreeSet};

use crate::couplet;
use crate::fault::{Findings, Place, Report, meant, short};
use crate::fields::{At, Fields};
use crate::files::KeyFiles;
use crate::ids::{GroupId, SourceId, is_id};
use crate::model::{Group, Key, LookAlikeOf, Source, Taxon, Trait};
use crate::pairs;
use crate::read_couplets;
use crate::read_taxon::{self, TaxonPlaces};
use crate::read_traits;
use crate::yaml::{self, Yaml};

/// A key as far as it could be read.
#[derive(Debug, Clone)]
pub struct Loaded {
    /// The key; `None` when the report holds a fault.
    pub key: Option<Key>,
    /// Everything found.
    pub report: Report,
}

/// Reads and checks the files of a key.
pub fn load(files: &KeyFiles) -> Loaded {
    let mut findings = Findings::default();
    let mut known_files = BTreeSet::new();
    let mut top = |name: &'static str, needed: bool, findings: &mut Findings| {
        known_files.insert(name.to_owned());
        read_file(files, name, needed, findings)
    };
    let head = top("key.yaml", true, &mut findings);
    let sources = top("sources.yaml", true, &mut findings);
    let traits = top("traits.yaml", true, &mut findings);
    let written = top("couplets.yaml", false, &mut findings);

    let sources = sources.and_then(|yaml| read_sources(&yaml, &mut findings));
    let head = head.and_then(|yaml| read_head(&yaml, &mut findings));
    let traits = traits.and_then(|yaml| read_traits::read(&yaml, sources.as_ref(), &mut findings));

    // Every taxon with a file is known, readable or not: one broken file must not make its
    // mentions in the others look wrong.
    let mut taxon_ids: Vec<&str> = Vec::new();
    let mut taxa: Vec<(Taxon, TaxonPlaces)> = Vec::new();
    for (name, bytes) in files.iter() {
        if known_files.contains(name) {
            continue;
        }
        let id = name
            .strip_prefix("taxa/")
            .and_then(|rest| rest.strip_suffix(".yaml"));
        let Some(id) = id.filter(|id| is_id(id)) else {
            findings.fault(
                name,
                Place::START,
                "a key has no such file",
                "name it key.yaml, traits.yaml, sources.yaml, couplets.yaml or taxa/<taxon id>.yaml",
            );
            continue;
        };
        taxon_ids.push(id);
        let Some(yaml) = yaml::read(name, bytes, &mut findings) else {
            continue;
        };
        let context = read_taxon::Context {
            traits: traits.as_ref(),
            sources: sources.as_ref(),
            groups: head.as_ref().map(|h| h.groups.as_slice()),
        };
        taxa.extend(read_taxon::read(name, id, &yaml, &context, &mut findings));
    }
    if taxa.is_empty() && !files.iter().any(|(name, _)| name.starts_with("taxa/")) {
        findings.fault(
            "key.yaml",
            Place::START,
            "the key has no taxa",
            "add a file taxa/<taxon id>.yaml for each",
        );
    }
    taxon_ids.sort_unstable();
    taxa.sort_by(|a, b| a.0.id.cmp(&b.0.id));
    check_look_alikes(&taxa, &taxon_ids, &mut findings);
    let taxa: Vec<Taxon> = taxa.into_iter().map(|(taxon, _)| taxon).collect();

    let couplets = written.and_then(|yaml| {
        let read = read_couplets::read(&yaml, traits.as_ref(), &taxon_ids, &mut findings)?;
        couplet::check(
            "couplets.yaml",
            &read.couplets,
            &read.places,
            read.complete,
            &taxa,
            &mut findings,
        );
        Some(read.couplets)
    });
    if let Some(traits) = &traits {
        pairs::note_unseparated(&traits.list, &taxa, &mut findings);
        note_unused_states(&traits.list, &taxa, &mut findings);
    }

    let report = findings.into_report();
    let key = match (head, sources, traits) {
        (Some(head), Some(sources), Some(traits)) if report.is_sound() => Some(Key {
            id: head.id,
            title: head.title,
            scope: head.scope,
            season: head.season,
            region: head.region,
            authors: head.authors,
            cautions: head.cautions,
            groups: head.groups,
            sources,
            traits: traits.list,
            together: traits.together,
            taxa,
            couplets,
        }),
        _ => None,
    };
    Loaded { key, report }
}

fn read_file(files: &KeyFiles, name: &str, needed: bool, findings: &mut Findings) -> Option<Yaml> {
    match files.get(name) {
        Some(bytes) => yaml::read(name, bytes, findings),
        None => {
            if needed {
                findings.fault(
                    name,
                    Place::START,
                    "the file is missing",
                    "add it; a key needs key.yaml, traits.yaml, sources.yaml and taxa/",
                );
            }
            None
        }
    }
}

struct Head {
    id: String,
    title: String,
    scope: String,
    season: String,
    region: String,
    authors: Vec<String>,
    cautions: Vec<String>,
    groups: Vec<Group>,
}

fn read_head(yaml: &Yaml, findings: &mut Findings) -> Option<Head> {
    let file = "key.yaml";
    let mut fields = Fields::open(file, yaml, "a key", findings)?;
    // A key's id is the name of its folder, where hyphens are usual.
    let id = fields.text("id");
    if let Some(At { place, value }) = id
        && !is_id(&value.replace('-', "_"))
    {
        fields.fault(
            place,
            format!("`{}` is not an id", short(value)),
            "use lower-case letters, digits, `_` and `-`, beginning with a letter",
        );
    }
    let title = fields.text("title");
    let scope = fields.text("scope");
    let season = fields.text("season");
    let region = fields.text("region");
    let authors = owned(fields.texts("authors"));
    let cautions = owned(fields.texts("cautions"));
    let list = fields.required("groups");
    let items = list
        .and_then(|yaml| fields.as_list(yaml, "groups"))
        .unwrap_or(&[]);
    fields.close();
    let mut groups: Vec<Group> = Vec::new();
    for item in items {
        let Some(mut fields) = Fields::open(file, item, "a group", findings) else {
            continue;
        };
        let id = fields.id("id");
        let name = fields.text("name");
        if let Some(id) = id
            && groups.iter().any(|g| g.id == *id.value)
        {
            fields.fault(
                id.place,
                format!("group `{}` stands twice", id.value),
                "remove one of the two",
            );
        }
        fields.close();
        if let Some(id) = id {
            // A group with a faulty name still exists: taxa that name it are right.
            groups.push(Group {
                id: GroupId::new(id.value),
                name: name.map_or_else(String::new, |t| t.value.to_owned()),
            });
        }
    }
    Some(Head {
        id: id?.value.to_owned(),
        title: title?.value.to_owned(),
        scope: scope?.value.to_owned(),
        season: season?.value.to_owned(),
        region: region?.value.to_owned(),
        authors,
        cautions,
        groups,
    })
}

fn read_sources(yaml: &Yaml, findings: &mut Findings) -> Option<BTreeMap<SourceId, Source>> {
    let file = "sources.yaml";
    let mut fields = Fields::open(file, yaml, "the list of sources", findings)?;
    let list = fields.required("sources");
    let items = list.and_then(|yaml| fields.as_list(yaml, "sources"));
    fields.close();
    let mut sources = BTreeMap::new();
    let mut voices = Vec::new();
    for item in items? {
        let Some(mut fields) = Fields::open(file, item, "a source", findings) else {
            continue;
        };
        let id = fields.id("id");
        let citation = fields.text("citation");
        let urls = owned(fields.texts("urls"));
        let kind = fields.text("kind");
        let with = fields.optional_text("counts_with");
        if let (Some(id), Some(with)) = (id, with) {
            voices.push((id, with));
        }
        if let Some(id) = id {
            // A source with a faulty field still exists: cells that name it are right.
            let known = sources.insert(
                SourceId::new(id.value),
                Source {
                    citation: citation.map_or_else(String::new, |t| t.value.to_owned()),
                    urls,
                    kind: kind.map_or_else(String::new, |t| t.value.to_owned()),
                    counts_with: with.map(|t| SourceId::new(t.value)),
                },
            );
            if known.is_some() {
                fields.fault(
                    id.place,
                    format!("source `{}` stands twice", id.value),
                    "merge the two, or give one another id",
                );
            }
        }
        fields.close();
    }
    check_voices(&sources, &voices, file, findings);
    Some(sources)
}

/// A source counts with another that stands for itself.
fn check_voices(
    sources: &BTreeMap<SourceId, Source>,
    voices: &[(At<&str>, At<&str>)],
    file: &str,
    findings: &mut Findings,
) {
    for (id, with) in voices {
        match sources.get(&SourceId::new(with.value)) {
            None => findings.fault(
                file,
                with.place,
                format!("`{}` is not a source of this key", short(with.value)),
                meant(
                    with.value,
                    sources.keys().map(SourceId::as_str),
                    "name the source whose text or author it shares",
                ),
            ),
            Some(other) if other.counts_with.is_some() || with.value == id.value => findings.fault(
                file,
                with.place,
                format!("`{}` does not stand for itself", with.value),
                "name the one source that all of them count with",
            ),
            Some(_) => {}
        }
    }
}

fn owned(texts: Vec<At<&str>>) -> Vec<String> {
    texts.into_iter().map(|t| t.value.to_owned()).collect()
}

fn check_look_alikes(taxa: &[(Taxon, TaxonPlaces)], taxon_ids: &[&str], findings: &mut Findings) {
    for (taxon, places) in taxa {
        for (look_alike, place) in taxon.look_alikes.iter().zip(&places.look_alikes) {
            let LookAlikeOf::Taxon(other) = &look_alike.other else {
                continue;
            };
            let file = format!("taxa/{}.yaml", taxon.id);
            if *other == taxon.id {
                findings.fault(
                    &file,
                    *place,
                    format!("`{other}` is named as its own look-alike"),
                    "name the other taxon",
                );
            } else if taxon_ids.binary_search(&other.as_str()).is_err() {
                findings.fault(
                    &file,
                    *place,
                    format!("`{other}` is not a taxon of this key"),
                    meant(
                        other.as_str(),
                        taxon_ids.iter().copied(),
                        "for a plant outside the key write `outside: its name`",
                    ),
                );
            }
        }
    }
}

fn note_unused_states(traits: &[Trait], taxa: &[Taxon], findings: &mut Findings) {
    for t in traits {
        for state in t.states() {
            let used = taxa.iter().any(|taxon| {
                taxon.facts(t.id.as_str()).iter().any(|fact| {
                    matches!(&fact.value, crate::model::FactValue::State { state: s, .. } if *s == state.id)
                })
            });
            if !used {
                findings.note(
                    "traits.yaml",
                    Place::START,
                    format!("no taxon records {} as `{}`", t.id, state.id),
                    "nothing needs mending if the key leaves it open on purpose",
                );
            }
        }
    }
}
