//! Photos: in pieces from a phone, by a form, in a file; and as pages show them.
#![allow(missing_docs, clippy::unwrap_used)]

#[path = "../desk_support/mod.rs"]
mod desk_support;

mod files;
mod form;
mod look;
mod pieces;
mod refused;
mod shown;
mod support;
