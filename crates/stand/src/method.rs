//! Names every way an interval was made, in plain words and with its source.
//!
//! In: nothing. Out: text for the page. Source: the constants below.
//! Not here: conversions from frequency to density (`convert::Rule` names its own).

use serde::Serialize;

/// Where a method is written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Source {
    /// Short id, spelled as in the project's list of sources; `memory` where the formula is
    /// common knowledge that was not looked up.
    pub id: &'static str,
    /// Who, when, where.
    pub citation: &'static str,
    /// Where it can be read, if it was read on the web.
    pub url: Option<&'static str>,
}

/// Clopper & Pearson, Wilson: formulas and recommendation (volumes and pages from memory).
pub const NIST_CI: Source = Source {
    id: "nist_ci",
    citation: "NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1 (Clopper & Pearson 1934, Biometrika 26:404-413; Wilson 1927, Journal of the American Statistical Association 22:209-212)",
    url: Some("https://www.itl.nist.gov/div898/handbook/prc/section2/prc241.htm"),
};

/// Garwood's interval of a count (volume and pages from memory).
pub const GARWOOD: Source = Source {
    id: "graphpad_count",
    citation: "Garwood 1936, Biometrika 28:437-442, as explained by GraphPad support: How the confidence interval of a count is computed",
    url: Some(
        "https://graphpad.com/support/faq/how-quickcalcs-computes-the-confidence-interval-of-a-count",
    ),
};

/// The ratio estimator for clusters.
pub const CLUSTER: Source = Source {
    id: "psu506_72",
    citation: "Penn State STAT 506, lesson 7.2, Estimators for cluster sampling; Cochran 1977, Sampling Techniques (memory). The group of frames is the unit: Rangelands Gateway, Quadrats arranged as a group of subsamples to determine frequency",
    url: Some("https://online.stat.psu.edu/stat506/lesson/7/7.2"),
};

/// How an interval was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// Ratio estimator over spots, limits from Student's t.
    ClusterT,
    /// As `ClusterT`, with one limit moved out to that of [`Method::EvenSpots`].
    ClusterTWidened,
    /// Spots agree as well as, or better than, chance would have it: score limits over
    /// cells or plants, with t in place of the normal quantile.
    EvenSpots,
    /// Nothing found: exact upper limit for the share of spots that have any.
    NoneFoundBySpot,
    /// All cells full: exact lower limit for the share of spots that are full.
    AllFullBySpot,
    /// Wilson's score interval, every cell taken as independent.
    Wilson,
    /// The exact interval, every trial taken as independent.
    ClopperPearson,
    /// Garwood's interval, plants taken as scattered at random.
    Garwood,
}

impl Method {
    /// Every method.
    pub const ALL: [Self; 8] = [
        Self::ClusterT,
        Self::ClusterTWidened,
        Self::EvenSpots,
        Self::NoneFoundBySpot,
        Self::AllFullBySpot,
        Self::Wilson,
        Self::ClopperPearson,
        Self::Garwood,
    ];

    /// A short name for a table.
    pub fn name(self) -> &'static str {
        match self {
            Self::ClusterT => "spread between spots",
            Self::ClusterTWidened => "spread between spots, widened",
            Self::EvenSpots => "spots more even than chance",
            Self::NoneFoundBySpot => "none found, by spot",
            Self::AllFullBySpot => "all full, by spot",
            Self::Wilson => "cells as independent (Wilson)",
            Self::ClopperPearson => "exact (Clopper-Pearson)",
            Self::Garwood => "assuming random scatter (Garwood)",
        }
    }

    /// One sentence on how the limits were made and what they assume.
    pub fn how(self) -> &'static str {
        match self {
            Self::ClusterT => {
                "The frames at one spot count as one unit, and the limits come from how much the spots differ (ratio estimator, Student's t with one less than the number of spots)."
            }
            Self::ClusterTWidened => {
                "The limits come from how much the spots differ, and one of them was moved out so that the interval claims no more than as many independent cells or plants would allow."
            }
            Self::EvenSpots => {
                "The spots differ less than chance alone would make them, which with few spots is luck, so the limits are those of independent cells or plants, with Student's t for the small number of spots."
            }
            Self::NoneFoundBySpot => {
                "Nothing was found, so the upper limit is the exact one for the share of spots that have any at all, which the frequency cannot exceed; it is on the wide side."
            }
            Self::AllFullBySpot => {
                "Every cell was occupied, so the lower limit is the exact one for the share of spots that are full, below which the frequency cannot lie; it is on the wide side."
            }
            Self::Wilson => {
                "Every cell is taken as an independent trial, which cells of one frame are not, so this is usually too narrow and is shown for comparison."
            }
            Self::ClopperPearson => {
                "Exact limits for independent trials: they hold the truth at least as often as they say."
            }
            Self::Garwood => {
                "Plants are taken as scattered at random; where they stand in clumps this is too narrow."
            }
        }
    }

    /// Where the method is written down.
    pub fn source(self) -> Source {
        match self {
            Self::ClusterT | Self::ClusterTWidened => CLUSTER,
            // For counts the score form is the same idea (memory); the t in place of z is ours.
            Self::EvenSpots
            | Self::NoneFoundBySpot
            | Self::AllFullBySpot
            | Self::Wilson
            | Self::ClopperPearson => NIST_CI,
            Self::Garwood => GARWOOD,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_method_has_its_own_name_one_sentence_and_a_source() {
        let mut names: Vec<_> = Method::ALL.iter().map(|method| method.name()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Method::ALL.len());
        for method in Method::ALL {
            assert_eq!(method.how().matches('.').count(), 1, "{}", method.how());
            assert!(method.how().ends_with('.'));
            assert!(!method.source().citation.is_empty());
        }
    }
}
