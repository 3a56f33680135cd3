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
/// Length of a row looked along, m.
pub const ROW_LENGTH_M: f64 = 1_000.0;
/// Area sown as stated, m2: a thousand square kilometres.
pub const STATED_AREA_M2: f64 = 1e9;
/// What the weights on a seed tag may sum to, percent: tags are rounded.
pub const TAG_SUM_PERCENT: f64 = 100.5;
/// Seeds in a pound; the finest known have some 500 million (memory).
pub const SEEDS_PER_LB: f64 = 1e9;
/// Weight of one seed lot, pounds.
pub const BULK_LB: f64 = 1e6;
/// Noxious kinds of a seed lot.
pub const NOXIOUS: usize = 50;
/// Height left by mowing, cm.
pub const MOWED_CM: f64 = 500.0;
/// Hours until people may go in after spraying: a year.
pub const ENTRY_AFTER_H: f64 = 8_784.0;
/// Days until grazing or haying after spraying: ten years.
pub const GRAZE_AFTER_DAYS: f64 = 3_653.0;
/// Rain of one event, mm.
pub const RAIN_MM: f64 = 2_000.0;
/// Where an outline came from, 1 to this many characters; file names are long.
pub const ORIGIN_CHARS: usize = 300;
/// Polygons of an outline, and rings of a polygon.
pub const POLYGONS: usize = 500;
/// Corners of an outline, all rings together.
pub const CORNERS: usize = 20_000;
/// Points of a plan, spares with them.
pub const PLAN_POINTS: usize = 2_000;
/// Distances of a plan: from the edge, between points, between lines, m.
pub const PLAN_DISTANCE_M: f64 = 10_000.0;
/// Density asked for by a standard, plants per m2.
pub const STANDARD_PLANTS_PER_M2: f64 = 100_000.0;
/// Growing season that a standard speaks of.
pub const SEASON: u32 = 100;
/// Taxa of a standard.
pub const STANDARD_TAXA: usize = 200;
/// Plants of one audit.
pub const AUDIT_PLANTS: usize = 10_000;
/// Questions of a set.
pub const SET_QUESTIONS: usize = 500;
/// Time allowed for a set, minutes.
pub const SET_MINUTES: f64 = 1_440.0;
/// From a question to its answer, s.
pub const PRACTICE_SECONDS: f64 = 86_400.0;
/// Cells of a drawn frame.
pub const PRACTICE_CELLS: u32 = 25;
/// Answers that a removal names singly.
pub const REMOVED_ALSO: usize = 10_000;
