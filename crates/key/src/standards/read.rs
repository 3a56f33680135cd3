//! Reads folders of standards and checks them: every fault at once.
//!
//! In: folders of files, the program's own first; a key, to know taxa and groups by. Out: the
//! standards if nothing is wrong with them, and the report.
//!
//! A later folder adds to the earlier. An id that is taken is refused, unless the entry says
//! `replaces: <id>`: so nobody changes a published threshold without meaning to.

use std::collections::{BTreeMap, BTreeSet};

use super::files::StandardFiles;
use super::settle::{All, CAUTION, FileAt};
use super::{
    Known, LoadedStandards, SourceKind, StandardSource, Standards, TimingRule, read_advice,
    read_seed, read_thresholds, read_timing,
};
use crate::fault::{Findings, Place, meant, short};
use crate::fields::Fields;
use crate::ids::SourceId;
use crate::model::Key;
use crate::yaml::{self, Yaml};

/// Reads and checks folders of standards. With a `key`, taxa and groups that it does not have
/// are faults; without one they are taken as written.
pub fn load(folders: &[StandardFiles], key: Option<&Key>) -> LoadedStandards {
    let mut findings = Findings::default();
    let known = key.map(|key| Known {
        taxa: key.taxa.iter().map(|t| t.id.clone()).collect(),
        groups: key.groups.iter().map(|g| g.id.to_string()).collect(),
    });
    let mut all = All {
        standards: Standards::default(),
        known,
        seen: BTreeMap::new(),
        sources_at: BTreeMap::new(),
        rules_named: BTreeSet::new(),
        unread: false,
    };
    for (number, folder) in folders.iter().enumerate() {
        let mut none = true;
        for (name, bytes) in folder.iter() {
            none = false;
            match yaml::read(&name, bytes, &mut findings) {
                Some(yaml) => read_file(&name, &yaml, number, &mut all, &mut findings),
                None => all.unread = true,
            }
        }
        if none {
            findings.fault(
                folder.folder(),
                Place::START,
                "the folder has no .yaml file",
                "put files of standards in it, or do without it",
            );
        }
    }
    check_cautions(&all, &mut findings);
    check_rules(&all, folders, &mut findings);
    let report = findings.into_report();
    LoadedStandards {
        standards: report.is_sound().then_some(all.standards),
        report,
    }
}

fn read_file(name: &str, yaml: &Yaml, folder: usize, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(name, yaml, "a file of standards", findings) else {
        return;
    };
    let sources = fields.optional("sources");
    let parts = [
        ("thresholds", Part::Thresholds),
        ("timing", Part::Timing),
        ("look_again", Part::LookAgain),
        ("advice", Part::Advice),
        ("mowing", Part::Mowing),
        ("cautions", Part::Cautions),
        ("weed_spans", Part::WeedSpans),
        ("seeds_per_lb", Part::SeedsPerLb),
        ("emergence", Part::Emergence),
        ("seed_rates", Part::SeedRates),
    ];
    let mut found = Vec::new();
    for (part_name, part) in parts {
        found.push((part, fields.list(part_name)));
    }
    let sources = match sources {
        Some(yaml) => fields.as_list(yaml, "sources"),
        None => Some(&[][..]),
    };
    fields.close();
    let sources = sources.map(|items| read_sources(name, items, all, findings));
    let file = FileAt {
        name,
        folder,
        sources,
    };
    for (part, items) in found {
        for item in items {
            match part {
                Part::Thresholds => read_thresholds::read(&file, item, all, findings),
                Part::Timing => read_timing::read(&file, item, all, findings),
                Part::LookAgain => read_timing::read_look_again(&file, item, all, findings),
                Part::Advice => read_advice::read(&file, item, all, findings),
                Part::Mowing => read_advice::read_mowing(&file, item, all, findings),
                Part::Cautions => read_advice::read_caution(&file, item, all, findings),
                Part::WeedSpans => read_advice::read_weed_span(&file, item, all, findings),
                Part::SeedsPerLb => read_seed::read_count(&file, item, all, findings),
                Part::Emergence => read_seed::read_emergence(&file, item, all, findings),
                Part::SeedRates => read_seed::read_rate(&file, item, all, findings),
            }
        }
    }
}

#[derive(Clone, Copy)]
enum Part {
    Thresholds,
    Timing,
    LookAgain,
    Advice,
    Mowing,
    Cautions,
    WeedSpans,
    SeedsPerLb,
    Emergence,
    SeedRates,
}

/// The sources of a file go into the whole; its own ids come back.
fn read_sources<'a>(
    file: &'a str,
    items: &'a [Yaml],
    all: &mut All,
    findings: &mut Findings,
) -> BTreeSet<&'a str> {
    let kinds: Vec<(&'static str, SourceKind)> =
        SourceKind::ALL.iter().map(|k| (k.0, k.1)).collect();
    let mut here: BTreeSet<&str> = BTreeSet::new();
    for item in items {
        let Some(mut fields) = Fields::open(file, item, "a source", findings) else {
            continue;
        };
        let id = fields.id("id");
        let citation = fields.text("citation");
        let url = fields.optional_text("url");
        let kind = fields.word("kind", &kinds);
        fields.close();
        let Some(id) = id else { continue };
        if !here.insert(id.value) {
            fields.fault(
                id.place,
                format!("source `{}` stands twice in this file", id.value),
                "merge the two, or give one another id",
            );
            continue;
        }
        let (Some(citation), Some(kind)) = (citation, kind) else {
            continue;
        };
        let source = StandardSource {
            citation: citation.value.to_owned(),
            url: url.map(|url| url.value.to_owned()),
            kind,
        };
        let key = SourceId::new(id.value);
        match all.standards.sources.get(&key) {
            Some(known) if *known != source => {
                let at = all.sources_at.get(&key);
                let (other, line) = at.map_or(("another file", 1), |(f, l)| (f.as_str(), *l));
                fields.fault(
                    id.place,
                    format!(
                        "source `{}` reads otherwise in {other}, line {line}",
                        id.value
                    ),
                    "write both alike, or give this one another id",
                );
            }
            Some(_) => {}
            None => {
                all.sources_at
                    .insert(key.clone(), (file.to_owned(), id.place.line));
                all.standards.sources.insert(key, source);
            }
        }
    }
    here
}

/// Cautions may stand in a later file than the advice that names them.
fn check_cautions(all: &All, findings: &mut Findings) {
    let known: BTreeSet<&str> = all
        .seen
        .iter()
        .filter(|(_, at)| at.kind == CAUTION)
        .map(|(id, _)| id.as_str())
        .collect();
    if all.unread {
        return;
    }
    for at in all.seen.values() {
        for (caution, place) in &at.cautions {
            if !known.contains(caution.as_str()) {
                findings.fault(
                    &at.file,
                    *place,
                    format!("`{}` is not a caution", short(caution)),
                    meant(
                        caution,
                        known.iter().copied(),
                        "add it to the part `cautions`",
                    ),
                );
            }
        }
    }
}

/// Every rule of time has to be there.
fn check_rules(all: &All, folders: &[StandardFiles], findings: &mut Findings) {
    let Some(first) = folders.first().filter(|_| !all.unread) else {
        return;
    };
    for (id, rule, _) in TimingRule::ALL {
        // An entry that is there but faulty is reported where it stands.
        if !all.rules_named.contains(&rule) {
            findings.fault(
                first.folder(),
                Place::START,
                format!("no entry of the part `timing` has the rule `{id}`"),
                "add it; every rule of time is needed",
            );
        }
    }
}
