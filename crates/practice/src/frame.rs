//! A frame to count in practice: what stands where in its 25 cells.
//!
//! In: how many planted kinds and how many others may stand in it, the leaf stage of most, a seed. Out:
//! plants with the place of their base, size, stage and specimen, and litter. The same seed lays the same
//! frame for ever, since an answer that was kept is drawn again from it.
//!
//! A plant belongs to the cell in which its base is, wherever its leaves hang. Bases keep clear of the
//! wires, so that nobody has to guess; leaves do not. What is small lies open and is still overlooked.
//! Chance: ChaCha with 20 rounds (RFC 8439), whose words are fixed by its definition. Numbers, sizes and
//! how plants clump have no source: chosen to look like a planting in its first summer.
//!
//! Units: cm, from the upper left corner, the side away from the scout on top. Cells count from 1, row by
//! row. Not here: what a plant looks like (crate `drawing`), what was marked (`frame_score`).

use rand_chacha::ChaCha20Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use serde::{Deserialize, Serialize};
use standbook_key::LeafStage;

#[cfg(test)]
mod tests;

/// Cells in a row, and rows.
pub const ROW: u32 = 5;

/// Cells.
pub const CELLS: u32 = ROW * ROW;

/// Side of a cell, cm: the frame of the trade (Vogel & Masters 2001).
pub const CELL_CM: f64 = 15.0;

/// Side of the frame, cm.
pub const SIDE_CM: f64 = CELL_CM * ROW as f64;

/// Nearer than this to a wire no base stands, cm.
const CLEAR_CM: f64 = 1.2;

/// Nearer than this to one another no two bases stand, cm.
const APART_CM: f64 = 2.5;

/// The generator's key beside the seed. Changing it changes every frame ever drawn: don't.
const TAG: &[u8; 28] = b"what stands in a frame, v1..";

/// What a plant counts as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Of the mix.
    Planted,
    /// Anything else.
    Other,
}

impl Role {
    /// Both.
    pub const BOTH: [Role; 2] = [Role::Planted, Role::Other];
}

/// How large a plant is: what decides whether it is overlooked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Size {
    /// Below 4 cm.
    Small,
    /// From 4 to below 8 cm.
    Medium,
    /// 8 cm and more.
    Large,
}

impl Size {
    /// All, smallest first.
    pub const ALL: [Size; 3] = [Size::Small, Size::Medium, Size::Large];

    /// Of a height in cm.
    pub fn of(height_cm: f64) -> Size {
        match height_cm {
            h if h < 4.0 => Size::Small,
            h if h < 8.0 => Size::Medium,
            _ => Size::Large,
        }
    }
}

/// One plant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plant {
    /// What it counts as.
    pub role: Role,
    /// Which of the kinds of that role, from 0.
    pub kind: usize,
    /// How far it has grown.
    pub stage: LeafStage,
    /// Height, cm.
    pub height_cm: f64,
    /// Where its base is, cm.
    pub at: (f64, f64),
    /// Whether it stands the other way round.
    pub mirrored: bool,
    /// The number of the specimen, for drawings.
    pub specimen: u32,
}

impl Plant {
    /// The cell in which its base is.
    pub fn cell(&self) -> u32 {
        cell_at(self.at)
    }

    /// Its size.
    pub fn size(&self) -> Size {
        Size::of(self.height_cm)
    }
}

/// The cell at a place; a place on a wire is of the cell to its right, or below it.
pub fn cell_at((x, y): (f64, f64)) -> u32 {
    let step = |cm: f64| (cm / CELL_CM).floor().clamp(0.0, f64::from(ROW - 1)) as u32;
    step(y) * ROW + step(x) + 1
}

/// From a place to the nearest edge of a cell, cm; 0 within it.
pub fn cm_from((x, y): (f64, f64), cell: u32) -> f64 {
    let at = cell.saturating_sub(1);
    let off = |cm: f64, step: u32| {
        let low = f64::from(step) * CELL_CM;
        (low - cm).max(cm - low - CELL_CM).max(0.0)
    };
    off(x, at % ROW).hypot(off(y, at / ROW))
}

/// A dead straw on the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Straw {
    /// Its middle, cm.
    pub at: (f64, f64),
    /// Length, cm.
    pub length_cm: f64,
    /// How it lies, degrees from the upright of the drawing.
    pub degrees: f64,
}

/// A frame as it lies there.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// Plants, those far from the scout first.
    pub plants: Vec<Plant>,
    /// Litter.
    pub straws: Vec<Straw>,
}

