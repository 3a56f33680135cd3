//! Makes a ring of a line that was walked or drawn around a field.
//!
//! In: a line in degrees. Out: a ring with what was done to it in words, or nothing where the ends
//! are far apart.
//!
//! Method: ends are near when the gap is a tenth of the line or less. Of a recorded track, points
//! less than 1 m from the last one kept are noise of standing still and are dropped, and small
//! loops, where receiver noise or an overlap at the start made the track cross itself, are cut off:
//! the smaller side goes when it is a twentieth of the larger or less. Larger loops stay, for the
//! check to name.
//!
//! Source: common practice.

use crate::check::each_crossing;
use crate::flat::Metres;
use crate::{Corner, Frame, distance_m};

/// The largest gap that is closed, as a share of the length of the line.
const GAP_PART: f64 = 0.1;
/// Points of a track nearer than this to the last are noise, m.
const NOISE_M: f64 = 1.0;
/// The largest loop that is cut off, as a share of the rest.
const LOOP_PART: f64 = 0.05;
/// Loops cut off at most.
const MOST_LOOPS: usize = 200;
/// Crossings weighed at most: a scribble is not worth more time.
const MOST_CROSSINGS: usize = 2_000;

/// A closed ring and what was done to get it.
pub(crate) struct Ring {
    pub(crate) corners: Vec<Corner>,
    /// Words for the person, without a full stop; may be empty.
    pub(crate) notes: Vec<String>,
}

/// Closes a line whose ends are near; `recorded` says that it is a track of a receiver.
pub(crate) fn close(line: &[Corner], recorded: bool) -> Option<Ring> {
    let mut corners = line.to_vec();
    corners.dedup();
    let (first, last) = (*corners.first()?, *corners.last()?);
    let length_m: f64 = corners.windows(2).map(|w| distance_m(w[0], w[1])).sum();
    let gap_m = distance_m(first, last);
    if corners.len() < 3 || !length_m.is_finite() || gap_m > GAP_PART * length_m {
        return None;
    }
    let mut notes = Vec::new();
    if gap_m >= 0.5 {
        notes.push(format!("closed over a gap of {gap_m:.0} m"));
    }
    while corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    if recorded {
        let before = corners.len();
        let mut kept: Vec<Corner> = Vec::with_capacity(before);
        for corner in corners {
            if kept
                .last()
                .is_none_or(|&last| distance_m(last, corner) >= NOISE_M)
            {
                kept.push(corner);
            }
        }
        if kept.len() > 3 && distance_m(kept[0], kept[kept.len() - 1]) < NOISE_M {
            kept.pop();
        }
        if kept.len() < before {
            notes.push(format!(
                "{} of {before} points stood less than {NOISE_M} m from the one before and were left out",
                before - kept.len()
            ));
        }
        let (untied, loops) = untie(kept);
        corners = untied;
        if loops > 0 {
            notes.push(format!("{loops} small loops were cut off"));
        }
    }
    (corners.len() >= 3).then_some(Ring { corners, notes })
}

/// Cuts small loops off; says how many.
fn untie(corners: Vec<Corner>) -> (Vec<Corner>, usize) {
    let Some(frame) = Frame::around(corners.iter().copied()) else {
        return (corners, 0);
    };
    let mut ring: Vec<Metres> = corners.iter().map(|&c| frame.to_metres(c)).collect();
    let mut crossings = 0;
    let mut loops = 0;
    while loops < MOST_LOOPS {
        let mut cut = None;
        each_crossing(&ring, |side, other, at| {
            crossings += 1;
            let mut inner = ring[side + 1..=other].to_vec();
            inner.push(at);
            let mut outer = ring[..=side].to_vec();
            outer.push(at);
            outer.extend_from_slice(&ring[other + 1..]);
            inner.dedup();
            outer.dedup();
            let (inner_m2, outer_m2) = (flat_m2(&inner), flat_m2(&outer));
            if inner_m2 <= LOOP_PART * outer_m2 {
                cut = Some(outer);
            } else if outer_m2 <= LOOP_PART * inner_m2 {
                cut = Some(inner);
            }
            cut.is_none() && crossings < MOST_CROSSINGS
        });
        match cut {
            Some(shorter) if shorter.len() <= ring.len() => ring = shorter,
            _ => break,
        }
        loops += 1;
    }
    if loops == 0 {
        return (corners, 0);
    }
    (
        ring.into_iter().map(|at| frame.to_corner(at)).collect(),
        loops,
    )
}

/// Area of a ring in the flat frame, 0 or more.
fn flat_m2(ring: &[Metres]) -> f64 {
    let n = ring.len();
    let twice: f64 = (0..n)
        .map(|i| (ring[i], ring[(i + 1) % n]))
        .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
        .sum();
    twice.abs() / 2.0
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::chance::Chance;
    use crate::{Area, Polygon};

    /// A walk around a rectangle of 400 x 200 m that ends 12 m past its start, a point every 2 m,
    /// each off by up to 1.5 m, and a rest of 60 points at a corner.
    fn track() -> Vec<Corner> {
        let frame = Frame::at([40.0, -96.0]);
        let mut chance = Chance::new(1, 0);
        let mut out = Vec::new();
        for i in 0..606 {
            let along = f64::from(i) * 2.0;
            let at = match along {
                a if a < 400.0 => [a, 0.0],
                a if a < 600.0 => [400.0, a - 400.0],
                a if a < 1_000.0 => [1_000.0 - a, 200.0],
                a if a < 1_200.0 => [0.0, 1_200.0 - a],
                a => [a - 1_200.0, 0.0],
            };
            for _ in 0..if i == 200 { 60 } else { 1 } {
                out.push(frame.to_corner([
                    at[0] + 3.0 * chance.unit() - 1.5,
                    at[1] + 3.0 * chance.unit() - 1.5,
                ]));
            }
        }
        out
    }

    #[test]
    fn a_noisy_track_becomes_a_sound_field() {
        let ring = close(&track(), true).unwrap();
        assert!(
            ring.notes.iter().any(|n| n.contains("loops")),
            "{:?}",
            ring.notes
        );
        let area = Area::new(vec![Polygon {
            outer: ring.corners,
            holes: Vec::new(),
        }])
        .unwrap();
        let area_m2 = area.measure().area_m2;
        assert!((area_m2 / 80_000.0 - 1.0).abs() < 0.01, "{area_m2}");
    }

    #[test]
    fn ends_far_apart_stay_apart() {
        let frame = Frame::at([40.0, -96.0]);
        let line =
            [[0.0, 0.0], [400.0, 0.0], [400.0, 200.0], [0.0, 200.0]].map(|c| frame.to_corner(c));
        assert!(close(&line, true).is_none());
        assert!(close(&line[..2], false).is_none());
        assert!(close(&[], true).is_none());
    }

    #[test]
    fn a_large_loop_is_left_for_the_check() {
        let frame = Frame::at([40.0, -96.0]);
        let eight = [
            [0.0, 0.0],
            [200.0, 200.0],
            [200.0, 0.0],
            [0.0, 200.0],
            [0.0, 5.0],
        ]
        .map(|c| frame.to_corner(c));
        let ring = close(&eight, true).unwrap();
        assert_eq!(ring.corners.len(), 5);
        assert!(!ring.notes.iter().any(|n| n.contains("loops")));
    }
}
