//! How clumped counts are: the negative binomial's k, by maximum likelihood.
//!
//! In: plants counted in quadrats of one size. Out: mean, k and how well they are known.
//!
//! The variance is mean + mean^2 / k: a small k means clumped, a k without bound means scattered
//! at random (Poisson). Counts that vary no more than random ones have no finite k: that is an
//! answer ([`Fit::k`] is `None`), not a failure.
//!
//! Units: plants per quadrat; k has none.
//! Source: Bliss, C. I. & Fisher, R. A. 1953, Biometrics 9: 176-200 (the likelihood equation);
//! that one finite k exists exactly where the plain second moment exceeds the mean: Levin, B. &
//! Reeds, J. 1977, Annals of Statistics 5: 79-87 (memory). Zero-class form: FAO fisheries
//! manual, negative binomial.
//! Not here: intervals for a density (`cluster`), frequency to density (`convert`).

use serde::Serialize;

/// Longest list and largest count that a fit takes; more are typing slips.
const MOST_PLANTS: u64 = 1_000_000;
/// Above this k nobody can tell the counts from random ones, nor can a double.
const MOST_K: f64 = 1e6;

/// Why counts have no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// Fewer than two counts.
    #[error("{counts} quadrats show no spread: count at least two")]
    TooFew {
        /// Quadrats given.
        counts: usize,
    },
    /// Nothing in any quadrat.
    #[error("no quadrat held a plant: clumping cannot be seen")]
    NothingFound,
    /// A count beyond belief.
    #[error("quadrat {quadrat}: {plants} plants cannot be counted: enter at most {MOST_PLANTS}")]
    TooMany {
        /// Number of the quadrat, from 1.
        quadrat: usize,
        /// Plants given.
        plants: u64,
    },
}

/// What counts say about mean and clumping.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fit {
    /// Quadrats.
    pub quadrats: usize,
    /// Plants per quadrat; also its maximum-likelihood estimate.
    pub mean: f64,
    /// Variance between quadrats with n - 1, plants squared.
    pub variance: f64,
    /// k by maximum likelihood; `None`: not clumped, so take the counts as random (Poisson).
    pub k: Option<f64>,
    /// Standard error of `k` from the curvature of the likelihood; `None` without k. Where k is
    /// large it is larger still: such counts hardly show how clumped they are.
    pub k_standard_error: Option<f64>,
    /// k from mean and variance, mean^2 / (variance - mean); `None` unless the variance is greater.
    pub k_by_moments: Option<f64>,
    /// k from the share of empty quadrats; `None` where none is empty, or more would be by chance
    /// alone.
    pub k_by_zeros: Option<f64>,
    /// Natural log of the likelihood at the greatest (Poisson's without k).
    pub log_likelihood: f64,
}

impl Fit {
    /// Quadrats expected to hold 0, 1, ... `most` plants.
    pub fn expected(&self, most: u64) -> Vec<f64> {
        let (n, m) = (self.quadrats as f64, self.mean);
        let mut p = match self.k {
            Some(k) => (-k * (m / k).ln_1p()).exp(),
            None => (-m).exp(),
        };
        let mut expected = Vec::new();
        for x in 0..=most {
            expected.push(n * p);
            let x = x as f64;
            p *= match self.k {
                Some(k) => (k + x) / (x + 1.0) * m / (k + m),
                None => m / (x + 1.0),
            };
        }
        expected
    }
}

