//! What a scout should know beside a frame: another day, a clock that is wrong, a fix outside the
//! field, a point that could not be reached, a frame of the same number by somebody else.
//!
//! In: the place, the frame, this machine's clock and zone. Out: short notices, each with a way to
//! mend it where there is one. A notice refuses nothing: the scout may be right.
//! Units: metres and feet; calendar days in the zone of this machine.
//! Not here: what can't be saved (`check`).

use jiff::civil::Date;
use jiff::tz::TimeZone;
use standbook_fieldbook::record::{Frame, OutlineOf, Planting, Position, Visit, is_second_hand};
use standbook_fieldbook::time::{parse_date, parse_stamp};
use standbook_fieldbook::{BookError, Entry, Record, RecordId};
use standbook_plan::{Area, Ground, Polygon, Whereabouts};

use super::check::same_person;
use super::draft::Draft;
use super::walk::distance_words;
use crate::app::App;
use crate::plot::place::Place;
use crate::words;

/// A record may reach a book long after it was born: phones are out of reach, books are merged in
/// winter. More than this many days is rather a clock that is wrong. Ours.
const LATE_DAYS: i32 = 366;
/// Clocks of two honest devices differ by minutes; a day allows for zones set wrong. Ours.
const AHEAD_DAYS: i32 = 1;

/// One notice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Notice {
    /// What is to be known.
    pub words: String,
    /// Where it can be mended: address and words.
    pub link: Option<(String, String)>,
}

fn plain(words: String) -> Notice {
    Notice { words, link: None }
}

/// The day of an instant here.
fn day_of(stamp: &str) -> Option<Date> {
    parse_stamp(stamp).map(|it| it.to_zoned_datetime(TimeZone::system()).date())
}

/// Days from one date to another; negative when the other is earlier.
fn days(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |span| span.get_days())
}

/// Where a fix lies that is not on ground to be looked at.
fn outside(app: &App, planting: RecordId, fix: Position) -> Result<Option<String>, BookError> {
    let corner = [fix.latitude, fix.longitude];
    // A fix that may as well lie inside is no news.
    let slack = fix.uncertainty_m.unwrap_or(0.0);
    let mut nearest: Option<f64> = None;
    let mut inside = false;
    for outline in app.book.outlines(planting)? {
        let polygons = outline.body.polygons.iter();
        let polygons = polygons.map(|it| Polygon::from_rings(it.rings.clone()));
        let Ok(area) = Area::new(polygons.collect()) else {
            // An outline that does not hold together judges nobody.
            continue;
        };
        let Ok(ground) = Ground::new(&area, &[], &[], 0.0) else {
            continue;
        };
        let where_it_is = ground.whereabouts(corner);
        match (outline.body.of, where_it_is) {
            (OutlineOf::Field, Whereabouts::Outside { by_m }) => {
                nearest = Some(nearest.map_or(by_m, |it: f64| it.min(by_m)));
            }
            (OutlineOf::Field, _) => inside = true,
            (
                OutlineOf::KeepOut,
                Whereabouts::Inside { to_edge_m } | Whereabouts::NearEdge { to_edge_m },
            ) if to_edge_m > slack => {
                let name = match outline.body.name.as_str() {
                    "" => "ground that is not looked at".to_owned(),
                    name => format!("ground that is not looked at ({name})"),
                };
                return Ok(Some(format!("This fix lies in {name}.")));
            }
            _ => {}
        }
    }
    Ok(nearest.filter(|by_m| !inside && *by_m > slack).map(|by_m| {
        format!(
            "This fix lies {} outside the outline of the field.",
            distance_words(by_m)
        )
    }))
}

fn about_the_fix(app: &App, place: &Place) -> Result<Option<Notice>, BookError> {
    let Some(fix) = place.point.body.position else {
        return Ok(None);
    };
    let words = outside(app, place.planting.id, fix)?;
    Ok(words.map(|words| Notice {
        words,
        link: Some((
            format!("/points/{}/correct", place.point.id),
            "Correct the point".to_owned(),
        )),
    }))
}

