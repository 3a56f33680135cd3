//! The three numbers of the first page: plants, squares, and whichever third matters more.
//!
//! In: a judgement and what the spots held. Out: numbers in words, each with its range and how it
//! was found or why it was chosen.
//! Not here: the answer (`plain`).

use standbook_judge::{Judgement, PERENNIAL_WEEDS, When};
use standbook_stand::summary::GroupOf;

use super::figures::{
    dense_estimate, dense_range, per_ft2, share_estimate, share_range, squares_both,
};
use super::span::{HowDense, Span, grid_group, over_bounds, planted_density, planted_share};
use super::spots::Spot;
use crate::words::{area, date_words};

/// One of the three numbers.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Number {
    /// What it is.
    pub title: String,
    /// The number, large.
    pub value: String,
    /// Its unit, in words.
    pub unit: String,
    /// The range; empty where there is none.
    pub range: String,
    /// How it was found, or why it was chosen.
    pub how: String,
}

/// The three numbers.
pub(crate) fn three(judgement: &Judgement, spots: &[Spot], weeds: &str) -> Vec<Number> {
    [
        dense(judgement),
        share(judgement).or_else(|| spots_with(spots)),
        Some(third(judgement, weeds)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn dense(judgement: &Judgement) -> Option<Number> {
    let (span, how) = planted_density(judgement)?;
    let ft2 = per_ft2(&span);
    let range = dense_range(&ft2).zip(dense_range(&span)).map(|(ft2, m2)| {
        format!(
            "{ft2} ({} per m²)",
            m2.replace("between ", "").replace(" and ", " to ")
        )
    });
    Some(Number {
        title: "Planted plants".to_owned(),
        value: dense_estimate(&ft2),
        unit: format!("on a square foot ({} per m²)", dense_estimate(&span)),
        range: range.unwrap_or_default(),
        how: match how {
            HowDense::Counted { area_m2 } => format!("Counted on {}.", area(area_m2)),
            HowDense::FromCells { rules: 1 } => {
                "Worked out from the squares; the frame shows no single plants.".to_owned()
            }
            HowDense::FromCells { rules } => format!(
                "Worked out from the squares in {} ways that differ; the frame shows no single plants.",
                match rules {
                    2 => "two".to_owned(),
                    3 => "three".to_owned(),
                    n => n.to_string(),
                }
            ),
        },
    })
}

fn share(judgement: &Judgement) -> Option<Number> {
    let (grid, span) = planted_share(judgement)?;
    let (_, group) = grid_group(judgement, standbook_judge::PLANTED)?;
    let occupied = match &group.high {
        None => group.low.occupied.to_string(),
        Some(high) => format!("{} to {}", group.low.occupied, high.occupied),
    };
    Some(Number {
        title: "Squares with a planted grass".to_owned(),
        value: share_estimate(&span),
        unit: "of every 100".to_owned(),
        range: share_range(&span).unwrap_or_default(),
        how: format!(
            "Seen in {occupied} of {} {}.",
            group.low.cells,
            squares_both(grid)
        ),
    })
}

/// Where plants were counted there are no squares: spots with any planted plant stand for them.
fn spots_with(spots: &[Spot]) -> Option<Number> {
    let looked = spots.iter().filter(|spot| spot.frames > 0).count();
    let with = spots.iter().filter(|spot| spot.has_planted()).count();
    (looked > 0).then(|| Number {
        title: "Spots with a planted grass".to_owned(),
        value: with.to_string(),
        unit: format!("of {looked} spots"),
        range: String::new(),
        how: "A spot counts where any of its frames held one.".to_owned(),
    })
}

/// The third number: weeds that stay where they are taking over or the day is fair; else the days
/// since seeding, which then matter more than any count.
fn third(judgement: &Judgement, weeds: &str) -> Number {
    let fairness = &judgement.fairness;
    let early = matches!(
        fairness.when,
        When::BeforeSeeding | When::BeforeEmergence | When::Early
    );
    if early && !judgement.weeds.takeover {
        return Number {
            title: "Days since seeding".to_owned(),
            value: fairness.days_since_seeding.to_string(),
            unit: format!(
                "fair to judge from {}",
                date_words(&fairness.fair_from.to_string())
            ),
            range: String::new(),
            how: "Shown because the day still matters more than the count.".to_owned(),
        };
    }
    let why = match judgement.weeds.takeover {
        true => "Shown because they stand in more places than what was planted.",
        false => "Shown because these, not weeds of one year, take plantings over.",
    };
    let named = match weeds.is_empty() {
        true => String::new(),
        false => format!("{weeds}. "),
    };
    let title = "Weeds that stay (perennial)".to_owned();
    if let Some((_, group)) = grid_group(judgement, PERENNIAL_WEEDS) {
        let span = sure(group);
        return Number {
            title,
            value: share_estimate(&span),
            unit: "of every 100 squares".to_owned(),
            range: share_range(&span).unwrap_or_default(),
            how: format!("{named}{why}"),
        };
    }
    let quadrats = judgement.summary.quadrats.as_ref();
    let group = quadrats.and_then(|q| q.groups.iter().find(|g| g.name == PERENNIAL_WEEDS));
    match group {
        Some(group) => {
            let ft2 = per_ft2(&sure(group));
            Number {
                title,
                value: dense_estimate(&ft2),
                unit: "on a square foot".to_owned(),
                range: dense_range(&ft2).unwrap_or_default(),
                how: format!("{named}{why}"),
            }
        }
        None => Number {
            title: "Days since seeding".to_owned(),
            value: fairness.days_since_seeding.to_string(),
            unit: String::new(),
            range: String::new(),
            how: "Nothing was counted.".to_owned(),
        },
    }
}

/// A group of weeds as if no unknown belonged to it: an unknown is not called a weed.
fn sure<T: standbook_stand::summary::HasEstimate>(group: &GroupOf<T>) -> Span {
    match &group.high {
        None => over_bounds(group),
        Some(_) => Span::of_estimate(group.low.estimate()),
    }
}
