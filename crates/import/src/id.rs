//! The id of a record that a line of a file gives: the same whenever and by whomever it is sent.
//!
//! A UUIDv7 whose instant is noon UTC of the day in the field, a millisecond later for every step of
//! the order that people expect (point 2 before point 10), and whose rest is the beginning of a
//! SHA-256 of what the line says. Noon: in every zone from UTC-12 to UTC+11 that is the same day.
//! Only first versions of records go into it, so that a correction of the visit changes nothing.

use jiff::Timestamp;
use jiff::civil::Date;
use sha2::{Digest, Sha256};
use standbook_fieldbook::RecordId;

/// Steps of the order that fit between noon and the next day, milliseconds.
const MOST_STEPS: u32 = 12 * 60 * 60 * 1000 - 1;

/// The id of what `parts` say on a day; `n`-th of its like in a file, from 0.
pub(crate) fn id_of(day: Date, order: u32, n: u32, parts: &[&str]) -> RecordId {
    let mut hash = Sha256::new();
    for part in parts {
        // With its length in front, no two lists of parts run together to the same bytes.
        hash.update((part.len() as u64).to_le_bytes());
        hash.update(part.as_bytes());
    }
    hash.update(n.to_le_bytes());
    let hash = hash.finalize();
    let mut rest = [0_u8; 10];
    rest.copy_from_slice(&hash[..10]);
    let noon = format!("{day}T12:00:00Z").parse::<Timestamp>();
    let noon = noon.map_or(0, Timestamp::as_millisecond);
    // Days before 1970 have no UUIDv7; nothing here was walked then.
    let millis = u64::try_from(noon).unwrap_or(0) + u64::from(order.min(MOST_STEPS));
    let uuid = uuid::Builder::from_unix_timestamp_millis(millis, &rest).into_uuid();
    RecordId::from_uuid(uuid)
}

/// Where a label stands among its like: its last number; 0 without one.
pub(crate) fn order_of(label: &str) -> u32 {
    let digits: Vec<char> = label
        .chars()
        .rev()
        .skip_while(|c| !c.is_ascii_digit())
        .take_while(char::is_ascii_digit)
        .collect();
    digits
        .into_iter()
        .rev()
        .collect::<String>()
        .parse()
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_hangs_on_what_is_said_and_on_nothing_else() {
        let day = jiff::civil::date(2026, 7, 14);
        let one = id_of(day, 3, 0, &["point", "ab", "c"]);
        assert_eq!(one, id_of(day, 3, 0, &["point", "ab", "c"]));
        assert_eq!(one.born_at(), "2026-07-14T12:00:00.003Z");
        for other in [
            id_of(day, 3, 0, &["point", "a", "bc"]),
            id_of(day, 3, 1, &["point", "ab", "c"]),
            id_of(day, 4, 0, &["point", "ab", "c"]),
        ] {
            assert_ne!(one, other);
        }
        // RFC 9562, 5.7: version 7 stands in the 13th digit, the variant 8 to b in the 17th.
        let text = one.to_string();
        assert_eq!(&text[14..15], "7");
        assert!("89ab".contains(&text[19..20]), "{text}");
    }

    #[test]
    fn labels_go_by_their_number() {
        assert_eq!(
            ["7", "A12", "N-3b", "x", "99999999999"].map(order_of),
            [7, 12, 3, 0, 0]
        );
    }
}
