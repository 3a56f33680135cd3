//! Tell the pair: two look-alikes side by side, which is which, and by what?
//!
//! In: two taxa, a stage, a seed. Out: two specimens in the same views, which stands where, which is asked
//! for, and the traits to choose from, of which one decides.
//!
//! Two plants as nature draws them may happen to be alike; then the next two are taken, so that there is
//! something to see.

use standbook_drawing::View;
use standbook_key::LeafStage;
use standbook_practice::specimen::{Specimen, chance};

use super::decides::{Tells, for_both};
use super::drawn::{Figure, plain, views};
use super::posed::Stop;
use super::see::tries;
use crate::app::App;

/// Traits to choose from, the deciding one among them.
const CHOICES: usize = 4;

/// Where a plant stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    /// On the left.
    Left,
    /// On the right.
    Right,
}

impl Side {
    /// Both, with the value of the field and the word.
    pub const ALL: [(Side, &'static str, &'static str); 2] = [
        (Side::Left, "left", "The left one"),
        (Side::Right, "right", "The right one"),
    ];

    /// From the value of a field.
    pub fn from_id(id: &str) -> Option<Side> {
        let found = Side::ALL.iter().find(|(_, one, _)| *one == id);
        found.map(|(side, ..)| *side)
    }

    /// `left` or `right`.
    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

/// Two look-alikes.
#[derive(Debug)]
pub(super) struct Pair {
    /// The left one and the right one.
    pub plants: [Specimen; 2],
    /// Where the one is that is asked for.
    pub asked: Side,
    /// What decides, and the view in which it is seen.
    pub deciding: Tells,
    /// Every readable trait with what it says.
    pub all: Vec<Tells>,
    /// Traits to choose from, in the order of the page.
    pub choices: Vec<String>,
}

impl Pair {
    /// Two drawn plants.
    pub fn drawn(
        app: &App,
        one: &str,
        other: &str,
        stage: LeafStage,
        seed: u32,
    ) -> Result<Pair, Stop> {
        let names = format!("{one}/{other}");
        let first_is_left = chance(seed, &names, "which is left") < 0.5;
        let [left, right] = if first_is_left {
            [one, other]
        } else {
            [other, one]
        };
        let asked = if chance(seed, &names, "which is asked") < 0.5 {
            Side::Left
        } else {
            Side::Right
        };
        for seed in tries(seed) {
            let grown = |taxon, seed| Specimen::grown(&app.key, &app.table, taxon, stage, seed);
            let plants = [grown(left, seed)?, grown(right, !seed)?];
            let all = for_both(app, [&plants[0], &plants[1]]);
            let Some(deciding) = all.first().filter(|tells| tells.decides()).cloned() else {
                continue;
            };
            let choices = choices(&all, &deciding, seed, &names);
            return Ok(Pair {
                plants,
                asked,
                deciding,
                all,
                choices,
            });
        }
        let name = |id| crate::words::taxon_name(app, id).0;
        Err(Stop::cannot(format!(
            "Nothing that can be drawn parts {} from {} at this stage ({}).",
            name(one),
            name(other),
            stage.name()
        )))
    }

    /// The plant that is asked for.
    pub fn wanted(&self) -> &Specimen {
        self.at(self.asked)
    }

    /// The other one.
    pub fn other(&self) -> &Specimen {
        match self.asked {
            Side::Left => self.at(Side::Right),
            Side::Right => self.at(Side::Left),
        }
    }

    /// The plant on a side.
    pub fn at(&self, side: Side) -> &Specimen {
        let [left, right] = &self.plants;
        match side {
            Side::Left => left,
            Side::Right => right,
        }
    }

    /// What a trait says here; `None` for one that can't be read off both.
    pub fn says(&self, trait_id: &str) -> Option<&Tells> {
        self.all.iter().find(|tells| tells.trait_id == trait_id)
    }

    /// Both plants in the same views, view by view: left, right.
    pub fn rows(&self, at: &str) -> Vec<(Figure, Figure)> {
        let [left, right] = &self.plants;
        let both = |(number, view): (usize, View)| {
            let place = |side: &str| format!("{at}{number}{side}");
            let one = plain(left, view, &place("l"))?;
            Some((one, plain(right, view, &place("r"))?))
        };
        let views = views(left.stage);
        // The whole plant first: that is how a scout meets it.
        views
            .into_iter()
            .rev()
            .enumerate()
            .filter_map(both)
            .collect()
    }
}

/// The deciding trait among some that say least, in an order by chance.
fn choices(all: &[Tells], deciding: &Tells, seed: u32, names: &str) -> Vec<String> {
    let mut idle: Vec<&Tells> = all.iter().filter(|tells| !tells.decides()).collect();
    idle.sort_by(|a, b| a.decibans.abs().total_cmp(&b.decibans.abs()));
    let idle = idle.into_iter().take(CHOICES - 1);
    let mut choices: Vec<String> = std::iter::once(deciding)
        .chain(idle)
        .map(|tells| tells.trait_id.clone())
        .collect();
    choices.sort_by(|a, b| {
        let turn = |id: &str| chance(seed, names, id);
        turn(a).total_cmp(&turn(b)).then(a.cmp(b))
    });
    choices
}
