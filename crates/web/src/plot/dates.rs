//! Dates that look wrong: in the future, or a visit before the seeding.
//!
//! In: ISO dates, and today by this machine's clock. Out: questions. They refuse nothing: clocks
//! of phones and laptops can be wrong, and so can the date that was typed first.
//! Not here: what the book can't take at all (dates that do not exist, years out of range).

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Planting, Visit};

use crate::plot::filled::Filled;
use crate::words;

/// A question on a page, with the way to mend it.
pub(super) struct Question {
    /// What looks wrong.
    pub words: String,
    /// Where it can be corrected.
    pub address: String,
    /// What that corrects.
    pub link: String,
}

/// Whether a date lies after today.
fn in_future(on: &str) -> Option<String> {
    let today = words::today();
    (on > today.as_str() && standbook_fieldbook::time::parse_date(on).is_some())
        .then(|| words::date_words(&today))
}

/// Asks about a date after today. `what` begins the sentence, such as `The date of the visit`.
pub(crate) fn ask_about_future(filled: &mut Filled, field: &str, what: &str) {
    let on = filled.get(field).to_owned();
    if let Some(today) = in_future(&on) {
        filled.ask_about(
            field,
            format!(
                "{what}, {}, is in the future: by this machine's clock it is {today}. Correct the date, or tick that it is right.",
                words::date_words(&on)
            ),
        );
    }
}

/// Asks about a visit before the seeding.
pub(super) fn ask_about_before_seeding(filled: &mut Filled, planting: &Planting) {
    let on = filled.get("on").to_owned();
    if on < planting.seeded_on && standbook_fieldbook::time::parse_date(&on).is_some() {
        filled.ask_about(
            "on",
            format!(
                "This date is before the seeding on {}. Correct the date, or that of the planting, or tick that it is right.",
                words::date_words(&planting.seeded_on)
            ),
        );
    }
}

/// Asks about a seeding after visits that the book has already.
pub(super) fn ask_about_visits_before(filled: &mut Filled, visits: &[Entry<Visit>]) {
    let seeded_on = filled.get("seeded_on").to_owned();
    let early = visits.iter().find(|visit| visit.body.on < seeded_on);
    if let Some(early) = early
        && standbook_fieldbook::time::parse_date(&seeded_on).is_some()
    {
        filled.ask_about(
            "seeded_on",
            format!(
                "There is a visit of {} already, before this date of seeding. Correct the date, or that of the visit, or tick that it is right.",
                words::date_words(&early.body.on)
            ),
        );
    }
}

/// Everything about the dates of a planting and its visits that looks wrong.
pub(super) fn questions(planting: &Entry<Planting>, visits: &[Entry<Visit>]) -> Vec<Question> {
    let seeded_on = &planting.body.seeded_on;
    let seeded = words::date_words(seeded_on);
    let mut all = Vec::new();
    if let Some(today) = in_future(seeded_on) {
        all.push(Question {
            words: format!(
                "Seeded on {seeded}? By this machine's clock it is {today}: is the date right, and the clock?"
            ),
            address: format!("/plantings/{}/correct", planting.id),
            link: "Correct this planting".to_owned(),
        });
    }
    for visit in visits {
        let on = words::date_words(&visit.body.on);
        let wrong = if visit.body.on < *seeded_on {
            format!("The visit of {on} is before the seeding on {seeded}: which date is right?")
        } else if let Some(today) = in_future(&visit.body.on) {
            format!(
                "The visit of {on} is in the future. By this machine's clock it is {today}: is the date right, and the clock?"
            )
        } else {
            continue;
        };
        all.push(Question {
            words: wrong,
            address: format!("/visits/{}/correct", visit.id),
            link: "Correct this visit".to_owned(),
        });
    }
    all
}
