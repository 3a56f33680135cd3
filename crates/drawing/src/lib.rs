//! Line drawings of grass seedlings and their parts, composed from states.
//!
//! In: states of traits, a leaf stage, a number that stands for one specimen. Out: SVG of one
//! family: the same stroke widths, the same angle of view. The same input gives the same bytes.
//! Nothing here knows of pages, probabilities or the field book; words come from the key.

pub mod nature;
pub mod pen;

pub use nature::Nature;
pub use pen::{Drawing, Pen, Stroke};