impl Frame {
    /// Lays a frame of so many planted kinds and others. Heads would be told from a step away: what is
    /// heading is drawn with several shoots.
    pub fn laid(planted: usize, others: usize, stage: LeafStage, seed: u32) -> Frame {
        let mut chance = Chance::of(seed);
        let stage = stage.min(LeafStage::Tillering);
        // One frame in twelve holds nothing planted: "looked, none" wants practice too.
        let none = chance.below(12) == 0 && others > 0;
        let wanted = [
            (
                Role::Planted,
                planted,
                if none { 0 } else { chance.among(3, 12) },
            ),
            (Role::Other, others, chance.among(4, 12)),
        ];
        let mut plants: Vec<Plant> = Vec::new();
        for (role, kinds, count) in wanted {
            for _ in 0..if kinds == 0 { 0 } else { count } {
                let kind = chance.below(kinds);
                if let Some(at) = place(&mut chance, &plants, (role, kind)) {
                    plants.push(grown(&mut chance, role, kind, at, stage));
                }
            }
        }
        plants.sort_by(|a, b| a.at.1.total_cmp(&b.at.1).then(a.at.0.total_cmp(&b.at.0)));
        let straws = (0..chance.among(8, 14))
            .map(|_| Straw {
                at: (
                    chance.between(2.0, SIDE_CM - 2.0),
                    chance.between(2.0, SIDE_CM - 2.0),
                ),
                length_cm: chance.between(4.0, 13.0),
                degrees: chance.between(0.0, 180.0),
            })
            .collect();
        Frame { plants, straws }
    }

    /// The plants whose base is in a cell.
    pub fn in_cell(&self, cell: u32) -> impl Iterator<Item = &Plant> {
        self.plants.iter().filter(move |plant| plant.cell() == cell)
    }

    /// Whether a plant of a role has its base in a cell.
    pub fn holds(&self, cell: u32, role: Role) -> bool {
        self.in_cell(cell).any(|plant| plant.role == role)
    }

    /// The size of the largest plant of a role in a cell: the one that is hardest to overlook.
    pub fn size_in(&self, cell: u32, role: Role) -> Option<Size> {
        let of_role = self.in_cell(cell).filter(|plant| plant.role == role);
        of_role.map(Plant::size).max()
    }
}

/// A place for a base: near another of its kind as often as not, clear of wires and of other bases; none
/// where chance found none.
fn place(chance: &mut Chance, plants: &[Plant], kind: (Role, usize)) -> Option<(f64, f64)> {
    let kin: Vec<&Plant> = plants
        .iter()
        .filter(|one| (one.role, one.kind) == kind)
        .collect();
    let beside = match chance.unit() < 0.35 {
        true => kin.get(chance.below(kin.len())),
        false => None,
    };
    for _ in 0..40 {
        let at = match beside {
            Some(one) => {
                let (sin, cos) = chance.between(0.0, std::f64::consts::TAU).sin_cos();
                let far = chance.between(APART_CM, 9.0);
                (one.at.0 + far * sin, one.at.1 + far * cos)
            }
            None => (chance.between(0.0, SIDE_CM), chance.between(0.0, SIDE_CM)),
        };
        let clear = |cm: f64| {
            let in_cell = cm.rem_euclid(CELL_CM);
            (0.0..SIDE_CM).contains(&cm) && in_cell > CLEAR_CM && in_cell < CELL_CM - CLEAR_CM
        };
        let alone = plants
            .iter()
            .all(|one| (one.at.0 - at.0).hypot(one.at.1 - at.1) > APART_CM);
        if clear(at.0) && clear(at.1) && alone {
            return Some(at);
        }
    }
    None
}

/// A plant at its place: of the stage that most have, or one behind.
fn grown(chance: &mut Chance, role: Role, kind: usize, at: (f64, f64), most: LeafStage) -> Plant {
    // Few are left at one leaf, of which little can be told.
    let (before, share_behind) = match most {
        LeafStage::OneLeaf => (LeafStage::OneLeaf, 0.0),
        LeafStage::FewLeaves => (LeafStage::OneLeaf, 0.15),
        LeafStage::Tillering | LeafStage::Heading => (LeafStage::FewLeaves, 0.35),
    };
    let stage = if chance.unit() < share_behind {
        before
    } else {
        most
    };
    // From memory of greenhouse and field: no source was at hand.
    let (low, high) = match stage {
        LeafStage::OneLeaf => (2.0, 4.5),
        LeafStage::FewLeaves => (2.6, 9.5),
        LeafStage::Tillering | LeafStage::Heading => (6.0, 12.0),
    };
    Plant {
        role,
        kind,
        stage,
        // Small ones are more than large ones.
        height_cm: low + (high - low) * chance.unit().powf(1.4),
        at,
        mirrored: chance.below(2) == 1,
        specimen: chance.word(),
    }
}

/// Choices from a seed. Apart from those of plans (crate `plan`), which this room does not know and which
/// have a key of their own.
struct Chance(ChaCha20Rng);

impl Chance {
    fn of(seed: u32) -> Chance {
        let mut key = [0u8; 32];
        let (front, back) = key.split_at_mut(4);
        front.copy_from_slice(&seed.to_le_bytes());
        back.copy_from_slice(TAG);
        Chance(ChaCha20Rng::from_seed(key))
    }

    fn word(&mut self) -> u32 {
        self.0.next_u32()
    }

    /// From 0 to below 1.
    fn unit(&mut self) -> f64 {
        f64::from(self.word()) / 4_294_967_296.0
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.unit() * (high - low)
    }

    /// From 0 to `end` - 1; 0 where `end` is 0. Even to one in 2^32 for the few that are asked for.
    fn below(&mut self, end: usize) -> usize {
        ((self.unit() * end as f64) as usize).min(end.saturating_sub(1))
    }

    /// From `low` to `high`, both among them.
    fn among(&mut self, low: usize, high: usize) -> usize {
        low + self.below(high - low + 1)
    }
}
