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

/// Choices from a seed.
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// First words of the stream for seed 7, worked out apart with a plain Python of RFC 8439
    /// (`crates/plan/tests/files/check_draw.py`, with this key): stored answers must draw the same frame.
    #[test]
    fn words_are_the_same_for_ever() {
        let mut chance = Chance::of(7);
        let words: Vec<u32> = (0..4).map(|_| chance.word()).collect();
        assert_eq!(words, WORDS);
    }

    const WORDS: [u32; 4] = [218_937_613, 1_110_777_685, 2_896_763_622, 3_940_321_488];

    /// Pins how words become a frame: if this fails, frames that were kept are drawn otherwise.
    #[test]
    fn a_frame_is_the_same_for_ever() {
        let frame = Frame::laid(2, 2, LeafStage::FewLeaves, 2_026);
        let held: Vec<(u32, Role, usize, Size)> = frame
            .plants
            .iter()
            .map(|one| (one.cell(), one.role, one.kind, one.size()))
            .collect();
        assert_eq!(format!("{held:?}"), HELD);
    }

    const HELD: &str = "[(4, Planted, 1, Medium), (4, Other, 0, Small), (4, Other, 0, Large), (4, Other, 0, Small), (2, Planted, 0, Medium), (1, Other, 0, Medium), (7, Planted, 0, Small), (7, Planted, 0, Medium), (9, Other, 1, Medium), (13, Planted, 1, Large), (14, Planted, 1, Small), (13, Planted, 1, Medium), (16, Planted, 1, Small), (22, Other, 0, Small), (22, Other, 1, Large), (23, Other, 1, Medium), (22, Other, 1, Small), (21, Planted, 0, Medium), (22, Other, 1, Medium), (22, Planted, 1, Medium), (22, Other, 1, Small)]";

    #[test]
    fn a_place_is_in_the_cell_it_is_in() {
        for (at, cell) in [
            ((0.0, 0.0), 1),
            ((14.9, 14.9), 1),
            ((15.0, 0.0), 2),
            ((74.9, 0.0), 5),
            ((0.0, 15.0), 6),
            ((37.0, 37.0), 13),
            ((75.0, 75.0), 25),
        ] {
            assert_eq!(cell_at(at), cell, "{at:?}");
        }
    }

    #[test]
    fn how_far_a_place_is_from_a_cell() {
        // By hand: 3 and 4 cm off give 5.
        for (at, cell, cm) in [
            ((7.0, 7.0), 1, 0.0),
            ((18.0, 7.0), 1, 3.0),
            ((18.0, 19.0), 1, 5.0),
            ((27.0, 26.0), 13, 5.0),
            ((70.0, 70.0), 25, 0.0),
        ] {
            assert_eq!(cm_from(at, cell), cm, "{at:?} {cell}");
        }
    }

    #[test]
    fn frames_differ_in_what_a_scout_has_to_practise() {
        let frames: Vec<Frame> = (0..300)
            .map(|seed| Frame::laid(2, 3, LeafStage::FewLeaves, seed))
            .collect();
        let share = |is: &dyn Fn(&Frame) -> bool| {
            frames.iter().filter(|frame| is(frame)).count() as f64 / 300.0
        };
        let both = |frame: &Frame| {
            (1..=CELLS).any(|cell| Role::BOTH.iter().all(|role| frame.holds(cell, *role)))
        };
        let none_planted = |frame: &Frame| frame.plants.iter().all(|one| one.role == Role::Other);
        assert!(share(&both) > 0.5, "{}", share(&both));
        let none = share(&none_planted);
        assert!((0.03..0.15).contains(&none), "{none}");
        for size in Size::ALL {
            let has = share(&|frame| frame.plants.iter().any(|one| one.size() == size));
            assert!(has > 0.5, "{size:?} {has}");
        }
        let bare = |frame: &Frame| {
            (1..=CELLS)
                .filter(|cell| frame.in_cell(*cell).next().is_none())
                .count()
                >= 8
        };
        assert!(share(&bare) > 0.9, "{}", share(&bare));
    }

    proptest! {
        #[test]
        fn every_base_is_in_one_cell_and_clear_of_wires(
            planted in 0usize..6, others in 0usize..6, seed in any::<u32>(), stage in 0usize..4,
        ) {
            let (_, stage, _) = LeafStage::ALL[stage];
            let frame = Frame::laid(planted, others, stage, seed);
            prop_assert_eq!(&frame, &Frame::laid(planted, others, stage, seed));
            let mut seen = 0;
            for cell in 1..=CELLS {
                for one in frame.in_cell(cell) {
                    seen += 1;
                    let (left, top) = (f64::from((cell - 1) % ROW), f64::from((cell - 1) / ROW));
                    for (cm, step) in [(one.at.0, left), (one.at.1, top)] {
                        let off = cm - step * CELL_CM;
                        prop_assert!(off > CLEAR_CM && off < CELL_CM - CLEAR_CM, "{one:?}");
                    }
                    let kinds = if one.role == Role::Planted { planted } else { others };
                    prop_assert!(one.kind < kinds);
                    prop_assert!(one.stage <= stage);
                }
                for role in Role::BOTH {
                    prop_assert_eq!(frame.holds(cell, role), frame.size_in(cell, role).is_some());
                }
            }
            prop_assert_eq!(seen, frame.plants.len());
            prop_assert!(planted + others == 0 || !frame.plants.is_empty());
        }
    }
}
