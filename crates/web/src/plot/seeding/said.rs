//! What goes with the figures of a seeding in words: tags, published counts, what is missing, sources.
//!
//! In: lots, counts, sources. Out: sentences.
//! Units: every sentence names its own.
//! Not here: rows of figures (`view`).

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Planting, SeedLot};
use standbook_key::standards::{SeedCount, Standards};
use standbook_stand::emergence::M2_PER_ACRE;
use standbook_stand::method::Source;
use standbook_stand::seeding::{
    BULK, DORMANT_COUNTS, DORMANT_LEFT_OUT, EMERGENCE_SHARES, PLS, SEEDS_PER_FT2, STALE_MONTHS,
    TEST_RULES, pls_from_bulk,
};

use super::sown::{Column, Sown};
use super::view::{pounds, range, share_words, thousands};
use crate::plot::lot;
use crate::plot::standards::cited;
use crate::words::{self, percent};

/// Something missing, with the way to enter it.
pub(super) struct Missing {
    /// What is missing.
    pub words: String,
    /// Where it can be entered.
    pub address: String,
    /// What one does there.
    pub link: &'static str,
}

/// How the page was worked out.
pub(super) struct How {
    /// Shares of emergence, each with what it stands for and its source.
    pub shares: Vec<(String, &'static str, Source)>,
    /// Sums, each with its source.
    pub sums: Vec<(&'static str, Source)>,
    /// Rules on the age of a test.
    pub tests: Vec<(String, Source)>,
}

/// What a tag gives: pure live seed, its age, dormancy, what the bag comes to on the ground.
pub(super) fn tag_words(lot: &SeedLot, planting: &Planting) -> Vec<String> {
    let mut all = vec![format!(
        "{}: {}.",
        capital(&lot::lot_words(lot)),
        lot::pls_words(lot)
    )];
    let age = lot::age_words(lot, planting);
    if !age.is_empty() {
        all.push(format!("{}.", capital(age.trim_end_matches(['?', '.']))));
    }
    if let (Some(germination), Some(dormant)) = (lot.germination_percent, lot.dormant_percent)
        && dormant > 0.0
        && germination + dormant > 0.0
    {
        all.push(format!(
            "If the rate counts dormant seed as live, {} of it germinated in the test; the rest may wait.",
            percent(germination / (germination + dormant))
        ));
    }
    if let (Some(bulk), Some(area), Some(pls)) =
        (lot.bulk_lb, planting.stated_area_m2, lot::pls(lot))
    {
        let per_acre = bulk / (area / M2_PER_ACRE);
        let live: Vec<String> = pls
            .both()
            .filter_map(|(live, share)| {
                let rate = pls_from_bulk(per_acre, share).ok()?;
                Some(format!("{} {}", pounds(rate), live.words()))
            })
            .collect();
        if !live.is_empty() {
            all.push(format!(
                "{} lb over {} acres, if all was sown, is {} bulk lb per acre; lb PLS per acre: {}.",
                words::plain(bulk),
                pounds(area / M2_PER_ACRE),
                pounds(per_acre),
                live.join(", ")
            ));
        }
    }
    all
}

pub(super) fn published_words(count: &SeedCount, standards: &Standards) -> String {
    let what = match count.of.as_str() {
        "" => "seeds",
        of => of,
    };
    let mut text = format!(
        "{} {what} per lb: {}",
        range(count.seeds_per_lb, thousands),
        cited(standards, count.source.as_str())
    );
    if !count.note.is_empty() {
        text.push_str(&format!("; {}", count.note));
    }
    text
}

pub(super) fn missing(
    planting: &Entry<Planting>,
    one: &Sown<'_>,
    at: usize,
    columns: &[Column],
    common: &str,
) -> Vec<Missing> {
    let mut all = Vec::new();
    let enter = format!("/lots/new?planting={}&taxon={}", planting.id, one.taxon);
    let correct = format!("/plantings/{}/correct", planting.id);
    if one.lots.is_empty() {
        all.push(Missing {
            words: format!("No tag for {common}: enter its lot."),
            address: enter.clone(),
            link: "Enter the lot",
        });
    }
    for lot in one.lots.iter().filter(|lot| lot::pls(&lot.body).is_none()) {
        all.push(Missing {
            words: format!("Lot {}: {}.", lot.body.lot, lot::pls_words(&lot.body)),
            address: format!("/lots/{}/correct", lot.id),
            link: "Correct the lot",
        });
    }
    let has_rate = columns
        .iter()
        .any(|column| column.lb_per_acre[at].is_some());
    if !has_rate {
        all.push(Missing {
            words: format!("No rate for {common}, planned or applied."),
            address: correct,
            link: "Enter it in the planting",
        });
    }
    if one.per_lb.is_none() {
        let words = match one.published.is_empty() {
            true => format!(
                "No seeds per pound for {common}: none on a tag, none published here. Count a sample, or ask the seller."
            ),
            false => format!(
                "No seeds per pound for {common}: only burs were counted, and a bur holds several seeds. Enter the tag's count."
            ),
        };
        let (address, link) = match one.lots.first() {
            Some(lot) => (format!("/lots/{}/correct", lot.id), "Enter it with the lot"),
            None => (enter, "Enter it with the lot"),
        };
        all.push(Missing {
            words,
            address,
            link,
        });
    }
    all
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

/// How the page was worked out; the same for every planting.
pub(super) fn how() -> How {
    How {
        shares: EMERGENCE_SHARES
            .iter()
            .map(|stated| (share_words(stated.share), stated.words, stated.source))
            .collect(),
        sums: vec![
            (
                "PLS is purity times live seed. With dormant seed: germination and dormant or hard seed are live.",
                PLS,
            ),
            ("Some count dormant seed as live,", DORMANT_COUNTS),
            ("some do not, so both are shown.", DORMANT_LEFT_OUT),
            ("Bulk weight is PLS weight over the PLS share.", BULK),
            (
                "Seeds per ft² are lb per acre times seeds per lb over 43,560; per m² by 1 ft = 0.3048 m.",
                SEEDS_PER_FT2,
            ),
        ],
        tests: TEST_RULES
            .iter()
            .map(|rule| {
                let own = match rule.months == STALE_MONTHS {
                    true => " (older ones are pointed out here)",
                    false => "",
                };
                (
                    format!("{} months: {}{own}", rule.months, rule.who),
                    rule.source,
                )
            })
            .collect(),
    }
}
