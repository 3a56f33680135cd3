//! How a true state turns into a reported one.
//!
//! In: a trait. Out: a square matrix, rows the true state, columns the reported one, each
//! row summing to 1. Of the misreading rate, [`Modelling::near`] goes to the states named as
//! mixed up with the true one and, in ordered traits, to its neighbours; the rest goes evenly to
//! all others. Where it was counted what a state is taken for (`taken_for`), that share takes
//! the place of what the rate gives. On top comes [`Modelling::slip`], evenly over all states. For
//! bins of a measure the rate goes to what is typical of
//! the key: a slip of the ruler or of the finger; small errors are in the shoulders of the
//! profile already.

use standbook_key::{StateId, Trait, TraitKind};

use crate::modelling::Modelling;
use crate::profile::Shape;

/// Turns true shares into reported ones, by the matrix of a trait with states.
pub fn reported(
    one: &Trait,
    matrix: &[Vec<f64>],
    shape: &Shape,
    truth: &[f64],
    typical: &[f64],
) -> Vec<f64> {
    let rate = one.misread.rate;
    if let Shape::Bins(_) = shape {
        return truth
            .iter()
            .zip(typical)
            .map(|(share, slip)| (1.0 - rate) * share + rate * slip)
            .collect();
    }
    let mut seen = vec![0.0; truth.len()];
    for (row, share) in matrix.iter().zip(truth) {
        for (total, p) in seen.iter_mut().zip(row) {
            *total += share * p;
        }
    }
    seen
}

/// The matrix of a trait with states.
pub fn matrix(one: &Trait, modelling: &Modelling) -> Vec<Vec<f64>> {
    let n = one.states().len();
    let rate = if n > 1 { one.misread.rate } else { 0.0 };
    (0..n)
        .map(|truth| {
            let mut row = by_rate(one, modelling, rate, truth);
            for taken in &one.misread.taken_for {
                if index(one, &taken.shown) == Some(truth)
                    && let Some(said) = index(one, &taken.said)
                {
                    row[said] = taken.share;
                }
            }
            let others: f64 = row.iter().sum::<f64>() - row[truth];
            row[truth] = 1.0 - others;
            // And now and then anything at all is pressed.
            let slip = if n > 1 { modelling.slip } else { 0.0 };
            row.iter()
                .map(|share| (1.0 - slip) * share + slip / n as f64)
                .collect()
        })
        .collect()
}

/// What the rate alone gives for one true state; the true state itself is filled in later.
fn by_rate(one: &Trait, modelling: &Modelling, rate: f64, truth: usize) -> Vec<f64> {
    let n = one.states().len();
    let mut near = vec![false; n];
    if matches!(one.kind, TraitKind::Ordered(_)) {
        near.iter_mut()
            .enumerate()
            .for_each(|(s, is)| *is = s.abs_diff(truth) == 1);
    }
    for (a, b) in &one.misread.mixed_up {
        for (from, to) in [(a, b), (b, a)] {
            if index(one, from) == Some(truth) {
                index(one, to).into_iter().for_each(|s| near[s] = true);
            }
        }
    }
    near[truth] = false;
    let n_near = near.iter().filter(|is| **is).count();
    let n_far = n - 1 - n_near;
    let to_near = match (n_near, n_far) {
        (0, _) => 0.0,
        (_, 0) => rate,
        _ => rate * modelling.near,
    };
    (0..n)
        .map(|s| match (s == truth, near[s]) {
            (true, _) => 0.0,
            (_, true) => to_near / n_near as f64,
            (_, false) => (rate - to_near) / n_far as f64,
        })
        .collect()
}

fn index(one: &Trait, state: &StateId) -> Option<usize> {
    one.state_index(state.as_str())
}
