//! Instants and dates as the book writes them.
//!
//! Instants: UTC, RFC 3339 with exactly three decimals, 24 characters, so that the order of
//! the texts is the order of the instants. Dates: ISO 8601, 10 characters.
//! Not here: time zones; a page shows an instant in the zone of its reader.

use jiff::Timestamp;
use jiff::civil::Date;

/// The present instant by this machine's clock, such as `2026-07-14T15:04:05.123Z`.
pub fn now() -> String {
    stamp(Timestamp::now())
}

/// An instant as the book writes it; anything finer than a millisecond is cut off.
pub fn stamp(instant: Timestamp) -> String {
    format!("{instant:.3}")
}

/// Reads an instant in exactly the book's spelling; `None` for any other text.
pub fn parse_stamp(text: &str) -> Option<Timestamp> {
    let instant: Timestamp = text.parse().ok()?;
    // One instant, one spelling: compared as text everywhere else.
    (text.len() == 24 && stamp(instant) == text).then_some(instant)
}

/// An instant after `than`, which a clock that is ahead may have put into the future: `now`, or a
/// millisecond after `than` where that is later. The newest version is the one that counts.
pub fn later(now: String, than: &str) -> String {
    if than < now.as_str() {
        return now;
    }
    parse_stamp(than)
        .and_then(|instant| {
            instant
                .checked_add(std::time::Duration::from_millis(1))
                .ok()
        })
        .map_or(now, stamp)
}

/// Reads a date that exists, in exactly the form `2026-05-12`; `None` for any other text.
pub fn parse_date(text: &str) -> Option<Date> {
    let date: Date = text.parse().ok()?;
    (date.to_string() == text).then_some(date)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn one_spelling_an_instant() {
        assert!(parse_stamp("2026-07-14T15:04:05.123Z").is_some());
        assert!(parse_stamp("2026-07-14T15:04:05.000Z").is_some());
        for other in [
            "2026-07-14T15:04:05Z",
            "2026-07-14T15:04:05.1234Z",
            "2026-07-14t15:04:05.123Z",
            "2026-07-14 15:04:05.123Z",
            "2026-07-14T15:04:05.123+00:00",
            "2026-02-30T15:04:05.123Z",
            "2026-07-14T24:04:05.123Z",
            "",
        ] {
            assert!(parse_stamp(other).is_none(), "{other}");
        }
        assert_eq!(now().len(), 24);
        assert!(parse_stamp(&now()).is_some());
    }

    #[test]
    fn dates_exist() {
        assert!(parse_date("2024-02-29").is_some());
        for other in [
            "2026-02-29",
            "2026-2-9",
            "20260209",
            "2026-13-01",
            "12 May 2026",
            "",
        ] {
            assert!(parse_date(other).is_none(), "{other}");
        }
    }
}
