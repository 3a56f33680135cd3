//! The day after the visit: plants drawn for an audit and looked at blind, a dispute, an unknown settled.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Audit, Body, Evidence, Opinion, ValueGiven};
use standbook_identify as engine;
use standbook_key::LeafStage;
use standbook_web::evidence::record_of;

use super::draw::Draw;
use super::scenario::{AUDIT_SEED, AUDIT_SHARE, REVIEW_MS, REVIEWER, SCOUTS};

/// How often a second look at one plant gives the answer of the first; invented.
const SAME_ANSWER: f64 = 0.85;

impl Draw<'_> {
    /// The reviewer looks at what was drawn, and now and then takes it for something else; a scout
    /// disputes one name; one unknown is settled.
    pub(super) fn review(
        &mut self,
        visit: RecordId,
        walked: &[(RecordId, String)],
        unknowns: &[(RecordId, String)],
    ) {
        self.now_ms = REVIEW_MS;
        for (id, truth) in self.audit(visit, walked) {
            let seen = self.looks_again(id, &truth);
            let opinion = Opinion {
                taxon: Some(truth),
                reasons: "Looked at the dug plant.".to_owned(),
                blind: true,
                evidence: seen,
                ..Opinion::on(id)
            };
            self.opinion(REVIEWER, opinion);
        }
        if let Some((id, _)) = walked.get(3) {
            for (who, taxon, reasons) in [
                (
                    REVIEWER,
                    "andropogon_gerardi",
                    "Long silky hairs on the lowest sheath.",
                ),
                (
                    SCOUTS[1],
                    "schizachyrium_scoparium",
                    "The base would not roll at all; I still see a flat shoot.",
                ),
            ] {
                let opinion = Opinion {
                    taxon: Some(taxon.to_owned()),
                    reasons: reasons.to_owned(),
                    ..Opinion::on(*id)
                };
                self.opinion(who, opinion);
            }
        }
        if let Some((id, truth)) = unknowns.get(2) {
            let opinion = Opinion {
                taxon: Some(truth.clone()),
                reasons: "Single hairs on bumps along the blade edge.".to_owned(),
                ..Opinion::on(*id)
            };
            self.opinion(REVIEWER, opinion);
        }
    }

    /// The same plant before other eyes: most looks give the same answer.
    fn looks_again(&mut self, id: RecordId, truth: &str) -> Option<Evidence> {
        let table = self.table;
        let row = table.row_index(truth)?;
        let first = self.records.iter().find_map(|record| match &record.body {
            Body::Determination(plant) if record.id == id => Some(plant.evidence.clone()),
            _ => None,
        })?;
        let mut evidence = engine::Evidence::default();
        for given in &first.answers {
            let trait_index = table.trait_index(&given.r#trait)?;
            let reading = match &given.value {
                ValueGiven::States(states) if self.rng.f64() < SAME_ANSWER => {
                    let columns = &table.traits[trait_index].states;
                    let at = |id: &String| columns.iter().position(|state| *state == *id.as_str());
                    engine::evidence::Reading::States(states.iter().filter_map(at).collect())
                }
                ValueGiven::Measure(value) if self.rng.f64() < SAME_ANSWER => {
                    engine::evidence::Reading::Measure(*value)
                }
                _ => self.report(trait_index, row),
            };
            evidence.add(engine::Answer {
                trait_index,
                reading,
            });
        }
        let situation = engine::Situation {
            leaf_stage: LeafStage::from_id(&first.leaf_stage)?,
            ..engine::Situation::default()
        };
        let said = engine::assess(table, &evidence, engine::Planted::Mix(&self.mix));
        Some(record_of(table, &evidence, &situation, &said))
    }

    /// Draws plants as the page does, and keeps the draw.
    fn audit(&mut self, visit: RecordId, walked: &[(RecordId, String)]) -> Vec<(RecordId, String)> {
        let mut drawn = walked.to_vec();
        drawn.sort_by_key(|(id, _)| *id);
        standbook_plan::shuffle(&mut drawn, AUDIT_SEED);
        drawn.truncate((walked.len() as f64 * AUDIT_SHARE).ceil() as usize);
        self.keep(
            REVIEWER,
            Body::Audit(Audit {
                visit,
                share: AUDIT_SHARE,
                draw_seed: AUDIT_SEED,
                plants: u32::try_from(walked.len()).unwrap_or(u32::MAX),
                drawn: drawn.iter().map(|(id, _)| *id).collect(),
            }),
        );
        drawn
    }

    fn opinion(&mut self, author: &str, opinion: Opinion) {
        self.now_ms += 60_000;
        self.keep(author, Body::Opinion(opinion));
    }
}
