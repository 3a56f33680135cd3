//! Whether people may go into a field after spraying.
//!
//! In: events of a planting, and the clock and zone of this machine. Out: a warning for each
//! spraying whose entry interval has not ended, or whose length nobody has entered.
//!
//! Units: hours as the label says. An event has a date and no hour, so the interval is counted
//! from the end of that day: the end shown is never too early.
//!
//! Source: nobody enters before the label's interval has ended, with several products the longest
//! holds (`keys/standards`, caution `entry_interval`).
//! Not here: what the label says; when stock may graze (`event`).

use askama::Template;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, ZonedDateTime};
use standbook_fieldbook::record::{Event, EventKind};
use standbook_fieldbook::time::parse_date;
use standbook_fieldbook::{BookError, Entry, RecordId, limits};

use crate::app::App;
use crate::words;

/// A spraying after which the field is not to be walked yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct KeepOut {
    /// Since when, until when, how that was counted.
    pub words: String,
    /// Where the event can be corrected.
    pub address: String,
    /// What there is to correct.
    pub link: &'static str,
}

/// Warnings for the top of a page; empty HTML when there are none.
#[derive(Debug, Default, Template)]
#[template(path = "plot/_entry.html")]
pub(crate) struct KeepOuts {
    /// One for each spraying, by date.
    list: Vec<KeepOut>,
}

/// How a spraying stands at an instant.
#[derive(Debug, Clone, PartialEq)]
enum Standing {
    /// The interval has ended, or ended at the latest.
    Over,
    /// Nobody goes in before this instant.
    Until(ZonedDateTime),
    /// Nobody has entered how long it is.
    NotKnown,
}

/// The first instant after a day and so many hours; `None` when there is no such instant.
fn end_of(on: &str, hours: f64, zone: &TimeZone) -> Option<ZonedDateTime> {
    let next_day = parse_date(on)?.tomorrow().ok()?;
    let midnight = next_day.to_zoned_datetime(zone.clone()).ok()?;
    // Hours by the clock that runs, not the one on the wall: a change to summer time does not
    // make an interval shorter. Parts of a minute are rounded up.
    let minutes = (hours * 60.0).ceil();
    let interval = SignedDuration::try_from_secs_f64(minutes * 60.0).ok()?;
    midnight.checked_add(interval).ok()
}

fn standing(on: &str, entry_after_h: Option<f64>, now: &ZonedDateTime) -> Standing {
    // Of an unknown interval it is known that the book takes none longer than this.
    let hours = entry_after_h.unwrap_or(limits::ENTRY_AFTER_H);
    match end_of(on, hours, now.time_zone()) {
        Some(end) if end <= *now => Standing::Over,
        Some(end) if entry_after_h.is_some() => Standing::Until(end),
        _ => Standing::NotKnown,
    }
}

fn keep_out(event: &Entry<Event>, now: &ZonedDateTime) -> Option<KeepOut> {
    let EventKind::Sprayed { entry_after_h, .. } = event.body.what else {
        return None;
    };
    let on = words::date_words(&event.body.on);
    let will_be = event.body.on > now.date().to_string();
    let sprayed = match will_be {
        true => format!("Spraying is entered for {on}, a date to come"),
        false => format!("Sprayed on {on}"),
    };
    let from_then = if will_be {
        "from then on, and not "
    } else {
        ""
    };
    let address = format!("/events/{}/correct", event.id);
    match standing(&event.body.on, entry_after_h, now) {
        Standing::Over => None,
        Standing::Until(end) => Some(KeepOut {
            words: format!(
                "{sprayed}. Nobody walks here {from_then}before {}, {:02}:{:02}: {} on the label, counted from the end of that day, since the hour is not kept.",
                words::date_words(&end.date().to_string()),
                end.hour(),
                end.minute(),
                hours_words(entry_after_h.unwrap_or_default())
            ),
            address,
            link: "Correct this spraying",
        }),
        Standing::NotKnown => Some(KeepOut {
            words: format!(
                "{sprayed}, and how long people stay out is not entered. Nobody walks here {}until somebody has read the label.",
                if will_be { "from then on, " } else { "" }
            ),
            address,
            link: "Enter the hours from the label",
        }),
    }
}

/// `1 hour`, `48 hours`.
pub(super) fn hours_words(hours: f64) -> String {
    match hours {
        1.0 => "1 hour".to_owned(),
        hours => format!("{} hours", words::plain(hours)),
    }
}

/// The warnings for a planting, now.
pub(crate) fn keep_outs(app: &App, planting: RecordId) -> Result<KeepOuts, BookError> {
    let now = ZonedDateTime::now();
    let events = app.book.events(planting)?;
    Ok(KeepOuts {
        list: events.iter().filter_map(|e| keep_out(e, &now)).collect(),
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn at(instant: &str) -> ZonedDateTime {
        instant.parse().unwrap()
    }

    #[test]
    fn an_interval_is_counted_from_the_end_of_the_day() {
        let zone = "[America/Chicago]";
        let on = "2026-06-10";
        let standing = |hours, now: &str| standing(on, hours, &at(&format!("{now}{zone}")));
        // 12 hours: the morning after is too early, noon is not.
        assert!(matches!(
            standing(Some(12.0), "2026-06-11T11:59-05"),
            Standing::Until(_)
        ));
        assert_eq!(standing(Some(12.0), "2026-06-11T12:00-05"), Standing::Over);
        let Standing::Until(end) = standing(Some(48.0), "2026-06-10T08:00-05") else {
            panic!("48 hours are not over on the day");
        };
        assert_eq!(end, at("2026-06-13T00:00-05[America/Chicago]"));
        // None at all still means the day itself: at which hour it was sprayed is not known.
        assert!(matches!(
            standing(Some(0.0), "2026-06-10T20:00-05"),
            Standing::Until(_)
        ));
        assert_eq!(standing(Some(0.0), "2026-06-11T00:00-05"), Standing::Over);
        assert_eq!(standing(None, "2026-08-11T00:00-05"), Standing::NotKnown);
        assert_eq!(standing(None, "2027-06-20T00:00-05"), Standing::Over);
        // A tenth of a minute counts as a minute.
        assert!(matches!(
            standing(Some(12.001), "2026-06-11T12:00-05"),
            Standing::Until(_)
        ));
    }

    /// On 8 March 2026 clocks in Chicago go forward (tz database): 24 hours end at 1 in the night.
    #[test]
    fn summer_time_shortens_no_interval() {
        let now = at("2026-03-07T20:00-06[America/Chicago]");
        let Standing::Until(end) = standing("2026-03-07", Some(24.0), &now) else {
            panic!("24 hours are not over on the day");
        };
        assert_eq!(end, at("2026-03-09T01:00-05[America/Chicago]"));
    }

    #[test]
    fn what_cannot_be_reckoned_keeps_people_out() {
        let now = at("2026-06-10T08:00-05[America/Chicago]");
        assert_eq!(standing("not a date", Some(4.0), &now), Standing::NotKnown);
        assert_eq!(standing("9999-12-31", Some(4.0), &now), Standing::NotKnown);
    }
}
