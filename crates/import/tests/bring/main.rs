//! Files into a real book: what comes, what is refused and how, and that sending twice adds nothing.
#![allow(clippy::unwrap_used)]

mod support;

mod broken;
mod determinations;
mod elsewhere;
mod frames;
mod points;
mod random;
