//! One scout at one set: what she answered, what comes next, how much time is left.
//!
//! In: a set as it stands, and everything answered to any version of it. Out: for each question her
//! answer, and the clock.
//!
//! The rules. The first answer to a question counts; a later one is kept and told, and changes nothing.
//! A question is the same in two versions of a set when its text is the same and the book is open in both
//! or in neither. Time runs from the first question that she was shown: an answer's id was made for its
//! page, so it says when that was, and reading the page before costs nothing. What was typed from paper has
//! no clock.
//!
//! Not here: right or wrong (`judged`), words (`words`).

use jiff::{SignedDuration, Timestamp};
use standbook_fieldbook::named::is_same_person;
use standbook_fieldbook::record::{Practice, PracticeSet, SetQuestion, is_second_hand};
use standbook_fieldbook::time::parse_stamp;
use standbook_fieldbook::{BookError, Entry};

use crate::app::App;

/// Everything answered to a set, in any version of it, oldest first.
pub(super) fn answers(
    app: &App,
    set: &Entry<PracticeSet>,
) -> Result<Vec<Entry<Practice>>, BookError> {
    let mut all = app.book.practice_of_set(set.id)?;
    all.sort_by(|a, b| a.born_at.cmp(&b.born_at).then(a.id.cmp(&b.id)));
    Ok(all)
}

/// Whether an answer is to this question.
pub(super) fn is_to(answer: &Practice, question: &SetQuestion) -> bool {
    answer.question == question.question && answer.with_book == question.with_book
}

/// Scouts who answered, in the order of the alphabet, each by the way her name was first written.
pub(super) fn scouts(answers: &[Entry<Practice>]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for answer in answers {
        let name = answer.body.scout.trim();
        if !names.iter().any(|known| is_same_person(known, name)) {
            names.push(name.to_owned());
        }
    }
    names.sort_by_key(|name| name.to_lowercase());
    names
}

/// An answer that counts.
#[derive(Debug, Clone)]
pub(super) struct Given {
    /// As kept.
    pub answer: Entry<Practice>,
    /// Whether it came after the time was over.
    pub late: bool,
    /// Whether it was typed from paper.
    pub from_paper: bool,
}

/// A scout at a set.
#[derive(Debug, Clone)]
pub(super) struct Sitting {
    /// Her answer to each question, in the order of the set.
    pub given: Vec<Option<Given>>,
    /// Later answers to questions that she had answered.
    pub again: usize,
    /// When the first question was shown to her, and when the time allowed is over.
    clock: Option<(Timestamp, Timestamp)>,
}

impl Sitting {
    /// Of one scout. `answers` are those of [`answers`].
    pub fn of(set: &PracticeSet, answers: &[Entry<Practice>], scout: &str) -> Sitting {
        let hers: Vec<&Entry<Practice>> = answers
            .iter()
            .filter(|answer| is_same_person(&answer.body.scout, scout))
            .collect();
        let shown = hers
            .iter()
            .filter(|answer| !is_second_hand(&answer.device))
            .filter_map(|answer| shown_at(answer));
        let clock = shown.min().zip(allowed(set)).map(|(began, allowed)| {
            // A clock that is centuries wrong must not stop the page.
            let over = began.saturating_add(allowed).unwrap_or(Timestamp::MAX);
            (began, over)
        });
        let mut again = 0;
        let given = set.questions.iter().map(|question| {
            let mut to_it = hers.iter().filter(|answer| is_to(&answer.body, question));
            let first = to_it.next()?;
            again += to_it.count();
            let from_paper = is_second_hand(&first.device);
            let born = parse_stamp(&first.born_at);
            Some(Given {
                late: !from_paper && clock.zip(born).is_some_and(|((_, over), born)| born > over),
                from_paper,
                answer: (*first).clone(),
            })
        });
        Sitting {
            given: given.collect(),
            again,
            clock,
        }
    }

    /// How many questions are answered.
    pub fn done(&self) -> usize {
        self.given.iter().flatten().count()
    }

    /// Whether every question is.
    pub fn is_finished(&self) -> bool {
        self.done() == self.given.len()
    }

    /// The first question without an answer, by position.
    pub fn next(&self) -> Option<usize> {
        self.given.iter().position(Option::is_none)
    }

    /// Answers that came late.
    pub fn late(&self) -> usize {
        let given = self.given.iter().flatten();
        given.filter(|given| given.late).count()
    }

    /// What is left of the time allowed, none when it is over; `None` when there is no clock, or it has not
    /// begun.
    pub fn left(&self, now: Timestamp) -> Option<SignedDuration> {
        let (began, over) = self.clock?;
        // A clock that was put back since gives nobody more than was allowed.
        let now = now.max(began);
        Some(over.duration_since(now).max(SignedDuration::ZERO))
    }
}

