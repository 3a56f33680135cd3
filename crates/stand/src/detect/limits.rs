//! Exact limits for the number of occupied cells, seen or not.
//!
//! In: what each reader saw, what both saw, cells read. Out: limits in cells.
//! Units: cells.
//! Source: given what each reader found, what both found follows the hypergeometric
//! distribution (Chapman 1951, [`super::CHAPMAN`]); its tails are solved for the number of cells
//! as Clopper and Pearson do for a share. They hold the truth at least as often as they say.
//! Above a hundred thousand cells: log-normal limits of Chao 1987, Biometrics 43:783-791 (memory).
//! Not here: clumping of cells within frames, which makes the limits somewhat too narrow.

use crate::confidence::{Confidence, Interval};
use statrs::function::factorial::ln_binomial;

/// Above this nobody waits for sums; no walk reads so many.
const MANY: u64 = 100_000;

/// `both >= 1`, `both <= first`, `both <= second`, and all seen lie within `read`.
pub(super) fn occupied(
    both: u64,
    first: u64,
    second: u64,
    read: u64,
    confidence: Confidence,
) -> Interval {
    let seen = first.saturating_add(second - both);
    if read > MANY {
        return log_normal(both, first, second, read, confidence);
    }
    let tail = confidence.tail();
    // The more cells are occupied, the fewer are found by both.
    let upper = last(seen, read, |n| at_least(both, first, second, n) > tail);
    // One less than the first that is not too few.
    let too_few = last(seen, read, |n| at_most(both, first, second, n) <= tail);
    let lower = match at_most(both, first, second, seen) <= tail {
        true => (too_few + 1).min(upper),
        false => seen,
    };
    Interval {
        lower: lower as f64,
        upper: upper as f64,
    }
}

/// The last number from `from` to `to` for which it holds; `from` if for none. What holds for
/// a number must hold for all smaller ones.
fn last(from: u64, to: u64, holds: impl Fn(u64) -> bool) -> u64 {
    let (mut low, mut high) = (from, to);
    while low < high {
        let middle = low + (high - low).div_ceil(2);
        if holds(middle) {
            low = middle;
        } else {
            high = middle - 1;
        }
    }
    low
}

/// Probability that both find `both` or more of `n` occupied cells.
fn at_least(both: u64, first: u64, second: u64, n: u64) -> f64 {
    (both..=first.min(second))
        .map(|common| probability(common, first, second, n))
        .sum()
}

/// Probability that both find `both` or fewer of `n` occupied cells.
fn at_most(both: u64, first: u64, second: u64, n: u64) -> f64 {
    // With few cells the readers must meet in some.
    let least = first.saturating_add(second).saturating_sub(n);
    (least..=both)
        .map(|common| probability(common, first, second, n))
        .sum()
}

fn probability(common: u64, first: u64, second: u64, n: u64) -> f64 {
    // Found by the second only must fit into what the first left.
    if second - common > n - first {
        return 0.0;
    }
    (ln_binomial(first, common) + ln_binomial(n - first, second - common) - ln_binomial(n, second))
        .exp()
}

fn log_normal(both: u64, first: u64, second: u64, read: u64, confidence: Confidence) -> Interval {
    let (m, n1, n2) = (both as f64, first as f64, second as f64);
    let seen = n1 + n2 - m;
    let unseen = (n1 + 1.0) * (n2 + 1.0) / (m + 1.0) - 1.0 - seen;
    let variance = (n1 + 1.0) * (n2 + 1.0) * (n1 - m) * (n2 - m) / ((m + 1.0).powi(2) * (m + 2.0));
    let factor = if unseen > 0.0 {
        (confidence.z() * (variance / (unseen * unseen)).ln_1p().sqrt()).exp()
    } else {
        1.0
    };
    Interval {
        lower: (seen + unseen / factor).min(read as f64),
        upper: (seen + unseen * factor).min(read as f64),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// All twelve in common: P(12 of 12 | n) = 1 / C(n, 12), so 1/13 at 13 and 1/91 at 14; at
    /// 95 % (0.025 in each tail) the upper limit is 13.
    #[test]
    fn agreeing_throughout_by_hand() {
        let found = occupied(12, 12, 12, 100, Confidence::P95);
        assert_eq!((found.lower, found.upper), (12.0, 13.0));
    }

    proptest! {
        /// Trying every number one by one gives the same limits.
        #[test]
        fn limits_are_those_of_trying_every_number(both in 1u64..15, first in 0u64..15, second in 0u64..15, more in 0u64..120, level in 0usize..3) {
            let level = Confidence::ALL[level];
            let (n1, n2) = (both + first, both + second);
            let seen = both + first + second;
            let read = seen + more;
            let tried: Vec<u64> = (seen..=read)
                .filter(|&n| at_least(both, n1, n2, n) > level.tail() && at_most(both, n1, n2, n) > level.tail())
                .collect();
            let found = occupied(both, n1, n2, read, level);
            if let (Some(&lower), Some(&upper)) = (tried.first(), tried.last()) {
                prop_assert_eq!((found.lower, found.upper), (lower as f64, upper as f64));
            }
            prop_assert!(found.lower <= found.upper);
            // Chances of one number of cells sum to 1.
            let all = at_most(both, n1, n2, read) + at_least(both + 1, n1, n2, read);
            prop_assert!((all - 1.0).abs() < 1e-9);
        }
    }
}
