//! How far scouts and reviewers agree: by scout, by trait, by pair of names, in frames read twice.
//!
//! In: plants that somebody else looked at again, frames that somebody else read again. Out: counts and
//! shares with intervals, each kind of slip apart, and what each scout would do well to practise.
//!
//! - `read`: what was looked at again, and what kind of slip it shows.
//! - `cells`: frames read twice, cell by cell.
//! - `tally`: sums by scout, trait and pair.
//! - `page`: all of it in words.
//!
//! Agreement (raw and kappa) is worked out from second looks given blind; what a plant *is*, by which
//! slips are told, is what the latest opinion of somebody else says.
//! Source of the kinds: Morrison 2016, 2021 (overlooking, misnaming, cautious and transcription errors),
//! from memory; of kappa: `standbook_stand::agreement`.
//! Not here: what slips do to a count (`stand::audits`).

mod cells;
mod page;
mod read;
mod tally;

pub(super) use page::show;
pub(crate) use page::{kappa_words, share};
pub(crate) use read::{Review, by};
pub(crate) use tally::looked_at_by_both;
