//! What is remembered of each thing that can be practised.
//!
//! In: everything a scout answered, oldest first. Out: for each thing the state of the memory model. A
//! wrong name bears on two things: the grass, and its pair with what it was taken for.

use std::collections::BTreeMap;

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Drill, Practice};
use standbook_practice::memory::Memory;

use super::history::day_of;

/// Something to practise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Thing {
    /// Two look-alikes, in order of their ids.
    Pair(String, String),
    /// One grass.
    Name(String),
    /// A trait, on one of these grasses.
    Trait(String, Vec<String>),
    /// A frame: what is planted, and what else.
    Frame(Vec<String>, Vec<String>),
}

impl Thing {
    /// The drill that practises it.
    pub fn drill(&self) -> Drill {
        match self {
            Thing::Pair(..) => Drill::TellPair,
            Thing::Name(_) => Drill::NameIt,
            Thing::Trait(..) => Drill::SeeTrait,
            Thing::Frame(..) => Drill::CountFrame,
        }
    }
}

/// What a thing is called among others.
pub(crate) fn id_of(thing: &Thing) -> String {
    match thing {
        Thing::Pair(one, other) => {
            let (one, other) = pair_of(one, other);
            format!("pair {one} {other}")
        }
        Thing::Name(name) => format!("name {name}"),
        Thing::Trait(id, _) => format!("trait {id}"),
        Thing::Frame(..) => "frame".to_owned(),
    }
}

/// The id of what an answer was about, so that it is not asked again at once.
pub(crate) fn id_of_answer(answer: &Practice) -> Option<String> {
    Some(match (answer.drill, &answer.taxon, &answer.against) {
        (Drill::TellPair, Some(one), Some(other)) => {
            id_of(&Thing::Pair(one.clone(), other.clone()))
        }
        (Drill::NameIt, Some(name), _) => id_of(&Thing::Name(name.clone())),
        (Drill::SeeTrait, ..) => {
            let first = answer.readings.first()?;
            id_of(&Thing::Trait(first.trait_id.clone(), vec![]))
        }
        (Drill::CountFrame, ..) => id_of(&Thing::Frame(vec![], vec![])),
        _ => return None,
    })
}

/// What is remembered of each thing, by every answer that bears on it, oldest first.
pub(super) fn remembered(practice: &[Entry<Practice>]) -> BTreeMap<String, Memory> {
    let mut known: BTreeMap<String, Memory> = BTreeMap::new();
    for answer in practice {
        let day = day_of(&answer.born_at);
        for (id, right) in outcomes(&answer.body) {
            let after = match known.get(&id) {
                Some(memory) => memory.answered(right, day),
                None => Memory::first(right, day),
            };
            known.insert(id, after);
        }
    }
    known
}

/// What an answer says of each thing that it bears on.
fn outcomes(answer: &Practice) -> Vec<(String, bool)> {
    let mut found = Vec::new();
    for read in &answer.readings {
        let id = id_of(&Thing::Trait(read.trait_id.clone(), vec![]));
        found.push((id, read.reported.as_ref() == Some(&read.shown)));
    }
    let right = answer.named.is_some() && answer.named == answer.taxon;
    match answer.drill {
        Drill::TellPair => found.extend(id_of_answer(answer).map(|id| (id, right))),
        Drill::NameIt => {
            found.extend(id_of_answer(answer).map(|id| (id, right)));
            // Called by another's name: that pair was not told apart.
            if let (false, Some(one), Some(other)) = (right, &answer.taxon, &answer.named) {
                found.push((id_of(&Thing::Pair(one.clone(), other.clone())), false));
            }
        }
        Drill::CountFrame => {
            let wrong = answer.cells.iter().filter(|cell| {
                (cell.planted, cell.other) != (cell.marked_planted, cell.marked_other)
            });
            // One cell in ten may be wrong: small ones are overlooked by the best.
            let right = wrong.count() * 10 <= answer.cells.len();
            found.extend(id_of_answer(answer).map(|id| (id, right)));
        }
        Drill::SeeTrait => {}
    }
    found
}

/// Two names in order, so that a pair has one name.
pub(super) fn pair_of(one: &str, other: &str) -> (String, String) {
    match one < other {
        true => (one.to_owned(), other.to_owned()),
        false => (other.to_owned(), one.to_owned()),
    }
}
