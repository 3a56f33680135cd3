//! The rule for one threshold: above it, below it, or too near to tell.
//!
//! In: a threshold and a gap. Out: above, below, near, go on, undecided. Units: shares.
//!
//! One likelihood ratio between two frequencies can say "above the lower" or "below the
//! upper", but not on which side of *one* number a field lies. Two of them can: one between
//! the threshold and a gap above it, whose "enough" says *above the threshold*; one between a
//! gap below and the threshold, whose "too few" says *below the threshold*. If the first
//! says "too few" and the second "enough", the field lies within the gap of the threshold,
//! and no walk of a sensible length will tell.
//!
//! Source: Sobel & Wald 1949, Annals of Mathematical Statistics 20:502-522, three decisions by
//! two sequential tests (memory).
//! Not here: which threshold.

use super::assess::side;
use super::frames::{Draws, log_ratios};
use super::simulate::Uniforms;
use super::{
    Assessment, Correlation, Look, Outcome, SequentialError, Simulation, StopRule, Truth, assess,
};
use serde::Serialize;

/// A threshold and how near to it a field may lie before the walk gives up telling.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ThresholdRule {
    /// Frequency, share.
    pub threshold: f64,
    /// Between the threshold and the frequencies a gap above and a gap below it.
    pub gap: f64,
    /// Probability of "above" for a field at the threshold or below, share.
    pub wrong_above: f64,
    /// Probability of "below" for a field at the threshold or above, share.
    pub wrong_below: f64,
    /// How alike the cells of one point are.
    pub correlation: Correlation,
    /// No decision before so many points.
    pub least_points: u32,
    /// After so many points without a decision: undecided.
    pub most_points: u32,
}

/// Where a walk stands against a threshold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Against {
    /// Stop: above the threshold.
    Above,
    /// Stop: below the threshold.
    Below,
    /// Stop: within the gap of the threshold, so the walk will not tell.
    Near,
    /// Read the next point.
    GoOn,
    /// Stop: the greatest number of points is read.
    Undecided,
}

impl ThresholdRule {
    /// Around a threshold, with a gap of 0.10 (ours; less where the threshold lies nearer than
    /// that to 0 or 1) and the other defaults of [`StopRule::between`].
    ///
    /// # Errors
    /// [`SequentialError`] unless the threshold lies between 0 and 1.
    pub fn around(threshold: f64) -> Result<Self, SequentialError> {
        let gap = 0.10_f64.min(threshold / 2.0).min((1.0 - threshold) / 2.0);
        let shape = StopRule::between(threshold, threshold + gap)?;
        let rule = Self {
            threshold,
            gap,
            wrong_above: shape.wrong_enough,
            wrong_below: shape.wrong_too_few,
            correlation: shape.correlation,
            least_points: shape.least_points,
            most_points: shape.most_points,
        };
        rule.check().map(|()| rule)
    }

    /// The rule whose "enough" says *above*, and the one whose "too few" says *below*.
    pub fn parts(&self) -> (StopRule, StopRule) {
        let between = |p_low, p_high| StopRule {
            p_low,
            p_high,
            wrong_enough: self.wrong_above,
            wrong_too_few: self.wrong_below,
            correlation: self.correlation,
            least_points: self.least_points,
            most_points: self.most_points,
        };
        (
            between(self.threshold, self.threshold + self.gap),
            between(self.threshold - self.gap, self.threshold),
        )
    }

    /// Whether the rule makes sense.
    ///
    /// # Errors
    /// [`SequentialError`] names the first thing that does not.
    pub fn check(&self) -> Result<(), SequentialError> {
        let (upper, lower) = self.parts();
        upper.check()?;
        lower.check()
    }
}

/// What the points so far say against a threshold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AgainstThreshold {
    /// The rule applied.
    pub rule: ThresholdRule,
    /// Where the walk stands.
    pub against: Against,
    /// Points after which it was decided; `None` while it is not.
    pub decided_after: Option<u32>,
    /// The test between the threshold and a gap above.
    pub upper: Assessment,
    /// The test between a gap below and the threshold.
    pub lower: Assessment,
}

/// Applies a threshold rule to the points read so far; as [`assess`] in all else.
///
/// # Errors
/// As [`assess`].
pub fn assess_against(
    rule: &ThresholdRule,
    looks: &[Look],
) -> Result<AgainstThreshold, SequentialError> {
    let (above, below) = rule.parts();
    let (upper, lower) = (assess(&above, looks)?, assess(&below, looks)?);
    let decision = decide(
        (upper.outcome, upper.decided_after),
        (lower.outcome, lower.decided_after),
    );
    let is_last = upper.points_left == 0;
    Ok(AgainstThreshold {
        rule: *rule,
        against: match decision {
            Some((against, _)) => against,
            None if is_last => Against::Undecided,
            None => Against::GoOn,
        },
        decided_after: decision.map(|(_, points)| points),
        upper,
        lower,
    })
}

/// The first decision of both tests together, and after how many points it fell.
fn decide(
    (upper, upper_after): (Outcome, Option<u32>),
    (lower, lower_after): (Outcome, Option<u32>),
) -> Option<(Against, u32)> {
    let above = upper_after.filter(|_| upper == Outcome::Enough);
    let below = lower_after.filter(|_| lower == Outcome::TooFew);
    match (above, below) {
        // Only a field of wild frames gives both; the earlier stopped the walk.
        (Some(a), Some(b)) if b < a => Some((Against::Below, b)),
        (Some(a), _) => Some((Against::Above, a)),
        (None, Some(b)) => Some((Against::Below, b)),
        (None, None) => match (upper_after, lower_after) {
            (Some(a), Some(b)) => Some((Against::Near, a.max(b))),
            _ => None,
        },
    }
}

