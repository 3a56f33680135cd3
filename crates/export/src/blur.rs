//! Places moved to the middle of a cell, with a radius that still holds the true place.
//!
//! The method: the globe is cut into rows of equal height in degrees of latitude, counted from the
//! south pole, and each row into cells of equal width in degrees of longitude, counted from 180° W. A
//! cell is nowhere higher or wider than the side asked for (but for rounding to whole cells). A place
//! becomes the middle of its cell, and its radius grows by the distance from the middle to the farthest
//! corner. All places of one cell become the same place, in every export.
//!
//! Units: degrees WGS 84, `[north, east]`; m.

use standbook_plan::{Corner, distance_m};

/// The longest degree of latitude, at the poles, m. WGS 84 (memory; 111,694 m).
const LATITUDE_DEGREE_M: f64 = 111_695.0;

/// A degree of longitude at the equator, m. WGS 84 (a · π / 180 = 111,319.49 m).
const LONGITUDE_DEGREE_M: f64 = 111_320.0;

/// What a fix of a phone whose own radius is not known may be off by, m. Source: Darwin Core, examples of
/// coordinateUncertaintyInMeters: 30 m is a reasonable lower limit since May 2000 (memory).
const UNKNOWN_FIX_M: f64 = 30.0;

/// Rounding of what is written, and of the distances themselves, m.
const ROUNDING_M: f64 = 1.0;

/// A place, with the radius that holds the true one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Located {
    /// Degrees north, degrees east.
    pub at: Corner,
    /// Radius, m; `None` when not known. Never 0.
    pub uncertainty_m: Option<f64>,
}

/// A grid of cells over the globe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    rows: f64,
    side_m: f64,
}

impl Grid {
    /// Cells of this side, m, at least 1.
    pub fn new(side_m: f64) -> Grid {
        let side_m = side_m.max(1.0);
        let rows = (180.0 * LATITUDE_DEGREE_M / side_m).ceil();
        Grid { rows, side_m }
    }

    /// The middle of the cell that holds a place, with the radius that still holds the true place.
    pub fn blur(&self, place: Located) -> Located {
        let [latitude, longitude] = place.at;
        let height = 180.0 / self.rows;
        let row = ((latitude + 90.0) / height)
            .floor()
            .clamp(0.0, self.rows - 1.0);
        let south = -90.0 + row * height;
        let north = south + height;
        // The row is widest where it is nearest to the equator.
        let nearest = match south < 0.0 && north > 0.0 {
            true => 0.0,
            false => south.abs().min(north.abs()),
        };
        let round_m = 360.0 * LONGITUDE_DEGREE_M * nearest.min(90.0).to_radians().cos();
        let cells = (round_m / self.side_m).ceil().max(1.0);
        let width = 360.0 / cells;
        let cell = ((longitude + 180.0) / width)
            .floor()
            .clamp(0.0, cells - 1.0);
        let west = -180.0 + cell * width;
        let middle = [(south + north) / 2.0, west + width / 2.0];
        let corners = [south, north]
            .into_iter()
            .flat_map(|lat| [west, west + width].map(|lon| [lat.clamp(-90.0, 90.0), lon]));
        let reach = corners
            .map(|corner| distance_m(middle, corner))
            .fold(0.0, f64::max);
        let own = place.uncertainty_m.unwrap_or(UNKNOWN_FIX_M);
        Located {
            at: middle,
            uncertainty_m: Some((reach * 1.001 + own + ROUNDING_M).ceil()),
        }
    }

    /// What was done, for whoever gets the data.
    pub fn in_words(&self) -> String {
        format!(
            "Coordinates were moved to the middle of a grid cell of {} m (rows of equal latitude from the south pole, cells of equal longitude from 180 degrees west); the uncertainty was grown so that it covers the true place.",
            self.side_m
        )
    }
}
