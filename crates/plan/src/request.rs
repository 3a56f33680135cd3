//! What can be asked of a draw, what comes out of it, and why it may not.
//!
//! Units: m, m2, degrees WGS 84, bearings in degrees clockwise from north.
//!
//! Not here: drawing (`draw`).

use crate::{Corner, GroundError};

/// The most points and spares that are drawn, together.
pub const MOST_POINTS: u32 = 5_000;

/// How points are chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Design {
    /// Spread evenly: a Halton sequence from a random start.
    Balanced,
    /// A square grid, north up, from a random start.
    Grid {
        /// Distance between points, m, above 0.
        spacing_m: f64,
    },
    /// Parallel lines from a random start, points at even steps with a random start on each.
    Transects {
        /// Distance between lines, m, above 0.
        apart_m: f64,
        /// Distance between points on a line, m, above 0.
        step_m: f64,
        /// Direction of the lines, degrees clockwise from north, 0 to 180; see
        /// [`random_bearing_deg`](crate::random_bearing_deg).
        bearing_deg: f64,
    },
}

/// How many points to walk.
#[derive(Debug, Clone, PartialEq)]
pub enum Points {
    /// All that grid or lines give; not for `Balanced`.
    All,
    /// This many, at least 1; with plots, shared out by the area left in each, at least 1 in each.
    Total(u32),
    /// This many in each plot, in the order of the plots; 0 leaves a plot out.
    EachPlot(Vec<u32>),
}

/// What to draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// How points are chosen.
    pub design: Design,
    /// How many to walk.
    pub points: Points,
    /// How many to hold in reserve, shared out over plots like the points. A grid or lines may
    /// have fewer left: then all there are.
    pub spares: u32,
    /// What the draw starts from.
    pub seed: u32,
}

/// One drawn point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnPoint {
    /// Where, `[degrees north, degrees east]`.
    pub corner: Corner,
    /// Its plot, by index, where there are plots.
    pub plot: Option<usize>,
    /// Its line, from 1 in drawn order, for transects. Numbers of lines that lost all points are
    /// left out.
    pub line: Option<u32>,
    /// Whether it only stands in for one that cannot be reached.
    pub spare: bool,
}

/// Drawn points: those to walk in the order of their numbers, then spares in the order in which
/// they step in. With plots, a spare steps in for a point of its own plot.
#[derive(Debug, Clone, PartialEq)]
pub struct Draw {
    /// All points.
    pub points: Vec<DrawnPoint>,
}

impl Draw {
    /// The points to walk, spares left out.
    pub fn to_walk(&self) -> impl Iterator<Item = &DrawnPoint> {
        self.points.iter().filter(|p| !p.spare)
    }

    /// Numbers of points after which it is fair to stop, as sizes of blocks for
    /// [`walk_in_groups`](crate::walk_in_groups): whole lines for transects, `block` points
    /// otherwise (1 for 0).
    pub fn fair_blocks(&self, block: usize) -> Vec<usize> {
        let mut sizes: Vec<usize> = Vec::new();
        let mut line = None;
        for point in self.to_walk() {
            match sizes.last_mut() {
                Some(size) if point.line.is_some() && point.line == line => *size += 1,
                Some(size) if point.line.is_none() && *size < block.max(1) => *size += 1,
                _ => sizes.push(1),
            }
            line = point.line;
        }
        sizes
    }
}

/// Why points cannot be drawn, and what would do. Plots count from 1.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DrawError {
    /// No ground.
    #[error(transparent)]
    Ground(#[from] GroundError),
    /// No points asked for.
    #[error("0 points were asked for: ask for at least 1")]
    NoPoints,
    /// More than are drawn.
    #[error(
        "{asked} points and spares are more than the {MOST_POINTS} that are drawn: ask for fewer, or a wider grid"
    )]
    TooMany {
        /// How many, spares included.
        asked: u64,
    },
    /// Balanced points have no number of their own.
    #[error("say how many balanced points to draw: they have no end of their own")]
    HowMany,
    /// A distance that is 0, negative or not a number.
    #[error("a distance of {0} m between points or lines cannot be walked: give more than 0")]
    Distance(f64),
    /// A bearing that is not a number.
    #[error("a bearing of {0} degrees is no direction: give 0 to 180, clockwise from north")]
    Bearing(f64),
    /// Numbers for other plots than there are.
    #[error("there are {plots} plots but numbers of points for {given}: give one for each")]
    PlotNumbers {
        /// How many numbers.
        given: usize,
        /// How many plots.
        plots: usize,
    },
    /// Fewer points than plots.
    #[error(
        "{plots} plots need at least {plots} points, not {points}: ask for more, or give the number for each plot"
    )]
    FewerThanPlots {
        /// Points asked for.
        points: u32,
        /// How many plots.
        plots: usize,
    },
    /// A plot without ground.
    #[error(
        "plot {plot} has no ground in the field that is {edge_m} m or more from every boundary: keep less from the edge, or ask for 0 points in it"
    )]
    NoRoomInPlot {
        /// The plot.
        plot: usize,
        /// Distance kept, m.
        edge_m: f64,
    },
    /// Ground so thin that points hardly ever fall on it.
    #[error(
        "only {found} of {wanted} points found a place: {left_m2:.0} m2 are left to look at, in strips too thin for it. Keep less from the edge or ask for fewer"
    )]
    TooThin {
        /// Points that fell on it.
        found: usize,
        /// Points wanted, spares included.
        wanted: u32,
        /// Ground left, m2.
        left_m2: f64,
    },
    /// A grid or lines with more points than can be looked at.
    #[error(
        "that is about {points:.0} points over the field: put them at least {least_m:.1} m apart"
    )]
    TooFine {
        /// Points in the box around the field.
        points: f64,
        /// A distance that would do, m.
        least_m: f64,
    },
    /// A grid or lines with fewer points than wanted.
    #[error("{}only {found} of {wanted} points fall on the ground left ({left_m2:.0} m2): put them {times:.2} times as far apart, or ask for fewer", match plot { Some(plot) => format!("plot {plot}: "), None => String::new() })]
    TooFew {
        /// The plot, where there are plots.
        plot: Option<usize>,
        /// Points that fall on it.
        found: usize,
        /// Points wanted.
        wanted: u32,
        /// Ground left, m2.
        left_m2: f64,
        /// What to multiply the distance by, below 1.
        times: f64,
    },
}
