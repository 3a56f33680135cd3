//! The limits of what a book takes, generous on purpose: they catch slips of the finger and the
//! wrong unit, not unusual fieldwork. Origin of all: common practice, widened several times.

/// Names of things and people, 1 to this many characters.
pub const NAME_CHARS: usize = 120;
/// Notes, 0 to this many characters.
pub const NOTE_CHARS: usize = 2000;
/// Ids of traits, states, taxa, keys, stages, tools and outcomes, 1 to this many characters.
pub const ID_CHARS: usize = 80;
/// First year of a date.
pub const FIRST_YEAR: i16 = 1900;
/// Last year of a date.
pub const LAST_YEAR: i16 = 2199;
/// Seeding rate of one species, pounds of pure live seed per acre.
pub const PLS_LB_PER_ACRE: f64 = 500.0;
/// Row spacing, cm.
pub const ROW_SPACING_CM: f64 = 500.0;
/// Species in a mix.
pub const MIX_ITEMS: usize = 100;
/// Scouts of a visit.
pub const SCOUTS: usize = 50;
/// Radius of a position fix, m.
pub const UNCERTAINTY_M: f64 = 100_000.0;
/// Cells of a grid.
pub const CELLS: u32 = 100;
/// Side of a cell, cm.
pub const CELL_SIDE_CM: f64 = 200.0;
/// Area of a quadrat, m2.
pub const AREA_M2: f64 = 10_000.0;
/// Numbers of frames at a point and of unknowns in a visit.
pub const NUMBER: u32 = 9_999;
/// Plants of one tally.
pub const PLANTS: u32 = 1_000_000;
/// Tallies of a frame.
pub const TALLIES: usize = 5_000;
/// Answers of a determination.
pub const ANSWERS: usize = 500;
/// States of one answer, and tools in hand.
pub const STATES: usize = 50;
/// Lines of a ranking.
pub const RANKING: usize = 2_000;
/// How far the probabilities of a ranking may be from summing to 1.
pub const RANKING_SUM: f64 = 1e-6;
/// A measure lies between minus this and this, in the trait's unit.
pub const MEASURE: f64 = 1e6;
/// Digits of a table's fingerprint.
pub const FINGERPRINT_DIGITS: usize = 128;
