//! A count corrected by what those who counted called specimens of known name in practice.
//!
//! In: right and wrong answers about specimens, cells by spot. Out: the share that would be planted. It
//! asks *what is a planted grass called?* where plants of the field answer *what is a plant called
//! planted?*: a set of questions has another mix than a field, so only the first question carries over.
//!
//! Of the cells that hold anything, the share called planted is corrected by Rogan and Gladen's form, a
//! cell taken to rest on one plant, and carried back to all cells. The doubt of the cells and that of the
//! share are added as squares, as in `correct`.
//! Source: `standbook_stand::misnaming`, its form for specimens of known name.
//! Not here: whether drawings are as hard as plants; pages say that nobody knows.

use standbook_stand::cluster::{self, CellUnit};
use standbook_stand::confidence::{Confidence, Interval};
use standbook_stand::measured::Measured as Number;
use standbook_stand::misnaming::{Corrected as Share, Withheld, rogan_gladen};

use crate::case::Specimens;
use crate::correct::Worked;

/// Of everything called a name, the share that is planted.
pub(crate) fn share(
    specimens: &Specimens,
    called: Number,
    confidence: Confidence,
) -> Result<Share, Withheld> {
    rogan_gladen(called, specimens.planted, specimens.other, confidence)
}

/// Of all cells, the share with anything planted. `planted` and `any`: cells with anything called
/// planted, and with anything at all, of the same spots in the same order.
///
/// # Errors
/// A sentence where it can't be said.
pub(crate) fn cells(
    specimens: &Specimens,
    planted: &[CellUnit],
    any: &[CellUnit],
    confidence: Confidence,
) -> Result<Worked, String> {
    let number = |units: &[CellUnit]| -> Result<Number, String> {
        let estimate = cluster::frequency(units, confidence).map_err(|error| error.to_string())?;
        Number::from_estimate(&estimate).ok_or_else(|| "one spot shows no spread".to_owned())
    };
    let held = number(any)?;
    let of_held: Vec<CellUnit> = planted
        .iter()
        .zip(any)
        .filter(|(_, any)| any.occupied > 0)
        .map(|(planted, any)| CellUnit {
            occupied: planted.occupied,
            cells: any.occupied,
        })
        .collect();
    if of_held.iter().all(|unit| unit.occupied == unit.cells) {
        // Often only what was sown was written down, and then nobody knows what was called another name.
        return Err(
            "every cell with a plant holds one called planted, so nothing is known of planted grass that was called something else".to_owned(),
        );
    }
    let share =
        share(specimens, number(&of_held)?, confidence).map_err(|error| error.to_string())?;
    let value = held.value * share.value;
    let limit = |of_held: f64, of_share: f64, sign: f64| {
        let (from_held, from_share) = (
            (of_held - held.value) * share.value,
            (of_share - share.value) * held.value,
        );
        (value + sign * from_held.hypot(from_share)).clamp(0.0, 1.0)
    };
    Ok(Worked {
        value,
        interval: Interval {
            lower: limit(held.interval.lower, share.interval.lower, -1.0),
            upper: limit(held.interval.upper, share.interval.upper, 1.0),
        },
        correction: share.correction,
    })
}
