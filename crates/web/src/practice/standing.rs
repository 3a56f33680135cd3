//! Whether a scout's counts of a planting need a second reader.
//!
//! In: the rule that the office set for a planting, a scout's history, a day. Out: her hit rate on planted
//! or not as that rule sees it, and whether it is met. What counts towards it says
//! `standbook_practice::planted`.
//!
//! Units: days since 1970, as in `history`. Not here: words.

use jiff::tz::TimeZone;
use standbook_fieldbook::named::is_same_person;
use standbook_fieldbook::record::{Planting, ScoutRule};
use standbook_fieldbook::{BookError, Entry, RecordId, time};
use standbook_practice::planted::{Mix, Tally, cell};
use standbook_practice::question::Question;
use standbook_practice::skill::{From, HALF_LIFE_DAYS, HitRate, Rule};

use super::frame::held::marked;
use super::history::{FrameCounted, History, day_of};
use crate::app::App;
use crate::failure::Failure;

/// A rule for counting, set or usual.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ForCounting {
    /// What has to be reached.
    pub rule: Rule,
    /// Whether answers given with the book open count too.
    pub with_book: bool,
    /// Whether counts are also shown corrected by what practice says.
    pub own_rates: bool,
}

impl ForCounting {
    /// What nobody is held to, and pages show as an example until the office sets a rule.
    pub const USUAL: ForCounting = ForCounting {
        rule: Rule::USUAL,
        with_book: false,
        own_rates: false,
    };

    /// The rule of a planting; `None` where the office set none or took it back, and nothing is
    /// required.
    pub fn of(app: &App, planting: RecordId) -> Result<Option<ForCounting>, BookError> {
        let rule = app.book.scout_rule(planting)?;
        Ok(rule
            .filter(|entry| !entry.body.withdrawn)
            .map(|entry| ForCounting::by(&entry.body)))
    }

    /// As a record says it.
    pub fn by(rule: &ScoutRule) -> ForCounting {
        ForCounting {
            rule: Rule {
                at_least: rule.at_least,
                sure: rule.sure,
            },
            with_book: rule.with_book,
            own_rates: rule.own_rates,
        }
    }

    /// Whether answers from there count.
    pub fn counts(&self, from: From) -> bool {
        match from {
            From::WithoutBook | From::Field => true,
            From::WithBook => self.with_book,
        }
    }

    /// The hit rate that it looks at, as of a day.
    pub fn rate(&self, tally: &Tally, day: f64) -> HitRate {
        tally.rate(day, HALF_LIFE_DAYS, |from| self.counts(from))
    }

    /// Whether it is met on a day.
    pub fn is_met(&self, tally: &Tally, day: f64) -> bool {
        self.rule.is_met(self.rate(tally, day))
    }
}

/// What was sown, as ids.
pub(crate) fn mix_of(planting: &Planting) -> Mix {
    planting.mix.iter().map(|item| item.taxon.clone()).collect()
}

/// Everything of a history that counts for a mix.
pub(crate) fn tally(mix: &Mix, history: &History) -> Tally {
    let mut tally = Tally::default();
    for it in &history.names {
        let name = (
            it.truth.as_str(),
            it.against.as_deref(),
            it.called.as_deref(),
        );
        tally.name(mix, name, (it.day, it.from));
    }
    for frame in &history.frames {
        if let Some(kinds) = kinds_of(mix, frame) {
            let cells = frame.cells.iter().map(|one| cell(marked(one, None)));
            tally.frame(cells, kinds, (frame.day, frame.from));
        }
    }
    tally
}

/// How many kinds of plants a frame held; `None` where what it took as planted is not this mix.
fn kinds_of(mix: &Mix, frame: &FrameCounted) -> Option<usize> {
    let Ok(Question::CountFrame {
        planted, others, ..
    }) = frame.question.parse()
    else {
        return None;
    };
    let fits =
        planted.iter().all(|id| mix.contains(id)) && !others.iter().any(|id| mix.contains(id));
    fits.then_some(planted.len() + others.len())
}

/// Now.
pub(crate) fn now() -> f64 {
    day_of(&time::now())
}

/// The end of a day of the calendar where this machine stands; now for a date that is none.
pub(crate) fn end_of(date: &str) -> f64 {
    let next = time::parse_date(date).and_then(|date| date.tomorrow().ok());
    let midnight = next.and_then(|date| date.to_zoned_datetime(TimeZone::system()).ok());
    midnight.map_or_else(now, |at| day_of(&time::stamp(at.timestamp())))
}

/// A scout and what counts of hers for a mix.
pub(crate) struct OfScout {
    /// As first written.
    pub name: String,
    /// All of it.
    pub history: History,
    /// What bears on planted or not.
    pub tally: Tally,
}

/// Every scout of a list once.
pub(crate) fn of_scouts<'n>(
    app: &App,
    planting: &Entry<Planting>,
    names: impl IntoIterator<Item = &'n str>,
) -> Result<Vec<OfScout>, Failure> {
    let mix = mix_of(&planting.body);
    let mut scouts: Vec<OfScout> = Vec::new();
    for name in names {
        let known = scouts.iter().any(|it| is_same_person(&it.name, name));
        if known || name.trim().is_empty() {
            continue;
        }
        let history = History::read(app, name)?;
        scouts.push(OfScout {
            name: name.trim().to_owned(),
            tally: tally(&mix, &history),
            history,
        });
    }
    Ok(scouts)
}
