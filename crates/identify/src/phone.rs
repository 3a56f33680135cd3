//! The table as the phone gets it: JSON with two printable characters a cell.
//!
//! In: a [`Table`]. Out: text of at most [`MOST_BYTES`] for a key like the one that ships, and a
//! table back from that text alone. Whatever `Table` serialises is carried as it is; only three
//! things change: `columns` become text, numbers that repeat the default are left out, and `step`
//! and `format` say how to read it. So a new field of `Table` or `TraitColumns` travels without
//! a change here, but to matter in [`read()`] it must be put into the table there.
//!
//! A cell is minus the natural log of a chance in whole steps, 0 to 7,224: first character x 85 +
//! second, each the position in [`DIGITS`]. The step is such that the smallest chance is 7,224. Largest
//! error of a cell: half a step, for the key that ships under 0.001 nats (`tests/phone.rs`). A column of n rows is 2 n
//! characters; the columns of one trait follow each other in one text. In a script:
//! `log[row] -= step * weight * (85 * digit(text[2 * at]) + digit(text[2 * at + 1]))` with
//! `at = state * rows.length + row`; what n answers added together is then taken
//! `1 + agreement / max(n, 5)` times ([`Modelling::earned`](crate::Modelling::earned)).
//!
//! `limits` and `words` carry what the engine has as constants, so that a script states none of
//! them again ([`limits`]).
//!
//! Not here: compression on the way (the server's), the wording of questions (the page's).

pub mod limits;

use serde::Deserialize;
use serde_json::Value;
use standbook_key::{GroupId, LeafStage, Need, Role, StateId, TaxonId, TraitClass, TraitId};

use crate::information::plogp;
use crate::phone::limits::{Limits, words};
use crate::profile::Bins;
use crate::table::{Row, Table, TraitColumns};

/// Name of this form and its version.
pub const FORMAT: &str = "standbook phone table 2";

/// What the key that ships may take, bytes.
pub const MOST_BYTES: usize = 40_960;

/// The 85 digits, in order of their codes. None has a meaning in JSON, HTML or a script's text.
pub const DIGITS: &str =
    "!#%()*+,-./0123456789:;=?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[]^_abcdefghijklmnopqrstuvwxyz{|}";

const BASE: usize = 85;
const LARGEST: f64 = (BASE * BASE - 1) as f64;

