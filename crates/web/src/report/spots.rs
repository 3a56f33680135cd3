//! Spot by spot: what was found of the planted grasses and of weeds that stay, and where.
//!
//! In: the frames of a visit. Out: one [`Spot`] for every point, those that could not be reached
//! among them. Blind repeats are left out: they tell about scouts, not about the field.
//! Units: cells, plants, m2; degrees WGS 84.
//! Not here: drawings (`map`), estimates (crate `judge`).

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{FrameShape, Tally};
use standbook_judge::{Label, Role};

use super::gather::Gathered;
use crate::stand::resolve;

/// What one spot held.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spot {
    /// Its name.
    pub name: String,
    /// `[degrees north, degrees east]`, if known.
    pub position: Option<[f64; 2]>,
    /// Whether that is only where the plan put it.
    pub planned_only: bool,
    /// Radius in m that holds the true place, if the fix said so.
    pub uncertainty_m: Option<f64>,
    /// Frames laid, without blind repeats.
    pub frames: usize,
    /// Cells with anything planted.
    pub planted_cells: u64,
    /// Cells read.
    pub cells: u64,
    /// Planted plants counted.
    pub planted_plants: u64,
    /// Ground on which plants were counted, m2.
    pub area_m2: f64,
    /// Whether a weed that stays was found.
    pub perennial_weeds: bool,
    /// Why it could not be reached; empty: it was.
    pub unreachable: String,
}

impl Spot {
    /// Plants per m2 counted; `None` where nothing was counted.
    pub fn density(&self) -> Option<f64> {
        (self.area_m2 > 0.0).then(|| self.planted_plants as f64 / self.area_m2)
    }

    /// Share of cells with anything planted; `None` without cells.
    pub fn share(&self) -> Option<f64> {
        (self.cells > 0).then(|| self.planted_cells as f64 / self.cells as f64)
    }

    /// Whether anything planted was found.
    pub fn has_planted(&self) -> bool {
        self.planted_cells > 0 || self.planted_plants > 0
    }

    /// `12 of 50`, `7 on 2 m²`, or both.
    pub fn found(&self) -> String {
        let cells = (self.cells > 0).then(|| format!("{} of {}", self.planted_cells, self.cells));
        let plants = (self.area_m2 > 0.0).then(|| {
            format!(
                "{} on {} m²",
                self.planted_plants,
                crate::words::plain(self.area_m2)
            )
        });
        let both: Vec<String> = [cells, plants].into_iter().flatten().collect();
        both.join("; ")
    }
}

/// The labels that play a part, as tallies are resolved here.
struct Parts {
    planted: BTreeSet<String>,
    staying: BTreeSet<String>,
}

impl Parts {
    fn of(gathered: &Gathered) -> Parts {
        let judgement = &gathered.judgement;
        let taxa = judgement
            .roles
            .iter()
            .filter(|(_, role)| *role == Role::Planted)
            .filter_map(|(label, _)| label.taxon());
        let weeds = judgement.weeds.perennial.iter();
        Parts {
            planted: taxa.map(str::to_owned).collect(),
            staying: weeds
                .filter_map(|weed| match &weed.label {
                    Label::Taxon(id) => Some(id.clone()),
                    Label::Genus(_) | Label::NotInKey | Label::Unknown(_) => None,
                })
                .collect(),
        }
    }

    fn is_planted(&self, gathered: &Gathered, tally: &Tally) -> bool {
        matches!(gathered.counts_as(&tally.what), resolve::Label::Taxon(id) if self.planted.contains(&id))
    }

    fn stays(&self, gathered: &Gathered, tally: &Tally) -> bool {
        matches!(gathered.counts_as(&tally.what), resolve::Label::Taxon(id) if self.staying.contains(&id))
    }
}

/// Every point of the visit, in the order in which they were made. A point at which no frame
/// was laid is left out unless it says why it could not be reached.
pub(crate) fn spots(gathered: &Gathered) -> Vec<Spot> {
    let parts = Parts::of(gathered);
    let mut spots: BTreeMap<RecordId, Spot> = BTreeMap::new();
    let mut order: Vec<RecordId> = Vec::new();
    for point in &gathered.points {
        let position = gathered.position_of(&point.body);
        order.push(point.id);
        spots.insert(
            point.id,
            Spot {
                name: gathered.point_name(point.id),
                position: position.map(|(at, _)| at),
                planned_only: position.is_some_and(|(_, planned)| planned),
                uncertainty_m: point.body.position.and_then(|fix| fix.uncertainty_m),
                unreachable: point.body.unreachable.clone(),
                ..empty()
            },
        );
    }
    for (at, frame) in &gathered.frames {
        if frame.body.repeats.is_some() {
            continue;
        }
        let spot = spots.entry(*at).or_insert_with(|| {
            order.push(*at);
            Spot {
                name: gathered.point_name(*at),
                ..empty()
            }
        });
        spot.frames += 1;
        let tallies = &frame.body.tallies;
        let planted = tallies.iter().filter(|t| parts.is_planted(gathered, t));
        match frame.body.shape {
            FrameShape::Grid { cells, .. } => {
                let occupied: BTreeSet<u32> = planted.filter_map(|tally| tally.cell).collect();
                spot.planted_cells += occupied.len() as u64;
                spot.cells += u64::from(cells);
            }
            FrameShape::Quadrat { .. } | FrameShape::Row { .. } => {
                let plants = planted.filter_map(|tally| tally.plants);
                spot.planted_plants += plants.map(u64::from).sum::<u64>();
                spot.area_m2 += frame.body.shape.counted_area_m2().unwrap_or(0.0);
            }
        }
        spot.perennial_weeds |= tallies.iter().any(|t| parts.stays(gathered, t));
    }
    order
        .into_iter()
        .filter_map(|id| spots.remove(&id))
        .filter(|spot| spot.frames > 0 || !spot.unreachable.is_empty())
        .collect()
}

fn empty() -> Spot {
    Spot {
        name: String::new(),
        position: None,
        planned_only: false,
        uncertainty_m: None,
        frames: 0,
        planted_cells: 0,
        cells: 0,
        planted_plants: 0,
        area_m2: 0.0,
        perennial_weeds: false,
        unreachable: String::new(),
    }
}
