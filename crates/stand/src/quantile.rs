//! Quantiles of beta, gamma and Student's t.
//!
//! In: a probability strictly between 0 and 1 and shape parameters above 0 (the callers
//! see to that). Out: the quantile.
//!
//! Source: the crate `statrs` 0.19.1, whose values were measured against SciPy 1.17.1
//! (`tests/reference`). Its inverse of the gamma distribution is good to 1e-11 and used as it
//! is. Its inverse of the beta distribution stops early now and then (4 of 13 388 at 90 %: off
//! by 2e-8), so beta and t are found by bisection on its distribution function instead.
//!
//! Not here: the normal quantile (`confidence`, three constants).

use statrs::distribution::{ContinuousCDF, Gamma};
use statrs::function::beta::checked_beta_reg;

/// Above this shape a gamma quantile is taken from the Wilson-Hilferty cube root (1931,
/// memory): its error is below 1e-9 there (tested), and nobody waits for a typing slip
/// such as four thousand million plants.
const CUBE_ROOT_FROM_SHAPE: f64 = 1.0e6;

/// Quantile of the beta distribution with shapes `a` and `b`; from 0 to 1.
pub fn beta(probability: f64, a: f64, b: f64) -> f64 {
    let (mut lower, mut upper) = (0.0_f64, 1.0_f64);
    // Halves until no double is left between: 60 to 90 rounds for any share a field can
    // show. The bound only guards against a round that gets nowhere.
    for _ in 0..1100 {
        let middle = lower + (upper - lower) / 2.0;
        if middle <= lower || middle >= upper {
            break;
        }
        // The function fails only for shapes that are not above 0, which no caller passes.
        if checked_beta_reg(a, b, middle).is_ok_and(|below| below < probability) {
            lower = middle;
        } else {
            upper = middle;
        }
    }
    lower + (upper - lower) / 2.0
}

/// Quantile of the gamma distribution with this shape and scale 1; `z` is the standard
/// normal quantile of the same probability, used for very large shapes only.
pub(crate) fn gamma(probability: f64, z: f64, shape: f64) -> f64 {
    if shape > CUBE_ROOT_FROM_SHAPE {
        let cube_root = 1.0 - 1.0 / (9.0 * shape) + z / (3.0 * shape.sqrt());
        return shape * cube_root.powi(3);
    }
    Gamma::new(shape, 1.0).map_or(f64::NAN, |known| known.inverse_cdf(probability))
}

/// Two-sided quantile of Student's t: the middle `level` of the distribution lies within
/// plus and minus this. `degrees` of freedom, at least 1.
pub(crate) fn t_two_sided(level: f64, degrees: f64) -> f64 {
    // t^2 / (t^2 + degrees) follows a beta distribution with shapes 1/2 and degrees/2.
    let share = beta(level, 0.5, degrees / 2.0);
    (degrees * share / (1.0 - share)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn close(found: f64, wanted: f64, relative: f64) {
        assert!(
            (found / wanted - 1.0).abs() < relative,
            "found {found:e}, wanted {wanted:e}"
        );
    }

    // Wanted values: SciPy 1.17.1, beta.ppf, gamma.ppf, t.ppf.
    #[test]
    fn quantiles_are_those_of_scipy() {
        // Where the inverse in statrs is off by 2e-8.
        close(beta(0.05, 4.0, 13_385.0), 1.020_616_798_457_860_7e-4, 1e-11);
        close(beta(0.025, 4.0, 17.0), 5.733_399_705_003_277e-2, 1e-12);
        close(beta(0.005, 1.0, 1000.0), 5.012_529_260_777_506e-6, 1e-12);
        close(beta(0.995, 3000.0, 2000.0), 6.177_657_172_156_423e-1, 1e-11);
        close(
            beta(0.975, 500.0, 99_501.0),
            5.446_406_646_217_134e-3,
            1e-11,
        );
        close(
            gamma(0.025, -1.959_963_984_540_054, 25.0),
            16.178_681_847_829_33,
            1e-12,
        );
        close(
            gamma(0.975, 1.959_963_984_540_054, 1e6),
            1_001_960.910_965_450_3,
            1e-11,
        );
        close(t_two_sided(0.95, 1.0), 12.706_204_736_174_694, 1e-12);
        close(t_two_sided(0.99, 1.0), 63.656_741_162_871_526, 1e-11);
        close(t_two_sided(0.95, 1000.0), 1.962_339_080_826_408_3, 1e-11);
    }

    #[test]
    fn the_cube_root_takes_over_without_a_step() {
        let z = 1.959_963_984_540_054;
        close(gamma(0.975, z, 1_000_001.0), 1_001_961.911_945_432_2, 1e-9);
    }
}
