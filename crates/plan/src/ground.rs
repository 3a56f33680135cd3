//! The ground that is looked at: inside the field, off its edge, out of keep-outs.
//!
//! In: sound areas and a distance in m. Out: for any point whether it may be drawn, the area left
//! to look at, its outline for a picture.
//!
//! Units: m, m2, degrees WGS 84.
//!
//! Not here: choosing points (`draw`), the widest spot (`widest`).

use crate::flat::{self, Metres};
use crate::region::Region;
use crate::{Area, Corner, Frame, Polygon};
use geo::{Area as _, BooleanOps, Buffer, MultiPolygon, Simplify};

/// Detail of a boundary that is left out when it is moved, as a share of the distance.
const FINEST_PART: f64 = 0.005;

/// Ground to look at, prepared for many questions.
#[derive(Debug, Clone)]
pub struct Ground {
    pub(crate) frame: Frame,
    pub(crate) edge_m: f64,
    pub(crate) field: Region,
    pub(crate) keep_out: Vec<Region>,
    pub(crate) plots: Vec<Region>,
    field_shape: MultiPolygon,
    keep_out_shapes: Vec<MultiPolygon>,
    plot_shapes: Vec<MultiPolygon>,
    /// True m2 for a flat m2.
    scale: f64,
}

/// Why there is no ground.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GroundError {
    /// A distance below 0 or not a number, m.
    #[error("the distance kept from the edge is {0} m: give 0 or more")]
    Edge(f64),
    /// Nothing of the field is as far from every boundary as asked.
    #[error(
        "no ground is {edge_m} m from every boundary: the widest spot is {widest_m:.1} m from it. \
         Keep {:.1} m or less from the edge, or take out a keep-out",
        widest_m / 2.0
    )]
    NoRoom {
        /// Distance asked for, m.
        edge_m: f64,
        /// The largest distance from every boundary that any spot has, m.
        widest_m: f64,
    },
    /// The keep-outs cover the field.
    #[error(
        "nothing is left of the field: its keep-outs cover it. Take one out or draw it smaller"
    )]
    Covered,
}

/// Where a point lies. Distances are m to the nearest boundary of field or keep-out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Whereabouts {
    /// On ground that is looked at.
    Inside {
        /// To the nearest boundary, m.
        to_edge_m: f64,
    },
    /// In the field, but nearer a boundary than the distance kept.
    NearEdge {
        /// To the nearest boundary, m.
        to_edge_m: f64,
    },
    /// In a keep-out.
    KeepOut {
        /// Index of the keep-out.
        index: usize,
    },
    /// Outside the field.
    Outside {
        /// To the nearest boundary of the field, m.
        by_m: f64,
    },
}

impl Ground {
    /// Prepares ground: inside `field`, in none of `keep_out`, `edge_m` metres or more from every
    /// boundary of both; where two polygons of the field touch is no boundary. `plots` are strata:
    /// with at least one, only ground in a plot is looked at, a point in two plots belongs to the
    /// first, and the boundary of a plot is no edge.
    ///
    /// # Errors
    /// A bad distance. Ground without room is found later, by [`draw`](crate::draw()) or
    /// [`Ground::check_room`].
    pub fn new(
        field: &Area,
        keep_out: &[Area],
        plots: &[Area],
        edge_m: f64,
    ) -> Result<Ground, GroundError> {
        if !(edge_m.is_finite() && edge_m >= 0.0) {
            return Err(GroundError::Edge(edge_m));
        }
        // A sound area has corners and all are numbers.
        let frame = Frame::around(field.corners()).unwrap_or(Frame::at([0.0, 0.0]));
        let mut field_shape = flat::all_to_geo(&frame, field.polygons());
        let flat_m2 = field_shape.unsigned_area();
        let scale = if flat_m2 > 0.0 {
            field.measure().area_m2 / flat_m2
        } else {
            1.0
        };
        if field_shape.0.len() > 1 {
            field_shape = geo::unary_union(field_shape.iter());
        }
        let shapes = |areas: &[Area]| -> Vec<MultiPolygon> {
            areas
                .iter()
                .map(|area| flat::all_to_geo(&frame, area.polygons()))
                .collect()
        };
        let keep_out_shapes = shapes(keep_out);
        let plot_shapes = shapes(plots);
        Ok(Ground {
            frame,
            edge_m,
            field: Region::new(&field_shape, edge_m),
            keep_out: keep_out_shapes
                .iter()
                .map(|s| Region::new(s, edge_m))
                .collect(),
            plots: plot_shapes.iter().map(|s| Region::new(s, 0.0)).collect(),
            field_shape,
            keep_out_shapes,
            plot_shapes,
            scale,
        })
    }

