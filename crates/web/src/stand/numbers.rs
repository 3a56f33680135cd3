//! From the records of one visit to the numbers of its stand.
//!
//! In: a planting and a visit in the book. Out: readings for crate `stand`, and what it makes of
//! them. A spot is a point: frames flipped over at one point, and frames that two scouts read
//! there, are one unit.
//!
//! A blind second reading of a frame (`repeats`) is left out. Two scouts who read the same spot in
//! frames of their own: both count, inside the one spot. So a second
//! reader never makes the interval narrower by pretending to be more ground; leaving one reading
//! out would need a reason to believe the other more. The spot then weighs more in the estimate.
//!
//! Units: cells, cm, m2. Not here: wording, pages.

use std::collections::hash_map::Entry::Vacant;
use std::collections::{BTreeMap, BTreeSet, HashMap};

use crate::app::App;
use standbook_fieldbook::record::{Counted, Frame, FrameShape, Planting, Point, Visit};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_stand::confidence::Confidence;
use standbook_stand::convert::{Grid, Rule};
use standbook_stand::summary::{Group, Reading, Request, Seen, Summary, SummaryError, summarise};

use super::resolve::{Label, Unknowns, resolve};

/// The group of everything in the mix.
pub(crate) const ALL_PLANTED: &str = "All planted species together";

/// Everything of one visit that the stand rests on.
#[derive(Debug)]
pub(crate) struct Walked {
    /// The planting as it stands.
    pub planting: Entry<Planting>,
    /// Its points.
    pub points: Vec<Entry<Point>>,
    /// Names of the planting's plots, by every id that a point of this visit gives.
    plots: HashMap<RecordId, String>,
    /// Its frames, each with its spot: the id of the current version of its point.
    pub frames: Vec<(RecordId, Entry<Frame>)>,
    /// Frames that read one of these again, unseen. They are no further ground and no part of
    /// the numbers.
    pub repeats: Vec<(RecordId, Entry<Frame>)>,
    /// The unknowns in its frames.
    pub unknowns: Unknowns,
}

impl Walked {
    /// Reads a visit of a planting.
    pub fn read(
        app: &App,
        planting: Entry<Planting>,
        visit: &Entry<Visit>,
    ) -> Result<Walked, BookError> {
        let book = &app.book;
        let points = book.points(visit.id)?;
        let mut plots: HashMap<RecordId, String> = book
            .plots(planting.id)?
            .into_iter()
            .map(|plot| (plot.id, plot.body.name))
            .collect();
        for point in &points {
            if let Vacant(place) = plots.entry(point.body.plot) {
                // The plot was corrected after the point was made.
                if let Some(plot) = book.plot(point.body.plot)? {
                    place.insert(plot.body.name);
                }
            }
        }
        let mut spot_of: HashMap<RecordId, RecordId> =
            points.iter().map(|point| (point.id, point.id)).collect();
        let (mut frames, mut repeats) = (Vec::new(), Vec::new());
        for frame in book.frames(visit.id)? {
            let given = frame.body.point;
            let spot = match spot_of.get(&given) {
                Some(spot) => *spot,
                // The point was corrected after the frame was read.
                None => book.point(given)?.map_or(given, |point| point.id),
            };
            spot_of.insert(given, spot);
            match frame.body.repeats {
                None => frames.push((spot, frame)),
                Some(_) => repeats.push((spot, frame)),
            }
        }
        let all = frames.iter().chain(&repeats).map(|(_, frame)| frame);
        let unknowns = Unknowns::read(app, unknown_ids(all))?;
        Ok(Walked {
            planting,
            points,
            plots,
            frames,
            repeats,
            unknowns,
        })
    }

    /// What a spot is called: `North, point 3`.
    pub fn spot_name(&self, spot: RecordId) -> String {
        match self.points.iter().find(|point| point.id == spot) {
            Some(point) => {
                let plot = self.plots.get(&point.body.plot);
                let plot = plot.map_or("?", String::as_str);
                format!("{plot}, point {}", point.body.label)
            }
            None => "a point of another visit".to_owned(),
        }
    }

    /// The labels of the mix, in the order of the seed tag.
    pub fn mix(&self) -> Vec<Label> {
        let items = &self.planting.body.mix;
        items
            .iter()
            .map(|item| Label::Taxon(item.taxon.clone()))
            .collect()
    }

    /// The readings, with these opinions about the unknowns.
    pub fn readings(&self, unknowns: &Unknowns) -> Vec<Reading<RecordId, Label>> {
        self.frames
            .iter()
            .map(|(spot, frame)| Reading {
                spot: *spot,
                seen: seen(&frame.body, unknowns),
            })
            .collect()
    }

    /// The numbers as they stand.
    pub fn summary(&self) -> Result<Summary<Label>, SummaryError> {
        self.summary_with(&self.unknowns)
    }

    /// The numbers with these opinions about the unknowns.
    pub fn summary_with(&self, unknowns: &Unknowns) -> Result<Summary<Label>, SummaryError> {
        let readings = self.readings(unknowns);
        let members: BTreeSet<Label> = self.mix().into_iter().collect();
        let unsettled = unsettled_in(&readings);
        let request = Request {
            looked_for: members.clone(),
            groups: vec![Group {
                name: ALL_PLANTED.to_owned(),
                members,
                unsettled,
            }],
            confidence: Confidence::P95,
            rules: Rule::PLAIN.to_vec(),
        };
        summarise(&readings, &request)
    }
}

/// Every unknown tallied in these frames, as the frames name it.
pub(crate) fn unknown_ids<'f>(
    frames: impl Iterator<Item = &'f Entry<Frame>>,
) -> BTreeSet<RecordId> {
    frames
        .flat_map(|frame| &frame.body.tallies)
        .filter_map(|tally| match tally.what {
            Counted::Unknown(id) => Some(id),
            Counted::Taxon(_) => None,
        })
        .collect()
}

/// The labels that are unknowns not settled yet.
fn unsettled_in(readings: &[Reading<RecordId, Label>]) -> BTreeSet<Label> {
    let mut labels = BTreeSet::new();
    for reading in readings {
        let found: Vec<&Label> = match &reading.seen {
            Seen::Grid { occupied, .. } => occupied.keys().collect(),
            Seen::Quadrat { plants, .. } => plants.keys().collect(),
        };
        let unknown = found.into_iter().filter(|l| matches!(l, Label::Unknown(_)));
        labels.extend(unknown.cloned());
    }
    labels
}

/// One frame as crate `stand` takes it.
pub(crate) fn seen(frame: &Frame, unknowns: &Unknowns) -> Seen<Label> {
    match frame.shape {
        FrameShape::Grid {
            cells,
            cell_side_cm,
        } => {
            let mut occupied: BTreeMap<Label, BTreeSet<u32>> = BTreeMap::new();
            for tally in &frame.tallies {
                let label = resolve(&tally.what, unknowns);
                occupied.entry(label).or_default().extend(tally.cell);
            }
            let grid = Grid {
                cells,
                cell_side_cm,
            };
            Seen::Grid { grid, occupied }
        }
        FrameShape::Quadrat { .. } | FrameShape::Row { .. } => {
            let area_m2 = frame.shape.counted_area_m2().unwrap_or(f64::NAN);
            let mut plants: BTreeMap<Label, u32> = BTreeMap::new();
            for tally in &frame.tallies {
                // Two unknowns settled as one taxon add up.
                let sum = plants.entry(resolve(&tally.what, unknowns)).or_default();
                *sum = sum.saturating_add(tally.plants.unwrap_or(0));
            }
            Seen::Quadrat { area_m2, plants }
        }
    }
}
