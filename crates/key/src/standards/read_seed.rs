//! Reads one entry of the parts `seeds_per_lb`, `emergence` and `seed_rates`.

use super::read_thresholds::{optional_words, purposes};
use super::seed::{EmergenceShare, SeedCount, SeedRate, SeedRateUnit};
use super::settle::{All, FileAt, put};
use crate::fault::Findings;
use crate::fields::Fields;
use crate::yaml::Yaml;

const COUNT: &str = "a count of seeds";
const EMERGENCE: &str = "a share of emergence";
const RATE: &str = "a rate of seeding";

/// Most seeds in a pound that is not a slip (orchids aside, grasses have less).
const MOST_SEEDS_PER_LB: f64 = 20_000_000.0;
/// Largest rate that is not a slip, in any unit.
const MOST_RATE: f64 = 5_000.0;

pub(super) fn read_count(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, COUNT, findings) else {
        return;
    };
    let taxon = fields.id("taxon");
    let taxon = taxon.and_then(|taxon| all.taxon(&mut fields, taxon));
    let seeds = between(&mut fields, "seeds_per_lb", MOST_SEEDS_PER_LB);
    let of = optional_words(&mut fields, "of");
    let note = optional_words(&mut fields, "note");
    let sources = file.sources(&mut fields);
    fields.close();
    if let (Some(taxon), Some(seeds_per_lb), Some((source, _))) = (taxon, seeds, sources) {
        all.standards.seeds_per_lb.push(SeedCount {
            taxon,
            seeds_per_lb,
            of,
            note,
            source,
        });
    }
}

pub(super) fn read_emergence(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, EMERGENCE, findings) else {
        return;
    };
    let id = fields.id("id");
    let replaces = fields.optional_text("replaces");
    let words = fields.text("words");
    let percent = between(&mut fields, "percent", 100.0);
    let sources = file.sources(&mut fields);
    let placed = all.settle(&mut fields, file, EMERGENCE, id, replaces);
    fields.close();
    let share = || {
        let (low, high) = percent?;
        Some(EmergenceShare {
            id: id?.value.to_owned(),
            words: words?.value.to_owned(),
            share: (low / 100.0, high / 100.0),
            source: sources?.0,
        })
    };
    if let (Some(placed), Some(share)) = (placed, share()) {
        put(&mut all.standards.emergence, placed, share, |e| &e.id);
    }
}

pub(super) fn read_rate(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, RATE, findings) else {
        return;
    };
    let units: Vec<(&'static str, SeedRateUnit)> =
        SeedRateUnit::ALL.iter().map(|u| (u.0, u.1)).collect();
    let id = fields.id("id");
    let replaces = fields.optional_text("replaces");
    let words = fields.text("words");
    let taxa = all.taxa(&mut fields, "taxa");
    let purposes = purposes(&mut fields);
    let rate = between(&mut fields, "rate", MOST_RATE);
    let unit = fields.word("unit", &units);
    let sources = file.sources(&mut fields);
    let placed = all.settle(&mut fields, file, RATE, id, replaces);
    fields.close();
    let seed_rate = || {
        Some(SeedRate {
            id: id?.value.to_owned(),
            words: words?.value.to_owned(),
            taxa,
            purposes,
            rate: rate?,
            unit: unit?,
            source: sources?.0,
        })
    };
    if let (Some(placed), Some(rate)) = (placed, seed_rate()) {
        put(&mut all.standards.seed_rates, placed, rate, |r| &r.id);
    }
}

/// Two numbers above 0, lowest and highest, at most `most`.
fn between(fields: &mut Fields, name: &'static str, most: f64) -> Option<(f64, f64)> {
    let range = fields.range(name)?;
    let (low, high) = range.value;
    if low > 0.0 && high <= most {
        return Some((low, high));
    }
    fields.fault(
        range.place,
        format!("[{low}, {high}] is no `{name}`"),
        format!("write two numbers above 0 and at most {most}"),
    );
    None
}
