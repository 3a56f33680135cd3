//! From frames and a planting to a verdict and what to do next.
//!
//! In: a [`Case`] (what was planted when and what for, readings of one visit, what happened
//! since) and the [`Standards`](standbook_key::standards::Standards). Out: a [`Judgement`]:
//! estimates, every threshold with a verdict of three kinds, one verdict over all, advice with
//! sources, dates to look again.
//!
//! Units: as in crate `stand`: shares from 0 to 1, plants per m2; areas m2; dates of the
//! calendar without a clock or a zone.
//! Source: thresholds, times and advice carry theirs; the rules between them (interval against
//! threshold, what goes before what) stand with their reasons in the modules.
//! Not here: the book, pages, wording beyond short phrases, any product to spray.

mod advise;
pub mod case;
mod check;
mod compare;
mod correct;
mod emerged;
mod enough;
mod error;
pub mod judgement;
pub mod label;
mod measure;
pub mod note;
mod overall;
mod season;
mod seen_twice;
mod situations;
mod specimens;
mod states;
mod strata;
mod weeds;

pub use case::{
    Audit, Case, DoubleRead, Event, Happened, Laid, Leaves, RowLaid, Sown, Specimens, Stopping,
    Stratum,
};
pub use error::JudgeError;
pub use judge::judge;
pub use judgement::*;
pub use label::{About, Label, Role};
pub use note::Note;

mod judge;
