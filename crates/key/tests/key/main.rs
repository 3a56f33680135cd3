//! Tests of reading and checking a key, from outside the crate.
//!
//! `tests/keys/good` is a small invented key without a fault. Each folder of
//! `tests/keys/broken` is laid over it and holds what the check must say.

#![allow(clippy::unwrap_used)]

mod broken;
mod bytes;
mod fingerprint;
mod folder;
mod hostile;
mod keys;
mod pairs_and_couplets;
