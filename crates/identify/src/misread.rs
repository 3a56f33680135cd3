//! How a true state turns into a reported one.
//!
//! In: a trait. Out: a square matrix, rows the true state, columns the reported one, each
//! row summing to 1. Of the misreading rate, [`NEAR`] goes to the states named as mixed up
//! with the true one and, in ordered traits, to its neighbours; the rest goes evenly to all
//! others. For bins of a measure the rate goes to what is typical of the key: a slip of the
//! ruler or of the finger; small errors are in the shoulders of the profile already.

use standbook_key::{Trait, TraitKind};

use crate::profile::Shape;

/// Share of the misreading rate that goes to the states most easily mistaken (memory).
pub const NEAR: f64 = 0.75;

/// Turns true shares into reported ones.
pub fn reported(one: &Trait, shape: &Shape, truth: &[f64], typical: &[f64]) -> Vec<f64> {
    let rate = one.misread.rate;
    if let Shape::Bins(_) = shape {
        return truth
            .iter()
            .zip(typical)
            .map(|(share, slip)| (1.0 - rate) * share + rate * slip)
            .collect();
    }
    let mut seen = vec![0.0; truth.len()];
    for (row, share) in matrix(one).iter().zip(truth) {
        for (total, p) in seen.iter_mut().zip(row) {
            *total += share * p;
        }
    }
    seen
}

/// The matrix of a trait with states.
pub fn matrix(one: &Trait) -> Vec<Vec<f64>> {
    let n = one.states().len();
    let rate = if n > 1 { one.misread.rate } else { 0.0 };
    let ordered = matches!(one.kind, TraitKind::Ordered(_));
    let index = |id: &standbook_key::StateId| one.state_index(id.as_str());
    (0..n)
        .map(|truth| {
            let mut near = vec![false; n];
            if ordered {
                near.iter_mut()
                    .enumerate()
                    .for_each(|(s, is)| *is = s.abs_diff(truth) == 1);
            }
            for (a, b) in &one.misread.mixed_up {
                if index(a) == Some(truth) {
                    index(b).into_iter().for_each(|s| near[s] = true);
                }
                if index(b) == Some(truth) {
                    index(a).into_iter().for_each(|s| near[s] = true);
                }
            }
            near[truth] = false;
            let n_near = near.iter().filter(|is| **is).count();
            let n_far = n - 1 - n_near;
            let to_near = match (n_near, n_far) {
                (0, _) => 0.0,
                (_, 0) => rate,
                _ => rate * NEAR,
            };
            (0..n)
                .map(|s| match (s == truth, near[s]) {
                    (true, _) => 1.0 - rate,
                    (_, true) => to_near / n_near as f64,
                    (_, false) => (rate - to_near) / n_far as f64,
                })
                .collect()
        })
        .collect()
}
