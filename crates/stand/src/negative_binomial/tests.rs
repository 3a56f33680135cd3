#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

/// European red mites on apple leaves, counts 0 to 8: the data of Bliss & Fisher 1953 as
/// printed by Analytics and Statistics in Biology (mites, chapter on the negative binomial).
fn mites() -> Vec<u64> {
    [70, 38, 17, 10, 9, 3, 2, 1, 0]
        .into_iter()
        .zip(0..)
        .flat_map(|(leaves, mites)| std::iter::repeat_n(mites, leaves))
        .collect()
}

#[track_caller]
fn near(ours: f64, theirs: f64, by: f64) {
    assert!((ours - theirs).abs() <= by, "{ours} is not {theirs}");
}

/// Example S4a: k 1.0246 and the rest as SciPy 1.17.1 finds them on the published data;
/// published k about 1.02 (memory).
#[test]
fn red_mites() {
    let fit = fit(&mites()).unwrap();
    near(fit.mean, 1.146_667, 5e-7);
    near(fit.variance, 2.273_647, 5e-7);
    near(fit.k.unwrap(), 1.024_592, 5e-7);
    near(fit.k_by_moments.unwrap(), 1.166_697, 5e-7);
    near(fit.k_by_zeros.unwrap(), 0.992_306, 5e-7);
    near(fit.log_likelihood, -222.4372, 5e-5);
    let expected = [69.49, 37.60, 20.10, 10.70, 5.69, 3.02, 1.60, 0.85, 0.45];
    for (ours, theirs) in fit.expected(8).into_iter().zip(expected) {
        near(ours, theirs, 0.005);
    }
}

/// The zero class of S5d: with the right k the frequency 80/150 gives nearly the true mean.
#[test]
fn frequency_of_mites_with_their_k() {
    let k = fit(&mites()).unwrap().k.unwrap();
    let f = 80.0 / 150.0_f64;
    near(k * ((1.0 - f).powf(-1.0 / k) - 1.0), 1.131_165, 5e-6);
}

#[test]
fn even_counts_are_not_clumped() {
    let fit = fit(&[3, 4, 3, 4, 3, 4]).unwrap();
    assert_eq!(
        (fit.k, fit.k_standard_error, fit.k_by_moments),
        (None, None, None)
    );
    // Poisson, by hand: sum of x ln m - m - ln x!.
    let by_hand = 21.0 * 3.5_f64.ln() - 21.0 - 3.0 * 6.0_f64.ln() - 3.0 * 24.0_f64.ln();
    near(fit.log_likelihood, by_hand, 1e-12);
}

/// Mean 6/9, second moment about it 6/9 as well: exactly as random, which doubles miss.
#[test]
fn as_varied_as_random_is_not_clumped() {
    let random = fit(&[2, 1, 2, 0, 0, 1, 0, 0, 0]).unwrap();
    assert_eq!((random.k, random.k_standard_error), (None, None));
    assert!(random.k_by_moments.is_some());
}

/// SciPy 1.17.1: the curvature of the sum of nbinom.logpmf over the mites at k, by central
/// differences of 1e-4, gives 0.275907.
#[test]
fn the_standard_error_is_the_curvature() {
    near(
        fit(&mites()).unwrap().k_standard_error.unwrap(),
        0.275_907,
        1e-5,
    );
}

#[test]
fn what_cannot_be_fitted_says_why() {
    assert_eq!(fit(&[5]), Err(FitError::TooFew { counts: 1 }));
    assert_eq!(fit(&[0, 0, 0]), Err(FitError::NothingFound));
    assert!(matches!(
        fit(&[1, 2_000_000]),
        Err(FitError::TooMany { quadrat: 2, .. })
    ));
}

proptest! {
    /// The found k is a maximum: k a little to either side is less likely.
    #[test]
    fn no_other_k_is_likelier(plants in prop::collection::vec(0_u64..60, 2..60)) {
        if let Ok(fit) = fit(&plants) {
            prop_assert!(fit.log_likelihood.is_finite());
            prop_assert!(fit.k.is_none() || fit.k_standard_error.is_some_and(|error| error > 0.0));
            if let Some(k) = fit.k {
                let (tails, n) = (tails(&plants), plants.len() as f64);
                for other in [k * 0.9, k * 1.1] {
                    let there = log_likelihood(&tails, n, fit.mean, other);
                    prop_assert!(there <= fit.log_likelihood + 1e-9);
                }
            }
        }
    }
}
