//! A question as it stands on paper, and what was answered there.
//!
//! In: a question. Out: its figures, what can be answered, what is true; and, of what somebody typed in
//! from a sheet, the very record that the page of the question would have kept.

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Practice, PracticeSet, SetItem};
use standbook_identify::{CANNOT_TELL, Evidence};
use standbook_practice::Question;

use super::answer;
use super::drawn::Figure;
use super::name::{Name, SOMETHING_ELSE, groups};
use super::page::heading;
use super::pair::{Pair, Side};
use super::posed::{Posed, Spot, Stop};
use super::see::See;
use crate::app::App;
use crate::failure::Failure;
use crate::here::Here;
use crate::plot::filled::Filled;
use crate::practice::asked::Asked;
use crate::words::taxon_name;

/// What is to be written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Writes {
    /// A name, and by what it is known.
    Name,
    /// One of the answers listed.
    State,
    /// One of two sides, and by what they were told apart.
    Side,
}

/// Answers under one heading.
pub(crate) struct Answers {
    /// Heading; may be empty.
    pub title: &'static str,
    /// Value of the field, words.
    pub list: Vec<(String, String)>,
}

/// A question on paper.
pub(crate) struct Sheet {
    /// `What is this plant?`
    pub heading: String,
    /// Figures beside each other, row by row; nothing in them says what is true.
    pub rows: Vec<Vec<Figure>>,
    /// What can't be seen, a sentence; may be empty.
    pub missing: String,
    /// What is to be written down.
    pub writes: Writes,
    /// What can be answered.
    pub answers: Vec<Answers>,
    /// Traits to choose from, id and name; empty where none is asked for.
    pub by: Vec<(String, String)>,
    /// What is true, in words.
    pub truth: String,
    /// Whether it is a plant of the book and not a drawing.
    pub is_photo: bool,
}

impl Sheet {
    /// Of a question; or why it can't be asked. `asked`: which names come first; `at` begins the ids of its
    /// drawings, and no other's on the page.
    pub fn of(
        app: &App,
        question: &Question,
        asked: &Asked,
        at: &str,
    ) -> Result<Result<Sheet, String>, Failure> {
        Ok(posed(app, question)?.map(|posed| {
            let heading = heading(app, &posed);
            let sheet = match &posed {
                Posed::See(see) => of_trait(app, see, at),
                Posed::Pair(pair) => of_pair(app, pair, at),
                Posed::Name(name) => of_name(app, name, asked, at),
            };
            let is_photo = matches!(
                question,
                Question::NamePhoto { .. } | Question::SeePhoto { .. }
            );
            Sheet {
                heading,
                is_photo,
                ..sheet
            }
        }))
    }

    fn new(writes: Writes, rows: Vec<Vec<Figure>>) -> Sheet {
        Sheet {
            heading: String::new(),
            rows,
            missing: String::new(),
            writes,
            answers: Vec::new(),
            by: Vec::new(),
            truth: String::new(),
            is_photo: false,
        }
    }
}

/// The question with its plant; or why it can't be asked.
fn posed(app: &App, question: &Question) -> Result<Result<Posed, String>, Failure> {
    match Posed::of(app, question) {
        Ok(posed) => Ok(Ok(posed)),
        Err(Stop::Cannot(why)) => Ok(Err(why)),
        Err(Stop::Failed(failure)) => Err(failure),
    }
}

fn unsure() -> (String, String) {
    (CANNOT_TELL.to_owned(), "can\u{2019}t tell".to_owned())
}

/// A trait's id and name.
fn trait_words(app: &App, id: &str) -> (String, String) {
    let one = app.key.trait_by_id(id);
    let name = one.map_or(id, |one| one.name.as_str());
    (id.to_owned(), name.to_owned())
}

fn of_trait(app: &App, see: &See, at: &str) -> Sheet {
    let one = app.key.trait_by_id(&see.trait_id);
    let states = one.map_or(&[][..], |one| one.states());
    let list = states.iter();
    let list = list.map(|state| (state.id.to_string(), state.name.clone()));
    let truth = states.iter().find(|state| state.id == *see.truth);
    Sheet {
        answers: vec![Answers {
            title: "",
            list: list.chain([unsure()]).collect(),
        }],
        truth: truth.map_or_else(|| see.truth.clone(), |state| state.name.clone()),
        ..Sheet::new(Writes::State, vec![see.figures(at)])
    }
}

