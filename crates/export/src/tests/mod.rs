//! Tests of what leaves, on real books in temporary folders. Places and people are invented.
#![allow(clippy::unwrap_used)]

mod blur;
mod darwin_core;
mod pictures;
mod sample;
mod secret;
mod tables;
mod taxa;
mod whole;
