//! The key in use: what can be looked at, and what plants it knows.
//!
//! Not here: what sources say of each taxon, and how that becomes chances (the page *Why*).

use axum::extract::State;
use axum::response::Response;
use schemars::JsonSchema;
use serde::Serialize;
use standbook_key::{LeafStage, Need, Role, Trait, TraitKind};

use super::problem::Refused;
use super::sent::answer;
use crate::app::Shared;

/// Something with an id and a name for people.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Called {
    pub id: String,
    pub name: String,
}

impl Called {
    fn new(id: impl ToString, name: impl ToString) -> Called {
        Called {
            id: id.to_string(),
            name: name.to_string(),
        }
    }
}

/// A key.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct KeySaid {
    pub id: String,
    pub title: String,
    /// Which plants at which age it is for.
    pub scope: String,
    /// When in the year it may be used.
    pub season: String,
    /// Where it was made for.
    pub region: String,
    /// Who answers for it.
    pub authors: Vec<String>,
    /// Cautions to show where people dig and handle plants.
    pub cautions: Vec<String>,
    /// Changes when the meaning of the key does; hex.
    pub fingerprint: String,
    /// Changes when any number of the compiled table does; hex.
    pub table_fingerprint: String,
    /// Groups of taxa.
    pub groups: Vec<Called>,
    /// How far a plant may have grown, from the youngest.
    pub leaf_stages: Vec<Called>,
    /// What a look may need.
    pub tools: Vec<Called>,
}

/// `GET /api/key`
pub(super) async fn show(State(app): State<Shared>) -> Result<Response, Refused> {
    answer(app, |app| {
        let key = &app.key;
        Ok(KeySaid {
            id: key.id.clone(),
            title: key.title.clone(),
            scope: key.scope.clone(),
            season: key.season.clone(),
            region: key.region.clone(),
            authors: key.authors.clone(),
            cautions: key.cautions.clone(),
            fingerprint: standbook_key::fingerprint::of_key(key),
            table_fingerprint: app.table.fingerprint.clone(),
            groups: key
                .groups
                .iter()
                .map(|group| Called::new(&group.id, &group.name))
                .collect(),
            leaf_stages: LeafStage::ALL
                .map(|(id, _, name)| Called::new(id, name))
                .into(),
            tools: Need::ALL.map(|(id, _, name)| Called::new(id, name)).into(),
        })
    })
    .await
}

/// All traits.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Traits {
    pub traits: Vec<TraitSaid>,
}

/// Something a scout can look at on a plant.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct TraitSaid {
    pub id: String,
    pub name: String,
    /// The question as asked of a scout.
    pub question: String,
    /// What to do with the plant to see it.
    pub how: String,
    /// Where on the plant.
    pub where_on_plant: String,
    /// Time one look takes, seconds.
    pub effort_s: u32,
    /// Ids of tools it needs beyond eyes and fingers.
    pub needs: Vec<String>,
    /// Earliest leaf stage at which it can be seen.
    pub from_stage: String,
    /// Latest leaf stage at which it can be seen; left out where it stays.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_stage: Option<String>,
    /// Whether it may decide, or only supports.
    pub decides: bool,
    /// The trait and those states of it given which it applies; left out where it always does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub applies_to: Option<AppliesTo>,
    /// What its values are.
    pub values: Values,
}

/// A trait applies only where another has one of these states.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct AppliesTo {
    /// Id of the other trait.
    pub r#trait: String,
    /// Ids of its states.
    pub states: Vec<String>,
}

/// What values a trait can take.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum Values {
    /// One of these, or several.
    States(Vec<StateSaid>),
    /// The same, from least to most.
    Ordered(Vec<StateSaid>),
    /// A number.
    Measure {
        /// Its unit.
        unit: String,
        /// Smallest sensible value.
        lowest: f64,
        /// Largest sensible value.
        highest: f64,
    },
    /// A remark, which is never weighed and can't be answered here.
    Note,
}

/// One state of a trait.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct StateSaid {
    pub id: String,
    pub name: String,
    /// What it looks like, one line.
    pub looks: String,
}

/// `GET /api/key/traits`
pub(super) async fn traits(State(app): State<Shared>) -> Result<Response, Refused> {
    answer(app, |app| {
        Ok(Traits {
            traits: app.key.traits.iter().map(said).collect(),
        })
    })
    .await
}

fn said(one: &Trait) -> TraitSaid {
    let states = || {
        let states = one.states().iter().map(|state| StateSaid {
            id: state.id.to_string(),
            name: state.name.clone(),
            looks: state.looks.clone(),
        });
        states.collect()
    };
    TraitSaid {
        id: one.id.to_string(),
        name: one.name.clone(),
        question: one.question.clone(),
        how: one.how.clone(),
        where_on_plant: one.where_on_plant.clone(),
        effort_s: one.effort_s,
        needs: one.needs.iter().map(|need| need.id().to_owned()).collect(),
        from_stage: one.from_stage.id().to_owned(),
        until_stage: one.until_stage.map(|stage| stage.id().to_owned()),
        decides: one.decides,
        applies_to: one.applies_to.as_ref().map(|given| AppliesTo {
            r#trait: given.trait_id.to_string(),
            states: given.states.iter().map(ToString::to_string).collect(),
        }),
        values: match &one.kind {
            TraitKind::States(_) => Values::States(states()),
            TraitKind::Ordered(_) => Values::Ordered(states()),
            TraitKind::Measure(measure) => Values::Measure {
                unit: measure.unit.clone(),
                lowest: measure.lowest,
                highest: measure.highest,
            },
            TraitKind::Note => Values::Note,
        },
    }
}

/// All taxa.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Taxa {
    pub taxa: Vec<TaxonSaid>,
}

/// A taxon.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct TaxonSaid {
    pub id: String,
    /// Without author.
    pub scientific_name: String,
    pub common_name: String,
    /// What part it plays in a planting.
    pub role: RoleSaid,
    /// Id of its group.
    pub group: String,
}

/// What part a taxon plays in a planting.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum RoleSaid {
    /// Sown in native plantings.
    Planted,
    /// Native, comes by itself.
    Volunteer,
    /// A weed.
    Weed,
}

impl From<Role> for RoleSaid {
    fn from(role: Role) -> RoleSaid {
        match role {
            Role::Planted => RoleSaid::Planted,
            Role::Volunteer => RoleSaid::Volunteer,
            Role::Weed => RoleSaid::Weed,
        }
    }
}

/// `GET /api/key/taxa`
pub(super) async fn taxa(State(app): State<Shared>) -> Result<Response, Refused> {
    answer(app, |app| {
        let taxa = app.key.taxa.iter().map(|taxon| TaxonSaid {
            id: taxon.id.to_string(),
            scientific_name: taxon.scientific_name.clone(),
            common_name: taxon.common_name.clone(),
            role: taxon.role.into(),
            group: taxon.group.to_string(),
        });
        Ok(Taxa {
            taxa: taxa.collect(),
        })
    })
    .await
}
