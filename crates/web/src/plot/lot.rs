//! A seed lot in words: pure live seed both ways, how old its test was.
//!
//! In: seed lots as their tags say, the planting they went into. Out: short texts and figures.
//! Units: percent as on tags; pure live seed as shares from 0 to 1.
//! Source: definitions and rules carry theirs (crate `stand`, `seeding`).
//! Not here: the form (`lot_form`), rates and seeds on the ground (`seeding`).

use standbook_fieldbook::record::{Planting, SeedLot};
use standbook_fieldbook::time::parse_date;
use standbook_fieldbook::{BookError, Entry};
use standbook_stand::seeding::{Month, Pls, STALE_MONTHS, Tag, months_between};

use crate::app::App;
use crate::words;

/// A lot as a line of a list.
pub(super) struct LotLine {
    /// Common name of the species.
    pub common: String,
    /// Lot number, variety and origin.
    pub lot: String,
    /// Pure live seed both ways, or what the tag lacks for it.
    pub pls: String,
    /// Noxious kinds on the tag; may be empty.
    pub noxious: String,
    /// What is to be said of the test's age; may be empty.
    pub age: String,
    /// Whether that is a worry, not only something missing.
    pub worry: bool,
    /// Whether the species is not in the mix.
    pub stray: bool,
    /// Where it can be corrected.
    pub address: String,
}

/// A share as percent with at most two decimals, as tags print it: `63.75 %`.
pub(super) fn tag_percent(share: f64) -> String {
    format!("{} %", words::plain((share * 1e4).round() / 1e2))
}

/// Pure live seed of a lot; `None` when purity or germination is not on the tag, or they cannot be.
pub(super) fn pls(lot: &SeedLot) -> Option<Pls> {
    let (purity, germination) = (lot.purity_percent?, lot.germination_percent?);
    Tag::new(purity, germination, lot.dormant_percent)
        .ok()
        .map(|tag| tag.pls())
}

/// Pure live seed in words, each number with its label.
pub(super) fn pls_words(lot: &SeedLot) -> String {
    if let Some(pls) = pls(lot) {
        let both: Vec<String> = pls
            .both()
            .map(|(live, share)| format!("{} {}", tag_percent(share), live.words()))
            .collect();
        let more = match pls.with_dormant {
            Some(_) => "",
            None => " (dormant seed not entered)",
        };
        return format!("PLS {}{more}", both.join(", "));
    }
    let lacks = match (lot.purity_percent, lot.germination_percent) {
        (None, None) => "purity and germination",
        (None, _) => "purity",
        (_, None) => "germination",
        _ => {
            return "PLS can't be worked out: correct purity, germination, dormant seed".to_owned();
        }
    };
    format!("PLS not known: enter {lacks} from the tag")
}

/// A month in words: `2026-02` gives `February 2026`.
pub(super) fn month_words(month: &str) -> String {
    let day = words::date_words(&format!("{month}-01"));
    day.strip_prefix("1 ").unwrap_or(month).to_owned()
}

/// Months from the germination test to the seeding; below 0 when the test is later.
pub(super) fn test_age_months(lot: &SeedLot, planting: &Planting) -> Option<i32> {
    let month = |day: &str| {
        parse_date(day).map(|date| Month {
            year: date.year(),
            month: date.month(),
        })
    };
    let tested = month(&format!("{}-01", lot.tested.as_ref()?))?;
    Some(months_between(tested, month(&planting.seeded_on)?))
}

/// What is to be said of the age of a test; empty when it is fresh enough.
pub(super) fn age_words(lot: &SeedLot, planting: &Planting) -> String {
    let Some(tested) = &lot.tested else {
        return "month of the test not entered".to_owned();
    };
    let tested = month_words(tested);
    match test_age_months(lot, planting) {
        Some(age) if age > STALE_MONTHS => format!(
            "tested {tested}, {age} months before seeding: an old test (Texas asks for {STALE_MONTHS} or less)"
        ),
        Some(age) if age < 0 => {
            format!(
                "tested {tested}, after the seeding: is the month right, and the date of seeding?"
            )
        }
        _ => String::new(),
    }
}

/// The lots of a planting, in the order of its mix, strays last.
pub(super) fn in_order(
    app: &App,
    planting: &Entry<Planting>,
) -> Result<Vec<Entry<SeedLot>>, BookError> {
    let mut lots = app.book.seed_lots(planting.id)?;
    let mix = &planting.body.mix;
    lots.sort_by_key(|lot| {
        let at = mix.iter().position(|item| item.taxon == lot.body.taxon);
        at.unwrap_or(mix.len())
    });
    Ok(lots)
}

/// The lots of a planting as lines.
pub(super) fn lines(app: &App, planting: &Entry<Planting>) -> Result<Vec<LotLine>, BookError> {
    let mix = &planting.body.mix;
    let lots = in_order(app, planting)?;
    Ok(lots
        .into_iter()
        .map(|lot| {
            let noxious: Vec<String> = lot
                .body
                .noxious
                .iter()
                .map(|kind| format!("{} {} per lb", kind.name, words::plain(kind.per_lb)))
                .collect();
            LotLine {
                common: words::taxon_name(app, &lot.body.taxon).0,
                lot: lot_words(&lot.body),
                pls: pls_words(&lot.body),
                noxious: noxious.join(", "),
                age: age_words(&lot.body, &planting.body),
                worry: test_age_months(&lot.body, &planting.body)
                    .is_some_and(|age| !(0..=STALE_MONTHS).contains(&age)),
                stray: !mix.iter().any(|item| item.taxon == lot.body.taxon),
                address: format!("/lots/{}/correct", lot.id),
            }
        })
        .collect())
}

/// `lot A-17, Teal, grown in Marl County`.
pub(super) fn lot_words(lot: &SeedLot) -> String {
    let mut text = format!("lot {}", lot.lot);
    if !lot.variety.is_empty() {
        text.push_str(&format!(", {}", lot.variety));
    }
    if !lot.origin.is_empty() {
        text.push_str(&format!(", grown in {}", lot.origin));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percent_as_on_tags() {
        assert_eq!(tag_percent(0.6375), "63.75 %");
        assert_eq!(tag_percent(0.768), "76.8 %");
        assert_eq!(tag_percent(1.0), "100 %");
        assert_eq!(month_words("2026-02"), "February 2026");
        assert_eq!(month_words("soon"), "soon");
    }
}
