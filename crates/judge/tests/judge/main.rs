//! Tests of the judgement from outside the crate, with the shipped standards.
//!
//! Places, people and plantings are invented; numbers from outside are named where they stand.

#![allow(clippy::unwrap_used)]

mod cases;
mod corrections;
mod day;
mod next;
mod odd;
mod thresholds;
mod verdicts_rise;
