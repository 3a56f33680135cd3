//! The field as a drawing: its outline and the spots, or the spots side by side.
//!
//! In: outlines and spots. Out: numbers for an SVG that the template writes, in units of its
//! viewBox; north is up.
//! A spot is a ring; the disc in it grows with what was found (its area with the share), so that
//! nothing hangs on colour. A cross: weeds that stay.
//! Not here: map tiles, colours (`report.css`).

use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Outline, OutlineOf};
use standbook_plan::{Picture, Polygon, ScaleBar};

use super::spots::Spot;

/// Width of the drawing, units.
const WIDTH: f64 = 360.0;
/// Height of the map, units.
const HEIGHT: f64 = 240.0;
/// Of it, for the bars of the scale, units.
const BARS: f64 = 24.0;
/// Kept free around it for rings, names and bars, units.
const MARGIN: f64 = 20.0;
/// Radius of a ring, units; smaller where there are many spots.
const RING: f64 = 8.0;

/// A line around something.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    /// Data of an SVG path.
    pub path: String,
    /// Class: `field`, `plot` or `out`.
    pub class: &'static str,
}

/// A spot on the map.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Mark {
    /// Middle, from the left.
    pub x: String,
    /// Middle, from the top.
    pub y: String,
    /// Radius of the ring.
    pub ring: String,
    /// Radius of the disc; empty: nothing planted was found.
    pub disc: String,
    /// Cross for weeds that stay, as an SVG path; empty: none.
    pub cross: String,
    /// Name, and what was found.
    pub name: String,
    /// What was found.
    pub found: String,
    /// Baseline of the name below the ring.
    pub name_y: String,
    /// Whether it could not be reached.
    pub unreachable: bool,
}

/// A bar of the scale.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Bar {
    /// `200 m`.
    pub label: String,
    /// Its line, as an SVG path.
    pub path: String,
    /// Where the label begins.
    pub label_x: String,
    /// Baseline of the label.
    pub label_y: String,
}

/// The map.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct FieldMap {
    /// Lines, the field's first.
    pub lines: Vec<Line>,
    /// Spots.
    pub marks: Vec<Mark>,
    /// Metres, then feet.
    pub bars: Vec<Bar>,
    /// Whether an outline of the field is known.
    pub has_outline: bool,
    /// Whether any ring is crossed.
    pub has_crosses: bool,
    /// Spots that are not on it, since nobody knows where they are.
    pub not_shown: usize,
    /// Spots shown where the plan put them.
    pub planned_only: usize,
}

/// One spot of the strip.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Column {
    /// Left side of its bar.
    pub x: String,
    /// Middle.
    pub middle: String,
    /// Width of its bar.
    pub width: String,
    /// Top of its bar.
    pub top: String,
    /// Height of its bar; `0.0` where nothing was found.
    pub height: String,
    /// Name; empty where there are too many to read.
    pub name: String,
    /// What was found.
    pub found: String,
    /// Whether nothing planted was found.
    pub none: bool,
}

/// Spots side by side, where no positions are known.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Strip {
    /// Spots, in the order in which they were visited.
    pub columns: Vec<Column>,
    /// What the top line stands for.
    pub top: String,
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Drawn {
    /// A map.
    Map(FieldMap),
    /// A strip.
    Strip(Strip),
    /// Nothing was laid.
    Nothing,
}

impl Drawn {
    /// The map, if there is one.
    pub fn map(&self) -> Option<&FieldMap> {
        match self {
            Drawn::Map(map) => Some(map),
            Drawn::Strip(_) | Drawn::Nothing => None,
        }
    }

    /// The strip, if there is one.
    pub fn strip(&self) -> Option<&Strip> {
        match self {
            Drawn::Strip(strip) => Some(strip),
            Drawn::Map(_) | Drawn::Nothing => None,
        }
    }
}

fn units(value: f64) -> String {
    format!("{value:.1}")
}

/// How full a spot is, from 0 to 1: its share of cells, or its plants beside the fullest spot.
fn fullness(spot: &Spot, fullest: f64) -> f64 {
    match (spot.share(), spot.density()) {
        (Some(share), _) => share,
        (None, Some(density)) if fullest > 0.0 => density / fullest,
        (None, _) => 0.0,
    }
}

fn fullest(spots: &[Spot]) -> f64 {
    spots.iter().filter_map(Spot::density).fold(0.0, f64::max)
}

/// Draws the spots.
pub(crate) fn draw(outlines: &[Entry<Outline>], spots: &[Spot]) -> Drawn {
    let placed = spots.iter().filter(|spot| spot.position.is_some()).count();
    if placed > 0 {
        Drawn::Map(map(outlines, spots))
    } else if spots.iter().any(|spot| spot.frames > 0) {
        Drawn::Strip(strip(spots))
    } else {
        Drawn::Nothing
    }
}

