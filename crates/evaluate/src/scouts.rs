//! Simulated scouts on simulated plants: what a walk comes to when the key is right and eyes
//! err.
//!
//! In: a key, its table, a seed. Out: the scores of walks with every trait that can be seen,
//! and of guided walks (*Look next at*), with how many looks and seconds they took.
//!
//! A plant shows, of each trait, a state drawn from what the sources say of its taxon, or from
//! its kin where nobody said anything; traits that do not apply to it are not seen. A scout
//! misreads each look with one chance (her skill), and then reports what the key says is most
//! easily taken for it. So this measures the engine and the eyes, not the key's botany: that is
//! what `published` is for.

use standbook_identify::look_next::looks;
use standbook_identify::misread::matrix;
use standbook_identify::profile::{Kin, Shape};
use standbook_identify::{Answer, Evidence, Planted, Reading, Situation, Table, assess};
use standbook_key::{Key, LeafStage, Need};
use standbook_practice::specimen::{Variation, pick};

use crate::score::Named;

/// A scout's skill: how often she misreads a look, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Skill {
    /// In a word.
    pub name: &'static str,
    /// Share of looks that she misreads.
    pub misreads: f64,
}

/// Three skills (convention; the middle one is the careful scout of the targets).
pub const SKILLS: [Skill; 3] = [
    Skill {
        name: "practised",
        misreads: 0.02,
    },
    Skill {
        name: "careful",
        misreads: 0.06,
    },
    Skill {
        name: "new",
        misreads: 0.15,
    },
];

/// The stages that are walked.
pub const STAGES: [LeafStage; 3] = [
    LeafStage::FewLeaves,
    LeafStage::Tillering,
    LeafStage::Heading,
];

/// The most looks of a guided walk: nobody kneels longer for one plant (convention).
pub const PATIENCE: usize = 15;

/// Which traits a scout without limits reports.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// Those somebody recorded for the taxon: what a key can be asked to know.
    Recorded,
    /// Every one that can be seen; where nobody recorded it, as its kin show it.
    Everything,
}

/// The truth of every taxon on every trait, compiled once.
pub struct Nature {
    taxa: Vec<Variation>,
    shapes: Vec<Shape>,
    errors: Vec<Vec<Vec<f64>>>,
}

impl Nature {
    /// What the key's sources say plants are like.
    pub fn of(key: &Key, table: &Table) -> Nature {
        let kin = Kin::of(key);
        let mut nature = Nature {
            taxa: (0..key.taxa.len())
                .map(|at| Variation::with_kin(key, table, &kin, at))
                .collect(),
            shapes: Vec::new(),
            errors: Vec::new(),
        };
        for one in &key.traits {
            let Some(shape) = Shape::of(one) else {
                continue;
            };
            nature.errors.push(match shape {
                Shape::States(_) => matrix(one, &table.modelling),
                Shape::Bins(_) => Vec::new(),
            });
            nature.shapes.push(shape);
        }
        nature
    }

    /// One plant: of each trait the state or bin it shows, `None` where it has none.
    fn plant(&self, table: &Table, taxon: usize, rng: &mut fastrand::Rng) -> Vec<Option<usize>> {
        self.taxa[taxon].plant(table, |_| rng.f64())
    }

    fn report(&self, at: usize, shown: usize, skill: Skill, rng: &mut fastrand::Rng) -> Reading {
        let slips = rng.f64() < skill.misreads;
        match &self.shapes[at] {
            Shape::Bins(bins) => {
                // A slip of the ruler or the unit: half or twice (convention).
                let factor = match (slips, rng.bool()) {
                    (false, _) => 1.0,
                    (true, true) => 2.0,
                    (true, false) => 0.5,
                };
                let value = bins.middle_of(shown) * factor;
                Reading::Measure(value.clamp(bins.lowest, bins.highest))
            }
            Shape::States(n) if slips && *n > 1 => {
                let mut others = self.errors[at][shown].clone();
                others[shown] = 0.0;
                Reading::States(vec![pick(&others, rng.f64())])
            }
            Shape::States(_) => Reading::States(vec![shown]),
        }
    }
}

/// Walks `each` plants of every taxon of the key with every trait that can be seen.
pub fn full_walks(
    table: &Table,
    nature: &Nature,
    skill: Skill,
    stage: LeafStage,
    seen: Seen,
    each: usize,
    seed: u64,
) -> Vec<Named> {
    let mut rng = fastrand::Rng::with_seed(seed);
    let mut named = Vec::new();
    for taxon in 0..nature.taxa.len() {
        for _ in 0..each {
            let plant = nature.plant(table, taxon, &mut rng);
            let mut evidence = Evidence::default();
            for (at, shown) in plant.iter().enumerate() {
                let known = seen == Seen::Everything || nature.taxa[taxon].is_recorded(at);
                if let Some(shown) = shown
                    && known
                    && table.traits[at].visible_at(stage)
                {
                    evidence.add(Answer {
                        trait_index: at,
                        reading: nature.report(at, *shown, skill, &mut rng),
                    });
                }
            }
            let said = assess(table, &evidence, Planted::ByRole);
            named.push(Named::of(table, &said, taxon));
        }
    }
    named
}

/// One guided walk's end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guided {
    /// What it came to.
    pub named: Named,
    /// Looks taken.
    pub looks: usize,
    /// Seconds of looking, as the key states its efforts, without tapping.
    pub seconds: f64,
}

/// Walks `each` plants of every taxon by *Look next at* until a name is settled, nothing is
/// worth a look, or [`PATIENCE`] ends.
pub fn guided_walks(
    table: &Table,
    nature: &Nature,
    skill: Skill,
    stage: LeafStage,
    each: usize,
    seed: u64,
) -> Vec<Guided> {
    let mut rng = fastrand::Rng::with_seed(seed);
    let situation = Situation {
        leaf_stage: stage,
        tools: Need::ALL.iter().map(|(_, need, _)| *need).collect(),
    };
    let mut walks = Vec::new();
    for taxon in 0..nature.taxa.len() {
        for _ in 0..each {
            let plant = nature.plant(table, taxon, &mut rng);
            let mut evidence = Evidence::default();
            let (mut n, mut seconds) = (0, 0.0);
            let said = loop {
                let said = assess(table, &evidence, Planted::ByRole);
                let settled = matches!(said.outcome, standbook_identify::Outcome::Settled(_));
                if settled || n == PATIENCE {
                    break said;
                }
                let next = looks(
                    table,
                    &said.posterior,
                    &evidence,
                    &situation,
                    Planted::ByRole,
                );
                let Some(look) = next.first() else { break said };
                let at = look.trait_index;
                evidence.add(Answer {
                    trait_index: at,
                    reading: plant[at].map_or(Reading::CannotTell, |shown| {
                        nature.report(at, shown, skill, &mut rng)
                    }),
                });
                n += 1;
                seconds += f64::from(table.traits[at].effort_s);
            };
            walks.push(Guided {
                named: Named::of(table, &said, taxon),
                looks: n,
                seconds,
            });
        }
    }
    walks
}
