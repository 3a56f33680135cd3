//! The spot of the ground that is farthest from every boundary.
//!
//! In: ground. Out: a spot and its distance in m. Method: squares are split, the most promising
//! first, until none can be better than the best by 0.1 m (or a hundredth, for large fields).
//! Plots do not matter.

use crate::flat::Metres;
use crate::{Corner, Ground};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Squares looked at before the search ends with what it has.
const MOST_SQUARES: usize = 20_000;

/// A square with the distance from its middle and the most that any spot in it could have, m.
struct Square {
    middle: Metres,
    half_m: f64,
    most_m: f64,
}

impl PartialEq for Square {
    fn eq(&self, other: &Square) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Square {}
impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Square) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Square {
    fn cmp(&self, other: &Square) -> Ordering {
        self.most_m.total_cmp(&other.most_m)
    }
}

impl Ground {
    /// The spot farthest from every boundary and how far that is, m, to 0.1 m or a hundredth. 0
    /// where keep-outs cover the field.
    pub fn widest(&self) -> (Corner, f64) {
        let [west, south, east, north] = self.field.bounds();
        let half_m = (east - west).max(north - south) / 2.0;
        let mut best = ([(west + east) / 2.0, (south + north) / 2.0], 0.0);
        if !half_m.is_finite() {
            return (self.frame.base(), 0.0);
        }
        let mut open = BinaryHeap::new();
        open.push(self.square(best.0, half_m, &mut best));
        let mut looked_at = 1;
        while let Some(square) = open.pop() {
            let gain_m = (best.1 / 100.0f64).max(0.1);
            if square.most_m <= best.1 + gain_m || looked_at > MOST_SQUARES {
                break;
            }
            let half_m = square.half_m / 2.0;
            for (dx, dy) in [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)] {
                let middle = [
                    square.middle[0] + dx * half_m,
                    square.middle[1] + dy * half_m,
                ];
                open.push(self.square(middle, half_m, &mut best));
                looked_at += 1;
            }
        }
        (self.frame.to_corner(best.0), best.1)
    }

    fn square(&self, middle: Metres, half_m: f64, best: &mut (Metres, f64)) -> Square {
        let free = self.field.contains(middle) && !self.keep_out.iter().any(|k| k.contains(middle));
        let away_m = self.to_boundary_m(middle);
        let clear_m = if free { away_m } else { -away_m };
        if clear_m > best.1 {
            *best = (middle, clear_m);
        }
        Square {
            middle,
            half_m,
            most_m: clear_m + half_m * std::f64::consts::SQRT_2,
        }
    }
}
