//! The next free number of a collector.
//!
//! In: numbers as collectors write them, which are texts: `12`, `AF-012`. Out: the one after the highest.
//! Source: one running number for life is common practice of collectors.

use std::collections::BTreeMap;

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::Voucher;

/// What a number is made of: what stands before its last digits, and those.
fn parts(number: &str) -> Option<(&str, &str)> {
    let head = number.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = &number[head.len()..];
    (!digits.is_empty()).then_some((head, digits))
}

/// The number after the highest of these; `1` where none ends with digits.
pub(super) fn after<'a>(numbers: impl Iterator<Item = &'a str>) -> String {
    let highest = numbers
        .filter_map(parts)
        .filter_map(|(head, digits)| Some((digits.parse::<u64>().ok()?, head, digits.len())))
        .max();
    match highest {
        Some((value, head, width)) => format!("{head}{:0width$}", value.saturating_add(1)),
        None => "1".to_owned(),
    }
}

/// Everybody who collected, with the next free number of each.
pub(super) fn next_of_all(vouchers: &[Entry<Voucher>]) -> BTreeMap<String, String> {
    let mut by_collector: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for one in vouchers {
        let numbers = by_collector.entry(one.body.collector.trim()).or_default();
        numbers.push(one.body.number.trim());
    }
    by_collector
        .into_iter()
        .map(|(who, numbers)| (who.to_owned(), after(numbers.into_iter())))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_follows_the_highest_and_is_written_like_it() {
        for (numbers, next) in [
            (&[][..], "1"),
            (&["7", "12", "9"], "13"),
            (&["AF-009", "AF-010"], "AF-011"),
            (&["99"], "100"),
            (&["2026-14", "3"], "2026-15"),
            // Letters behind the digits, or digits beyond counting, are no number to go on from.
            (&["12a", "99999999999999999999999"], "1"),
            (&["18446744073709551615"], "18446744073709551615"),
            (&["Å7"], "Å8"),
        ] {
            assert_eq!(after(numbers.iter().copied()), next, "{numbers:?}");
        }
    }
}
