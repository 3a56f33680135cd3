//! `standbook check KEYDIR`: everything that is wrong with a key.

use std::path::Path;

use serde::Serialize;
use standbook_key::{Finding, KeyFiles, fingerprint, load};

use crate::text;
use crate::trouble::Trouble;

#[derive(Serialize)]
struct Checked<'a> {
    /// Whether the key can be used.
    sound: bool,
    /// Fingerprint of the key's meaning, when sound.
    fingerprint: Option<String>,
    findings: &'a [Finding],
}

/// Prints every finding; trouble when there is a fault.
pub fn check(folder: &Path, json: bool) -> Result<(), Trouble> {
    let files = KeyFiles::read_folder(folder).map_err(|e| Trouble::yours(e, ""))?;
    let loaded = load(&files);
    let report = &loaded.report;
    let fingerprint = loaded.key.as_ref().map(fingerprint::of_key);
    let text = if json {
        let checked = Checked {
            sound: report.is_sound(),
            fingerprint,
            findings: &report.findings,
        };
        serde_json::to_string_pretty(&checked)
            .map_err(|e| Trouble::yours(format!("the findings can't be written: {e}"), ""))?
    } else {
        let mut lines: Vec<String> = report
            .findings
            .iter()
            .map(|finding| format!("{}/{finding}", folder.display()))
            .collect();
        let (faults, notes) = (report.faults().count(), report.notes().count());
        if faults + notes > 0 {
            lines.push(String::new());
        }
        lines.push(match (&loaded.key, fingerprint) {
            (Some(key), Some(fingerprint)) => format!(
                "{}: {} taxa, {} traits, {} sources; no fault, {notes} note(s)\nfingerprint {fingerprint}",
                key.title,
                key.taxa.len(),
                key.traits.len(),
                key.sources.len()
            ),
            _ => format!(
                "{faults} fault(s), {notes} note(s): the key can't be used until the faults are mended"
            ),
        });
        lines.join("\n")
    };
    text::print(&text)?;
    if report.is_sound() {
        Ok(())
    } else {
        Err(Trouble::Printed)
    }
}
