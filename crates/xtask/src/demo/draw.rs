//! Draws the records of the demo from the scenario, the key and a fixed seed.

use fastrand::Rng;
use standbook_fieldbook::record::{
    Body, Counted, Determination, Evidence as Kept, Frame, FrameShape, Point, Position, Tally,
    Unknown,
};
use standbook_fieldbook::{Record, RecordId};
use standbook_identify::evidence::Reading;
use standbook_identify::{Answer, Evidence, Outcome, Planted, Situation, Table, assess, looks};
use standbook_key::{Key, LeafStage, TaxonId};
use standbook_web::evidence::record_of;
use uuid::Builder;

use super::office::{Stop, WET};
use super::scenario::{MIX, OFFICE_MS, PLOTS, PlotPlan, SCOUTS, SEED};

/// Cells of the frame.
const CELLS: u32 = 25;

/// Plants walked through their traits at each point.
const WALKS_PER_POINT: usize = 11;

/// Looks after which a scout gives up.
const MOST_LOOKS: usize = 12;

/// All records, in the order in which they were made.
pub fn records(key: &Key, table: &Table) -> Vec<Record> {
    let mut draw = Draw {
        table,
        rng: Rng::with_seed(SEED),
        now_ms: OFFICE_MS,
        records: Vec::new(),
        mix: MIX.iter().map(|(taxon, ..)| TaxonId::new(*taxon)).collect(),
    };
    draw.all(key);
    draw.records
}

/// Draws records one after the other.
pub(super) struct Draw<'a> {
    pub(super) table: &'a Table,
    pub(super) rng: Rng,
    pub(super) now_ms: u64,
    pub(super) records: Vec<Record>,
    pub(super) mix: Vec<TaxonId>,
}

/// A frame that was read, for whoever reads it again.
#[derive(Clone)]
pub(super) struct WasRead {
    /// The record.
    id: RecordId,
    /// What it said.
    frame: Frame,
}

/// Where a scout stands.
struct Here {
    plot: RecordId,
    visit: RecordId,
    /// 1 or 2.
    label: u32,
    stop: Stop,
}

