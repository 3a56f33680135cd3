//! What a marked frame shows: how much was overlooked, misnamed, or seen where it is not.
//!
//! In: for each cell what stands in it and what was marked. Out: slips cell by cell, and sums, by role and
//! by size.
//!
//! A mark of a role that stands in the cell is right. A role that stands there and has no mark goes with a
//! mark of the other role that nothing explains: *misnamed*. Without such a mark it was *overlooked*; a mark
//! that is left is of what *isn't there*. So in a cell that holds both, of which one was marked, the other
//! was overlooked and not misnamed: what was marked does stand there.
//! Kept apart as in Morrison and others 2020 (overlooking and misidentification in a Kansas tallgrass
//! prairie, as summed up for this project).
//!
//! Units: cells. Not here: agreement of two scouts (`standbook_stand::agreement`).

use std::collections::BTreeMap;

use serde::Serialize;

use crate::frame::{Role, Size};

/// Planted plants overlooked, share of cells, in a published study: 18.6 %.
pub const PUBLISHED_OVERLOOKED: f64 = 0.186;

/// Misidentified in the same study: 1.4 %.
pub const PUBLISHED_MISNAMED: f64 = 0.014;

/// Planted, something else, both or nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize)]
pub struct Both {
    /// Planted.
    pub planted: bool,
    /// Something else.
    pub other: bool,
}

impl Both {
    /// Whether a role is among it.
    pub fn has(self, role: Role) -> bool {
        match role {
            Role::Planted => self.planted,
            Role::Other => self.other,
        }
    }

    /// Whether it is nothing.
    pub fn is_none(self) -> bool {
        !self.planted && !self.other
    }
}

/// A cell: what stands in it, and what was marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Marked {
    /// What stands in it.
    pub stands: Both,
    /// What was marked.
    pub marked: Both,
    /// The largest planted plant in it, where known.
    pub planted_size: Option<Size>,
}

/// What went amiss in a cell. The role is that of the plant, of `NotThere` that of the mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Slip {
    /// It stands there, and was not marked.
    Overlooked(Role),
    /// It stands there, and was marked as the other.
    Misnamed(Role),
    /// It was marked, and nothing there explains it.
    NotThere(Role),
}

impl Marked {
    /// What went amiss; nothing where every mark is right and none is missing. Two at the most.
    pub fn slips(self) -> Vec<Slip> {
        let missing = |role: Role| self.stands.has(role) && !self.marked.has(role);
        let beyond = |role: Role| self.marked.has(role) && !self.stands.has(role);
        let mut slips = Vec::new();
        for (role, other) in [(Role::Planted, Role::Other), (Role::Other, Role::Planted)] {
            if missing(role) {
                slips.push(if beyond(other) {
                    Slip::Misnamed(role)
                } else {
                    Slip::Overlooked(role)
                });
            }
            if beyond(role) && !missing(other) {
                slips.push(Slip::NotThere(role));
            }
        }
        slips
    }
}

/// Sums for one role. Cells in which it stands are seen, overlooked or misnamed, and nothing else.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Sum {
    /// Cells in which it stands.
    pub stands: u32,
    /// Of these marked rightly.
    pub seen: u32,
    /// Of these not marked.
    pub overlooked: u32,
    /// Of these marked as the other.
    pub misnamed: u32,
    /// Cells marked in which nothing explains it.
    pub not_there: u32,
}

impl Sum {
    /// Overlooked, a share of the cells in which it stands; `None` where it stands nowhere.
    pub fn overlooked_share(self) -> Option<f64> {
        share(self.overlooked, self.stands)
    }

    /// Misnamed, a share of the cells in which it stands; `None` where it stands nowhere.
    pub fn misnamed_share(self) -> Option<f64> {
        share(self.misnamed, self.stands)
    }

    fn add(&mut self, role: Role, cell: Marked, slips: &[Slip]) {
        let has = |slip: Slip| u32::from(slips.contains(&slip));
        let stands = u32::from(cell.stands.has(role));
        let (overlooked, misnamed) = (has(Slip::Overlooked(role)), has(Slip::Misnamed(role)));
        self.stands += stands;
        self.overlooked += overlooked;
        self.misnamed += misnamed;
        self.seen += stands - overlooked - misnamed;
        self.not_there += has(Slip::NotThere(role));
    }
}

fn share(of: u32, all: u32) -> Option<f64> {
    (all > 0).then(|| f64::from(of) / f64::from(all))
}

/// A whole frame, or several together.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Score {
    /// Planted.
    pub planted: Sum,
    /// Something else.
    pub other: Sum,
    /// Planted, by the size of the largest planted plant in the cell, where known.
    pub by_size: BTreeMap<Size, Sum>,
}

impl Score {
    /// Of cells; those that hold nothing and have no mark change nothing.
    pub fn of(cells: impl IntoIterator<Item = Marked>) -> Score {
        let mut score = Score::default();
        for cell in cells {
            let slips = cell.slips();
            score.planted.add(Role::Planted, cell, &slips);
            score.other.add(Role::Other, cell, &slips);
            if let Some(size) = cell.planted_size {
                let sum = score.by_size.entry(size).or_default();
                sum.add(Role::Planted, cell, &slips);
            }
        }
        score
    }

