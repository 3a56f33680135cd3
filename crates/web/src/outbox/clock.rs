//! Whether a phone's clock and this machine's agree.
//!
//! In: when a phone sent an outbox, by its own clock. Out: in words how far the two clocks are
//! apart, once it matters. Records bear both times (`born_at` the phone's, `received_at` ours).

use standbook_fieldbook::time;

/// So far apart, frames of two scouts may come out in the wrong order; an answer that was long on
/// its way does not show as much. Seconds; chosen here.
const WORTH_SAYING_S: i64 = 90;

/// In words how far apart they are; none where it does not matter, or the stamp is none.
pub(super) fn apart(sent: &str, now: &str) -> Option<String> {
    let (phone, ours) = (time::parse_stamp(sent)?, time::parse_stamp(now)?);
    let ahead_s = phone.duration_since(ours).as_secs();
    let far = ahead_s.unsigned_abs();
    let how = if ahead_s > 0 { "ahead of" } else { "behind" };
    (far >= WORTH_SAYING_S.unsigned_abs()).then(|| {
        format!(
            "This phone's clock is {} {how} the laptop's. What is saved here bears the phone's time: set the clock that is wrong.",
            amount(far)
        )
    })
}

fn amount(seconds: u64) -> String {
    match seconds {
        s if s < 2 * 3600 => format!("{} min", (s + 30) / 60),
        s if s < 48 * 3600 => format!("{} h", (s + 1800) / 3600),
        s => format!("{} days", s / 86400),
    }
}

#[cfg(test)]
mod tests {
    use super::apart;

    #[test]
    fn clocks_that_nearly_agree_are_not_spoken_of() {
        let now = "2026-07-14T15:00:00.000Z";
        for sent in [
            "2026-07-14T15:00:00.000Z",
            "2026-07-14T15:01:29.999Z",
            "2026-07-14T14:58:31.000Z",
            "yesterday",
            "",
        ] {
            assert_eq!(apart(sent, now), None, "{sent}");
        }
        for (sent, words) in [
            ("2026-07-14T15:07:00.000Z", "7 min ahead of"),
            ("2026-07-14T12:00:00.000Z", "3 h behind"),
            ("2026-07-24T15:00:00.000Z", "10 days ahead of"),
            ("1970-01-01T00:00:00.000Z", "20648 days behind"),
        ] {
            let said = apart(sent, now).unwrap_or_default();
            assert!(said.contains(words), "{sent}: {said}");
        }
    }
}
