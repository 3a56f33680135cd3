//! How near *Look next at* and the grown couplets come to the least effort possible.
//!
//! `exact` is the judge: dynamic programming over small keys, itself judged by problems whose
//! best answer is known (`worked`) and by the entropy bound. `small_keys` holds the two ways of
//! asking against it.

#![allow(clippy::unwrap_used)]

#[path = "../common/mod.rs"]
mod common;
mod draw;
mod exact;
mod small_keys;
mod worked;