/// When the page of an answer was shown: what its id says, unless that is after the answer.
fn shown_at(answer: &Entry<Practice>) -> Option<Timestamp> {
    let made = parse_stamp(&answer.id.born_at())?;
    let kept = parse_stamp(&answer.born_at)?;
    Some(made.min(kept))
}

fn allowed(set: &PracticeSet) -> Option<SignedDuration> {
    SignedDuration::try_from_secs_f64(set.minutes? * 60.0).ok()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use standbook_fieldbook::RecordId;
    use standbook_fieldbook::record::{Drill, FROM_PAPER, SetPurpose};

    use super::*;

    fn set(minutes: Option<f64>) -> PracticeSet {
        let question = |text: &str, with_book| SetQuestion {
            question: text.to_owned(),
            with_book,
        };
        PracticeSet {
            title: "A test".to_owned(),
            purpose: SetPurpose::FieldTest,
            planting: None,
            visit: None,
            minutes,
            questions: vec![
                question("one", false),
                question("two", false),
                question("two", true),
            ],
        }
    }

    /// An answer whose page was shown now, kept so many seconds later.
    fn answer(
        scout: &str,
        question: &str,
        with_book: bool,
        after_s: i64,
        device: &str,
    ) -> Entry<Practice> {
        let id = RecordId::new();
        let shown = parse_stamp(&id.born_at()).unwrap();
        let born_at = standbook_fieldbook::time::stamp(shown + SignedDuration::from_secs(after_s));
        Entry {
            id,
            received_at: born_at.clone(),
            born_at,
            device: device.to_owned(),
            author: scout.to_owned(),
            supersedes: None,
            body: Practice {
                scout: scout.to_owned(),
                drill: Drill::NameIt,
                question: question.to_owned(),
                with_book,
                key_id: "k".to_owned(),
                table_fingerprint: "f".to_owned(),
                taxon: Some("a".to_owned()),
                against: None,
                named: None,
                by: None,
                readings: Vec::new(),
                cells: Vec::new(),
                seconds: None,
                of_set: None,
            },
        }
    }

    #[test]
    fn the_first_answer_counts_and_the_book_makes_another_question() {
        let answers = [
            answer("A. Fenn", "two", false, 5, "phone"),
            answer("a. fenn ", "two", false, 9, "phone"),
            answer("B. Rowan", "one", false, 9, "phone"),
            answer("A. Fenn", "elsewhere", false, 9, "phone"),
        ];
        let sitting = Sitting::of(&set(None), &answers, "A. Fenn");
        let done: Vec<bool> = sitting.given.iter().map(Option::is_some).collect();
        assert_eq!(done, [false, true, false]);
        assert_eq!(sitting.given[1].as_ref().unwrap().answer.id, answers[0].id);
        assert_eq!((sitting.done(), sitting.again), (1, 1));
        assert_eq!(sitting.next(), Some(0));
        assert_eq!(scouts(&answers), ["A. Fenn", "B. Rowan"]);
    }

    #[test]
    fn time_runs_from_the_first_page_and_what_is_late_is_marked_not_dropped() {
        let first = answer("A. Fenn", "one", false, 40, "phone");
        let began = parse_stamp(&first.id.born_at()).unwrap();
        let answers = [
            first,
            // Both pages were shown within the same moment: 61 seconds are more than a minute.
            answer("A. Fenn", "two", false, 61, "phone"),
            answer(
                "A. Fenn",
                "two",
                true,
                90_000,
                &format!("{FROM_PAPER}by B. Rowan"),
            ),
        ];
        let sitting = Sitting::of(&set(Some(1.0)), &answers, "A. Fenn");
        let late: Vec<bool> = sitting.given.iter().flatten().map(|one| one.late).collect();
        assert_eq!(late, [false, true, false]);
        assert_eq!((sitting.late(), sitting.is_finished()), (1, true));
        let left = |seconds| {
            let now = began + SignedDuration::from_secs(seconds);
            sitting.left(now).unwrap().as_secs()
        };
        assert_eq!(
            [left(0), left(45), left(60), left(9_999), left(-500)],
            [60, 15, 0, 0, 60]
        );
        assert!(
            Sitting::of(&set(None), &answers, "A. Fenn")
                .left(began)
                .is_none()
        );
        assert!(
            Sitting::of(&set(Some(1.0)), &answers, "B. Rowan")
                .left(began)
                .is_none()
        );
        // Only what was typed from paper: no clock.
        assert!(
            Sitting::of(&set(Some(1.0)), &answers[2..], "A. Fenn")
                .left(began)
                .is_none()
        );
    }
}
