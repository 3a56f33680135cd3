//! Which frame is asked for: out of an address, or out of the form that carries it on.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::SetItem;
use standbook_practice::Question;

use super::laid::Laid;
use crate::app::App;
use crate::failure::Failure;
use crate::form::Form;
use crate::practice::sets;

/// A frame that is asked for.
#[derive(Debug)]
pub(super) struct FrameAsked {
    /// The question as text.
    pub text: String,
    /// The frame.
    pub laid: Laid,
    /// Whether the book may be open.
    pub with_book: bool,
    /// The set it belongs to.
    pub of_set: Option<SetItem>,
}

impl FrameAsked {
    /// Reads `q`, `book`, `set` and `item`.
    ///
    /// # Errors
    /// [`Failure::BadRequest`] for what is no question of a frame, or is not that of the set.
    pub fn read(app: &App, form: &Form) -> Result<FrameAsked, Failure> {
        let text = form.get("q").to_owned();
        let (of_set, with_book) = match form.get("set") {
            "" => (None, form.get("book") == "1"),
            set => {
                let (of, with_book) = item(app, set, form.get("item"), &text)?;
                (Some(of), with_book)
            }
        };
        Ok(FrameAsked {
            laid: laid(app, &text)?,
            with_book,
            of_set,
            text,
        })
    }
}

/// The frame of a question.
///
/// # Errors
/// [`Failure::BadRequest`] for a text that is no question of a frame of this key.
pub(super) fn laid(app: &App, text: &str) -> Result<Laid, Failure> {
    let question: Question = text.parse().map_err(|error| {
        Failure::BadRequest(format!(
            "{error}. Go back to Practice and begin again from there."
        ))
    })?;
    match question {
        Question::CountFrame {
            planted,
            others,
            stage,
            seed,
        } => Laid::of(app, &planted, &others, stage, seed),
        _ => Err(Failure::BadRequest(
            "This question is not about a frame. Go back to Practice and begin again from there."
                .to_owned(),
        )),
    }
}

/// The item of a set, and whether it allows the book; it has to be the one that asks this question.
fn item(app: &App, set: &str, item: &str, text: &str) -> Result<(SetItem, bool), Failure> {
    let wrong = || {
        Failure::BadRequest(
            "This frame is not the one that the set has in this place. Nothing was saved. Open the set again and go on from there."
                .to_owned(),
        )
    };
    let id: RecordId = set.parse().map_err(|_| wrong())?;
    let set = sets::version(app, id)?.ok_or_else(wrong)?;
    let item: u32 = item.parse().map_err(|_| wrong())?;
    let at = usize::try_from(item).ok().and_then(|at| at.checked_sub(1));
    match at.and_then(|at| set.body.questions.get(at)) {
        Some(asked) if asked.question == text => {
            Ok((SetItem { set: set.id, item }, asked.with_book))
        }
        _ => Err(wrong()),
    }
}
