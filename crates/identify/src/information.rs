//! Entropy, information gain and weight of evidence.
//!
//! Units: bits for entropy and gain, decibans (10 log10 of a likelihood ratio) for weight of
//! evidence. Sources: Shannon 1948; Good 1950, after Turing, for decibans; Jeffreys 1961 for
//! the bands of strength. Checked against the worked numbers of `tests/outside.rs`.

/// Entropy of a distribution, bits. Zero shares add nothing.
pub fn entropy_bits(shares: &[f64]) -> f64 {
    -shares.iter().map(|&p| plogp(p)).sum::<f64>() / std::f64::consts::LN_2
}

/// Expected loss of entropy about a hypothesis from seeing a variable, bits.
///
/// `joint[s][h]` is the joint weight (count or probability) of state `s` and hypothesis `h`;
/// rows are equally long; the total must be above 0.
pub fn gain_bits(joint: &[Vec<f64>]) -> f64 {
    let total: f64 = joint.iter().flatten().sum();
    let n = joint.first().map_or(0, Vec::len);
    let before: Vec<f64> = (0..n)
        .map(|h| joint.iter().map(|row| row[h]).sum::<f64>() / total)
        .collect();
    let after: f64 = joint
        .iter()
        .map(|row| {
            let weight: f64 = row.iter().sum();
            if weight == 0.0 {
                return 0.0;
            }
            let within: Vec<f64> = row.iter().map(|w| w / weight).collect();
            weight / total * entropy_bits(&within)
        })
        .sum();
    entropy_bits(&before) - after
}

/// Weight of evidence of a likelihood ratio, decibans.
pub fn decibans(likelihood_ratio: f64) -> f64 {
    10.0 * likelihood_ratio.log10()
}

/// The same from a difference of natural log-likelihoods.
pub fn decibans_from_ln(difference: f64) -> f64 {
    difference * 10.0 / std::f64::consts::LN_10
}

/// How strongly evidence speaks, whichever way.
///
/// Bands of Jeffreys 1961, appendix B, in decibans: 5, 10 and 20 stand for Bayes factors of
/// 3.2, 10 and 100.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Strength {
    /// Under 5 decibans: not worth more than a mention.
    Slight,
    /// 5 to 10: substantial.
    Clear,
    /// 10 to 20: strong.
    Strong,
    /// Over 20: decisive.
    Overwhelming,
}

impl Strength {
    /// All, weakest first.
    pub const ALL: [Strength; 4] = [
        Strength::Slight,
        Strength::Clear,
        Strength::Strong,
        Strength::Overwhelming,
    ];

    /// From how many decibans on each but the weakest begins, in the order of [`Strength::ALL`].
    pub const FROM: [f64; 3] = [5.0, 10.0, 20.0];

    /// Of a weight of evidence in decibans; the sign is ignored.
    pub fn of(decibans: f64) -> Self {
        let passed = |from: &&f64| decibans.abs() >= **from;
        Strength::ALL[Strength::FROM.iter().take_while(passed).count()]
    }

    /// As an adverb for people.
    pub fn word(self) -> &'static str {
        match self {
            Strength::Slight => "slightly",
            Strength::Clear => "clearly",
            Strength::Strong => "strongly",
            Strength::Overwhelming => "overwhelmingly",
        }
    }
}

/// `p ln p`, 0 at 0.
pub(crate) fn plogp(p: f64) -> f64 {
    if p > 0.0 { p * p.ln() } else { 0.0 }
}
