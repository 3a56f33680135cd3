//! The figures of a seeding in words and rows.
//!
//! In: figures (`sown`). Out: rows for tables.
//! Units: every row names its own.
//! Not here: sentences beside the tables (`said`).

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::Planting;
use standbook_stand::emergence::per_m2_from_per_ft2;
use standbook_stand::seeding::{
    EMERGENCE_SHARES, bulk_from_pls, expected_seedlings, kg_per_ha_from_lb_per_acre,
};

use super::said::{Missing, missing, published_words, tag_words};
use super::sown::{Column, Range, Sown};
use crate::app::App;
use crate::plot::lot;
use crate::words::{self, digits, percent};

/// In a cell whose number is not known.
const NOT_KNOWN: &str = "not known";

/// A row of a table: what, and a cell for each column.
pub(super) struct Line {
    /// What, with its unit.
    pub label: String,
    /// Values, one for each column.
    pub cells: Vec<String>,
}

/// Seedlings to expect.
pub(super) struct Expectation {
    /// Whose, and at which rate.
    pub of: String,
    /// A row for each share: the share, per ft2, per m2.
    pub rows: Vec<[String; 3]>,
}

/// All species together.
pub(super) struct Mix {
    /// Names of the columns.
    pub heads: Vec<&'static str>,
    /// Rates and seeds.
    pub lines: Vec<Line>,
    /// Seedlings to expect, when the seeds are known.
    pub expected: Option<Expectation>,
    /// Species for which seeds on the ground are not known, in words.
    pub without: String,
}

/// One species.
pub(super) struct Species {
    /// Common name.
    pub common: String,
    /// Scientific name, may be empty.
    pub scientific: String,
    /// Names of the columns.
    pub heads: Vec<&'static str>,
    /// Rates, bulk seed, seeds, shares.
    pub lines: Vec<Line>,
    /// What its tags say, a line each.
    pub tags: Vec<String>,
    /// Seeds in a pound, in words; empty when not known.
    pub per_lb: String,
    /// Published counts, when they differ or none is on the tag.
    pub published: Vec<String>,
    /// Seedlings to expect, when the seeds are known.
    pub expected: Option<Expectation>,
    /// What is missing.
    pub missing: Vec<Missing>,
}

impl Species {
    /// The species in a line: its rows of rate and seeds, and how much is missing.
    pub fn summary(&self) -> String {
        let wanted = ["lb PLS per acre", "live seeds per ft²"];
        let mut parts: Vec<String> = self
            .lines
            .iter()
            .filter(|line| wanted.contains(&line.label.as_str()))
            .filter_map(|line| {
                let known = line.cells.iter().rev().find(|cell| *cell != NOT_KNOWN)?;
                Some(format!("{known} {}", line.label))
            })
            .collect();
        match self.missing.len() {
            0 => {}
            1 => parts.push("one thing is missing".to_owned()),
            n => parts.push(format!("{n} things are missing")),
        }
        parts.join(", ")
    }
}

/// A range as people read it: `46 to 58`, or one number where both read alike.
pub(super) fn range((low, high): Range, say: impl Fn(f64) -> String) -> String {
    let (low, high) = (say(low), say(high));
    match low == high {
        true => low,
        false => format!("{low} to {high}"),
    }
}

/// `227,000`.
pub(super) fn thousands(value: f64) -> String {
    let whole = format!("{value:.0}");
    let mut text = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// A rate or weight with two decimals at most; small ones keep two digits.
pub(super) fn pounds(value: f64) -> String {
    match value < 0.1 {
        true => digits(value),
        false => words::plain((value * 100.0).round() / 100.0),
    }
}

fn line(
    label: impl Into<String>,
    columns: &[Column],
    cell: impl Fn(&Column) -> Option<String>,
) -> Option<Line> {
    let cells: Vec<Option<String>> = columns.iter().map(cell).collect();
    cells.iter().flatten().next()?;
    Some(Line {
        label: label.into(),
        cells: cells
            .into_iter()
            .map(|cell| cell.unwrap_or_else(|| NOT_KNOWN.to_owned()))
            .collect(),
    })
}

fn heads(columns: &[Column]) -> Vec<&'static str> {
    columns.iter().map(|column| column.rates.words()).collect()
}

