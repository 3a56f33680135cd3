//! Darwin Core Archive: events (planting, visit, plot, point, frame) with what occurred at each, who
//! named it and when, and what was measured.
//!
//! Source: Darwin Core text guide (rs.tdwg.org/dwc/text), quick reference of terms (rs.tdwg.org/dwc/terms).
//! Which row stands for what:
//! - *event*: a planting (its seeding), a visit, a plot on a visit, a point, a frame. Ids are the first
//!   ids of their chains, so that they stay when a record is corrected.
//! - *occurrence*: a plant that was walked through the key; each taxon or unknown in a frame; each planted
//!   taxon that a frame certainly does not hold, as `absent`.
//! - *identification*: the scout's name for each of them, and every opinion since.
//! - *measurement*: seed tags and rates of a planting; of a plant its leaf stage, what was seen on it, and
//!   what the key made of that.

mod describe;
mod event;
mod identification;
mod measurement;
mod occurrence;
mod sheet;

use std::collections::HashMap;
use std::io::Write;

use standbook_fieldbook::RecordId;

use crate::error::Done;
use crate::leaving::Leaving;
use crate::pictures;
use crate::zipped::Zipped;
use sheet::Rows;

/// Pictures by the first id of the record that they show.
type Shown = HashMap<RecordId, Vec<String>>;

/// Writes the archive; rows by file come back.
pub(crate) fn write<W: Write>(leaving: &Leaving, to: W) -> Done<Vec<(String, u64)>> {
    let mut zip = Zipped::new(to);
    zip.entry("meta.xml", |out| {
        Ok(out.write_all(sheet::meta().as_bytes())?)
    })?;
    let eml = describe::eml(leaving)?;
    zip.entry("eml.xml", |out| Ok(out.write_all(eml.as_bytes())?))?;
    let shown = shown(leaving, &mut zip)?;
    let mut counts = Vec::new();
    let mut table = |sheet: &'static sheet::Sheet, fill: &dyn Fn(&mut Rows) -> Done| -> Done {
        let rows = zip.entry(sheet.file, |out| {
            let mut rows = Rows::new(sheet, out)?;
            fill(&mut rows)?;
            Ok(rows.count())
        })?;
        counts.push((sheet.file.to_owned(), rows));
        Ok(())
    };
    table(&sheet::EVENT, &|rows| event::write(leaving, rows))?;
    table(&sheet::OCCURRENCE, &|rows| {
        occurrence::write(leaving, &shown, rows)
    })?;
    table(&sheet::IDENTIFICATION, &|rows| {
        identification::write(leaving, rows)
    })?;
    table(&sheet::MEASUREMENT, &|rows| {
        measurement::write(leaving, rows)
    })?;
    if !shown.is_empty() {
        let pictures = shown.values().map(|names| names.len() as u64).sum();
        counts.push(("photos".to_owned(), pictures));
    }
    zip.finish()?;
    Ok(counts)
}

fn shown<W: Write>(leaving: &Leaving, zip: &mut Zipped<W>) -> Done<Shown> {
    let names = pictures::write(leaving, zip)?;
    let mut shown = Shown::new();
    if !names.is_empty() {
        leaving.each_photo(|photo| {
            if let Some(name) = names.get(&photo.root) {
                let of = leaving.root(photo.entry.body.of)?;
                shown.entry(of).or_default().push(name.clone());
            }
            Ok(())
        })?;
    }
    Ok(shown)
}
