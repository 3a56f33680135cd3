//! How well plants are named.
//!
//! In: a key and the numbers of its modelling. Out: scores on published descriptions the key
//! has not seen, on simulated scouts, and on plants that are not in the key; the pairs most
//! often confused; a small table that is kept under `tests/`. Deterministic: seeds are fixed.
//!
//! Not here: any way to alter a key. What is learnt from the scores is written into the key
//! and into `modelling` by hand, where it can be read and disputed.

pub mod headline;
pub mod leave_out;
pub mod outside;
pub mod published;
pub mod report;
pub mod score;
pub mod scouts;
