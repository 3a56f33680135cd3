//! One point as a beta-binomial draw: how likely each number of occupied cells is, and what
//! it says for the upper against the lower frequency.
//!
//! In: share, correlation, cells. Out: log ratios and tables. Units: natural logs; shares.
//! Source: the beta-binomial as an urn (Polya; memory): the next cell is occupied with
//! probability (p + i w) / (1 + (i + j) w) after i occupied and j empty ones, where
//! w = rho / (1 - rho). w = 0 is the binomial, with no special case.
//! Not here: adding points up (`assess`, `simulate`).

use super::StopRule;

/// Extra weight of a cell already seen.
fn weight(rho: f64) -> f64 {
    rho / (1.0 - rho)
}

/// ln of the likelihood at `p_high` over that at `p_low` for one point; rises with
/// `occupied`. `occupied <= cells`.
pub(super) fn log_ratio(rule: &StopRule, occupied: u32, cells: u32) -> f64 {
    let w = weight(rule.correlation.rho);
    let sum = |high: f64, low: f64, times: u32| -> f64 {
        (0..times)
            .map(|i| ((high + f64::from(i) * w) / (low + f64::from(i) * w)).ln())
            .sum()
    };
    // The urn's denominators are the same for both frequencies and fall out.
    sum(rule.p_high, rule.p_low, occupied)
        + sum(1.0 - rule.p_high, 1.0 - rule.p_low, cells - occupied)
}

/// Log ratios for every number of occupied cells, from 0 to `cells`.
pub(super) fn log_ratios(rule: &StopRule, cells: u32) -> Vec<f64> {
    let w = weight(rule.correlation.rho);
    let running = |high: f64, low: f64| -> Vec<f64> {
        let mut sums = vec![0.0];
        let mut sum = 0.0;
        for i in 0..cells {
            sum += ((high + f64::from(i) * w) / (low + f64::from(i) * w)).ln();
            sums.push(sum);
        }
        sums
    };
    let for_occupied = running(rule.p_high, rule.p_low);
    let for_empty = running(1.0 - rule.p_high, 1.0 - rule.p_low);
    for_occupied
        .iter()
        .zip(for_empty.iter().rev())
        .map(|(occupied, empty)| occupied + empty)
        .collect()
}

/// Probability of every number of occupied cells from 0 to `cells`; sums to 1.
/// `share` from 0 to 1, `rho` from 0 to below 1.
pub(super) fn probabilities(share: f64, rho: f64, cells: u32) -> Vec<f64> {
    let n = cells as usize;
    // A field without plants, or without gaps, leaves one number only; logs would not do.
    if share <= 0.0 || share >= 1.0 {
        let certain = if share <= 0.0 { 0 } else { n };
        return (0..=n)
            .map(|c| if c == certain { 1.0 } else { 0.0 })
            .collect();
    }
    let w = weight(rho);
    // Logs, since 0.99^10000 and its like are too small for a double.
    let mut logs = vec![0.0];
    for c in 0..cells {
        let last = logs.last().copied().unwrap_or(0.0);
        let (occupied, empty) = (f64::from(c), f64::from(cells - c));
        let up = empty * (share + occupied * w);
        let down = (occupied + 1.0) * (1.0 - share + (empty - 1.0) * w);
        logs.push(last + (up / down).ln());
    }
    let highest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut table: Vec<f64> = logs.iter().map(|log| (log - highest).exp()).collect();
    let sum: f64 = table.iter().sum();
    table.iter_mut().for_each(|probability| *probability /= sum);
    table
}

/// Draws log ratios of points as a field of given share and correlation would give them.
pub(super) struct Draws {
    cumulative: Vec<f64>,
    ratios: Vec<f64>,
}

impl Draws {
    pub(super) fn new(rule: &StopRule, share: f64, rho: f64, cells: u32) -> Self {
        let mut sum = 0.0;
        let cumulative = probabilities(share, rho, cells)
            .into_iter()
            .map(|probability| {
                sum += probability;
                sum
            })
            .collect();
        Self {
            cumulative,
            ratios: log_ratios(rule, cells),
        }
    }

    /// Number of occupied cells for a `uniform` from 0 to below 1.
    pub(super) fn occupied(&self, uniform: f64) -> usize {
        let drawn = self.cumulative.partition_point(|&sum| sum <= uniform);
        // Rounding may leave the last sum just below 1.
        drawn.min(self.ratios.len() - 1)
    }

    /// Log ratio of so many occupied cells.
    pub(super) fn ratio_of(&self, occupied: usize) -> f64 {
        self.ratios[occupied]
    }

    /// Log ratio for a `uniform` from 0 to below 1.
    pub(super) fn log_ratio(&self, uniform: f64) -> f64 {
        self.ratio_of(self.occupied(uniform))
    }
}