/// How a threshold rule fares in one field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AgainstOperating {
    /// The field.
    pub truth: Truth,
    /// Share of walks that end with "above".
    pub above: f64,
    /// Share of walks that end with "below".
    pub below: f64,
    /// Share of walks that end with "near".
    pub near: f64,
    /// Share of walks that reach the maximum undecided.
    pub undecided: f64,
    /// Points per walk, mean.
    pub mean_points: f64,
    /// Points per walk, median.
    pub median_points: u32,
    /// Points that 9 of 10 walks keep within.
    pub p90_points: u32,
    /// Walks simulated.
    pub walks: u32,
}

/// Simulates a threshold rule in a field.
///
/// # Errors
/// [`SequentialError`]: rule, field or number of walks make no sense.
pub fn operate_against(
    rule: &ThresholdRule,
    truth: Truth,
    simulation: Simulation,
) -> Result<AgainstOperating, SequentialError> {
    rule.check()?;
    truth.check()?;
    simulation.check()?;
    Ok(walk_on(rule, truth, Start::default(), simulation))
}

/// What continuing is likely to bring.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AgainstForecast {
    /// Shares of the ends, and further points, of walks that go on from here in a field as it
    /// looks now (`truth`; see [`super::Forecast`]).
    pub ahead: AgainstOperating,
    /// Most further points before the maximum.
    pub most_more: u32,
}

/// Simulates going on; `looks` are those the assessment was made from. `None` before the first
/// point and once the walk is over.
///
/// # Errors
/// [`SequentialError`]: rule or number of walks make no sense.
pub fn forecast_against(
    found: &AgainstThreshold,
    looks: &[Look],
    simulation: Simulation,
) -> Result<Option<AgainstForecast>, SequentialError> {
    found.rule.check()?;
    simulation.check()?;
    let last = looks.iter().max_by_key(|look| look.place);
    let (Some(last), Against::GoOn) = (last, found.against) else {
        return Ok(None);
    };
    let truth = Truth {
        share: (found.upper.occupied as f64 + 0.5) / (found.upper.cells as f64 + 1.0),
        rho: found.rule.correlation.rho,
        cells: last.cells,
    };
    truth.check()?;
    let of = |test: &Assessment| TestState {
        log_ratio: test.path.last().map_or(0.0, |step| step.log_ratio),
        ended: test.decided_after.map(|points| (test.outcome, points)),
    };
    let start = Start {
        read: found.upper.path.len() as u32,
        upper: of(&found.upper),
        lower: of(&found.lower),
    };
    Ok(Some(AgainstForecast {
        ahead: walk_on(&found.rule, truth, start, simulation),
        most_more: found.upper.points_left,
    }))
}

#[derive(Clone, Copy, Default)]
struct TestState {
    log_ratio: f64,
    ended: Option<(Outcome, u32)>,
}

impl TestState {
    fn add(&mut self, rule: &StopRule, ratio: f64, points: u32) {
        self.log_ratio += ratio;
        if self.ended.is_none() && points >= rule.least_points {
            self.ended = side(rule, self.log_ratio).map(|outcome| (outcome, points));
        }
    }

    fn outcome(&self) -> (Outcome, Option<u32>) {
        self.ended
            .map_or((Outcome::GoOn, None), |(outcome, points)| {
                (outcome, Some(points))
            })
    }
}

#[derive(Clone, Copy, Default)]
struct Start {
    read: u32,
    upper: TestState,
    lower: TestState,
}

fn walk_on(
    rule: &ThresholdRule,
    truth: Truth,
    start: Start,
    simulation: Simulation,
) -> AgainstOperating {
    let (above, below) = rule.parts();
    let draws = Draws::new(&above, truth.share, truth.rho, truth.cells);
    let lower_ratios = log_ratios(&below, truth.cells);
    let mut uniforms: Uniforms = simulation.numbers();
    let left = rule.most_points.saturating_sub(start.read);
    let mut ends = [0_u32; 4];
    let mut by_points = vec![0_u32; left as usize + 1];
    for _ in 0..simulation.walks {
        let Start {
            mut upper,
            mut lower,
            ..
        } = start;
        let mut further = 0;
        let against = loop {
            if let Some((against, _)) = decide(upper.outcome(), lower.outcome()) {
                break against;
            }
            if further == left {
                break Against::Undecided;
            }
            further += 1;
            let occupied = draws.occupied(uniforms.next());
            let points = start.read + further;
            upper.add(&above, draws.ratio_of(occupied), points);
            lower.add(&below, lower_ratios[occupied], points);
        };
        by_points[further as usize] += 1;
        ends[match against {
            Against::Above => 0,
            Against::Below => 1,
            Against::Near => 2,
            Against::GoOn | Against::Undecided => 3,
        }] += 1;
    }
    let walks = f64::from(simulation.walks);
    let sum: f64 = (0..)
        .zip(&by_points)
        .map(|(points, &ended)| f64::from(points) * f64::from(ended))
        .sum();
    let [above, below, near, undecided] = ends.map(|ended| f64::from(ended) / walks);
    AgainstOperating {
        truth,
        above,
        below,
        near,
        undecided,
        mean_points: sum / walks,
        median_points: quantile(&by_points, 0.5 * walks),
        p90_points: quantile(&by_points, 0.9 * walks),
        walks: simulation.walks,
    }
}

fn quantile(by_points: &[u32], wanted: f64) -> u32 {
    let mut sum = 0;
    for (points, ended) in (0..).zip(by_points) {
        sum += ended;
        if f64::from(sum) >= wanted {
            return points;
        }
    }
    by_points.len().saturating_sub(1) as u32
}
