//! Practice: what a scout looks at next, and how far her eye can be trusted.
//!
//! In: answers that were right or wrong, with the day on which they were given. Out: how likely she
//! would be right now (`memory`), her hit rate with limits (`skill`), what of it bears on counts
//! (`planted`), and what to practise next (`next`). These are numbers in, numbers out. Besides, what is asked (`question`), made of the key's
//! traits and taxa. *No store, no page, no clock*; a day is a number of days since whatever day the
//! caller counts from, and chance comes from a seed.
//!
//! Not here: strokes (crate `drawing`), wording, where answers are kept.

pub mod frame;
pub mod frame_score;
pub mod memory;
pub mod next;
pub mod planted;
pub mod question;
pub mod skill;
pub mod specimen;

pub use question::Question;