fn map(outlines: &[Entry<Outline>], spots: &[Spot]) -> FieldMap {
    let drawn: Vec<(&'static str, Polygon)> = outlines
        .iter()
        .flat_map(|outline| {
            let class = match outline.body.of {
                OutlineOf::Field => "field",
                OutlineOf::Plot(_) => "plot",
                OutlineOf::KeepOut => "out",
            };
            let polygons = outline.body.polygons.iter();
            polygons.map(move |polygon| (class, Polygon::from_rings(polygon.rings.clone())))
        })
        .collect();
    let corners = drawn.iter().flat_map(|(_, p)| p.rings().flatten().copied());
    let at = spots.iter().filter_map(|spot| spot.position);
    // The bars of the scale lie below the map.
    let picture = Picture::fit(corners.chain(at), WIDTH, HEIGHT - BARS, MARGIN);
    let fullest = fullest(spots);
    let ring = if spots.len() > 40 { RING / 2.0 } else { RING };
    let marks = spots
        .iter()
        .filter_map(|spot| Some((spot, picture.xy(spot.position?))))
        .map(|(spot, [x, y])| Mark {
            x: units(x),
            y: units(y),
            ring: units(ring),
            disc: match fullness(spot, fullest) {
                full if full > 0.0 => units((ring - 1.0) * full.clamp(0.02, 1.0).sqrt()),
                _ => String::new(),
            },
            cross: match spot.perennial_weeds {
                true => cross(x, y, ring + 3.0),
                false => String::new(),
            },
            name: spot.name.clone(),
            found: spot.found(),
            name_y: units(y + ring + 11.0),
            unreachable: !spot.unreachable.is_empty(),
        })
        .collect::<Vec<_>>();
    let mut lines: Vec<Line> = drawn
        .iter()
        .map(|(class, polygon)| Line {
            path: picture.path(polygon),
            class,
        })
        .collect();
    lines.sort_by_key(|line| line.class != "field");
    FieldMap {
        bars: vec![
            bar(picture.scale_bar_m(), HEIGHT - 17.0),
            bar(picture.scale_bar_ft(), HEIGHT - 3.0),
        ],
        has_outline: lines.iter().any(|line| line.class == "field"),
        has_crosses: marks.iter().any(|mark| !mark.cross.is_empty()),
        not_shown: spots.iter().filter(|s| s.position.is_none()).count(),
        planned_only: spots.iter().filter(|s| s.planned_only).count(),
        lines,
        marks,
    }
}

fn cross(x: f64, y: f64, reach: f64) -> String {
    let (l, r, t, b) = (x - reach, x + reach, y - reach, y + reach);
    format!("M{l:.1} {t:.1}L{r:.1} {b:.1}M{l:.1} {b:.1}L{r:.1} {t:.1}")
}

fn bar(scale: ScaleBar, y: f64) -> Bar {
    let right = 4.0 + scale.length;
    Bar {
        path: format!("M4 {:.1}V{y:.1}H{right:.1}V{:.1}", y - 4.0, y - 4.0),
        label: scale.label,
        label_x: units(right + 4.0),
        label_y: units(y),
    }
}

fn strip(spots: &[Spot]) -> Strip {
    let laid: Vec<&Spot> = spots.iter().filter(|spot| spot.frames > 0).collect();
    let fullest = fullest(spots);
    let step = (WIDTH - 16.0) / laid.len().max(1) as f64;
    let readable = laid.len() <= 24 && laid.iter().all(|s| s.name.chars().count() <= 4);
    let by_cells = laid.iter().any(|spot| spot.cells > 0);
    let columns = laid
        .iter()
        .enumerate()
        .map(|(at, spot)| {
            let left = 8.0 + step * at as f64;
            let height = 100.0 * fullness(spot, fullest).clamp(0.0, 1.0);
            Column {
                x: units(left + step * 0.15),
                middle: units(left + step / 2.0),
                width: units(step * 0.7),
                top: units(120.0 - height),
                height: units(height),
                name: if readable {
                    spot.name.clone()
                } else {
                    String::new()
                },
                found: format!("{}: {}", spot.name, spot.found()),
                none: !spot.has_planted(),
            }
        })
        .collect();
    Strip {
        columns,
        top: match by_cells {
            true => "every square".to_owned(),
            false => format!(
                "{} per ft²",
                crate::words::digits(fullest * crate::words::M2_PER_FT2)
            ),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(planted: u64, position: Option<[f64; 2]>) -> Spot {
        Spot {
            name: "1".into(),
            position,
            planned_only: false,
            uncertainty_m: None,
            frames: 2,
            planted_cells: planted,
            cells: 50,
            planted_plants: 0,
            area_m2: 0.0,
            perennial_weeds: false,
            unreachable: String::new(),
        }
    }

    #[test]
    fn an_empty_spot_has_a_ring_and_no_disc() {
        let Drawn::Map(map) = draw(
            &[],
            &[
                spot(0, Some([39.0, -96.0])),
                spot(50, Some([39.001, -96.0])),
            ],
        ) else {
            panic!("positions give a map");
        };
        assert_eq!(map.marks[0].disc, "");
        assert_eq!(map.marks[1].disc, "7.0");
        assert!(!map.has_outline);
    }

    #[test]
    fn without_positions_the_spots_stand_side_by_side() {
        let Drawn::Strip(strip) = draw(&[], &[spot(0, None), spot(25, None)]) else {
            panic!("no positions give a strip");
        };
        assert_eq!(strip.columns[1].height, "50.0");
        assert!(strip.columns[0].none && !strip.columns[1].none);
        assert!(matches!(draw(&[], &[]), Drawn::Nothing));
    }
}
