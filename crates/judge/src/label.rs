//! What a reading names, and what the caller knows of each name.
//!
//! In: nothing. Out: plain values.
//! Not here: keys; a taxon is text, and whoever calls says what group and role it has.

use serde::{Deserialize, Serialize};

/// What was found in a cell or a quadrat.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Label {
    /// A taxon of the key, by id.
    Taxon(String),
    /// A plant of which only the genus is sure, by the genus's name; whoever calls says its role.
    Genus(String),
    /// A plant that is not in the key, so none of those planted.
    NotInKey,
    /// A plant without a name yet, by its code.
    Unknown(String),
}

/// What the caller knows of a label.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct About {
    /// Id of its group in the key, such as `warm_annual_weed`; empty: none.
    pub group: String,
    /// The part it plays here.
    pub role: Role,
}

/// The part a label plays in this planting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Sown here.
    Planted,
    /// Native, but not sown here.
    Volunteer,
    /// A weed.
    Weed,
    /// Might be any of them: an unknown that nobody has settled.
    Unsettled,
}

impl Label {
    /// The taxon id, if it is one.
    pub fn taxon(&self) -> Option<&str> {
        match self {
            Label::Taxon(id) => Some(id),
            Label::Genus(_) | Label::NotInKey | Label::Unknown(_) => None,
        }
    }
}
