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

/// The effective number of cells.
pub const KORN_GRAUBARD: Source = Source {
    id: "korn_graubard_1998",
    citation: "Korn & Graubard 1998, Survey Methodology 24:193-201, as described by Ward 2019, The Stata Journal, for the National Center for Health Statistics' presentation standards for proportions (Parker and others 2017, Vital and Health Statistics 2(175)); clusters as in Penn State STAT 506, lesson 7.2; the same for counts, the assumption for rare plants and the allowance for a roughly known spread are ours and were chosen by simulation",
    url: Some("https://pmc.ncbi.nlm.nih.gov/articles/PMC6896998"),
};

/// Estimates over the parts of a field.
pub const STRATA: Source = Source {
    id: "memory",
    citation: "Cochran 1977, Sampling Techniques, chapter 5 (mean over strata); Zou & Donner 2008, Statistics in Medicine 27:1693-1702 (variance recovered from limits); both from memory",
    url: None,
};

/// How an interval was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// Exact limits of an effective number of cells (Korn & Graubard).
    EffectiveCells,
    /// The same for counted plants.
    EffectivePlants,
    /// Limits of the parts of a field, weighed by area and added as squares.
    WeighedParts,
    /// Wilson's score interval, every cell taken as independent.
    Wilson,
    /// The exact interval, every trial taken as independent.
    ClopperPearson,
    /// Garwood's interval, plants taken as scattered at random.
    Garwood,
}

impl Method {
    /// Every method.
    pub const ALL: [Self; 6] = [
        Self::EffectiveCells,
        Self::EffectivePlants,
        Self::WeighedParts,
        Self::Wilson,
        Self::ClopperPearson,
        Self::Garwood,
    ];

    /// A short name for a table.
    pub fn name(self) -> &'static str {
        match self {
            Self::EffectiveCells => "spread between spots (Korn-Graubard)",
            Self::EffectivePlants => "spread between spots, of counts",
            Self::WeighedParts => "parts weighed by area",
            Self::Wilson => "cells as independent (Wilson)",
            Self::ClopperPearson => "exact (Clopper-Pearson)",
            Self::Garwood => "assuming random scatter (Garwood)",
        }
    }

    /// One sentence on how the limits were made and what they assume.
    pub fn how(self) -> &'static str {
        match self {
            Self::EffectiveCells => {
                "The frames at one spot count as one unit, and how much the spots differ says how many independent cells would tell as much, fewer the fewer spots there are: the limits are the exact ones of that many cells, and where fewer than ten cells are occupied or empty the cells of a spot are assumed to be correlated by a tenth or more, for such spots cannot show it."
            }
            Self::EffectivePlants => {
                "The quadrats at one spot count as one unit, and how much the spots differ says how many scattered plants would tell as much, fewer the fewer spots there are: the limits are the exact ones of that many plants, and where fewer than ten were found they are assumed to be clumped (k of 1 or less)."
            }
            Self::WeighedParts => {
                "Each part of the field has limits of its own from its own spots, which are weighed by area and added as squares, and a part with only one spot is taken to lie anywhere from none to all."
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
            Self::EffectiveCells | Self::EffectivePlants => KORN_GRAUBARD,
            Self::WeighedParts => STRATA,
            Self::Wilson | Self::ClopperPearson => NIST_CI,
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