    /// Says whether there is room for any point.
    ///
    /// # Errors
    /// [`GroundError::NoRoom`] with the distance that would do, [`GroundError::Covered`].
    pub fn check_room(&self) -> Result<(), GroundError> {
        let (_, widest_m) = self.widest();
        if widest_m <= 0.0 {
            Err(GroundError::Covered)
        } else if widest_m < self.edge_m {
            Err(GroundError::NoRoom {
                edge_m: self.edge_m,
                widest_m,
            })
        } else {
            Ok(())
        }
    }

    /// The flat frame around the field, in which points are drawn.
    pub fn frame(&self) -> Frame {
        self.frame
    }

    /// Distance kept from every boundary, m.
    pub fn edge_m(&self) -> f64 {
        self.edge_m
    }

    /// How many plots there are.
    pub fn n_plots(&self) -> usize {
        self.plots.len()
    }

    /// Where a point lies; plots do not matter.
    pub fn whereabouts(&self, point: Corner) -> Whereabouts {
        let at = self.frame.to_metres(point);
        if !self.field.contains(at) {
            return Whereabouts::Outside {
                by_m: self.field.distance_m(at),
            };
        }
        if let Some(index) = self.keep_out.iter().position(|k| k.contains(at)) {
            return Whereabouts::KeepOut { index };
        }
        let to_edge_m = self.to_boundary_m(at);
        if to_edge_m < self.edge_m {
            Whereabouts::NearEdge { to_edge_m }
        } else {
            Whereabouts::Inside { to_edge_m }
        }
    }

    /// The first plot that a point lies in, by index.
    pub fn plot_of(&self, point: Corner) -> Option<usize> {
        self.plot_at(self.frame.to_metres(point))
    }

    /// Area left to look at, m2: field, keep-outs and edge cut against each other as polygons in
    /// the flat frame (round corners as chords, error below 0.5 % of the edge strip), scaled to
    /// the ellipsoid. One number for each plot, or a single one without plots.
    pub fn left_m2(&self) -> Vec<f64> {
        let all = self.left_shape();
        self.by_plot(&all)
            .iter()
            .map(|shape| shape.unsigned_area() * self.scale)
            .collect()
    }

    /// Outline of what is left to look at, for a picture; may be empty. As exact as
    /// [`Ground::left_m2`].
    pub fn left(&self) -> Vec<Polygon> {
        let all = self.left_shape();
        self.by_plot(&all)
            .iter()
            .flat_map(|shape| flat::from_geo(&self.frame, shape))
            .collect()
    }

    fn by_plot(&self, all: &MultiPolygon) -> Vec<MultiPolygon> {
        if self.plot_shapes.is_empty() {
            return vec![all.clone()];
        }
        let mut rest = all.clone();
        let mut out = Vec::new();
        for plot in &self.plot_shapes {
            out.push(rest.intersection(plot));
            rest = rest.difference(plot);
        }
        out
    }

    fn left_shape(&self) -> MultiPolygon {
        let mut left = self.moved(&self.field_shape, -self.edge_m);
        for shape in &self.keep_out_shapes {
            left = left.difference(&self.moved(shape, self.edge_m));
        }
        left
    }

    /// A shape with its boundary moved outwards. Corners that are finer than the distance would
    /// ever show are left out first: moving 20,000 of them by 100 m took 17 s.
    fn moved(&self, shape: &MultiPolygon, by_m: f64) -> MultiPolygon {
        if by_m == 0.0 {
            return shape.clone();
        }
        shape.simplify(by_m.abs() * FINEST_PART).buffer(by_m)
    }

    /// Distance to the nearest boundary of field or keep-out, m.
    pub(crate) fn to_boundary_m(&self, at: Metres) -> f64 {
        self.keep_out
            .iter()
            .map(|k| k.distance_m(at))
            .fold(self.field.distance_m(at), f64::min)
    }

    /// Whether a point may be drawn, plots aside.
    pub(crate) fn allows(&self, at: Metres) -> bool {
        self.field.contains(at)
            && !self.field.near(at)
            && !self.keep_out.iter().any(|k| k.contains(at) || k.near(at))
    }

    pub(crate) fn plot_at(&self, at: Metres) -> Option<usize> {
        self.plots.iter().position(|plot| plot.contains(at))
    }
}

#[cfg(test)]
#[path = "ground_tests.rs"]
mod tests;
