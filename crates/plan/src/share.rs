//! Shares a number of points out over plots.
//!
//! In: weights and a total. Out: whole numbers that add up to it. Method: the next one goes to
//! whoever has the largest weight for twice what it has plus one (Sainte-Laguë; memory), which
//! stays nearest to exact shares.

/// Shares `total` out by `weights`, `least` to each first; fewer where `total` does not reach.
/// Weights that are not above 0 get no more than `least`; equal ones go in order.
pub(crate) fn share_out(total: u32, weights: &[f64], least: u32) -> Vec<u32> {
    let mut given = vec![0u32; weights.len()];
    let mut rest = total;
    for share in &mut given {
        *share = least.min(rest);
        rest -= *share;
    }
    for _ in 0..rest {
        let mut next: Option<(usize, f64)> = None;
        for (i, &weight) in weights.iter().enumerate() {
            let claim = weight / (2.0 * f64::from(given[i]) + 1.0);
            if claim > 0.0 && next.is_none_or(|(_, best)| claim > best) {
                next = Some((i, claim));
            }
        }
        match next {
            Some((i, _)) => given[i] += 1,
            None => break,
        }
    }
    given
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Worked by hand: votes 53, 24, 23 and 7 seats, divisors 1, 3, 5 (memory).
    #[test]
    fn seven_over_three() {
        assert_eq!(share_out(7, &[53.0, 24.0, 23.0], 0), [3, 2, 2]);
        assert_eq!(share_out(3, &[53.0, 24.0, 0.1], 1), [1, 1, 1]);
        assert_eq!(share_out(5, &[0.0, 1.0], 0), [0, 5]);
        assert_eq!(share_out(5, &[0.0, 0.0], 1), [1, 1]);
    }

    proptest! {
        #[test]
        fn adds_up_and_stays_near(
            total in 1u32..500,
            weights in prop::collection::vec(1.0..100.0f64, 1..8),
        ) {
            let given = share_out(total, &weights, 0);
            prop_assert_eq!(given.iter().sum::<u32>(), total);
            let sum: f64 = weights.iter().sum();
            for (&n, w) in given.iter().zip(&weights) {
                // The quota may be missed by more than one, but rarely by much.
                prop_assert!((f64::from(n) - f64::from(total) * w / sum).abs() < 3.0);
            }
        }
    }
}
