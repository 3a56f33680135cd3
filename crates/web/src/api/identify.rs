//! What a plant is, by what was seen on it. Nothing is kept.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use standbook_fieldbook::record::{AnswerGiven, Evidence as Kept, Ranked};
use standbook_fieldbook::{RecordId, limits};
use standbook_identify::reasons::{Reason, Rivals, reasons, spoke};
use standbook_identify::{Assessment, Planted, Table, assess, looks};
use standbook_key::TaxonId;

use super::problem::{Fault, Refused};
use super::sent::{Sent, answer};
use crate::app::{App, Shared};
use crate::evidence::{Doubt, read, record_of};

/// What was seen on a plant.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Plant {
    /// What was seen, in the order in which it was.
    #[schemars(length(max = 500))]
    pub answers: Vec<AnswerGiven>,
    /// How far it had grown, an id of `/api/key`; tillering where it is left out.
    #[serde(default = "tillering")]
    pub leaf_stage: String,
    /// Tools in hand, ids of `/api/key`: for what to look at next.
    #[serde(default)]
    pub tools: Vec<String>,
    /// The planting it stands in: then what is planted there counts as planted. Left out: what the
    /// key says is sown.
    #[serde(default)]
    pub planting: Option<RecordId>,
}

fn tillering() -> String {
    standbook_key::LeafStage::Tillering.id().to_owned()
}

/// What may be said of a plant.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Named {
    /// `settled`, `leaning`, `split_between`, `not_in_this_key` or `too_little_seen`.
    pub outcome: &'static str,
    /// The taxa that the outcome names, best first; may be none.
    pub names: Vec<String>,
    /// What the count needs: `planted`, `something_else` or `undecided`.
    pub counts_as: &'static str,
    /// Chances of what the count needs.
    pub shares: Shares,
    /// Every taxon and `not_in_key` with its probability, best first; sums to 1.
    pub ranking: Vec<Ranked>,
    /// Groups of taxa with their probability, best first.
    pub groups: Vec<GroupShare>,
    /// What each answer says for the likeliest name against the next, strongest first.
    pub against_the_next: Option<Against>,
    /// What each answer says for the likeliest name against all others together, loudest first.
    pub spoke: Vec<Spoke>,
    /// What to look at next, best first.
    pub look_next: Vec<LookNext>,
    /// All of it as a determination keeps it.
    pub evidence: Kept,
}

/// How the probability is shared out by what the count needs; sums to 1.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Shares {
    /// Taxa that count as planted.
    pub planted: f64,
    /// All other taxa of the key.
    pub other: f64,
    /// Not in this key.
    pub not_in_key: f64,
}

/// The probability of a group.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct GroupShare {
    pub group: String,
    /// 0 to 1.
    pub probability: f64,
}

/// Two names held against each other.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Against {
    /// The likeliest.
    pub name: String,
    /// The next.
    pub rival: String,
    /// What each answer says.
    pub answers: Vec<Weighs>,
}

/// What one answer says between two names.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Weighs {
    pub r#trait: String,
    /// Whether another answer implies it.
    pub implied: bool,
    /// Weight of evidence for the name, decibans; below 0 speaks against.
    pub decibans: f64,
    /// The same in a word: `slightly`, `clearly`, `strongly`, `overwhelmingly`.
    pub strength: &'static str,
}

/// What one answer says for the likeliest name against all others.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Spoke {
    pub r#trait: String,
    /// Whether another answer implies it.
    pub implied: bool,
    /// How many times likelier it is under the name than under its rivals; below 1 speaks against.
    pub times: f64,
    /// The taxon or the group that stands for all rivals; left out where none does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rival: Option<String>,
}

/// A possible next look.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct LookNext {
    pub r#trait: String,
    /// What it is expected to tell of the name, bits.
    pub bits_name: f64,
    /// What it is expected to tell of planted or not, bits.
    pub bits_planted: f64,
    /// Time the look takes, seconds.
    pub effort_s: u32,
}

