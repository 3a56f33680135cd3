//! The week before the visit: both scouts practise in the evening, one of them with less luck.

use standbook_fieldbook::record::{
    Body, Drill, Practice, PracticeReading, PracticeSet, SetPurpose, SetQuestion,
};
use standbook_key::{Key, LeafStage};
use standbook_practice::Question;
use standbook_practice::specimen::Specimen;

use super::draw::Draw;
use super::scenario::{MIX, OFFICE, PRACTICE_MS, SCOUTS};

const EVENINGS: u64 = 4;
const ANSWERS_AN_EVENING: usize = 12;
const DAY_MS: u64 = 86_400_000;
/// How often each scout is right; invented.
const RIGHT: [f64; 2] = [0.9, 0.7];

/// What each grass of the mix is taken for when it is misnamed; invented, after the key's look-alikes.
const TAKEN_FOR: [(&str, &str); 6] = [
    ("andropogon_gerardi", "sorghastrum_nutans"),
    ("schizachyrium_scoparium", "andropogon_virginicus"),
    ("sorghastrum_nutans", "andropogon_gerardi"),
    ("panicum_virgatum", "setaria_faberi"),
    ("bouteloua_curtipendula", "setaria_pumila"),
    ("elymus_canadensis", "elymus_virginicus"),
];

/// Traits that are asked.
const TRAITS: [&str; 3] = ["ligule_type", "vernation", "sheath_hairs"];

impl Draw<'_> {
    /// Evenings of practice, and a test that waits.
    pub(super) fn practice(&mut self, key: &Key, planting: standbook_fieldbook::RecordId) {
        for evening in 0..EVENINGS {
            for (scout, right) in SCOUTS.into_iter().zip(RIGHT) {
                self.now_ms = PRACTICE_MS + evening * DAY_MS;
                for at in 0..ANSWERS_AN_EVENING {
                    let answer = match at % 3 {
                        0 => self.trait_seen(key, scout, right),
                        _ => Some(self.plant_named(key, scout, right)),
                    };
                    if let Some(answer) = answer {
                        self.keep(scout, Body::Practice(answer));
                    }
                }
            }
        }
        let questions = MIX.iter().enumerate().map(|(at, (taxon, ..))| SetQuestion {
            question: self.name_question(taxon).to_string(),
            with_book: at >= 3,
        });
        let questions: Vec<SetQuestion> = questions.collect();
        let test = PracticeSet {
            title: "Before the visit".to_owned(),
            purpose: SetPurpose::FieldTest,
            planting: Some(planting),
            visit: None,
            minutes: Some(20.0),
            questions,
        };
        self.keep(OFFICE, Body::PracticeSet(test));
    }

    fn name_question(&mut self, taxon: &str) -> Question {
        Question::NameIt {
            taxon: taxon.to_owned(),
            stage: LeafStage::Tillering,
            seed: self.rng.u32(..),
        }
    }

    fn plant_named(&mut self, key: &Key, scout: &str, right: f64) -> Practice {
        let (truth, other) = TAKEN_FOR[self.rng.usize(..TAKEN_FOR.len())];
        let named = match self.rng.f64() < right {
            true => truth,
            false => other,
        };
        let question = self.name_question(truth);
        Practice {
            taxon: Some(truth.to_owned()),
            named: Some(named.to_owned()),
            ..self.answered(key, scout, Drill::NameIt, &question)
        }
    }

    /// `None` where the plant does not show the trait.
    fn trait_seen(&mut self, key: &Key, scout: &str, right: f64) -> Option<Practice> {
        let trait_id = TRAITS[self.rng.usize(..TRAITS.len())];
        let (taxon, _) = TAKEN_FOR[self.rng.usize(..TAKEN_FOR.len())];
        let seed = self.rng.u32(..);
        let stage = LeafStage::Tillering;
        let plant = Specimen::grown(key, self.table, taxon, stage, seed).ok()?;
        let shown = plant.shows_of(trait_id)?.to_owned();
        let states = key.trait_by_id(trait_id)?.states();
        let reported = match self.rng.f64() < right {
            true => shown.clone(),
            false => states[self.rng.usize(..states.len())].id.to_string(),
        };
        let question = Question::SeeTrait {
            trait_id: trait_id.to_owned(),
            taxon: taxon.to_owned(),
            stage,
            seed,
        };
        Some(Practice {
            readings: vec![PracticeReading {
                trait_id: trait_id.to_owned(),
                shown,
                reported: Some(reported),
            }],
            ..self.answered(key, scout, Drill::SeeTrait, &question)
        })
    }

    fn answered(&mut self, key: &Key, scout: &str, drill: Drill, question: &Question) -> Practice {
        Practice {
            scout: scout.to_owned(),
            drill,
            question: question.to_string(),
            with_book: false,
            key_id: key.id.clone(),
            table_fingerprint: self.table.fingerprint.clone(),
            taxon: None,
            against: None,
            named: None,
            by: None,
            readings: vec![],
            cells: vec![],
            seconds: Some(f64::from(self.rng.u32(4..40))),
            of_set: None,
        }
    }
}
