//! Planted or not: what of practice and of the field says how far a scout's counts can be trusted.
//!
//! In: what plants are and what she called them, cells of practised frames, and the mix. Out: answers
//! for a hit rate (`skill`), and beside it what was overlooked and what she could not tell.
//!
//! What counts, and nothing else does:
//! - *A name* (name it, tell the pair, a photo, a plant of the field that somebody else named) counts
//!   when what it is, what she called it, or what it was to be told from is of the mix. It is right when
//!   both are of the mix or neither is: big bluestem called Indiangrass is still planted.
//! - *Could not tell* is neither right nor wrong: in a frame such a plant becomes an unknown, which
//!   somebody settles. It is counted beside.
//! - *A cell of a frame* counts when she marked something where something stands; it is wrong when she
//!   marked the other kind alone. A frame counts only where what it held as planted is of the mix and
//!   nothing else in it is. Cells of one frame repeat a few kinds, and who misnames one misnames its
//!   like, so a frame counts as no more answers than it has kinds.
//! - *A cell with a planted grass in which she marked none, or only what grew beside it*, was overlooked.
//!   That is the larger error (18.6 % of plants against 1.4 %, Morrison and others 2020, as summed up for
//!   this project) and another one: it is told beside and never mixed in, for a name can't mend it.
//! - *A mark where nothing stands* says nothing of names.
//!
//! Ids are text. Days as in `skill`. Not here: where answers are kept, when a rule is met (`skill`), what
//! is amiss in a cell (`frame_score`).

use std::collections::BTreeSet;

use crate::frame::Role;
use crate::frame_score::{Marked, Slip};
use crate::skill::{Answer, From, HitRate};

/// What was sown, ids of taxa.
pub type Mix = BTreeSet<String>;

/// What a cell of a practised frame shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cell {
    /// She marked what stands there.
    Right,
    /// She marked the other kind alone.
    Misnamed,
    /// A planted grass stands there, and she marked none.
    Overlooked,
}

/// What one cell shows; `None`: nothing of names, nothing planted overlooked.
pub fn cell(cell: Marked) -> Option<Cell> {
    let slips = cell.slips();
    let any = |wanted: fn(&Slip) -> bool| slips.iter().any(wanted);
    let (stands, marked) = (cell.stands, cell.marked);
    if any(|slip| matches!(slip, Slip::Misnamed(_))) {
        Some(Cell::Misnamed)
    } else if any(|slip| *slip == Slip::Overlooked(Role::Planted)) {
        Some(Cell::Overlooked)
    } else {
        // Marked as both where one stands: nobody knows which mark meant it, unless it is planted.
        let right = match marked.planted {
            true => stands.planted,
            false => stands.other && marked.other,
        };
        right.then_some(Cell::Right)
    }
}

/// Whether a name is right as planted or not; `None`: it does not concern the mix, or she could not tell.
pub fn name(mix: &Mix, truth: &str, against: Option<&str>, called: Option<&str>) -> Option<bool> {
    let called = called?;
    let (is, said) = (mix.contains(truth), mix.contains(called));
    let concerns = is || said || against.is_some_and(|other| mix.contains(other));
    concerns.then_some(is == said)
}

/// Everything that counts for one scout and one mix.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// Answers, each with its weight, above 0 and at most 1.
    answers: Vec<(Answer, f64)>,
    /// Days on which a name of the mix could not be told.
    not_told: Vec<f64>,
    /// Of cells with a planted grass: day, whether it was overlooked.
    held: Vec<(f64, bool)>,
}

impl Tally {
    /// Adds a name.
    pub fn name(
        &mut self,
        mix: &Mix,
        (truth, against, called): (&str, Option<&str>, Option<&str>),
        (day, from): (f64, From),
    ) {
        if let Some(right) = name(mix, truth, against, called) {
            self.answers.push((Answer { right, day, from }, 1.0));
        } else if called.is_none() && mix.contains(truth) {
            self.not_told.push(day);
        }
    }

    /// Adds a frame of the mix, with how many kinds of plants it held.
    pub fn frame(
        &mut self,
        cells: impl IntoIterator<Item = Option<Cell>>,
        kinds: usize,
        (day, from): (f64, From),
    ) {
        let cells: Vec<Cell> = cells.into_iter().flatten().collect();
        let named = cells.iter().filter(|cell| **cell != Cell::Overlooked);
        #[expect(clippy::cast_precision_loss, reason = "a frame has few cells")]
        let weight = (kinds as f64 / named.clone().count() as f64).min(1.0);
        if weight > 0.0 {
            self.answers.extend(named.map(|cell| {
                let right = *cell == Cell::Right;
                (Answer { right, day, from }, weight)
            }));
        }
        self.held.extend(cells.iter().filter_map(|cell| match cell {
            Cell::Overlooked => Some((day, true)),
            Cell::Right => Some((day, false)),
            Cell::Misnamed => None,
        }));
    }

    /// The hit rate as of a day: of answers until then, from where `counts` says.
    pub fn rate(&self, day: f64, half_life_days: f64, counts: impl Fn(From) -> bool) -> HitRate {
        let taken = self.taken(day, counts);
        HitRate::weighed(taken, day, half_life_days)
    }

    /// Answers until a day, from where `counts` says, and the latest day among them; `None` without any.
    pub fn last(&self, day: f64, counts: impl Fn(From) -> bool) -> Option<(usize, f64)> {
        let days: Vec<f64> = self.taken(day, counts).map(|(it, _)| it.day).collect();
        let last = days.iter().copied().reduce(f64::max)?;
        Some((days.len(), last))
    }

    fn taken(
        &self,
        day: f64,
        counts: impl Fn(From) -> bool,
    ) -> impl Iterator<Item = (&Answer, f64)> {
        let fits = move |(it, _): &&(Answer, f64)| it.day <= day && counts(it.from);
        let taken = self.answers.iter().filter(fits);
        taken.map(|(answer, weight)| (answer, *weight))
    }

    /// Until a day: cells with a planted grass that she overlooked, and of how many that she saw or overlooked.
    pub fn overlooked(&self, day: f64) -> (usize, usize) {
        let held = self.held.iter().filter(|(on, _)| *on <= day);
        let overlooked = held.clone().filter(|(_, overlooked)| *overlooked);
        (overlooked.count(), held.count())
    }

    /// Until a day: planted grasses of which she could not tell the name.
    pub fn not_told(&self, day: f64) -> usize {
        self.not_told.iter().filter(|on| **on <= day).count()
    }
}
