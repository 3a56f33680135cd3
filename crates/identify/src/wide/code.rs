//! The two one-byte codes of a chance.
//!
//! In: chances, 0 to 1. Out: bytes, and back. Nothing here knows of rows or traits.

use crate::information::plogp;

/// Equal steps of minus the natural log: byte b stands for exp(-b x step).
#[derive(Debug, Clone, Copy)]
pub(super) struct Steps(f64);

impl Steps {
    /// Steps that reach from 1 down to `least`, at least 2^-1022 and under 1.
    pub(super) fn down_to(least: f64) -> Steps {
        Steps(-least.clamp(f64::MIN_POSITIVE, 0.99).ln() / 255.0)
    }

    /// One step, nats.
    pub(super) fn step(self) -> f64 {
        self.0
    }

    /// The nearest byte; chances below the least get 255.
    pub(super) fn byte_of(self, chance: f64) -> u8 {
        // A cast of a float saturates, and of no number gives 0.
        (-chance.ln() / self.0).round() as u8
    }

    /// The log of the chance of a byte.
    pub(super) fn ln_of(self, byte: u8) -> f64 {
        -f64::from(byte) * self.0
    }
}

/// Whole numbers nearest to `chances` x `out_of` that sum to `out_of`: rounded down, and the
/// missing units given to the largest remainders. None above 255 unless it is the last, whose number is
/// not stored.
pub(super) fn even_out(chances: &[f64], out_of: u32) -> Vec<u8> {
    let exact: Vec<f64> = chances.iter().map(|p| p * f64::from(out_of)).collect();
    let mut bytes: Vec<u8> = exact.iter().map(|e| *e as u8).collect();
    let given: u32 = bytes.iter().map(|b| u32::from(*b)).sum();
    let mut order: Vec<usize> = (0..bytes.len()).collect();
    let rest = |at: usize| exact[at] - exact[at].floor();
    order.sort_by(|a, b| rest(*b).total_cmp(&rest(*a)));
    for at in order
        .into_iter()
        .take(out_of.saturating_sub(given) as usize)
    {
        bytes[at] = bytes[at].saturating_add(1);
    }
    bytes
}

/// The entropy of a row as a byte out of ln(n).
pub(super) fn entropy_byte(bytes: &[u8], out_of: u32) -> u8 {
    let entropy: f64 = -bytes
        .iter()
        .map(|b| plogp(f64::from(*b) / f64::from(out_of)))
        .sum::<f64>();
    (entropy * 255.0 / most_entropy(bytes.len())).round() as u8
}

/// The entropy that byte 255 stands for: ln(n), nats; 1 for a single state.
pub(super) fn most_entropy(n: usize) -> f64 {
    if n > 1 { (n as f64).ln() } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_of_a_row_sum_and_stay_within_one() {
        for (chances, out_of) in [
            (vec![0.335, 0.333, 0.332], 255),
            (vec![0.001, 0.998, 0.001], 255),
            (vec![0.25; 4], 1020),
        ] {
            let bytes = even_out(&chances, out_of);
            assert_eq!(bytes.iter().map(|b| u32::from(*b)).sum::<u32>(), out_of);
            for (p, b) in chances.iter().zip(&bytes) {
                assert!((p * f64::from(out_of) - f64::from(*b)).abs() < 1.0);
            }
        }
    }

    #[test]
    fn a_log_comes_back_within_half_a_step() {
        let steps = Steps::down_to(0.001);
        for i in 1..=1000 {
            let p = f64::from(i) / 1000.0;
            let error = (steps.ln_of(steps.byte_of(p)) - p.ln()).abs();
            assert!(error <= steps.step() / 2.0 + 1e-12);
        }
    }
}
