//! Where an answer leads: to what is to be learned from it, or, in a test, to the next question.

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Practice, PracticeSet, SetItem, SetPurpose};

use crate::app::App;
use crate::failure::Failure;
use crate::practice::ask::veil::veiled;
use crate::practice::sets;

/// The page that comes after an answer was kept. Within a test, and on frames that a whole crew counts,
/// nobody is told anything before the end: what one question teaches would help with the next.
pub(crate) fn address(app: &App, answer: &Entry<Practice>) -> Result<String, Failure> {
    let feedback = format!("/practice/answers/{}", answer.id);
    let Some(of) = answer.body.of_set else {
        return Ok(feedback);
    };
    match app.book.practice_set(of.set)? {
        Some(set) if set.body.purpose != SetPurpose::Drill => {
            sets::on(app, &set, &answer.body.scout)
        }
        _ => Ok(feedback),
    }
}

/// The first question of a set that a scout has not answered, from 1; `None`: she has answered all.
pub(crate) fn next_item(
    app: &App,
    set: &Entry<PracticeSet>,
    scout: &str,
) -> Result<Option<u32>, Failure> {
    let next = sets::next(app, set, scout)?;
    Ok(next.and_then(|at| u32::try_from(at + 1).ok()))
}

/// The address of a question of a set; `None` where the set has no such item.
pub(crate) fn item_address(set: &PracticeSet, of: SetItem) -> Option<String> {
    let at = usize::try_from(of.item).ok()?.checked_sub(1)?;
    let item = set.questions.get(at)?;
    // It stands in pages: what is true must not be read off it. Of a frame it says only what may be in it.
    let question = match item.question.starts_with("frame.") {
        true => item.question.clone(),
        false => veiled(&item.question),
    };
    Some(ask_address(&question, item.with_book, Some(of)))
}

/// The address of a question.
pub(crate) fn ask_address(question: &str, with_book: bool, of: Option<SetItem>) -> String {
    let page = match question.starts_with("frame.") {
        true => "/practice/frame",
        false => "/practice/ask",
    };
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.append_pair("q", question);
    query.append_pair("book", if with_book { "1" } else { "0" });
    if let Some(of) = of {
        query.append_pair("set", &of.set.to_string());
        query.append_pair("item", &of.item.to_string());
    }
    format!("{page}?{}", query.finish())
}
