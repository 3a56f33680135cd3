//! Photos: in pieces from a phone, by a form, in a file; and as pages show them.

mod files;
mod form;
mod look;
mod pieces;
mod refused;
mod shown;
mod support;
