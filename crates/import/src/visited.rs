//! What a book holds of the visit that a file is for: plots, points, unknowns, and ground.

use std::collections::HashMap;

use standbook_fieldbook::record::{OutlineOf, Plot, Point, Unknown, Visit};
use standbook_fieldbook::{Book, BookError, Entry, RecordId};
use standbook_plan::{Area, Corner, Ground, Polygon, Whereabouts};

/// The visit and what it has so far.
pub(crate) struct Visited {
    pub visit: Entry<Visit>,
    /// The planting's current id.
    pub planting: RecordId,
    pub plots: Vec<Entry<Plot>>,
    pub points: Vec<Entry<Point>>,
    pub unknowns: Vec<Entry<Unknown>>,
    /// The field, where it has an outline that holds together.
    pub field: Option<Ground>,
    /// Plots that have one, by their current id.
    outlines: Vec<(RecordId, Ground)>,
    /// First versions, by the id of a current one.
    firsts: HashMap<RecordId, RecordId>,
    /// Current plots, by the version that a point names.
    named_plots: HashMap<RecordId, RecordId>,
}

impl Visited {
    /// Reads it; `None` when there is no such visit.
    pub fn read(book: &Book, visit: RecordId) -> Result<Option<Visited>, BookError> {
        let Some(visit) = book.visit(visit)? else {
            return Ok(None);
        };
        let Some(planting) = book.planting(visit.body.planting)? else {
            return Ok(None);
        };
        let plots = book.plots(planting.id)?;
        let points = book.points(visit.id)?;
        let (mut field, mut outlines) = (None, Vec::new());
        for outline in book.outlines(planting.id)? {
            let polygons = outline.body.polygons.iter();
            let polygons = polygons.map(|one| Polygon::from_rings(one.rings.clone()));
            // One that does not hold together says of no point where it lies.
            let Ok(area) = Area::new(polygons.collect()) else {
                continue;
            };
            let Ok(ground) = Ground::new(&area, &[], &[], 0.0) else {
                continue;
            };
            match outline.body.of {
                OutlineOf::Field => field = Some(ground),
                OutlineOf::Plot(plot) => {
                    if let Some(plot) = book.plot(plot)? {
                        outlines.push((plot.id, ground));
                    }
                }
                OutlineOf::KeepOut => {}
            }
        }
        let mut firsts = HashMap::new();
        let corrected = |supersedes: Option<RecordId>, id| supersedes.map(|_| id);
        let ids = corrected(visit.supersedes, visit.id)
            .into_iter()
            .chain(corrected(planting.supersedes, planting.id))
            .chain(
                plots
                    .iter()
                    .filter_map(|it| corrected(it.supersedes, it.id)),
            )
            .chain(
                points
                    .iter()
                    .filter_map(|it| corrected(it.supersedes, it.id)),
            );
        for id in ids.collect::<Vec<_>>() {
            if let Some(first) = book.history(id)?.first() {
                firsts.insert(id, first.id);
            }
        }
        let mut named_plots = HashMap::new();
        for point in &points {
            let named = point.body.plot;
            if !named_plots.contains_key(&named)
                && let Some(plot) = book.plot(named)?
            {
                named_plots.insert(named, plot.id);
            }
        }
        Ok(Some(Visited {
            unknowns: book.unknowns(visit.id)?,
            planting: planting.id,
            visit,
            plots,
            points,
            field,
            outlines,
            firsts,
            named_plots,
        }))
    }

    /// The first version of a record, which a correction does not change.
    pub fn first(&self, id: RecordId) -> RecordId {
        self.firsts.get(&id).copied().unwrap_or(id)
    }

    /// The plot of a point.
    pub fn plot_of(&self, point: &Point) -> Option<&Entry<Plot>> {
        let id = self.named_plots.get(&point.plot)?;
        self.plots.iter().find(|plot| plot.id == *id)
    }

    /// The one plot whose outline holds a place.
    pub fn plot_around(&self, at: Corner) -> Option<&Entry<Plot>> {
        let mut around = self
            .outlines
            .iter()
            .filter(|(_, ground)| !matches!(ground.whereabouts(at), Whereabouts::Outside { .. }));
        match (around.next(), around.next()) {
            (Some((id, _)), None) => self.plots.iter().find(|plot| plot.id == *id),
            _ => None,
        }
    }
}
