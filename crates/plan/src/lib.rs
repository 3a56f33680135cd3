//! Where to look in a field: outlines, areas, sampling points, a walking order, file formats.
//!
//! In: corners in degrees, files as bytes, metres and a seed. Out: checked outlines, areas,
//! points in drawn and in walking order, files as text, numbers for a picture.
//!
//! Units: m and m2 on the ground, degrees on WGS 84. A corner or point is
//! `[degrees north, degrees east]`, everywhere; only the bytes of GeoJSON and KML hold it the
//! other way round. Indices count from 0 in values and from 1 in messages.
//!
//! The way through: bytes go to [`read`], text to [`corners_from_text`]; what comes out becomes an
//! [`Area`], which is sound or not there at all; areas and the distance kept from the edge become a
//! [`Ground`]; [`draw`] puts points on it; [`walk_in_blocks`] orders them; [`to_gpx`] and
//! [`to_geojson`] take them out; [`Picture`] places them on a page.
//!
//! Not here: keys, records, pages, clocks, files on disk, map tiles, heights.

mod area;
mod chance;
mod check;
mod draw;
mod flat;
mod frame;
mod ground;
mod halton;
mod lattice;
mod measure;
mod picture;
mod read;
mod region;
mod request;
mod share;
#[cfg(test)]
mod testing;
mod text;
mod walk;
mod walked;
mod widest;
mod write;

pub use area::{Area, Corner, OutlineFault, OutlineFaults, Place, Polygon};
pub use chance::shuffle;
pub use draw::{draw, random_bearing_deg, spacing_for_m};
pub use frame::Frame;
pub use ground::{Ground, GroundError, Whereabouts};
pub use measure::{ACRE_M2, HECTARE_M2, Measure, distance_m, measure};
pub use picture::{Picture, ScaleBar, round_down};
pub use read::{FileFormat, FileShapes, Form, MOST_BYTES, MOST_CORNERS, ReadError, Shape, read};
pub use request::{Design, Draw, DrawError, DrawnPoint, MOST_POINTS, Points, Request};
pub use text::{LineFault, TextFaults, corner_to_text, corners_from_text};
pub use walk::{Walk, as_drawn, walk, walk_in_blocks, walk_in_groups};
pub use write::{
    GPX_END, Sheet, SheetPoint, gpx_head, gpx_outline, gpx_waypoint, outline_feature,
    point_feature, point_names, to_geojson, to_gpx, xml_text,
};