/// Text that is no table for the phone.
#[derive(Debug, thiserror::Error)]
pub enum PhoneFault {
    /// Not JSON, or a field is missing or of another kind.
    #[error("this is not a table for the phone ({0}); fetch the key again")]
    NotATable(#[source] serde_json::Error),
    /// Another form or version.
    #[error("the table has the form `{found}`, not `{FORMAT}`; fetch the key again")]
    Format {
        /// What it says it is.
        found: String,
    },
    /// Made by a version that says *settled* from another share on, or counts seconds otherwise.
    #[error("the table has other limits than this version; update the program")]
    Limits,
    /// A trait's cells are cut short or hold other characters than the digits.
    #[error("the cells of `{trait_id}` are not {wanted} digits; fetch the key again")]
    Cells {
        /// The trait.
        trait_id: String,
        /// How many digits there should be.
        wanted: usize,
    },
    /// A word that this version does not know.
    #[error("`{found}` is not a {what} that this version knows; update the program")]
    Word {
        /// What it should be.
        what: &'static str,
        /// What was found, as JSON.
        found: String,
    },
    /// A number is out of range: of rows, of a trait or state, of a step or a bin.
    #[error("{what} is out of range; fetch the key again")]
    Range {
        /// Which.
        what: String,
    },
}

/// A table as text for the phone. A chance of 0 (only in tables from counts) becomes the smallest
/// chance above 0.
pub fn write(table: &Table) -> Result<String, PhoneFault> {
    let all = table.traits.iter().flat_map(|t| t.columns.iter().flatten());
    let lowest = all
        .copied()
        .filter(|ln| ln.is_finite())
        .fold(-0.01, f64::min);
    let step = -lowest / LARGEST;
    let mut value = serde_json::to_value(table).map_err(PhoneFault::NotATable)?;
    if let Some(fields) = value.as_object_mut() {
        fields.insert("format".to_owned(), FORMAT.into());
        fields.insert("step_nats".to_owned(), step.into());
        let limits = serde_json::to_value(Limits::OURS).map_err(PhoneFault::NotATable)?;
        fields.insert("limits".to_owned(), limits);
        fields.insert("words".to_owned(), words());
    }
    let traits = value.get_mut("traits").and_then(Value::as_array_mut);
    for (fields, columns) in traits.into_iter().flatten().zip(&table.traits) {
        fields["columns"] = digits_of(columns, step).into();
    }
    Ok(value.to_string())
}

fn digits_of(columns: &TraitColumns, step: f64) -> String {
    let digits = DIGITS.as_bytes();
    columns
        .columns
        .iter()
        .flatten()
        .map(|ln| (-ln / step).round().clamp(0.0, LARGEST) as usize)
        .flat_map(|code| [code / BASE, code % BASE])
        .map(|digit| char::from(digits[digit]))
        .collect()
}

#[derive(Deserialize)]
struct WireForm {
    format: String,
}

#[derive(Deserialize)]
struct Wire {
    step_nats: f64,
    key_id: String,
    fingerprint: String,
    rows: Vec<WireRow>,
    /// JSON has no minus infinity: that is null.
    log_prior: Vec<Option<f64>>,
    traits: Vec<WireTrait>,
    together: Vec<(Vec<usize>, f64)>,
    modelling: WireModelling,
    limits: Limits,
}

#[derive(Deserialize)]
struct WireRow {
    id: TaxonId,
    role: Value,
    group: Option<GroupId>,
}

#[derive(Deserialize)]
struct WireModelling {
    both: f64,
    agreement: f64,
}

#[derive(Deserialize)]
struct WireBins {
    lowest: f64,
    highest: f64,
    n: usize,
}

#[derive(Deserialize)]
struct WireTrait {
    id: TraitId,
    class: Value,
    states: Vec<StateId>,
    bins: Option<WireBins>,
    unit: Option<String>,
    effort_s: u32,
    needs: Vec<Value>,
    from_stage: Value,
    until_stage: Value,
    decides: bool,
    applies_to: Option<(usize, Vec<usize>)>,
    columns: String,
}

pub(crate) const CLASSES: [TraitClass; 6] = [
    TraitClass::TillerBase,
    TraitClass::Hairs,
    TraitClass::Vernation,
    TraitClass::Ligule,
    TraitClass::Habit,
    TraitClass::Other,
];

pub(crate) const ROLES: [Role; 3] = [Role::Planted, Role::Volunteer, Role::Weed];

/// The table of a text that [`write()`] made, from the text alone. Of the modelling only what walking uses
/// is read: `both` and `agreement`. No text makes it panic.
pub fn read(text: &str) -> Result<Table, PhoneFault> {
    // First the form: another version may have other fields as well.
    let form: WireForm = serde_json::from_str(text).map_err(PhoneFault::NotATable)?;
    if form.format != FORMAT {
        return Err(PhoneFault::Format { found: form.format });
    }
    let wire: Wire = serde_json::from_str(text).map_err(PhoneFault::NotATable)?;
    if wire.limits != Limits::OURS {
        return Err(PhoneFault::Limits);
    }
    let in_range = |good: bool, what: &str| {
        let what = what.to_owned();
        good.then_some(()).ok_or(PhoneFault::Range { what })
    };
    in_range(wire.step_nats > 0.0 && wire.step_nats < 1.0, "`step_nats`")?;
    in_range(wire.log_prior.len() == wire.rows.len(), "`log_prior`")?;
    let n_states: Vec<usize> = wire
        .traits
        .iter()
        .map(|t| t.bins.as_ref().map_or(t.states.len(), |bins| bins.n))
        .collect();
    for one in &wire.traits {
        let bins = one.bins.as_ref();
        let good = bins
            .is_none_or(|b| 0.0 < b.lowest && b.lowest < b.highest && (1..=1000).contains(&b.n));
        in_range(good, "`bins`")?;
        let good = one.applies_to.as_ref().is_none_or(|(other, states)| {
            let n = n_states.get(*other).copied().unwrap_or(0);
            *other < n_states.len() && states.iter().all(|s| *s < n)
        });
        in_range(good, "`applies_to`")?;
    }
    let good = |set: &(Vec<usize>, f64)| {
        set.0.iter().all(|at| *at < n_states.len()) && (0.0..=1.0).contains(&set.1)
    };
    in_range(wire.together.iter().all(good), "`together`")?;
    in_range((0.0..=1.0).contains(&wire.modelling.both), "`both`")?;
    let agreement = (0.0..=100.0).contains(&wire.modelling.agreement);
    in_range(agreement, "`agreement`")?;
    let mut table = Table::from_counts(&[], &[], &[], 0.0);
    table.traits = wire
        .traits
        .into_iter()
        .zip(n_states)
        .map(|(one, n)| trait_of(one, n, wire.rows.len(), wire.step_nats))
        .collect::<Result<_, _>>()?;
    table.rows = wire
        .rows
        .into_iter()
        .map(|row| {
            Ok(Row {
                id: row.id,
                role: word_or_null("role", &row.role, ROLES)?,
                group: row.group,
            })
        })
        .collect::<Result<_, PhoneFault>>()?;
    table.key_id = wire.key_id;
    table.fingerprint = wire.fingerprint;
    let log_prior = wire.log_prior.into_iter();
    table.log_prior = log_prior.map(|p| p.unwrap_or(f64::NEG_INFINITY)).collect();
    table.together = wire.together;
    table.modelling.both = wire.modelling.both;
    table.modelling.agreement = wire.modelling.agreement;
    Ok(table)
}

fn trait_of(
    one: WireTrait,
    n_states: usize,
    n_rows: usize,
    step: f64,
) -> Result<TraitColumns, PhoneFault> {
    let columns = columns_of(&one.columns, n_states, n_rows, step).ok_or(PhoneFault::Cells {
        trait_id: one.id.to_string(),
        wanted: 2 * n_states * n_rows,
    })?;
    let chances: Vec<Vec<f64>> = columns
        .iter()
        .map(|column| column.iter().map(|ln| ln.exp()).collect())
        .collect();
    let row_entropy = (0..n_rows)
        .map(|row| -chances.iter().map(|column| plogp(column[row])).sum::<f64>())
        .collect();
    let stages = LeafStage::ALL.map(|stage| stage.1);
    Ok(TraitColumns {
        id: one.id,
        class: word("class of traits", &one.class, CLASSES)?,
        states: one.states,
        bins: one.bins.map(|bins| Bins {
            lowest: bins.lowest,
            highest: bins.highest,
            n: bins.n,
        }),
        unit: one.unit,
        effort_s: one.effort_s,
        needs: one
            .needs
            .iter()
            .map(|need| word("tool", need, Need::ALL.map(|n| n.1)))
            .collect::<Result<_, _>>()?,
        from_stage: word("leaf stage", &one.from_stage, stages)?,
        until_stage: word_or_null("leaf stage", &one.until_stage, stages)?,
        decides: one.decides,
        applies_to: one.applies_to,
        columns,
        chances,
        row_entropy,
    })
}

/// Cells of one trait as logs, a column a state; `None` where they are not as many digits.
fn columns_of(text: &str, n_states: usize, n_rows: usize, step: f64) -> Option<Vec<Vec<f64>>> {
    if text.len() != 2 * n_states.checked_mul(n_rows)? {
        return None;
    }
    let digit = |byte: u8| DIGITS.bytes().position(|d| d == byte);
    let (pairs, _) = text.as_bytes().as_chunks::<2>();
    let cells = pairs
        .iter()
        .map(|pair| Some(-step * (digit(pair[0])? * BASE + digit(pair[1])?) as f64))
        .collect::<Option<Vec<f64>>>()?;
    Some(cells.chunks(n_rows.max(1)).map(<[f64]>::to_vec).collect())
}

/// The word of a JSON value, by how each of `all` is written.
fn word<T: serde::Serialize + Copy, const N: usize>(
    what: &'static str,
    found: &Value,
    all: [T; N],
) -> Result<T, PhoneFault> {
    let same = |one: &T| serde_json::to_value(one).is_ok_and(|value| value == *found);
    all.into_iter().find(same).ok_or_else(|| PhoneFault::Word {
        what,
        found: found.to_string().chars().take(40).collect(),
    })
}

fn word_or_null<T: serde::Serialize + Copy, const N: usize>(
    what: &'static str,
    found: &Value,
    all: [T; N],
) -> Result<Option<T>, PhoneFault> {
    match found {
        Value::Null => Ok(None),
        _ => word(what, found, all).map(Some),
    }
}
