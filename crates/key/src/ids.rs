//! Ids of traits, states, taxa and sources, kept apart so that they can't be swapped.
//!
//! An id is spelled the same in key file, database, URL and test: lower-case ASCII
//! letters, digits and `_`, 1 to 80 characters, beginning with a letter.

use std::borrow::Borrow;
use std::fmt;

use serde::{Deserialize, Serialize};

/// Whether `text` may serve as an id.
pub fn is_id(text: &str) -> bool {
    text.len() <= 80
        && text.starts_with(|c: char| c.is_ascii_lowercase())
        && text
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
}

macro_rules! id {
    ($name:ident, $what:literal) => {
        #[doc = concat!("Id of ", $what, ".")]
        #[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(String);

        impl $name {
            /// Wraps text; whether it is well formed and known is checked where keys are read.
            pub fn new(text: impl Into<String>) -> Self {
                $name(text.into())
            }

            /// The id as text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl Borrow<str> for $name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }

        impl PartialEq<str> for $name {
            fn eq(&self, other: &str) -> bool {
                self.0 == other
            }
        }

        impl PartialEq<&str> for $name {
            fn eq(&self, other: &&str) -> bool {
                self.0 == *other
            }
        }
    };
}

id!(TraitId, "a trait, such as `ligule_type`");
id!(StateId, "a state of a trait, such as `fringed_membrane`");
id!(TaxonId, "a taxon, such as `andropogon_gerardi`");
id!(SourceId, "a source, such as `fna25`");
id!(GroupId, "a group of taxa, such as `warm_native`");
