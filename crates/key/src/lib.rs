//! What a key is: traits, states, taxa, profiles, couplets and sources; reading and
//! checking one.
//!
//! In: the YAML files of one folder. Out: a [`Key`] with every reference checked, and a
//! [`Report`] of everything that is wrong, each finding with file, line, column and how to
//! mend it. This crate knows no engine, no store and no page.

mod applies_to;
pub mod couplet;
pub mod fault;
mod fields;
mod files;
pub mod fingerprint;
pub mod ids;
mod load;
pub mod model;
pub mod pairs;
mod read_couplets;
mod read_misread;
mod read_taxon;
mod read_traits;
pub mod standards;
mod together;
pub mod yaml;

pub use fault::{Finding, Report, Weight};
pub use files::{FolderError, KeyFiles};
pub use ids::{GroupId, SourceId, StateId, TaxonId, TraitId};
pub use load::{Loaded, load};
pub use model::*;
