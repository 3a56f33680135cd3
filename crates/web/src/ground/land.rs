//! The ground of one planting: its outlines, read from the book and checked.
//!
//! Units: degrees WGS 84, m, m2. Not here: pages.

use standbook_fieldbook::record::{self, Outline, OutlineOf};
use standbook_fieldbook::{Entry, RecordId};
use standbook_plan::{Area, Corner, Ground, GroundError, Polygon};

use crate::app::App;
use crate::failure::Failure;

/// An outline and what it encloses.
#[derive(Debug)]
pub(super) struct Lot {
    /// The record.
    pub entry: Entry<Outline>,
    /// `the whole field`, `plot Crown`, `keep out: waterway`.
    pub name: String,
    /// Its shape.
    pub area: Area,
}

/// All ground of a planting.
#[derive(Debug, Default)]
pub(super) struct Land {
    /// The field, if it has an outline.
    pub field: Option<Lot>,
    /// Plots with outlines: the plot's current id, its name, its outline.
    pub plots: Vec<(RecordId, String, Lot)>,
    /// Ground kept out of.
    pub keep_out: Vec<Lot>,
}

impl Land {
    /// Reads it. An outline that another program wrote crossed is left out.
    pub fn read(app: &App, planting: RecordId) -> Result<Land, Failure> {
        let mut land = Land::default();
        for entry in app.book.outlines(planting)? {
            let Ok(area) = Area::new(polygons(&entry.body.polygons)) else {
                continue;
            };
            let lot = |name: String, entry| Lot { entry, name, area };
            match entry.body.of {
                OutlineOf::Field => land.field = Some(lot("the whole field".to_owned(), entry)),
                OutlineOf::Plot(plot) => {
                    if let Some(plot) = app.book.plot(plot)? {
                        let name = plot.body.name;
                        land.plots.retain(|(id, ..)| *id != plot.id);
                        land.plots.push((
                            plot.id,
                            name.clone(),
                            lot(format!("plot {name}"), entry),
                        ));
                    }
                }
                OutlineOf::KeepOut => {
                    let name = match entry.body.name.is_empty() {
                        true => "keep out".to_owned(),
                        false => format!("keep out: {}", entry.body.name),
                    };
                    land.keep_out.push(lot(name, entry));
                }
            }
        }
        Ok(land)
    }

    /// Every outline: field, plots, keep-outs.
    pub fn lots(&self) -> impl Iterator<Item = &Lot> {
        let plots = self.plots.iter().map(|(.., lot)| lot);
        self.field.iter().chain(plots).chain(&self.keep_out)
    }

    /// All corners, to fit a picture around.
    pub fn corners(&self) -> Vec<Corner> {
        self.lots().flat_map(|lot| lot.area.corners()).collect()
    }

    /// The ground to draw points on; `None` without an outline of the field (or of all plots).
    pub fn ground(&self, edge_m: f64, by_plots: bool) -> Option<Result<Ground, GroundError>> {
        let field = &self.field.as_ref()?.area;
        let keep_out: Vec<Area> = self.keep_out.iter().map(|lot| lot.area.clone()).collect();
        let plots: Vec<Area> = match by_plots {
            true => self
                .plots
                .iter()
                .map(|(.., lot)| lot.area.clone())
                .collect(),
            false => Vec::new(),
        };
        Some(Ground::new(field, &keep_out, &plots, edge_m))
    }
}

/// Polygons of a record as crate `plan` takes them.
pub(super) fn polygons(kept: &[record::Polygon]) -> Vec<Polygon> {
    kept.iter()
        .map(|polygon| Polygon::from_rings(polygon.rings.clone()))
        .collect()
}

/// Checked polygons as the book keeps them.
pub(super) fn kept(area: Area) -> Vec<record::Polygon> {
    area.into_polygons()
        .into_iter()
        .map(|polygon| record::Polygon {
            rings: polygon.into_rings(),
        })
        .collect()
}
