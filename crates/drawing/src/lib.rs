//! Line drawings of grass seedlings and their parts, composed from states.
//!
//! In: states of traits, a leaf stage, a number that stands for one specimen. Out: SVG of one
//! family: the same stroke widths, the same angle of view. The same input gives the same bytes.
//! Nothing here knows of pages, probabilities or the field book; words come from the key.

mod auricle;
mod base;
mod blade;
mod blade_coat;
mod blade_face;
mod collar;
mod collar_view;
mod curve;
mod cut;
pub mod frame;
mod ground;
mod growth;
mod habit;
mod hairs;
mod hatch;
mod joint;
mod ligule;
mod ligule_push;
mod locator;
mod lowest_sheath;
mod measures;
pub mod nature;
pub mod pen;
mod plant;
mod plant_hairs;
mod profile;
mod remnant;
mod ribbon;
mod runner;
mod seed;
mod shoot;
mod shown;
mod states;
mod tiller;
mod view;

pub use base::base;
pub use collar::collar;
pub use locator::locator;
pub use measures::measure;
pub use nature::Nature;
pub use pen::{Drawing, Pen, Stroke};
pub use plant::seedling;
pub use seed::seed;
pub use shown::Shown;
pub use states::state;
pub use view::View;
