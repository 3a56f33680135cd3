//! Rules of seed lots by themselves.
//!
//! Not here: whether the species is in the mix, and whether the month of the test is fresh enough
//! for a seeding (pages, crate `judge`).

use jiff::ToSpan;

use super::{Faults, limits, short};
use crate::record::SeedLot;
use crate::time::{parse_date, parse_stamp};

pub(super) fn seed_lot(faults: &mut Faults, lot: &SeedLot, born_at: &str) {
    faults.id("taxon", &lot.taxon);
    faults.name("lot", &lot.lot);
    faults.line("variety", &lot.variety);
    faults.line("origin", &lot.origin);
    percentages(faults, lot);
    faults.items(
        "noxious",
        lot.noxious.len(),
        0,
        limits::NOXIOUS,
        "noxious kinds",
    );
    for (at, kind) in lot.noxious.iter().enumerate() {
        faults.name(format!("noxious[{at}].name"), &kind.name);
        let field = format!("noxious[{at}].per_lb");
        faults.above_zero(field, kind.per_lb, limits::SEEDS_PER_LB, "seeds per pound");
    }
    let names = lot.noxious.iter().map(|kind| kind.name.trim());
    faults.once("noxious", ".name", names);
    if let Some(month) = &lot.tested {
        tested(faults, month, born_at);
    }
    if let Some(seeds) = lot.seeds_per_lb {
        faults.above_zero(
            "seeds_per_lb",
            seeds,
            limits::SEEDS_PER_LB,
            "seeds per pound",
        );
    }
    if let Some(weight) = lot.bulk_lb {
        faults.above_zero("bulk_lb", weight, limits::BULK_LB, "pounds");
    }
    faults.note("note", &lot.note);
}

fn percentages(faults: &mut Faults, lot: &SeedLot) {
    let by_weight = [
        ("purity_percent", lot.purity_percent),
        ("other_crop_percent", lot.other_crop_percent),
        ("inert_percent", lot.inert_percent),
        ("weed_percent", lot.weed_percent),
    ];
    let by_number = [
        ("germination_percent", lot.germination_percent),
        ("dormant_percent", lot.dormant_percent),
    ];
    let mut in_range = true;
    for (field, percent) in by_weight.into_iter().chain(by_number) {
        if let Some(percent) = percent {
            in_range &= (0.0..=100.0).contains(&percent);
            faults.not_negative(field, percent, 100.0, "percent");
        }
    }
    if !in_range {
        return; // the sums would say the same once more
    }
    let sum = |parts: &[(&str, Option<f64>)]| parts.iter().filter_map(|part| part.1).sum::<f64>();
    let weights = sum(&by_weight);
    if weights > limits::TAG_SUM_PERCENT {
        faults.add(
            "purity_percent",
            format!(
                "pure seed, other crop, inert matter and weed seed sum to {weights:.2} percent"
            ),
            format!(
                "Read the tag again: together they are 100, with rounding {} at most.",
                limits::TAG_SUM_PERCENT
            ),
        );
    }
    // Tenths as entered can sum to 100.00000000000001.
    let numbers = sum(&by_number);
    if numbers > 100.0 + 1e-9 {
        faults.add(
            "germination_percent",
            format!("germination and dormant seed sum to {numbers:.2} percent"),
            "Read the tag again: germination is here without dormant seed; together they are 100 at most.",
        );
    }
}

fn tested(faults: &mut Faults, month: &str, born_at: &str) {
    let first_day = format!("{month}-01");
    let Some(day) = parse_date(&first_day) else {
        let problem = format!("`{}` is not a month that exists", short(month));
        faults.add("tested", problem, "Use year and month, such as 2026-02.");
        return;
    };
    if day.year() < limits::FIRST_YEAR || day.year() > limits::LAST_YEAR {
        let mend = format!(
            "Use a year from {} to {}.",
            limits::FIRST_YEAR,
            limits::LAST_YEAR
        );
        faults.add(
            "tested",
            format!("the year of {month} is out of range"),
            mend,
        );
        return;
    }
    // Where the day begins first, it is 14 hours later than in UTC.
    let latest = parse_stamp(born_at).and_then(|born| born.checked_add(14.hours()).ok());
    if latest.is_some_and(|latest| first_day.as_str() > &crate::time::stamp(latest)[..10]) {
        faults.add(
            "tested",
            format!("the test of {month} is later than this record, made at {born_at}"),
            "Correct the month; or the clock of this device, and enter it again.",
        );
    }
}
