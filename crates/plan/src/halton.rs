//! The Halton sequence with bases 2 and 3, and the run of it that falls on allowed ground.
//!
//! In: a start, a box in metres, a rule. Out: allowed points in the order of the sequence.
//!
//! Source: Halton 1960 (memory) for the sequence; keeping the points that fall inside, from a
//! random start over the bounding box, is balanced acceptance sampling, Robertson et al. 2013
//! (memory), described in Introduction to Ecological Sampling (book excerpt).

use crate::flat::Metres;

/// `index` written in `base` and mirrored at the point: 0 to below 1. Exact whole numbers until
/// the one division, so that it is the double nearest to the true value.
fn mirrored(index: u64, base: u64) -> f64 {
    let (mut rest, mut mirror, mut turn) = (index, 0u64, 1u64);
    while rest > 0 {
        mirror = mirror * base + rest % base;
        turn *= base;
        rest /= base;
    }
    mirror as f64 / turn as f64
}

/// Point `index` of the sequence in the unit square, bases 2 and 3; each has its own index.
/// Indices to 2^33 keep all digits.
pub(crate) fn halton(index: [u64; 2]) -> [f64; 2] {
    [mirrored(index[0], 2), mirrored(index[1], 3)]
}

/// A point of the sequence in a box: west, south, east, north, m.
pub(crate) fn in_box(index: [u64; 2], [west, south, east, north]: [f64; 4]) -> Metres {
    let [u, v] = halton(index);
    [west + u * (east - west), south + v * (north - south)]
}

/// The first `n` allowed points from `start` on, each with how far after the start it stands. Gives
/// up after `most` steps with what it has.
pub(crate) fn run(
    start: [u64; 2],
    bounds: [f64; 4],
    n: usize,
    most: u64,
    allowed: impl Fn(Metres) -> bool,
) -> Vec<(u64, Metres)> {
    let mut found = Vec::with_capacity(n);
    for step in 0..most {
        if found.len() == n {
            break;
        }
        let at = in_box([start[0] + step, start[1] + step], bounds);
        if allowed(at) {
            found.push((step, at));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Halton 1960 (memory); the same numbers from scipy 1.17.1, stats.qmc.Halton(2,
    /// scramble=False).
    #[test]
    fn the_first_eight_are_known() {
        let expected = [
            [1.0 / 2.0, 1.0 / 3.0],
            [1.0 / 4.0, 2.0 / 3.0],
            [3.0 / 4.0, 1.0 / 9.0],
            [1.0 / 8.0, 4.0 / 9.0],
            [5.0 / 8.0, 7.0 / 9.0],
            [3.0 / 8.0, 2.0 / 9.0],
            [7.0 / 8.0, 5.0 / 9.0],
            [1.0 / 16.0, 8.0 / 9.0],
        ];
        for (i, point) in expected.iter().enumerate() {
            let index = i as u64 + 1;
            assert_eq!(halton([index, index]), *point, "index {index}");
        }
        assert_eq!(halton([0, 0]), [0.0, 0.0]);
    }

    #[test]
    fn half_a_square_keeps_the_points_below_its_diagonal() {
        let kept = run([1, 1], [0.0, 0.0, 1.0, 1.0], 4, 7, |[x, y]| y <= x);
        let indices: Vec<u64> = kept.iter().map(|(step, _)| step + 1).collect();
        assert_eq!(indices, [1, 3, 6, 7]);
        let points: Vec<Metres> = kept.iter().map(|(_, at)| *at).collect();
        assert_eq!(
            points,
            [
                [0.5, 1.0 / 3.0],
                [0.75, 1.0 / 9.0],
                [0.375, 2.0 / 9.0],
                [0.875, 5.0 / 9.0]
            ]
        );
    }

    /// Any 6 points in a row lie one in each of 2 x 3 boxes, whatever the two starts.
    #[test]
    fn any_run_is_spread() {
        for start in [[0, 0], [17, 4], [2_147_483_000, 99_999]] {
            let mut boxes: Vec<(u8, u8)> = run(start, [0.0, 0.0, 2.0, 3.0], 6, 6, |_| true)
                .iter()
                .map(|(_, [x, y])| (*x as u8, *y as u8))
                .collect();
            boxes.sort_unstable();
            boxes.dedup();
            assert_eq!(boxes.len(), 6, "{start:?}");
        }
    }
}