fn of_pair(app: &App, pair: &Pair, at: &str) -> Sheet {
    let name = |id: &str| taxon_name(app, id).0;
    let rows = pair.rows(at).into_iter();
    let sides = Side::ALL.map(|(_, value, words)| (value.to_owned(), words.to_lowercase()));
    let traits = pair.choices.iter();
    Sheet {
        answers: vec![Answers {
            title: "",
            list: sides.into_iter().chain([unsure()]).collect(),
        }],
        by: traits.map(|id| trait_words(app, id)).collect(),
        truth: format!(
            "{}, the {} one, by {}; the other is {}",
            name(&pair.wanted().taxon),
            pair.asked.word(),
            trait_words(app, &pair.deciding.trait_id).1,
            name(&pair.other().taxon)
        ),
        ..Sheet::new(
            Writes::Side,
            rows.map(|(left, right)| vec![left, right]).collect(),
        )
    }
}

fn of_name(app: &App, plant: &Name, asked: &Asked, at: &str) -> Sheet {
    let named = groups(app, asked, false).into_iter().map(|group| Answers {
        title: group.title,
        list: group
            .names
            .into_iter()
            .map(|(id, common, _)| (id, common))
            .collect(),
    });
    let other = (
        SOMETHING_ELSE.to_owned(),
        "something that is not planted".to_owned(),
    );
    let traits = app.key.traits.iter().filter(|one| !one.states().is_empty());
    Sheet {
        missing: plant.missing_words(),
        answers: named
            .chain([Answers {
                title: "No name",
                list: vec![other, unsure()],
            }])
            .collect(),
        by: traits
            .map(|one| (one.id.to_string(), one.name.clone()))
            .collect(),
        truth: taxon_name(app, plant.truth()).0,
        ..Sheet::new(Writes::Name, vec![plant.figures(at)])
    }
}

/// A sheet's answer to one question.
pub(crate) struct Written<'w> {
    /// The set, in the version that stands.
    pub set: &'w Entry<PracticeSet>,
    /// Number of the question, from 1.
    pub item: u32,
    /// Who wrote it.
    pub scout: &'w str,
    /// Value of the answer, one of those of [`Sheet::answers`].
    pub said: &'w str,
    /// The trait by which it is known; may be empty.
    pub by: &'w str,
}

/// The record of an answer on paper; or what is wrong with it.
pub(crate) fn record_of(
    app: &App,
    here: &Here,
    written: &Written<'_>,
) -> Result<Result<Practice, String>, Failure> {
    let at = usize::try_from(written.item).unwrap_or(usize::MAX);
    let asked = at.checked_sub(1);
    let Some(asked) = asked.and_then(|at| written.set.body.questions.get(at)) else {
        return Ok(Err("the set has no such question.".to_owned()));
    };
    let question: Question = match asked.question.parse() {
        Ok(question) => question,
        Err(none) => return Ok(Err(format!("it can\u{2019}t be read: {none}."))),
    };
    let posed = match posed(app, &question)? {
        Ok(posed) => posed,
        Err(why) => return Ok(Err(why)),
    };
    let mut fields = Filled::new();
    fields.set("scout", written.scout);
    for (field, value) in [
        ("said", written.said),
        ("which", written.said),
        ("by", written.by),
    ] {
        fields.set(field, value);
    }
    let Some(mut said) = answer::read(app, &posed, &Evidence::default(), &mut fields) else {
        let first = fields.troubles.list.into_iter().next();
        return Ok(Err(first.map_or_else(String::new, |one| one.message)));
    };
    // On the screen a name needs no trait; on paper there is a line for it.
    if let (Posed::Name(_), Some(one)) = (&posed, app.key.trait_by_id(written.by)) {
        said.by = Some(one.id.to_string());
    }
    let of = SetItem {
        set: written.set.id,
        item: written.item,
    };
    let spot = Spot {
        text: asked.question.clone(),
        question,
        with_book: asked.with_book,
        of_set: Some((of, written.set.clone())),
    };
    Ok(Ok(answer::record(app, here, &spot, &posed, said, &fields)?))
}
