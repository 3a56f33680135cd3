//! Turns frames and counts into frequency and density with honest intervals.
//!
//! In: plain numbers, and labels the caller chooses. Out: plain numbers, each with its
//! interval, the method behind it and the method's source.
//!
//! Units: areas in m2, sides of cells in cm, densities in plants per m2, frequencies as
//! shares from 0 to 1 (a page shows percent).
//!
//! Source: each module names its own; [`method::Method`] and [`convert::Rule`] carry them
//! to the page.
//!
//! Not here: keys, records, files, clocks, network; the wording and rounding of numbers;
//! thresholds and sampling plans (later).

pub mod agreement;
pub mod cluster;
pub mod confidence;
pub mod convert;
pub mod count;
pub mod detect;
pub mod emergence;
pub mod measured;
pub mod method;
pub mod misnaming;
pub mod negative_binomial;
pub mod patch;
pub mod proportion;
pub mod quantile;
pub mod sample_size;
pub mod seeding;
pub mod sequential;
pub mod strata;
pub mod summary;