fn expectation(seeds: Option<(Range, &'static str)>, of: &str) -> Option<Expectation> {
    let ((low, high), rates) = seeds?;
    let rows = EMERGENCE_SHARES.iter().filter_map(|stated| {
        let least = expected_seedlings(low, stated.share).ok()?;
        let most = expected_seedlings(high, stated.share).ok()?;
        Some([
            share_words(stated.share),
            range((least.per_ft2, most.per_ft2), digits),
            range((least.per_m2, most.per_m2), digits),
        ])
    });
    Some(Expectation {
        of: format!("{of}, {rates} rate"),
        rows: rows.collect(),
    })
}

/// `2.5 %`.
pub(super) fn share_words(share: f64) -> String {
    format!("{} %", words::plain(share * 100.0))
}

/// The seeds at the applied rate; at the planned one where no rate was applied.
fn last_known(
    columns: &[Column],
    seeds: impl Fn(&Column) -> Option<Range>,
) -> Option<(Range, &'static str)> {
    columns
        .iter()
        .rev()
        .find_map(|column| Some((seeds(column)?, column.rates.words())))
}

/// All species together.
pub(super) fn mix(app: &App, sown: &[Sown<'_>], columns: &[Column]) -> Mix {
    let lines = [
        line("lb PLS per acre", columns, |c| {
            c.lb_per_acre_of_mix().map(pounds)
        }),
        line("kg PLS per ha", columns, |c| {
            c.lb_per_acre_of_mix()
                .map(kg_per_ha_from_lb_per_acre)
                .map(pounds)
        }),
        line("live seeds per ft²", columns, |c| {
            c.seeds_of_mix().map(|s| range(s, digits))
        }),
        line("live seeds per m²", columns, |c| {
            c.seeds_of_mix()
                .map(|s| range(s, |v| digits(per_m2_from_per_ft2(v))))
        }),
    ];
    let known = |at: usize| columns.iter().any(|column| column.seeds[at].is_some());
    let without: Vec<String> = sown
        .iter()
        .enumerate()
        .filter(|(at, _)| !known(*at))
        .map(|(_, one)| words::taxon_name(app, one.taxon).0)
        .collect();
    Mix {
        heads: heads(columns),
        lines: lines.into_iter().flatten().collect(),
        expected: expectation(
            last_known(columns, Column::seeds_of_mix),
            "Seedlings of all species",
        ),
        without: without.join(", "),
    }
}

/// One species.
pub(super) fn species(
    app: &App,
    planting: &Entry<Planting>,
    one: &Sown<'_>,
    at: usize,
    columns: &[Column],
) -> Species {
    let (common, scientific) = words::taxon_name(app, one.taxon);
    let own: Vec<&Column> = columns
        .iter()
        .filter(|c| c.lb_per_acre[at].is_some())
        .collect();
    let rate = |c: &Column| c.lb_per_acre[at];
    let mut lines = vec![
        line("lb PLS per acre", columns, |c| rate(c).map(pounds)),
        line("kg PLS per ha", columns, |c| {
            rate(c).map(kg_per_ha_from_lb_per_acre).map(pounds)
        }),
    ];
    for lot in &one.lots {
        for (live, share) in lot::pls(&lot.body).iter().flat_map(|pls| pls.both()) {
            let label = format!("bulk lb per acre, lot {}, {}", lot.body.lot, live.words());
            lines.push(line(label, columns, |c| {
                bulk_from_pls(rate(c)?, share).ok().map(pounds)
            }));
        }
    }
    lines.push(line("live seeds per ft²", columns, |c| {
        c.seeds[at].map(|s| range(s, digits))
    }));
    lines.push(line("live seeds per m²", columns, |c| {
        c.seeds[at].map(|s| range(s, |v| digits(per_m2_from_per_ft2(v))))
    }));
    if planting.body.mix.len() > 1 {
        lines.push(line("share of the mix by weight", columns, |c| {
            c.by_weight.as_ref().map(|all| percent(all[at]))
        }));
        lines.push(line("share of the mix by seeds", columns, |c| {
            c.by_seed.as_ref().map(|all| range(all[at], percent))
        }));
    }
    let differ = one.published.len() > 1
        || one
            .published
            .iter()
            .any(|c| c.seeds_per_lb.0 != c.seeds_per_lb.1);
    Species {
        heads: heads(columns),
        lines: match own.is_empty() {
            true => Vec::new(),
            false => lines.into_iter().flatten().collect(),
        },
        tags: one
            .lots
            .iter()
            .flat_map(|lot| tag_words(&lot.body, &planting.body))
            .collect(),
        per_lb: match one.per_lb {
            Some(seeds) if one.by_tag => {
                format!("{} seeds per lb by the tag", range(seeds, thousands))
            }
            Some(seeds) => format!(
                "{} seeds per lb as published, no count on the tag",
                range(seeds, thousands)
            ),
            None => String::new(),
        },
        published: match differ || !one.by_tag {
            true => one
                .published
                .iter()
                .map(|c| published_words(c, &app.standards))
                .collect(),
            false => Vec::new(),
        },
        expected: expectation(last_known(columns, |c| c.seeds[at]), &common),
        missing: missing(planting, one, at, columns, &common),
        common,
        scientific,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_parted() {
        for (value, text) in [
            (227_000.0, "227,000"),
            (999.0, "999"),
            (1_000.0, "1,000"),
            (38_000.4, "38,000"),
            (1_234_567.0, "1,234,567"),
        ] {
            assert_eq!(thousands(value), text);
        }
    }

    #[test]
    fn a_range_that_reads_alike_is_one_number() {
        assert_eq!(range((46.1, 46.2), digits), "46");
        assert_eq!(range((40.0, 46.2), digits), "40 to 46");
    }
}
