//! How old the germination test was when the seed went in, and who asks for how fresh a one.
//!
//! In: months of the calendar. Out: whole months. Germination falls with age and dormancy fades,
//! so an old tag tells of another seed.
//! Not here: which rule binds; state law, programme and seller decide.

use serde::Serialize;

use crate::method::Source;

/// A month of the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Month {
    /// Year.
    pub year: i16,
    /// 1 to 12.
    pub month: i8,
}

/// Months from one to the other, below 0 when the second is earlier. February to November: 9.
pub fn months_between(from: Month, to: Month) -> i32 {
    let months = |m: Month| i32::from(m.year) * 12 + i32::from(m.month);
    months(to) - months(from)
}

/// How fresh a test somebody asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct TestRule {
    /// Most months between test and sale or planting.
    pub months: i32,
    /// Where or for whom, to be read after `asks for a test of the last 9 months`.
    pub who: &'static str,
    /// Where it is written.
    pub source: Source,
}

/// Age, months, beyond which a page speaks up: the rule of Texas, between the two others.
pub const STALE_MONTHS: i32 = 9;

/// The rules found, strictest first.
pub const TEST_RULES: [TestRule; 3] = [
    TestRule {
        months: 5,
        who: "federal law, for seed shipped between states",
        source: Source {
            id: "SEEDLAW",
            citation: "Seed law weblog 2009: Federal Seed Act labeling requirements (a summary; that it is about shipping is from memory)",
            url: Some(
                "http://seedlaw.blogspot.com/2009/05/federal-seed-act-labeling-requirements.html",
            ),
        },
    },
    TestRule {
        months: STALE_MONTHS,
        who: "Texas",
        source: Source {
            id: "BAMERT",
            citation: "Bamert Seed: How to read a native seed tag",
            url: Some("https://bamertseed.com/understanding-native-seed-tags/"),
        },
    },
    TestRule {
        months: 12,
        who: "Minnesota, before planting on its roads",
        source: Source {
            id: "MNDOT",
            citation: "Minnesota Department of Transportation: Inspector's job guide, seeding and finishing",
            url: Some("https://dot.state.mn.us/inspectorsjobguide/seeding-fishing.html"),
        },
    },
];
