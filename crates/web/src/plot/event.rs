//! What happened to a planting, in words.
//!
//! In: events. Out: lines for a list, newest first.
//! Units: heights in cm and inches, rain in mm and inches, intervals in hours and days.
//! Not here: the form (`event_form`); whether people may go in (`entry`).

use jiff::ToSpan;
use standbook_fieldbook::record::{Event, EventKind, Planting};
use standbook_fieldbook::time::parse_date;
use standbook_fieldbook::{BookError, Entry};

use crate::app::App;
use crate::plot::entry::hours_words;
use crate::words::{self, CM_PER_INCH};

/// Millimetres in one inch, exact.
pub(super) const MM_PER_INCH: f64 = 25.4;

/// An event as a line of a list.
pub(super) struct EventLine {
    /// When, in words.
    pub on: String,
    /// What, in words.
    pub what: String,
    /// The note, may be empty.
    pub note: String,
    /// Who entered it.
    pub author: String,
    /// Whether it is dated before the seeding.
    pub before_seeding: bool,
    /// Where it can be corrected.
    pub address: String,
}

/// A length in inches, rounded for the eye.
fn inches(value: f64, per_inch: f64) -> String {
    words::plain((value / per_inch * 10.0).round() / 10.0)
}

/// The first day on which stock may go in or hay may be cut: the day of spraying does not count,
/// parts of a day count as days.
fn graze_from(on: &str, days: f64) -> Option<String> {
    let days = (days.ceil() as i64).checked_add(1)?;
    let day = parse_date(on)?.checked_add(days.days()).ok()?;
    Some(words::date_words(&day.to_string()))
}

/// What happened, in words.
pub(super) fn event_words(event: &Event) -> String {
    match event.what {
        EventKind::Mowed { height_cm: Some(h) } => {
            let h = words::plain((h * 10.0).round() / 10.0);
            let inches = event_height(event).unwrap_or_default();
            format!("mowed, {h} cm ({inches} in) left standing")
        }
        EventKind::Mowed { height_cm: None } => "mowed, height not known".to_owned(),
        EventKind::Sprayed {
            entry_after_h,
            graze_after_days,
        } => {
            let entry = match entry_after_h {
                Some(hours) => format!("people out for {}", hours_words(hours)),
                None => "how long people stay out is not entered".to_owned(),
            };
            let graze = match graze_after_days {
                Some(days) => match graze_from(&event.on, days) {
                    Some(day) => format!(
                        "no grazing or hay before {day} ({} on the label)",
                        match days {
                            1.0 => "1 day".to_owned(),
                            days => format!("{} days", words::plain(days)),
                        }
                    ),
                    None => format!("no grazing or hay for {} days", words::plain(days)),
                },
                None => "how long stock and hay wait is not entered".to_owned(),
            };
            format!("sprayed; {entry}; {graze}")
        }
        EventKind::Rain { mm: Some(mm) } => {
            format!(
                "rain, {} mm ({} in)",
                words::plain(mm),
                inches(mm, MM_PER_INCH)
            )
        }
        EventKind::Rain { mm: None } => "rain, not measured".to_owned(),
        EventKind::Drought => "a dry spell began".to_owned(),
        EventKind::Grazed => "grazed".to_owned(),
        EventKind::Burned => "burned".to_owned(),
        EventKind::Overseeded => "overseeded".to_owned(),
        EventKind::Other => "other".to_owned(),
    }
}

fn event_height(event: &Event) -> Option<String> {
    match event.what {
        EventKind::Mowed { height_cm } => height_cm.map(|cm| inches(cm, CM_PER_INCH)),
        _ => None,
    }
}

/// The events of a planting, newest first.
pub(super) fn lines(app: &App, planting: &Entry<Planting>) -> Result<Vec<EventLine>, BookError> {
    let events = app.book.events(planting.id)?;
    Ok(events
        .into_iter()
        .rev()
        .map(|event| EventLine {
            on: words::date_words(&event.body.on),
            what: event_words(&event.body),
            before_seeding: event.body.on < planting.body.seeded_on,
            author: event.author,
            address: format!("/events/{}/correct", event.id),
            note: event.body.note,
        })
        .collect())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use standbook_fieldbook::RecordId;

    fn said(what: EventKind) -> String {
        event_words(&Event {
            planting: RecordId::new(),
            on: "2026-06-01".to_owned(),
            what,
            note: String::new(),
        })
    }

    #[test]
    fn every_number_has_both_units() {
        assert_eq!(
            said(EventKind::Mowed {
                height_cm: Some(15.24)
            }),
            "mowed, 15.2 cm (6 in) left standing"
        );
        assert_eq!(
            said(EventKind::Rain { mm: Some(38.1) }),
            "rain, 38.1 mm (1.5 in)"
        );
    }

    /// 30 days from the end of 1 June end with 1 July (calendar).
    #[test]
    fn grazing_waits_from_the_end_of_the_day() {
        let sprayed = |days| EventKind::Sprayed {
            entry_after_h: Some(12.0),
            graze_after_days: days,
        };
        assert!(said(sprayed(Some(30.0))).contains("before 2 July 2026 (30 days on the label)"));
        assert!(said(sprayed(Some(0.5))).contains("before 3 June 2026"));
        assert!(said(sprayed(None)).contains("stock and hay wait is not entered"));
        assert!(said(sprayed(Some(0.0))).contains("before 2 June 2026"));
    }
}
