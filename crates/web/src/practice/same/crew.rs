//! Who of a crew marked what on the frames of a set.
//!
//! In: a set. Out: its frames, and of each scout the cells marked on each. Whoever marked a frame twice
//! counts with the first time: the second was no longer the first look.

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::named::is_same_person;
use standbook_fieldbook::record::{Drill, Practice, PracticeCell, PracticeSet, SetPurpose};
use standbook_fieldbook::{Entry, RecordId};
use standbook_practice::frame::Role;

use crate::app::App;
use crate::failure::{Failure, record_id};

/// One scout's marks on one frame.
pub(super) type Cells = Vec<PracticeCell>;

/// A frame of the set.
#[derive(Debug)]
pub(super) struct Frame {
    /// Its number in the set, from 1.
    pub item: u32,
    /// The question.
    pub question: String,
    /// Marks, by the scout's place in the crew.
    pub marks: BTreeMap<usize, Cells>,
}

impl Frame {
    /// What stands in it, as the records say; nothing while nobody has marked it.
    pub fn truth(&self) -> Option<&Cells> {
        self.marks.values().next()
    }
}

/// A crew and its frames.
#[derive(Debug)]
pub(super) struct Crew {
    /// The set.
    pub set: Entry<PracticeSet>,
    /// Names, in order.
    pub scouts: Vec<String>,
    /// Every frame of the set.
    pub frames: Vec<Frame>,
}

impl Crew {
    /// Reads it.
    ///
    /// # Errors
    /// [`Failure::NotFound`] for what is no set of same frames.
    pub fn read(app: &App, id: &str) -> Result<Crew, Failure> {
        let what = "set of same frames";
        let found = app.book.practice_set(record_id(id, what)?)?;
        let set = found.ok_or(Failure::NotFound { what })?;
        if set.body.purpose != SetPurpose::SameFrames {
            return Err(Failure::NotFound { what });
        }
        let mut answers = app.book.practice_of_set(set.id)?;
        answers.retain(|answer| answer.body.drill == Drill::CountFrame);
        answers.sort_by(|a, b| (&a.born_at, a.id).cmp(&(&b.born_at, b.id)));
        Ok(Crew::of(set, answers))
    }

    /// From answers, oldest first. Of an item whose question was changed since, only answers to the
    /// question of now count.
    fn of(set: Entry<PracticeSet>, answers: Vec<Entry<Practice>>) -> Crew {
        let mut scouts: Vec<String> = Vec::new();
        for answer in &answers {
            let scout = answer.body.scout.trim();
            if !scouts.iter().any(|known| is_same_person(known, scout)) {
                scouts.push(scout.to_owned());
            }
        }
        scouts.sort_by_key(|name| name.to_lowercase());
        let mut frames: Vec<Frame> = (1..)
            .zip(&set.body.questions)
            .map(|(item, asked)| Frame {
                item,
                question: asked.question.clone(),
                marks: BTreeMap::new(),
            })
            .collect();
        for answer in answers {
            let item = answer.body.of_set.map(|of| of.item);
            let frame = frames
                .iter_mut()
                .find(|frame| Some(frame.item) == item && frame.question == answer.body.question);
            let mut names = scouts.iter();
            let scout = names.position(|known| is_same_person(known, &answer.body.scout));
            if let (Some(frame), Some(scout)) = (frame, scout) {
                frame.marks.entry(scout).or_insert(answer.body.cells);
            }
        }
        Crew {
            set,
            scouts,
            frames,
        }
    }

    /// How many frames a scout has marked.
    pub fn marked(&self, scout: usize) -> usize {
        let frames = self.frames.iter();
        frames
            .filter(|frame| frame.marks.contains_key(&scout))
            .count()
    }

    /// The id of the set.
    pub fn id(&self) -> RecordId {
        self.set.id
    }
}

/// Cells marked as a role.
pub(super) fn marked(cells: &Cells, role: Role) -> BTreeSet<u32> {
    let is = |one: &&PracticeCell| match role {
        Role::Planted => one.marked_planted,
        Role::Other => one.marked_other,
    };
    cells.iter().filter(is).map(|one| one.cell).collect()
}

/// Cells in which a role stands.
pub(super) fn standing(cells: &Cells, role: Role) -> BTreeSet<u32> {
    let is = |one: &&PracticeCell| match role {
        Role::Planted => one.planted,
        Role::Other => one.other,
    };
    cells.iter().filter(is).map(|one| one.cell).collect()
}
