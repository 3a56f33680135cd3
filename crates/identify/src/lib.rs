//! Evidence to taxon: how sure, why, what to look at next; growing and walking couplets.
//!
//! In: a checked key and a scout's answers. Out: a probability for every taxon and for *not
//! in this key*, one of five outcomes, the next look, and the reasons. No files, no clock, no
//! randomness: the same answers to the same table give the same result for ever.

pub mod couplets;
pub mod evidence;
pub mod eye;
mod fingerprint;
pub mod information;
pub mod look_alikes;
pub mod look_next;
pub mod misread;
pub mod modelling;
pub mod outcome;
pub mod phone;
pub mod posterior;
pub mod profile;
pub mod reasons;
pub mod table;
pub mod why;
pub mod wide;

pub use evidence::{Answer, AnswerFault, CANNOT_TELL, Evidence, Reading, Situation, parse};
pub use eye::Eye;
pub use look_next::{Look, looks};
pub use modelling::Modelling;
pub use outcome::{Assessment, CountsAs, Outcome, Planted, Shares, assess};
pub use posterior::posterior;
pub use table::{NOT_IN_KEY, Table};
