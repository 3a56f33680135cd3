//! Seedlings to expect if this or that share of the live seed comes up.
//!
//! In: live seeds on an area. Out: seedlings per ft2 and per m2 for each share, with who states
//! the share. A share is what others saw elsewhere, not a forecast for this field.
//! Not here: what did come up (`emergence`).

use serde::Serialize;

use super::{SeedingError, above_zero};
use crate::emergence::{COLO_BERM, per_m2_from_per_ft2};
use crate::method::Source;

/// A share of live seed that becomes plants, as somebody states it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EmergenceShare {
    /// 0 to 1.
    pub share: f64,
    /// What it stands for, in words.
    pub words: &'static str,
    /// Who states it.
    pub source: Source,
}

/// Seeding targets and wanted plants, put together.
const TARGETS: Source = Source {
    id: "derived",
    citation: "Worked out from common targets: 20 to 40 live seeds per ft² sown for 1 to 2 plants per ft²",
    url: None,
};

/// Second-hand: the original was not seen.
const WILLIAMS: Source = Source {
    id: "WILL07",
    citation: "Williams, D. and others 2007, as cited on a seeding-rate page of the Tallgrass Prairie Center, University of Northern Iowa (second-hand)",
    url: None,
};

/// A rule of thumb for which no source was found.
const THUMB: Source = Source {
    id: "memory",
    citation: "Rule of thumb, 5 to 30 % by seedbed, depth, rain and weeds (memory; no source found)",
    url: None,
};

/// The shares shown, lowest first.
pub const EMERGENCE_SHARES: [EmergenceShare; 5] = [
    EmergenceShare {
        share: 0.025,
        words: "least that common targets imply",
        source: TARGETS,
    },
    EmergenceShare {
        share: 0.05,
        words: "prairie seed, low",
        source: WILLIAMS,
    },
    EmergenceShare {
        share: 0.10,
        words: "prairie seed, high",
        source: WILLIAMS,
    },
    EmergenceShare {
        share: 0.15,
        words: "counted on a reclaimed berm, Colorado, early years",
        source: COLO_BERM,
    },
    EmergenceShare {
        share: 0.30,
        words: "upper end of the rule of thumb",
        source: THUMB,
    },
];

/// Seedlings to expect.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Expected {
    /// Share of the live seed that comes up, 0 to 1.
    pub share: f64,
    /// Seedlings per square foot.
    pub per_ft2: f64,
    /// Seedlings per square metre.
    pub per_m2: f64,
}

/// Seedlings to expect from live seeds per square foot if `share` of them comes up.
///
/// # Errors
/// Seeds that are not above 0; a share that is not above 0 or is above 1.
pub fn expected_seedlings(seeds_per_ft2: f64, share: f64) -> Result<Expected, SeedingError> {
    let seeds = above_zero("live seed", seeds_per_ft2, "seeds per ft²")?;
    let share = super::share_above_zero("a share of emergence", share)?;
    let per_ft2 = seeds * share;
    Ok(Expected {
        share,
        per_ft2,
        per_m2: per_m2_from_per_ft2(per_ft2),
    })
}
