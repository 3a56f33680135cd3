//! Fields of the forms of sets: the time allowed, and the questions that are ticked.
//!
//! `minutes`; `q`, once for each question: `0 TEXT` or `1 TEXT` where it is fixed whether the book is open,
//! `TEXT` where `book` says it.

use standbook_fieldbook::limits;
use standbook_fieldbook::record::SetQuestion;
use standbook_practice::Question;

use crate::app::App;
use crate::failure::Failure;
use crate::plot::filled::Filled;

/// The time allowed; empty: not timed.
pub(super) fn minutes(filled: &mut Filled) -> Option<f64> {
    let minutes = filled.read_number("minutes", "The time allowed", "minutes")?;
    if (1.0..=limits::SET_MINUTES).contains(&minutes) {
        return Some(minutes);
    }
    filled.troubles.add(
        "minutes",
        format!("The time allowed is not from 1 to {:.0} minutes. Type minutes, such as 120; leave it empty for no limit.", limits::SET_MINUTES),
    );
    None
}

/// The questions that are ticked, each once, in the order of the form.
pub(super) fn questions(app: &App, filled: &mut Filled) -> Result<Vec<SetQuestion>, Failure> {
    let mut chosen: Vec<SetQuestion> = Vec::new();
    let values: Vec<String> = filled.form.all("q").map(str::to_owned).collect();
    let without = match filled.get("book") {
        "1" => 0,
        "third" => values.len().div_ceil(3),
        _ => values.len(),
    };
    for (at, value) in values.iter().enumerate() {
        let (with_book, text) = match value.split_once(' ') {
            Some(("0", text)) => (false, text),
            Some(("1", text)) => (true, text),
            _ => (at >= without, value.as_str()),
        };
        if !is_known(app, text)? {
            filled.troubles.add("q", "A question of this form is none that this book can ask. Open the form anew and choose again.");
            return Ok(Vec::new());
        }
        let question = SetQuestion {
            question: text.to_owned(),
            with_book,
        };
        if !chosen.contains(&question) {
            chosen.push(question);
        }
    }
    if chosen.is_empty() {
        filled
            .troubles
            .add("q", "No question is chosen. Tick at least one.");
    }
    Ok(chosen)
}

/// Whether a question can be read, and is about what the key and the book have.
fn is_known(app: &App, text: &str) -> Result<bool, Failure> {
    let Ok(question) = text.parse::<Question>() else {
        return Ok(false);
    };
    let taxon = |id: &String| app.key.taxon(id).is_some();
    let one_trait = |id: &String| app.key.trait_by_id(id).is_some();
    let pictured = |photo: &String, plant: &String| -> Result<bool, Failure> {
        let (Ok(photo), Ok(plant)) = (photo.parse(), plant.parse()) else {
            return Ok(false);
        };
        let is_plant =
            app.book.determination(plant)?.is_some() || app.book.unknown(plant)?.is_some();
        Ok(is_plant && app.book.photo(photo)?.is_some())
    };
    Ok(match &question {
        Question::SeeTrait {
            trait_id,
            taxon: of,
            ..
        } => one_trait(trait_id) && taxon(of),
        Question::TellPair { one, other, .. } => taxon(one) && taxon(other),
        Question::NameIt { taxon: of, .. } => taxon(of),
        Question::CountFrame {
            planted, others, ..
        } => planted.iter().chain(others).all(taxon),
        Question::SeePhoto {
            trait_id,
            photo,
            plant,
        } => one_trait(trait_id) && pictured(photo, plant)?,
        Question::NamePhoto { photo, plant } => pictured(photo, plant)?,
    })
}