    /// Whether every mark is right and none is missing.
    pub fn is_right(&self) -> bool {
        [self.planted, self.other]
            .iter()
            .all(|sum| sum.seen == sum.stands && sum.not_there == 0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const P: Both = Both {
        planted: true,
        other: false,
    };
    const O: Both = Both {
        planted: false,
        other: true,
    };
    const PO: Both = Both {
        planted: true,
        other: true,
    };
    const NONE: Both = Both {
        planted: false,
        other: false,
    };

    fn cell(stands: Both, marked: Both) -> Marked {
        Marked {
            stands,
            marked,
            planted_size: None,
        }
    }

    /// All sixteen, worked by hand.
    #[test]
    fn every_cell_there_can_be() {
        use Role::{Other, Planted};
        use Slip::{Misnamed, NotThere, Overlooked};
        let all: [(Both, Both, &[Slip]); 16] = [
            (NONE, NONE, &[]),
            (NONE, P, &[NotThere(Planted)]),
            (NONE, O, &[NotThere(Other)]),
            (NONE, PO, &[NotThere(Planted), NotThere(Other)]),
            (P, NONE, &[Overlooked(Planted)]),
            (P, P, &[]),
            (P, O, &[Misnamed(Planted)]),
            (P, PO, &[NotThere(Other)]),
            (O, NONE, &[Overlooked(Other)]),
            (O, P, &[Misnamed(Other)]),
            (O, O, &[]),
            (O, PO, &[NotThere(Planted)]),
            (PO, NONE, &[Overlooked(Planted), Overlooked(Other)]),
            (PO, P, &[Overlooked(Other)]),
            (PO, O, &[Overlooked(Planted)]),
            (PO, PO, &[]),
        ];
        for (stands, marked, slips) in all {
            assert_eq!(cell(stands, marked).slips(), slips, "{stands:?} {marked:?}");
        }
    }

    /// Ten cells, worked by hand: planted stands in six, is seen in three, overlooked in two, misnamed in
    /// one; something else stands in four, is seen in two, overlooked in one, misnamed in one; one mark of
    /// planted has nothing there.
    #[test]
    fn a_frame_worked_by_hand() {
        let small = |cell: Marked| Marked {
            planted_size: Some(Size::Small),
            ..cell
        };
        let large = |cell: Marked| Marked {
            planted_size: Some(Size::Large),
            ..cell
        };
        let score = Score::of([
            large(cell(P, P)),
            large(cell(P, P)),
            small(cell(PO, PO)),
            small(cell(P, NONE)),
            small(cell(PO, O)),
            large(cell(P, O)),
            cell(O, P),
            cell(O, NONE),
            cell(NONE, P),
            cell(NONE, NONE),
        ]);
        let planted = Sum {
            stands: 6,
            seen: 3,
            overlooked: 2,
            misnamed: 1,
            not_there: 1,
        };
        assert_eq!(score.planted, planted);
        let other = Sum {
            stands: 4,
            seen: 2,
            overlooked: 1,
            misnamed: 1,
            not_there: 0,
        };
        assert_eq!(score.other, other);
        assert_eq!(planted.overlooked_share(), Some(2.0 / 6.0));
        assert_eq!(planted.misnamed_share(), Some(1.0 / 6.0));
        let of = |size: Size| score.by_size[&size];
        assert_eq!((of(Size::Small).stands, of(Size::Small).overlooked), (3, 2));
        assert_eq!((of(Size::Large).stands, of(Size::Large).misnamed), (3, 1));
        assert!(!score.is_right());
        assert!(Score::of([cell(PO, PO), cell(NONE, NONE)]).is_right());
        assert_eq!(Score::of([]).planted.overlooked_share(), None);
    }

    prop_compose! {
        fn any_cell()(bits in 0u8..16, size in 0usize..3) -> Marked {
            let both = |bits: u8| Both { planted: bits & 1 == 1, other: bits & 2 == 2 };
            let stands = both(bits);
            Marked {
                stands,
                marked: both(bits >> 2),
                planted_size: stands.planted.then(|| Size::ALL[size]),
            }
        }
    }

    proptest! {
        /// Nothing is counted twice or lost: what stands is seen, overlooked or misnamed; a mark is right,
        /// a misnaming or of nothing; sizes sum to the whole.
        #[test]
        fn scores_add_up(cells in proptest::collection::vec(any_cell(), 0..60)) {
            let score = Score::of(cells.iter().copied());
            let marks = |role: Role| cells.iter().filter(|cell| cell.marked.has(role)).count() as u32;
            for (sum, other, role) in [
                (score.planted, score.other, Role::Planted),
                (score.other, score.planted, Role::Other),
            ] {
                prop_assert_eq!(sum.seen + sum.overlooked + sum.misnamed, sum.stands);
                // Whatever of the other role was misnamed bears a mark of this one.
                prop_assert_eq!(sum.seen + other.misnamed + sum.not_there, marks(role));
            }
            let by_size = |count: fn(&Sum) -> u32| score.by_size.values().map(count).sum::<u32>();
            prop_assert_eq!(by_size(|sum| sum.stands), score.planted.stands);
            prop_assert_eq!(by_size(|sum| sum.overlooked), score.planted.overlooked);
            prop_assert_eq!(by_size(|sum| sum.misnamed), score.planted.misnamed);
            let clean = cells.iter().all(|cell| cell.stands == cell.marked);
            prop_assert_eq!(score.is_right(), clean);
        }
    }
}