impl Draw<'_> {
    fn all(&mut self, key: &Key) {
        let office = self.office();
        self.first_look(&office);
        let plan = self.plan(&office);
        let visit = self.visit(office.planting);
        let mut walked = Vec::new();
        let mut unknowns = Vec::new();
        let mut frames = Vec::new();
        // In the order set before the walk, as a stopping rule asks.
        let mut stops: Vec<(usize, u32)> =
            (0..PLOTS.len()).flat_map(|at| [(at, 1), (at, 2)]).collect();
        stops.sort_by_key(|(at, label)| plan.place(*at, *label));
        for (at, label) in stops {
            if at == WET {
                self.not_reached(&plan, office.plots[at], visit, label);
            }
            let here = Here {
                plot: office.plots[at],
                visit,
                label,
                stop: plan.stop(at, label),
            };
            frames.push(self.point(&PLOTS[at], here, &mut walked, &mut unknowns));
        }
        for at in [1, 6, 11] {
            self.again(&frames[at]);
        }
        self.review(visit, &walked, &unknowns);
        self.kept(&walked, &unknowns);
        self.practice(key, office.planting);
    }

    /// Keeps a body under a new id and lets some seconds pass.
    pub(super) fn keep(&mut self, author: &str, body: Body) -> RecordId {
        let wait = self.rng.u64(2_000..9_000);
        self.now_ms += wait;
        let mut random = [0; 10];
        self.rng.fill(&mut random);
        let id = RecordId::from_uuid(
            Builder::from_unix_timestamp_millis(self.now_ms, &random).into_uuid(),
        );
        self.records.push(Record {
            id,
            born_at: id.born_at(),
            received_at: Some(id.born_at()),
            device: "laptop".to_owned(),
            author: author.to_owned(),
            supersedes: None,
            body,
        });
        id
    }

    /// One point: a few plants walked, the frame read and flipped once.
    fn point(
        &mut self,
        plan: &PlotPlan,
        here: Here,
        walked: &mut Vec<(RecordId, String)>,
        unknowns: &mut Vec<(RecordId, String)>,
    ) -> WasRead {
        let Here {
            plot,
            visit,
            label,
            stop,
        } = here;
        let scout = SCOUTS[usize::from(self.rng.bool())];
        // A phone's fix is some metres off.
        let mut off = || (self.rng.f64() - 0.5) * 0.000_06;
        let position = Position {
            latitude: round(stop.at[0] + off(), 6),
            longitude: round(stop.at[1] + off(), 6),
            uncertainty_m: Some(4.0),
        };
        let point = self.keep(
            scout,
            Body::Point(Point {
                plot,
                visit,
                label: label.to_string(),
                position: Some(position),
                planned: Some(stop.planned),
                unreachable: String::new(),
            }),
        );
        // At three points a plant is met that nobody can name in the field.
        let unknown = (label == 2 && unknowns.len() < 3).then(|| {
            let number = u32::try_from(unknowns.len()).unwrap_or(0) + 1;
            let (truth, words) = [
                (
                    "bothriochloa_ischaemum",
                    "pale, hairs at the joints, smells sharp",
                ),
                (
                    "eragrostis_cilianensis",
                    "low, spreading, tiny pits on the blade edge",
                ),
                (
                    "bouteloua_curtipendula",
                    "hairs along the blade edge, on bumps",
                ),
            ][unknowns.len()];
            let id = self.keep(
                scout,
                Body::Unknown(Unknown {
                    visit,
                    number,
                    description: words.to_owned(),
                    first_seen: point,
                }),
            );
            unknowns.push((id, truth.to_owned()));
            id
        });
        for _ in 0..WALKS_PER_POINT {
            let truth = self.pick(plan.grows).to_owned();
            let id = self.walk(scout, point, &truth, None);
            walked.push((id, truth));
        }
        if let Some(unknown) = unknown {
            let truth = unknowns.last().map(|(_, t)| t.clone()).unwrap_or_default();
            self.walk(scout, point, &truth, Some(unknown));
        }
        // Spots differ: some richer, some poorer than the plot's mean, as drills and rain leave it.
        let richness = 0.3 + 1.4 * self.rng.f64();
        let first = self.frame(scout, point, plan, richness, 1, unknown);
        self.frame(scout, point, plan, richness, 2, unknown);
        first
    }

    fn pick<'p>(&mut self, grows: &'p [(&'p str, f64)]) -> &'p str {
        let total: f64 = grows.iter().map(|(_, n)| n).sum();
        let mut left = self.rng.f64() * total;
        for (taxon, n) in grows {
            left -= n;
            if left <= 0.0 {
                return taxon;
            }
        }
        grows[0].0
    }

    /// One frame: a cell is occupied by a taxon with the chance that at least one of a random
    /// number of plants stands in it.
    pub(super) fn frame(
        &mut self,
        scout: &str,
        point: RecordId,
        plan: &PlotPlan,
        richness: f64,
        number: u32,
        unknown: Option<RecordId>,
    ) -> WasRead {
        let mut tallies = Vec::new();
        for cell in 1..=CELLS {
            for (taxon, mean) in plan.grows {
                if self.rng.f64() < 1.0 - (-mean * richness).exp() {
                    tallies.push(Tally {
                        cell: Some(cell),
                        what: Counted::Taxon((*taxon).to_owned()),
                        plants: None,
                    });
                }
            }
            if let Some(unknown) = unknown.filter(|_| self.rng.f64() < 0.08) {
                tallies.push(Tally {
                    cell: Some(cell),
                    what: Counted::Unknown(unknown),
                    plants: None,
                });
            }
        }
        let looked_twice = self.rng.f64() < 0.8;
        let frame = Frame {
            point,
            number,
            scout: scout.to_owned(),
            shape: FrameShape::Grid {
                cells: CELLS,
                cell_side_cm: 15.0,
            },
            tallies,
            looked_twice,
            repeats: None,
        };
        let id = self.keep(scout, Body::Frame(frame.clone()));
        WasRead { id, frame }
    }

    /// A frame read again by the other scout, who had not seen the first reading: she overlooks
    /// some seedlings and finds some that were overlooked.
    fn again(&mut self, first: &WasRead) {
        let other = SCOUTS[usize::from(first.frame.scout == SCOUTS[0])];
        let mut tallies = Vec::new();
        for tally in &first.frame.tallies {
            let chance = self.rng.f64();
            if chance < 0.85 {
                tallies.push(tally.clone());
            } else if chance < 0.93 {
                let cell = self.rng.u32(1..=CELLS);
                let moved = Tally {
                    cell: Some(cell),
                    ..tally.clone()
                };
                if !first.frame.tallies.contains(&moved) && !tallies.contains(&moved) {
                    tallies.push(moved);
                }
            }
        }
        let frame = Frame {
            scout: other.to_owned(),
            tallies,
            repeats: Some(first.id),
            ..first.frame.clone()
        };
        self.keep(other, Body::Frame(frame));
    }

    /// One plant of a taxon, walked by *Look next at*: what the scout reports is drawn from the
    /// table's own chances for that taxon.
    fn walk(
        &mut self,
        scout: &str,
        point: RecordId,
        truth: &str,
        unknown: Option<RecordId>,
    ) -> RecordId {
        let (kept, named) = self.looks_at(truth);
        let cell = (self.rng.f64() < 0.6).then(|| self.rng.u32(1..=CELLS));
        self.now_ms += 1_000 * self.rng.u64(20..90);
        self.keep(
            scout,
            Body::Determination(Determination {
                point,
                cell,
                unknown,
                taxon: named.filter(|_| unknown.is_none()),
                note: String::new(),
                evidence: kept,
            }),
        )
    }

    /// What somebody sees of a plant of a taxon, and the name that the book at least leans to.
    fn looks_at(&mut self, truth: &str) -> (Kept, Option<String>) {
        let table = self.table;
        let row = table.row_index(truth).unwrap_or(0);
        let situation = Situation {
            leaf_stage: if self.rng.f64() < 0.7 {
                LeafStage::Tillering
            } else {
                LeafStage::FewLeaves
            },
            ..Situation::default()
        };
        let mix = self.mix.clone();
        let planted = Planted::Mix(&mix);
        let mut evidence = Evidence::default();
        let patience = self.rng.usize(6..=MOST_LOOKS);
        let mut said = assess(table, &evidence, planted);
        while evidence.answers().len() < patience {
            let Some(look) = looks(table, &said.posterior, &evidence, &situation, planted)
                .first()
                .copied()
            else {
                break;
            };
            let reading = self.report(look.trait_index, row);
            evidence.add(Answer {
                trait_index: look.trait_index,
                reading,
            });
            said = assess(table, &evidence, planted);
            if matches!(said.outcome, Outcome::Settled(_)) {
                break;
            }
        }
        let named = match &said.outcome {
            Outcome::Settled(row) | Outcome::Leaning(row) => Some(table.rows[*row].id.to_string()),
            _ => None,
        };
        (record_of(table, &evidence, &situation, &said), named)
    }

    /// What a scout reports of one trait of a taxon; now and then she can't tell.
    pub(super) fn report(&mut self, trait_index: usize, row: usize) -> Reading {
        if self.rng.f64() < 0.05 {
            return Reading::CannotTell;
        }
        let columns = &self.table.traits[trait_index];
        let mut left = self.rng.f64();
        let mut state = 0;
        for (at, column) in columns.chances.iter().enumerate() {
            state = at;
            left -= column[row];
            if left <= 0.0 {
                break;
            }
        }
        match &columns.bins {
            None => Reading::States(vec![state]),
            Some(bins) => {
                let step = (bins.highest / bins.lowest).powf(1.0 / bins.n as f64);
                let value = bins.lowest * step.powf(state as f64 + self.rng.f64());
                // A ruler held against a seedling is read to half a millimetre.
                Reading::Measure(
                    ((value * 2.0).round() / 2.0).clamp(bins.lowest.max(0.5), bins.highest),
                )
            }
        }
    }
}

pub(super) fn round(value: f64, places: i32) -> f64 {
    let scale = 10_f64.powi(places);
    (value * scale).round() / scale
}
