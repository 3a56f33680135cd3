//! What has been read so far, and whether a new entry may join it.
//!
//! In: entries one by one, in the order of folders, files and lines. Out: their place, or a
//! finding: an id taken, something to replace that is not there, an unknown taxon, group or source.

use std::collections::{BTreeMap, BTreeSet};

use super::{Known, Standards, TimingRule};
use crate::fault::{Place, meant, short};
use crate::fields::{At, Fields};
use crate::ids::{SourceId, TaxonId};

/// What has been read so far, over all files.
pub(super) struct All {
    pub standards: Standards,
    /// Taxa and groups of the key; `None`: no key, so nothing is unknown.
    pub known: Option<Known>,
    /// Where every id was first read.
    pub seen: BTreeMap<String, SeenAt>,
    /// Where every source was first read.
    pub sources_at: BTreeMap<SourceId, (String, u32)>,
    /// Rules of time that some entry names, faulty or not.
    pub rules_named: BTreeSet<TimingRule>,
    /// Whether a file could not be read at all, so that something may only seem to be missing.
    pub unread: bool,
}

pub(super) struct SeenAt {
    pub kind: &'static str,
    pub file: String,
    place: Place,
    folder: usize,
    pub cautions: Vec<(String, Place)>,
}

/// The file at hand.
pub(super) struct FileAt<'a> {
    pub name: &'a str,
    pub folder: usize,
    /// Ids of its sources; `None` when that part could not be read.
    pub sources: Option<BTreeSet<&'a str>>,
}

/// What cautions are called in messages.
pub(super) const CAUTION: &str = "a caution";

/// Where a new entry goes.
pub(super) enum Put {
    /// At the end.
    Last,
    /// In the place of this one.
    InPlaceOf(String),
}

impl All {
    /// Checks an id against those taken, and `replaces` against those there are.
    pub fn settle(
        &mut self,
        fields: &mut Fields,
        file: &FileAt,
        kind: &'static str,
        id: Option<At<&str>>,
        replaces: Option<At<&str>>,
    ) -> Option<Put> {
        let id = id?;
        let mut put = Put::Last;
        if let Some(replaces) = replaces {
            match self.seen.get(replaces.value) {
                Some(old) if old.kind == kind && old.folder < file.folder => {
                    put = Put::InPlaceOf(replaces.value.to_owned());
                    self.seen.remove(replaces.value);
                }
                Some(old) if old.kind != kind => {
                    let problem = format!("`{}` is {}, not {kind}", replaces.value, old.kind);
                    fields.fault(
                        replaces.place,
                        problem,
                        "an entry replaces one of its own kind",
                    );
                    return None;
                }
                Some(old) => {
                    let (file, line) = (old.file.clone(), old.place.line);
                    fields.fault(
                        replaces.place,
                        format!(
                            "`{}` stands in the same folder ({file}, line {line})",
                            replaces.value
                        ),
                        "change that entry itself; `replaces` is for those of an earlier folder",
                    );
                    return None;
                }
                None => {
                    let of_kind = self.seen.iter().filter(|(_, at)| at.kind == kind);
                    let ids: Vec<&str> = of_kind.map(|(id, _)| id.as_str()).collect();
                    fields.fault(
                        replaces.place,
                        format!("there is no `{}` to replace", short(replaces.value)),
                        meant(replaces.value, ids, "remove the line `replaces`"),
                    );
                    return None;
                }
            }
        }
        if let Some(old) = self.seen.get(id.value) {
            let mend = match old.folder < file.folder {
                true => format!(
                    "give it another id; or add `replaces: {}` if it is to stand in its place",
                    id.value
                ),
                false => "give one of the two another id".to_owned(),
            };
            let problem = format!(
                "`{}` is taken: it stands in {}, line {}",
                id.value, old.file, old.place.line
            );
            fields.fault(id.place, problem, mend);
            return None;
        }
        self.seen.insert(
            id.value.to_owned(),
            SeenAt {
                kind,
                file: file.name.to_owned(),
                place: id.place,
                folder: file.folder,
                cautions: Vec::new(),
            },
        );
        Some(put)
    }

    /// Keeps what an entry says of cautions, to be checked when all are read.
    pub fn mentions_cautions(&mut self, id: &str, cautions: Vec<(String, Place)>) {
        if let Some(at) = self.seen.get_mut(id) {
            at.cautions = cautions;
        }
    }

    /// The taxa of a list; unknown ones are faults.
    pub fn taxa(&self, fields: &mut Fields, name: &'static str) -> Vec<TaxonId> {
        let texts = fields.texts(name);
        texts
            .into_iter()
            .filter_map(|text| self.taxon(fields, text))
            .collect()
    }

    /// A taxon; an unknown one is a fault.
    pub fn taxon(&self, fields: &mut Fields, text: At<&str>) -> Option<TaxonId> {
        let id = TaxonId::new(text.value);
        match &self.known {
            Some(known) if !known.taxa.contains(&id) => {
                fields.fault(
                    text.place,
                    format!("`{}` is not a taxon of the key", short(text.value)),
                    meant(
                        text.value,
                        known.taxa.iter().map(TaxonId::as_str),
                        "use the id of a taxon, such as panicum_virgatum",
                    ),
                );
                None
            }
            _ => Some(id),
        }
    }

    /// A group of the key; an unknown one is a fault.
    pub fn group<'a>(&self, fields: &mut Fields, text: At<&'a str>) -> Option<&'a str> {
        match &self.known {
            Some(known) if !known.groups.contains(text.value) => {
                let groups = known.groups.iter().map(String::as_str);
                let all: Vec<&str> = groups.chain(["planted_together"]).collect();
                fields.fault(
                    text.place,
                    format!("`{}` is not a group of the key", short(text.value)),
                    meant(text.value, all, "use the id of a group"),
                );
                None
            }
            _ => Some(text.value),
        }
    }
}

impl FileAt<'_> {
    /// The field `source`, which every entry has, and `also`, which it may have.
    pub fn sources(&self, fields: &mut Fields) -> Option<(SourceId, Vec<SourceId>)> {
        let source = match fields.optional_text("source") {
            Some(text) => self.one(fields, text),
            None => {
                fields.fault(
                    fields.place,
                    "this entry has no `source`",
                    "add a line `source: ...` with an id of the part `sources` of this file",
                );
                None
            }
        };
        let also = fields.texts("also");
        let also = also
            .into_iter()
            .filter_map(|text| self.one(fields, text))
            .collect();
        Some((source?, also))
    }

    fn one(&self, fields: &mut Fields, text: At<&str>) -> Option<SourceId> {
        if let Some(known) = &self.sources
            && !known.contains(text.value)
        {
            fields.fault(
                text.place,
                format!("`{}` is not a source of this file", short(text.value)),
                meant(
                    text.value,
                    known.iter().copied(),
                    "list it in the part `sources` of this file",
                ),
            );
            return None;
        }
        Some(SourceId::new(text.value))
    }

    /// Whether the entry comes from a user's own folder.
    pub fn is_own(&self) -> bool {
        self.folder > 0
    }
}

/// Puts an entry where it belongs.
pub(super) fn put<T>(list: &mut Vec<T>, put: Put, entry: T, id: impl Fn(&T) -> &str) {
    match put {
        Put::Last => list.push(entry),
        Put::InPlaceOf(old) => match list.iter().position(|e| id(e) == old) {
            Some(at) => list[at] = entry,
            None => list.push(entry),
        },
    }
}
