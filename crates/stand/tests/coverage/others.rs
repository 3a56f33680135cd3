//! The methods that were not chosen, for comparison.
//!
//! In: an estimate, t and z. Out: limits. Units: shares, or plants per quadrat of 1 m2.
//! Source: logit and log t by the delta method (memory); Korn & Graubard 1998 without our floor;
//! negative binomial by maximum likelihood, variance of the log of the mean (1/m + 1/k)/n (memory).

use standbook_stand::cluster::{AreaUnit, Estimate};
use standbook_stand::confidence::{Confidence, Interval};
use standbook_stand::{count, negative_binomial};
use statrs::distribution::{Beta, ContinuousCDF};

/// t around the logit of the share; half a cell is put where none or all are occupied.
pub fn logit_t(found: &Estimate, cells: f64, t: f64) -> Interval {
    let p = (found.value * cells + 0.5) / (cells + 1.0);
    let half = t * found.standard_error.unwrap() / (p * (1.0 - p));
    let at = |logit: f64| 1.0 / (1.0 + (-logit).exp());
    let middle = (p / (1.0 - p)).ln();
    Interval {
        lower: at(middle - half),
        upper: at(middle + half),
    }
}

/// Korn and Graubard as published: no assumption where the design effect says nothing.
pub fn korn_graubard(found: &Estimate, cells: f64, t: f64, confidence: Confidence) -> Interval {
    let effect = found.design_effect.unwrap_or(1.0).max(1.0);
    let n = cells / effect * (confidence.z() / t).powi(2);
    let (x, tail) = (found.value * n, confidence.tail());
    let beta = |a: f64, b: f64, share: f64| Beta::new(a, b).unwrap().inverse_cdf(share);
    Interval {
        lower: match found.value > 0.0 {
            true => beta(x, n - x + 1.0, tail),
            false => 0.0,
        },
        upper: match found.value < 1.0 {
            true => beta(x + 1.0, n - x, 1.0 - tail),
            false => 1.0,
        },
    }
}

/// `value` times and over the exponential of `half`; where none was found, Garwood.
fn around(found: &Estimate, half: f64) -> Interval {
    match found.value > 0.0 {
        true => Interval {
            lower: found.value * (-half).exp(),
            upper: found.value * half.exp(),
        },
        false => found.if_independent.interval,
    }
}

/// t around the log of the mean.
pub fn log_t(found: &Estimate, t: f64) -> Interval {
    around(found, t * found.standard_error.unwrap() / found.value)
}

/// Negative binomial by maximum likelihood, with t; Poisson where there is no k.
pub fn likelihood(
    found: &Estimate,
    units: &[AreaUnit],
    t: f64,
    confidence: Confidence,
) -> Interval {
    let plants: Vec<u64> = units.iter().map(|unit| unit.plants).collect();
    match negative_binomial::fit(&plants) {
        Ok(fit) => {
            let clumped = fit.k.map_or(0.0, f64::recip);
            let variance = (fit.mean.recip() + clumped) / plants.len() as f64;
            around(found, t * variance.sqrt())
        }
        Err(_) => {
            let area = plants.len() as f64;
            let none = count::garwood(0, confidence);
            Interval {
                lower: 0.0,
                upper: none.upper / area,
            }
        }
    }
}
