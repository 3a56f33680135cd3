//! Sets and their questions in words.
//!
//! `asked` says what a scout may read before she answers; `with_truth` is for whoever made the set.

use jiff::SignedDuration;
use standbook_fieldbook::record::{PracticeSet, SetPurpose};
use standbook_practice::Question;

use crate::app::App;
use crate::words::{number_of, taxon_name};

/// What a set is for, in a word or two.
pub(super) fn purpose(purpose: SetPurpose) -> &'static str {
    match purpose {
        SetPurpose::Drill => "drill",
        SetPurpose::FieldTest => "field test",
        SetPurpose::SameFrames => "same frames",
    }
}

/// How many questions without the book and with it: `10 without the book, 20 with it`.
pub(super) fn parts(set: &PracticeSet) -> String {
    let with = set.questions.iter().filter(|one| one.with_book).count();
    match (set.questions.len() - with, with) {
        (without, 0) => format!("{} without the book", number_of(without, "question")),
        (0, with) => format!("{} with the book", number_of(with, "question")),
        (without, with) => format!(
            "{} without the book, {with} with it",
            number_of(without, "question")
        ),
    }
}

/// `2 hours`, `1 hour 30 minutes`, `45 minutes`.
pub(super) fn minutes(minutes: f64) -> String {
    // What is allowed is entered to the minute; less than one is said as one.
    let whole = minutes.round().max(1.0) as usize;
    match (whole / 60, whole % 60) {
        (0, minutes) => number_of(minutes, "minute"),
        (hours, 0) => number_of(hours, "hour"),
        (hours, minutes) => format!(
            "{} {}",
            number_of(hours, "hour"),
            number_of(minutes, "minute")
        ),
    }
}

/// How much time is left, a sentence.
pub(super) fn left(left: SignedDuration) -> String {
    match left.as_secs() {
        ..=0 => "The time is over. Nothing is lost: go on if you like, and what you answer from now on is marked as late.".to_owned(),
        1..=59 => "Less than a minute is left.".to_owned(),
        seconds => {
            let whole = minutes((seconds / 60) as f64);
            let is = if whole == "1 minute" || whole == "1 hour" { "is" } else { "are" };
            format!("{whole} {is} left.")
        }
    }
}

/// What is asked, without what is true.
pub(super) fn asked(app: &App, question: &Question) -> String {
    match question {
        Question::SeeTrait { trait_id, .. } | Question::SeePhoto { trait_id, .. } => {
            format!("See the trait: {}", trait_name(app, trait_id))
        }
        Question::TellPair { one, other, .. } => format!(
            "Tell the pair: {} and {}",
            taxon_name(app, one).0,
            taxon_name(app, other).0
        ),
        Question::NameIt { .. } | Question::NamePhoto { .. } => "Name it".to_owned(),
        Question::CountFrame { .. } => "Count the frame".to_owned(),
    }
}

/// What is asked, with what is true, and which specimen it is.
pub(super) fn with_truth(app: &App, question: &Question) -> String {
    let common = |id: &str| taxon_name(app, id).0;
    let asked = asked(app, question);
    let specimen = specimen(question);
    match question {
        Question::SeeTrait { taxon, .. } => format!("{asked}, on {}; {specimen}", common(taxon)),
        Question::NameIt { taxon, .. } => format!("{asked}: {}; {specimen}", common(taxon)),
        Question::CountFrame {
            planted, others, ..
        } => {
            let all: Vec<String> = planted.iter().chain(others).map(|id| common(id)).collect();
            format!("{asked}: {}; {specimen}", all.join(", "))
        }
        Question::TellPair { .. } | Question::SeePhoto { .. } | Question::NamePhoto { .. } => {
            format!("{asked}; {specimen}")
        }
    }
}

/// Which plant it is: how old, and the number by which it is drawn again.
pub(super) fn specimen(question: &Question) -> String {
    match question {
        Question::SeeTrait { stage, seed, .. }
        | Question::TellPair { stage, seed, .. }
        | Question::NameIt { stage, seed, .. } => format!("{}, specimen {seed}", stage.name()),
        Question::CountFrame { stage, seed, .. } => format!("{}, frame {seed}", stage.name()),
        Question::SeePhoto { .. } | Question::NamePhoto { .. } => "from a photo".to_owned(),
    }
}

/// What a trait is called; its id where the key has it no longer.
pub(super) fn trait_name(app: &App, id: &str) -> String {
    let found = app.key.trait_by_id(id);
    found.map_or_else(|| id.to_owned(), |one| one.name.clone())
}

/// What a state is called; its id where the key has it no longer.
pub(super) fn state_name(app: &App, trait_id: &str, state: &str) -> String {
    let one = app.key.trait_by_id(trait_id);
    let found = one.and_then(|one| one.states().get(one.state_index(state)?));
    found.map_or_else(|| state.to_owned(), |state| state.name.clone())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_is_said_as_people_say_it() {
        for (value, words) in [
            (120.0, "2 hours"),
            (90.0, "1 hour 30 minutes"),
            (61.0, "1 hour 1 minute"),
            (45.0, "45 minutes"),
            (0.2, "1 minute"),
        ] {
            assert_eq!(minutes(value), words);
        }
        for (seconds, words) in [
            (5_399, "1 hour 29 minutes are left."),
            (119, "1 minute is left."),
            (59, "Less than a minute is left."),
        ] {
            assert_eq!(left(SignedDuration::from_secs(seconds)), words);
        }
        assert!(left(SignedDuration::ZERO).starts_with("The time is over."));
    }
}
