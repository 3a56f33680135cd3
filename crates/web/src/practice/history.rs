//! What a scout answered, sorted by what it says of her eye: names, traits, frames.
//!
//! In: her records of practice; plants of the field that somebody else looked at again (`field`). Out: each answer with what was true, the day, and where it comes from.
//! What is right is decided by whoever asks: a wrong name may still be right as planted or not.
//!
//! Units: days since the first of January 1970, by the clock of where it was answered.

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Drill, Practice, PracticeCell};
use standbook_practice::skill::From;

use crate::app::App;
use crate::desk::agreement;
use crate::failure::Failure;

/// Everything known of one scout's eye, oldest first.
#[derive(Debug, Default)]
pub(crate) struct History {
    /// Plants that she named.
    pub names: Vec<Named>,
    /// Traits that she read.
    pub reads: Vec<Read>,
    /// Drawn frames that she counted.
    pub frames: Vec<FrameCounted>,
}

/// A plant that was named.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Named {
    /// What it is, id of a taxon.
    pub truth: String,
    /// The look-alike it was to be told from.
    pub against: Option<String>,
    /// What she called it; `None`: she could not tell.
    pub called: Option<String>,
    /// When.
    pub day: f64,
    /// Where.
    pub from: From,
}

/// A trait that was read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Read {
    /// The trait.
    pub trait_id: String,
    /// The state that was there.
    pub shown: String,
    /// The state that she reported; `None`: she could not tell.
    pub reported: Option<String>,
    /// When.
    pub day: f64,
    /// Where.
    pub from: From,
}

/// A drawn frame that was counted.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct FrameCounted {
    /// The question, which names the planted taxa.
    pub question: String,
    /// Cells in which something stood or was marked.
    pub cells: Vec<PracticeCell>,
    /// When.
    pub day: f64,
    /// Where.
    pub from: From,
}

impl History {
    /// Of a scout: what she practised, and what others found of her plants in the field.
    pub fn read(app: &App, scout: &str) -> Result<History, Failure> {
        let mut history = History::of(&app.book.practice_of(scout)?);
        history.add_field(&agreement::by(app, scout)?);
        Ok(history)
    }

    /// From records of practice.
    pub fn of(practice: &[Entry<Practice>]) -> History {
        let mut history = History::default();
        for entry in practice {
            history.take(entry);
        }
        history
    }

    fn take(&mut self, entry: &Entry<Practice>) {
        let it = &entry.body;
        let day = day_of(&entry.born_at);
        let from = match it.with_book {
            true => From::WithBook,
            false => From::WithoutBook,
        };
        self.reads.extend(it.readings.iter().map(|read| Read {
            trait_id: read.trait_id.clone(),
            shown: read.shown.clone(),
            reported: read.reported.clone(),
            day,
            from,
        }));
        match it.drill {
            Drill::CountFrame => self.frames.push(FrameCounted {
                question: it.question.clone(),
                cells: it.cells.clone(),
                day,
                from,
            }),
            Drill::TellPair | Drill::NameIt => {
                self.names.extend(it.taxon.iter().map(|truth| Named {
                    truth: truth.clone(),
                    against: it.against.clone(),
                    called: it.named.clone(),
                    day,
                    from,
                }))
            }
            Drill::SeeTrait => {}
        }
    }
}

/// Days since 1970 of an instant as the book writes it; 0 for one that is none.
pub(crate) fn day_of(stamp: &str) -> f64 {
    const MS_PER_DAY: f64 = 86_400_000.0;
    #[expect(clippy::cast_precision_loss, reason = "exact far beyond the year 9999")]
    let ms = stamp
        .parse::<jiff::Timestamp>()
        .map_or(0.0, |at| at.as_millisecond() as f64);
    ms / MS_PER_DAY
}