/// Before a frame is counted.
pub(super) fn before_counting(
    app: &App,
    place: &Place,
    draft: &Draft,
) -> Result<Vec<Notice>, BookError> {
    let mut list = Vec::new();
    if !place.point.body.unreachable.is_empty() {
        list.push(Notice {
            words: format!(
                "This point is recorded as not reached: {}.",
                place.point.body.unreachable
            ),
            link: Some((
                format!("/points/{}/correct", place.point.id),
                "It can be reached".to_owned(),
            )),
        });
    }
    list.extend(another_day(app, &place.visit, &place.planting)?);
    // The second scout of a blind repeat stands where the first one stood.
    if draft.repeats.is_none() {
        list.extend(about_the_fix(app, place)?);
    }
    Ok(list)
}

/// Before a walk or a frame: a clock before the seeding, or a visit of another day. Not asked
/// again once somebody has counted today, knowing it.
pub(super) fn another_day(
    app: &App,
    visit: &Entry<Visit>,
    planting: &Entry<Planting>,
) -> Result<Option<Notice>, BookError> {
    let today = words::today();
    let seeded = &planting.body.seeded_on;
    if parse_date(&today) < parse_date(seeded) {
        return Ok(Some(plain(format!(
            "This machine's clock says {}, before the seeding on {}. Set its clock: the date is kept with every frame.",
            words::date_words(&today),
            words::date_words(seeded)
        ))));
    }
    if today == visit.body.on {
        return Ok(None);
    }
    let frames = app.book.frames(visit.id)?;
    let knows = frames
        .iter()
        .filter(|frame| frame.supersedes.is_none())
        .any(|frame| day_of(&frame.born_at).is_some_and(|day| day.to_string() == today));
    Ok((!knows).then(|| Notice {
        words: format!(
            "This visit is dated {}; today is {}.",
            words::date_words(&visit.body.on),
            words::date_words(&today)
        ),
        link: Some((
            format!("/visits/new?planting={}", planting.id),
            "Start a new visit?".to_owned(),
        )),
    }))
}

/// Beside a saved frame. `first`: its first version, whose clock tells when it was read.
pub(super) fn of_a_frame(
    app: &App,
    place: &Place,
    frame: &Entry<Frame>,
    first: Option<&Record>,
) -> Result<Vec<Notice>, BookError> {
    let (device, born_at, received_at) = match first {
        Some(record) => (
            record.device.as_str(),
            record.born_at.as_str(),
            record.received_at.as_deref().unwrap_or_default(),
        ),
        None => (
            frame.device.as_str(),
            frame.born_at.as_str(),
            frame.received_at.as_str(),
        ),
    };
    let mut list = clock(place, device, born_at, received_at);
    list.extend(about_the_fix(app, place)?);
    list.extend(counted_by_another(app, place, frame)?);
    Ok(list)
}

/// Two scouts who did not see each other's phones may each have a frame of this number here: two
/// layings, or one that both read. Only they know, so both are kept as they came and this asks.
fn counted_by_another(
    app: &App,
    place: &Place,
    frame: &Entry<Frame>,
) -> Result<Option<Notice>, BookError> {
    if frame.body.repeats.is_some() {
        return Ok(None);
    }
    let number = frame.body.number;
    let others = app.book.frames_numbered(place.point.id, number)?;
    let Some(other) = others.iter().find(|other| {
        other.id != frame.id
            && other.body.repeats.is_none()
            && other.body.shape == frame.body.shape
            && !same_person(&other.body.scout, &frame.body.scout)
    }) else {
        return Ok(None);
    };
    let age = |it: &Entry<Frame>| (it.received_at.clone(), it.id);
    let (first, later) = match age(other) < age(frame) {
        true => (other, frame),
        false => (frame, other),
    };
    // Whoever read the later one again would be left with a second reading of a second reading.
    if !app.book.repeats_of(later.id)?.is_empty() {
        return Ok(None);
    }
    Ok(Some(Notice {
        words: format!(
            "{} counted a frame {number} here too. Both are kept, as two frames of this spot. If both of you read one and the same frame, {}\u{2019}s becomes its second reading, and the stand counts that ground once.",
            other.body.scout, later.body.scout
        ),
        link: Some((
            format!("/frames/{}/correct?repeats={}", later.id, first.id),
            "It was the same frame".to_owned(),
        )),
    }))
}

