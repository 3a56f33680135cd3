//! A flag with its plant, as pages show it; and the line that says how many are due.

use standbook_fieldbook::record::{ComeBack, Position};
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::when::reason_words;
use crate::app::App;
use crate::desk::subject::Subject;
use crate::failure::Failure;
use crate::words::{date_words, today};

/// A flag with its plant.
pub(in crate::desk) struct Flag {
    /// Its record, the current version.
    pub id: RecordId,
    /// The plant.
    pub subject: Subject,
    /// What was entered.
    pub body: ComeBack,
    /// Who flagged it, or who saw it again.
    pub by: String,
}

impl Flag {
    /// Finds the plant of a flag.
    pub fn of(app: &App, flag: Entry<ComeBack>) -> Result<Flag, Failure> {
        Ok(Flag {
            subject: Subject::find(app, flag.body.about)?,
            id: flag.id,
            body: flag.body,
            by: flag.author,
        })
    }

    /// `when it heads, from 15 August 2026`.
    pub fn due(&self) -> String {
        due_words(&self.body)
    }

    /// Where the plant stands: its own fix, or that of its point.
    pub fn position(&self) -> Option<Position> {
        let point = self.subject.place.point.body.position;
        self.body.position.or(point)
    }

    /// What was found, with the day: `20 August 2026: heads of two spikes`.
    pub fn seen(&self) -> Option<String> {
        let on = self.body.seen_on.as_deref()?;
        Some(format!("{}: {}", date_words(on), self.body.found))
    }
}

fn due_words(flag: &ComeBack) -> String {
    let on = date_words(&flag.due_on);
    format!("{}, from {on}", reason_words(flag.reason))
}

/// A flag on the page of its plant.
pub(in crate::desk) struct Line {
    /// Its record, the current version.
    pub id: RecordId,
    /// `when it heads, from 15 August 2026`.
    pub due: String,
    /// Whether that day has come and nobody went.
    pub now: bool,
    /// How it is marked; may be empty.
    pub pin: String,
    /// Whether somebody went.
    pub seen: bool,
    /// What was found then, with the day.
    pub found: String,
}

/// The flags of a plant, in the order in which they were set.
pub(in crate::desk) fn lines(app: &App, about: RecordId) -> Result<Vec<Line>, BookError> {
    let today = today();
    let flags = app.book.come_backs(about)?.into_iter();
    Ok(flags
        .map(|flag| Line {
            id: flag.id,
            due: due_words(&flag.body),
            now: flag.body.seen_on.is_none() && flag.body.due_on <= today,
            found: match &flag.body.seen_on {
                Some(on) => format!("{}: {}", date_words(on), flag.body.found),
                None => String::new(),
            },
            seen: flag.body.seen_on.is_some(),
            pin: flag.body.pin,
        })
        .collect())
}

/// How many plants of a planting wait to be seen again.
pub(crate) struct DueLine {
    /// Where they are listed.
    pub address: String,
    /// `3 plants to come back to on this planting, 1 of them due now`.
    pub words: String,
    /// Whether one is due now.
    pub now: bool,
}

/// The line for a planting; `None` where nothing waits.
pub(crate) fn due_line(app: &App, planting: RecordId) -> Result<Option<DueLine>, Failure> {
    let today = today();
    let (mut all, mut now) = (0, 0);
    for flag in app.book.come_backs_all()? {
        if flag.body.seen_on.is_some() {
            continue;
        }
        let subject = Subject::find(app, flag.body.about)?;
        if subject.place.planting.id == planting {
            all += 1;
            now += usize::from(flag.body.due_on <= today);
        }
    }
    let due = match now {
        0 => "none of them due yet".to_owned(),
        now if now == all => "due now".to_owned(),
        now => format!("{now} of them due now"),
    };
    let plants = crate::words::number_of(all, "plant");
    Ok((all > 0).then(|| DueLine {
        address: format!("/desk/come-back?planting={planting}"),
        words: format!("{plants} to come back to on this planting, {due}"),
        now: now > 0,
    }))
}
