//! `standbook standards`: the thresholds that stands are compared with, and whether a folder of
//! one's own can be used with them.
//!
//! In: nothing, or a folder for `--check`. Out: thresholds with levels, place, season and source,
//! one's own first; of a folder, everything that is wrong with file, line, column and how to mend
//! it. Times, advice and seed figures stand in the JSON.
//! Units: each level in the unit of its source. Not here: comparing (`stand`).

use std::path::{Path, PathBuf};

use serde_json::json;
use standbook_key::standards::{
    ForMixes, Holds, OfWhat, Part, PlantsCounted, Purpose, StandardFiles, Standards, Threshold,
    load,
};
use standbook_key::{Finding, Key};

use crate::embedded;
use crate::text::{Sources, head, print, wrapped};
use crate::trouble::Trouble;

/// What the command line says.
#[derive(Debug, clap::Args)]
pub struct Options {
    /// Folder with standards of your own, to be checked and shown together with those inside the
    /// program
    #[arg(long, value_name = "FOLDER")]
    check: Option<PathBuf>,
    /// Key folder, to know taxa and groups by; without it the key inside the program
    #[arg(long, value_name = "FOLDER")]
    key: Option<PathBuf>,
    /// Print one JSON object: thresholds, times, advice, seed figures, addresses of sources
    #[arg(long)]
    json: bool,
}

/// Shows the standards; trouble when a folder of one's own has a fault.
pub fn standards(options: &Options) -> Result<(), Trouble> {
    let key = embedded::key(options.key.as_deref())?;
    let mut folders = vec![embedded::standard_files()];
    if let Some(own) = &options.check {
        folders.push(StandardFiles::read_folder(own).map_err(|e| Trouble::yours(e, ""))?);
    }
    // A key of one's own may lack taxa that the shipped thresholds name.
    let loaded = load(&folders, options.check.as_ref().map(|_| &key));
    let report = &loaded.report;
    let sound = report.is_sound();
    if options.json {
        let whole = json!({
            "standbook": env!("CARGO_PKG_VERSION"),
            "sound": sound,
            "findings": report.findings,
            "standards": loaded.standards,
        });
        let text = serde_json::to_string_pretty(&whole)
            .map_err(|e| Trouble::yours(format!("the standards can't be written: {e}"), ""))?;
        print(&text)?;
    } else {
        let mut out = String::new();
        if let Some(own) = &options.check {
            found(&mut out, own, &report.findings);
            let (faults, notes) = (report.faults().count(), report.notes().count());
            out += &match sound {
                true => format!("{}: no fault, {notes} note(s)\n\n", own.display()),
                false => format!(
                    "{faults} fault(s), {notes} note(s): the standards can't be used until the faults are mended\n"
                ),
            };
        }
        if let Some(standards) = &loaded.standards {
            all(&mut out, &key, standards);
        }
        print(out.trim_end())?;
    }
    match sound {
        true => Ok(()),
        false => Err(Trouble::Printed),
    }
}

/// Findings, with the path as it was given.
fn found(out: &mut String, own: &Path, findings: &[Finding]) {
    // A finding names the folder already, not what is above it.
    let above = own.parent().filter(|path| *path != Path::new(""));
    for finding in findings {
        *out += &match above {
            Some(path) => format!("{}\n", path.join(finding.to_string()).display()),
            None => format!("{finding}\n"),
        };
    }
    if !findings.is_empty() {
        out.push('\n');
    }
}

fn all(out: &mut String, key: &Key, standards: &Standards) {
    let mut sources = Sources::default();
    let (own, shipped): (Vec<&Threshold>, Vec<&Threshold>) =
        standards.thresholds.iter().partition(|one| one.own);
    for (title, list) in [
        ("Thresholds of your own, which go before the others", own),
        ("Thresholds inside the program", shipped),
    ] {
        if list.is_empty() {
            continue;
        }
        if !out.is_empty() && !out.ends_with("\n\n") {
            out.push('\n');
        }
        *out += &format!("{title}\n");
        for one in list {
            threshold(out, key, standards, &mut sources, one);
        }
    }
    head(out, "How they are used");
    wrapped(
        out,
        "  ",
        "  ",
        "The whole interval at or above the established level (marked *): established. The whole interval below it: below. Neither: not decided. Of several thresholds those of your own go first, then those measured as they ask, then those found for such plants.",
    );
    sources.print(out);
}

fn threshold(
    out: &mut String,
    key: &Key,
    standards: &Standards,
    sources: &mut Sources,
    one: &Threshold,
) {
    let mut marks = String::new();
    for id in std::iter::once(&one.source).chain(&one.also) {
        let citation = standards.source(id.as_str());
        marks += &sources.mark(citation.map_or(id.as_str(), |source| source.citation.as_str()));
    }
    wrapped(out, "  ", "    ", &format!("{}{marks}", one.name));
    let unit = one.unit.name().replace('²', "2");
    let levels: Vec<String> = one
        .levels
        .iter()
        .enumerate()
        .map(|(at, level)| {
            let mark = if at == one.established { "*" } else { "" };
            format!("{}{mark} or more: {}", level.at_least, level.word)
        })
        .collect();
    let below = match one.below.is_empty() {
        true => String::new(),
        false => format!("; less: {}", one.below),
    };
    wrapped(
        out,
        "      ",
        "        ",
        &format!("{unit}: {}{below}", levels.join("; ")),
    );
    wrapped(
        out,
        "      ",
        "        ",
        &format!("{}.", conditions(key, one).join("; ")),
    );
    if !one.note.is_empty() {
        wrapped(out, "      ", "        ", &one.note);
    }
}

/// What it speaks of, for whom, where, when.
fn conditions(key: &Key, one: &Threshold) -> Vec<String> {
    let mut words = vec![match &one.of {
        OfWhat::PlantedTogether => "everything planted, together".to_owned(),
        OfWhat::Group(group) => {
            let known = key.groups.iter().find(|known| known.id == *group);
            let name = known.map_or(group.as_str(), |known| known.name.as_str());
            format!("planted, of the group {name}")
        }
        OfWhat::Taxa(taxa) => {
            let names: Vec<&str> = taxa
                .iter()
                .map(|id| {
                    key.taxon(id.as_str())
                        .map_or(id.as_str(), |taxon| taxon.common_name.as_str())
                })
                .collect();
            let mixes = match one.for_mixes {
                ForMixes::No => "",
                ForMixes::Borrowed => " (borrowed for mixes with it)",
            };
            format!("stands of {}{mixes}", names.join(", "))
        }
    }];
    words.push(match one.purposes.as_slice() {
        [] => "any purpose".to_owned(),
        some => {
            let names: Vec<&str> = some
                .iter()
                .map(|purpose: &Purpose| purpose.name())
                .collect();
            format!("for {}", names.join(", "))
        }
    });
    if let Some(season) = one.season {
        words.push(format!("growing season {season}"));
    }
    if one.counts == PlantsCounted::Seedlings {
        words.push("seedlings soon after emergence".to_owned());
    }
    if !one.region.is_empty() {
        words.push(match one.holds {
            Holds::There => format!("in {} only", one.region),
            Holds::Anywhere => format!("found in: {}", one.region),
        });
    }
    match one.part {
        Part::Decides => {}
        Part::Goal => words.push("a goal; no verdict rests on it".to_owned()),
        Part::Background => words.push("for comparison; no verdict rests on it".to_owned()),
    }
    words
}