/// `POST /api/identify`
pub(super) async fn identify(State(app): State<Shared>, sent: Sent) -> Result<Response, Refused> {
    answer(app, move |app| {
        let plant: Plant = sent.json()?;
        let mix = match plant.planting {
            Some(id) => Some(mix_of(app, id)?),
            None => None,
        };
        let planted = mix.as_deref().map_or(Planted::ByRole, Planted::Mix);
        let seen = seen(app, &plant).map_err(|doubts| {
            let faults = doubts
                .into_iter()
                .map(|it| Fault::new(it.field, it.problem, it.mend));
            Refused::faulty(StatusCode::UNPROCESSABLE_ENTITY, faults.collect())
        })?;
        let (evidence, situation) = seen;
        let said = assess(&app.table, &evidence, planted);
        let next = looks(&app.table, &said.posterior, &evidence, &situation, planted);
        let table = &app.table;
        Ok(Named {
            outcome: said.outcome.id(),
            names: said
                .outcome
                .rows()
                .iter()
                .map(|row| id_of(table, *row))
                .collect(),
            counts_as: said.counts_as.id(),
            shares: Shares {
                planted: said.shares.planted,
                other: said.shares.other,
                not_in_key: said.shares.not_in_key,
            },
            groups: said
                .groups
                .iter()
                .map(|(group, probability)| GroupShare {
                    group: group.to_string(),
                    probability: *probability,
                })
                .collect(),
            against_the_next: against(table, &said),
            spoke: spoken(table, &said),
            look_next: next
                .iter()
                .map(|look| LookNext {
                    r#trait: trait_id(table, look.trait_index),
                    bits_name: look.bits_name,
                    bits_planted: look.bits_planted,
                    effort_s: table.traits[look.trait_index].effort_s,
                })
                .collect(),
            ranking: said
                .ranking
                .iter()
                .map(|(row, probability)| Ranked {
                    taxon: id_of(table, *row),
                    probability: *probability,
                })
                .collect(),
            evidence: record_of(table, &evidence, &situation, &said),
        })
    })
    .await
}

fn seen(
    app: &App,
    plant: &Plant,
) -> Result<(standbook_identify::Evidence, standbook_identify::Situation), Vec<Doubt>> {
    if plant.answers.len() > limits::ANSWERS {
        return Err(vec![Doubt {
            field: "answers".to_owned(),
            problem: format!("there are {} of them", plant.answers.len()),
            mend: format!("Send at most {}.", limits::ANSWERS),
        }]);
    }
    read(
        &app.key,
        &app.table,
        &plant.answers,
        &plant.leaf_stage,
        &plant.tools,
    )
}

fn mix_of(app: &App, id: RecordId) -> Result<Vec<TaxonId>, Refused> {
    let planting = app.book.planting(id)?;
    let planting = planting.ok_or_else(|| Refused::not_found("planting", id))?;
    let mix = planting.body.mix.iter();
    Ok(mix.map(|item| TaxonId::new(item.taxon.as_str())).collect())
}

fn id_of(table: &Table, row: usize) -> String {
    table.rows[row].id.to_string()
}

fn trait_id(table: &Table, at: usize) -> String {
    table.traits[at].id.to_string()
}

/// The two likeliest rows, if there are answers to weigh.
fn against(table: &Table, said: &Assessment) -> Option<Against> {
    let [(row, _), (rival, _), ..] = said.ranking.as_slice() else {
        return None;
    };
    let answers = reasons(said, *row, *rival);
    let weighs = |reason: &Reason| Weighs {
        r#trait: trait_id(table, reason.answer.trait_index),
        implied: reason.implied,
        decibans: reason.decibans,
        strength: reason.strength().word(),
    };
    Some(Against {
        name: id_of(table, *row),
        rival: id_of(table, *rival),
        answers: answers.iter().map(weighs).collect(),
    })
}

fn spoken(table: &Table, said: &Assessment) -> Vec<Spoke> {
    let Some((row, _)) = said.ranking.first() else {
        return Vec::new();
    };
    let spoke = spoke(table, said, *row).into_iter().map(|one| Spoke {
        r#trait: trait_id(table, one.answer.trait_index),
        implied: one.implied,
        times: one.times,
        rival: match one.rivals {
            Rivals::One(row) => Some(id_of(table, row)),
            Rivals::Group(group) => Some(group.to_string()),
            Rivals::Others => None,
        },
    });
    spoke.collect()
}