/// What the two clocks and the dates around them say.
fn clock(place: &Place, device: &str, born_at: &str, received_at: &str) -> Vec<Notice> {
    let Some(born) = day_of(born_at).filter(|_| !is_second_hand(device)) else {
        return Vec::new();
    };
    let born_words = words::date_words(&born.to_string());
    let mut list = Vec::new();
    if let Some(received) = day_of(received_at) {
        let later = days(born, received);
        let arrived = words::date_words(&received.to_string());
        if later > LATE_DAYS {
            list.push(plain(format!(
                "The clock of \u{201c}{device}\u{201d} said {born_words} when this was saved, and it came into this book on {arrived}. If the clock was wrong, set it right: the frame itself is kept as read.",
            )));
        } else if later < -AHEAD_DAYS {
            list.push(plain(format!(
                "The clock of \u{201c}{device}\u{201d} said {born_words} when this was saved, later than {arrived}, when it came into this book. One of the two clocks is wrong.",
            )));
        }
    }
    let seeded = &place.planting.body.seeded_on;
    if parse_date(seeded).is_some_and(|it| born < it) {
        list.push(plain(format!(
            "By the clock of \u{201c}{device}\u{201d} this was saved on {born_words}, before the seeding on {}. Check that clock, or the date of the planting.",
            words::date_words(seeded)
        )));
    } else if list.is_empty() && parse_date(&place.visit.body.on).is_some_and(|on| on != born) {
        list.push(Notice {
            words: format!(
                "Saved on {born_words}, in a visit dated {}.",
                place.visit_words()
            ),
            link: Some((
                format!("/visits/{}/correct", place.visit.id),
                "Correct the visit".to_owned(),
            )),
        });
    }
    list
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn said(born_at: &str, received_at: &str) -> String {
        let folder = tempfile::tempdir().unwrap();
        // Seeded on 12 May 2026, visited on 14 July 2026.
        let (_, place) = crate::count::samples::place(folder.path());
        let list = clock(&place, "phone", born_at, received_at);
        let words: Vec<String> = list.into_iter().map(|it| it.words).collect();
        words.join(" ")
    }

    #[test]
    fn what_came_from_a_file_or_from_paper_says_nothing_of_clocks() {
        let folder = tempfile::tempdir().unwrap();
        let (_, place) = crate::count::samples::place(folder.path());
        let days = ("2026-07-20T17:00:00.000Z", "2031-07-20T17:00:00.000Z");
        for device in ["file a.csv", "typed from paper by B. Rowan on 2026-07-20"] {
            assert_eq!(clock(&place, device, days.0, days.1), []);
        }
        assert_eq!(clock(&place, "phone", days.0, days.1).len(), 1);
    }

    #[test]
    fn clocks_that_are_wrong_are_told_from_phones_that_come_home_late() {
        let noon = |day: &str| format!("{day}T17:00:00.000Z");
        // Merged in winter: nothing is wrong.
        assert_eq!(said(&noon("2026-07-14"), &noon("2026-12-20")), "");
        // A phone that thinks it is 2019.
        let old = said(&noon("2019-01-01"), &noon("2026-07-14"));
        assert!(old.contains("said 1 January 2019"), "{old}");
        assert!(old.contains("before the seeding on 12 May 2026"), "{old}");
        // A phone that is ahead by years.
        let ahead = said(&noon("2031-07-14"), &noon("2026-07-14"));
        assert!(ahead.contains("One of the two clocks is wrong"), "{ahead}");
        // Another day than the visit's.
        let other = said(&noon("2026-07-20"), &noon("2026-07-20"));
        assert_eq!(
            other,
            "Saved on 20 July 2026, in a visit dated 14 July 2026."
        );
    }
}
