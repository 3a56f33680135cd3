//! Frames that ask for a second reader, since their scout was still practising.
//!
//! In: a planting with a rule for counting, the frames of a visit. Out: those whose scout did not meet
//! the rule on the day of the visit, and whether somebody who met it has read them again since. No frame
//! is hidden or left out of a number by this, and without a rule there is no mark at all.
//!
//! A frame goes by the scout who read it; who typed it in does not matter.

use askama::Template;
use standbook_fieldbook::named::is_same_person;
use standbook_fieldbook::record::{Frame, Planting, Visit};
use standbook_fieldbook::{Entry, RecordId};

use super::standing::{ForCounting, end_of, of_scouts};
use super::words::rule_words;
use crate::app::App;
use crate::failure::Failure;
use crate::stand::numbers::Walked;
use crate::words::number_of;

/// A frame whose scout was still practising.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Mark {
    /// The frame.
    pub frame: RecordId,
    /// `Frame 2, North, point 3`.
    pub name: String,
    /// Whether somebody who meets the rule has read it again.
    pub read_again: bool,
}

/// All marks of a visit.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Marks {
    /// In the order of the frames.
    pub marks: Vec<Mark>,
    /// Frames of the visit, second readings not counted.
    frames: usize,
    /// The rule in words; empty without one.
    rule: String,
}

impl Marks {
    /// Reads them; empty without a rule.
    pub fn read(app: &App, walked: &Walked, visit: &Entry<Visit>) -> Result<Marks, Failure> {
        match ForCounting::of(app, walked.planting.id)? {
            Some(rule) => Marks::by_rule(app, walked, visit, &rule),
            None => Ok(Marks::default()),
        }
    }

    /// The same for a page that has not read the frames: they are read only where there is a rule.
    pub fn of_visit(
        app: &App,
        planting: &Entry<Planting>,
        visit: &Entry<Visit>,
    ) -> Result<Marks, Failure> {
        match ForCounting::of(app, planting.id)? {
            Some(rule) => {
                let walked = Walked::read(app, planting.clone(), visit)?;
                Marks::by_rule(app, &walked, visit, &rule)
            }
            None => Ok(Marks::default()),
        }
    }

    fn by_rule(
        app: &App,
        walked: &Walked,
        visit: &Entry<Visit>,
        rule: &ForCounting,
    ) -> Result<Marks, Failure> {
        let all = walked.frames.iter().chain(&walked.repeats);
        let names = all.map(|(_, frame)| frame.body.scout.as_str());
        let day = end_of(&visit.body.on);
        let trusted: Vec<String> = of_scouts(app, &walked.planting, names)?
            .into_iter()
            .filter(|it| rule.is_met(&it.tally, day))
            .map(|it| it.name)
            .collect();
        let meets = |frame: &Frame| {
            let scout = &frame.scout;
            trusted.iter().any(|name| is_same_person(name, scout))
        };
        let mut read_again = Vec::new();
        for (_, second) in walked.repeats.iter().filter(|(_, it)| meets(&it.body)) {
            if let Some(first) = second.body.repeats {
                // The first reading may have been corrected since.
                let now = app.book.frame(first)?;
                read_again.push(now.map_or(first, |frame| frame.id));
            }
        }
        let still = walked.frames.iter().filter(|(_, it)| !meets(&it.body));
        let marks = still.map(|(spot, frame)| Mark {
            frame: frame.id,
            name: format!("Frame {}, {}", frame.body.number, walked.spot_name(*spot)),
            read_again: read_again.contains(&frame.id),
        });
        Ok(Marks {
            marks: marks.collect(),
            frames: walked.frames.len(),
            rule: rule_words(&rule.rule, rule.with_book),
        })
    }

    /// The mark of a frame.
    pub fn of(&self, frame: RecordId) -> Option<&Mark> {
        self.marks.iter().find(|mark| mark.frame == frame)
    }

    /// Frames that still want a second reader.
    pub fn wanted(&self) -> Vec<&Mark> {
        self.marks.iter().filter(|mark| !mark.read_again).collect()
    }

    /// Frames that somebody who meets the rule has read again, by name.
    pub fn done(&self) -> Vec<&str> {
        let done = self.marks.iter().filter(|mark| mark.read_again);
        done.map(|mark| mark.name.as_str()).collect()
    }

    /// What is said of them, a sentence or two without a scout's name; empty without a mark.
    pub fn words(&self) -> String {
        if self.marks.is_empty() {
            return String::new();
        }
        let (wanted, done) = (self.wanted().len(), self.done().len());
        let counted = |n: usize| match n {
            1 => "was counted by somebody who is still practising".to_owned(),
            _ => "were counted by somebody who is still practising".to_owned(),
        };
        let all = format!(
            "{} of {} {}",
            self.marks.len(),
            number_of(self.frames, "frame"),
            counted(self.marks.len())
        );
        let then = match (wanted, done) {
            (0, 1) => "; it was read again by somebody who meets the rule".to_owned(),
            (0, _) => "; all of them were read again by somebody who meets the rule".to_owned(),
            (_, 0) => "; a second reader is wanted".to_owned(),
            (wanted, done) => format!(
                "; {done} of them {} read again by somebody who meets the rule, and a second reader is wanted for {wanted}",
                if done == 1 { "was" } else { "were" }
            ),
        };
        format!("{all}{then}. {}", self.rule)
    }
}

/// The part of a page that lists them.
#[derive(Template)]
#[template(path = "practice/_marks.html")]
pub(crate) struct MarksView {
    words: String,
    /// Address and name of every frame that wants a second reader.
    wanted: Vec<(String, String)>,
    done: Vec<String>,
}

impl MarksView {
    /// `None` without a mark.
    pub fn of(marks: &Marks) -> Option<MarksView> {
        let wanted = marks.wanted().into_iter();
        (!marks.marks.is_empty()).then(|| MarksView {
            words: marks.words(),
            wanted: wanted
                .map(|mark| (format!("/frames/{}/repeat", mark.frame), mark.name.clone()))
                .collect(),
            done: marks.done().into_iter().map(str::to_owned).collect(),
        })
    }
}