/// Fits mean and k to counts of plants in quadrats of one size.
///
/// # Errors
/// [`FitError`] for fewer than two counts, none found, or a count above a million.
pub fn fit(plants: &[u64]) -> Result<Fit, FitError> {
    if plants.len() < 2 {
        return Err(FitError::TooFew {
            counts: plants.len(),
        });
    }
    for (index, &count) in plants.iter().enumerate() {
        if count > MOST_PLANTS {
            return Err(FitError::TooMany {
                quadrat: index + 1,
                plants: count,
            });
        }
    }
    let n = plants.len() as f64;
    let mean = plants.iter().sum::<u64>() as f64 / n;
    if mean <= 0.0 {
        return Err(FitError::NothingFound);
    }
    let squares: f64 = plants.iter().map(|&x| (x as f64 - mean).powi(2)).sum();
    let variance = squares / (n - 1.0);
    let tails = tails(plants);
    let k = more_than_random(plants)
        .then(|| solve(|ln_k| score(&tails, n, mean, ln_k.exp())).exp())
        .filter(|&k| k < MOST_K);
    let empty = plants.iter().filter(|&&x| x == 0).count() as f64;
    let ln_zero = (n / empty).ln();
    Ok(Fit {
        quadrats: plants.len(),
        mean,
        variance,
        k,
        k_standard_error: k
            .map(|k| information(&tails, n, mean, k).recip().sqrt())
            .filter(|error| error.is_finite()),
        k_by_moments: (variance > mean).then(|| mean * mean / (variance - mean)),
        // ln(N / N0) rises with k from 0 to the mean, so there is a k only between.
        k_by_zeros: (empty > 0.0 && ln_zero > 0.0 && ln_zero < mean)
            .then(|| solve(|ln_k| ln_zero - ln_k.exp() * (mean / ln_k.exp()).ln_1p()).exp()),
        log_likelihood: match k {
            Some(k) => log_likelihood(&tails, n, mean, k),
            None => log_likelihood_random(&tails, n, mean),
        },
    })
}

/// Whether the second moment about the mean exceeds the mean, in whole numbers: n sum x^2 -
/// (sum x)^2 > n sum x. In doubles, counts that are exactly even would get a k by rounding.
fn more_than_random(plants: &[u64]) -> bool {
    let n = plants.len() as u128;
    let sum: u128 = plants.iter().map(|&x| u128::from(x)).sum();
    let squares: u128 = plants.iter().map(|&x| u128::from(x).pow(2)).sum();
    n * squares > sum * (sum + n)
}

/// `tails[j]`: quadrats with more than j plants. Sums over plants become sums over j, and no
/// gamma function is needed: ln G(k + x) - ln G(k) = sum over j < x of ln(k + j).
fn tails(plants: &[u64]) -> Vec<f64> {
    let mut sorted = plants.to_vec();
    sorted.sort_unstable();
    let most = sorted.last().copied().unwrap_or(0);
    (0..most)
        .map(|j| (sorted.len() - sorted.partition_point(|&x| x <= j)) as f64)
        .collect()
}

fn score(tails: &[f64], n: f64, mean: f64, k: f64) -> f64 {
    let seen: f64 = tails
        .iter()
        .zip(0..)
        .map(|(a, j)| a / (k + f64::from(j)))
        .sum();
    seen - n * (mean / k).ln_1p()
}

/// Minus the slope of the score at the greatest likelihood.
fn information(tails: &[f64], n: f64, mean: f64, k: f64) -> f64 {
    let seen: f64 = tails
        .iter()
        .zip(0..)
        .map(|(a, j)| a / (k + f64::from(j)).powi(2))
        .sum();
    seen - n * mean / (k * (k + mean))
}

/// Sum over plants of ln x!.
fn ln_factorials(tails: &[f64]) -> f64 {
    tails
        .iter()
        .zip(1..)
        .map(|(a, j)| a * f64::from(j).ln())
        .sum()
}

fn log_likelihood(tails: &[f64], n: f64, mean: f64, k: f64) -> f64 {
    let gammas: f64 = tails
        .iter()
        .zip(0..)
        .map(|(a, j)| a * (k + f64::from(j)).ln())
        .sum();
    gammas - ln_factorials(tails) + n * mean * (mean / (k + mean)).ln() - n * k * (mean / k).ln_1p()
}

fn log_likelihood_random(tails: &[f64], n: f64, mean: f64) -> f64 {
    n * mean * mean.ln() - n * mean - ln_factorials(tails)
}

/// The ln k where a falling function crosses zero, by halving between 1e-9 and 1e12.
fn solve(falling: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (1e-9_f64.ln(), 1e12_f64.ln());
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if falling(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests;
