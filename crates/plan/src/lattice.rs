//! Every point of a grid or of parallel lines that falls on allowed ground.
//!
//! In: ground, distances in m, chance for the start. Out: all allowed points with their line.
//!
//! Source: a grid with a random start is Colorado's layout practice; lines with a start by chance
//! on each are common practice. Each spot of the ground has the same chance to be a point, short
//! lines in corners included: on a line shorter than a step there is a point as often as its
//! length is a part of the step.

use crate::Ground;
use crate::chance::Chance;
use crate::flat::Metres;

/// Points of a lattice looked at, inside or not.
const MOST_LOOKED_AT: f64 = 2_000_000.0;

/// One allowed point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Candidate {
    pub(crate) at: Metres,
    /// Its line, from 1 in an order by chance; 0 on a grid.
    pub(crate) line: u32,
}

/// A lattice too fine to be looked at; how many points its box would have.
pub(crate) struct TooFine(pub(crate) f64);

/// A square grid, north up.
pub(crate) fn grid(ground: &Ground, spacing_m: f64, seed: u32) -> Result<Vec<Candidate>, TooFine> {
    let [west, south, east, north] = ground.field.bounds();
    let columns = (east - west) / spacing_m;
    let rows = (north - south) / spacing_m;
    if (columns + 1.0) * (rows + 1.0) > MOST_LOOKED_AT {
        return Err(TooFine(columns * rows));
    }
    let mut chance = Chance::new(seed, 0);
    let (x0, y0) = (chance.unit() * spacing_m, chance.unit() * spacing_m);
    let mut found = Vec::new();
    for row in steps(north - south - y0, spacing_m) {
        for column in steps(east - west - x0, spacing_m) {
            let at = [
                west + x0 + f64::from(column) * spacing_m,
                south + y0 + f64::from(row) * spacing_m,
            ];
            if ground.allows(at) {
                found.push(Candidate { at, line: 0 });
            }
        }
    }
    Ok(found)
}

/// Parallel lines. Points come line by line, along each in its direction; lines in an order by
/// chance, so that the first few of them are a fair sample of all.
pub(crate) fn lines(
    ground: &Ground,
    apart_m: f64,
    step_m: f64,
    bearing_deg: f64,
    seed: u32,
) -> Result<Vec<Candidate>, TooFine> {
    let [west, south, east, north] = ground.field.bounds();
    let (sin, cos) = bearing_deg.to_radians().sin_cos();
    let along = |p: Metres| p[0] * sin + p[1] * cos;
    let across = |p: Metres| p[0] * cos - p[1] * sin;
    let corners = [[west, south], [west, north], [east, south], [east, north]];
    let ends = |axis: &dyn Fn(Metres) -> f64| {
        corners
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &c| {
                (low.min(axis(c)), high.max(axis(c)))
            })
    };
    let (along_low, along_high) = ends(&along);
    let (across_low, across_high) = ends(&across);
    let (n_lines, n_steps) = (
        (across_high - across_low) / apart_m,
        (along_high - along_low) / step_m,
    );
    if (n_lines + 1.0) * (n_steps + 1.0) > MOST_LOOKED_AT {
        return Err(TooFine(n_lines * n_steps));
    }
    let mut chance = Chance::new(seed, 0);
    let first_line = chance.unit() * apart_m;
    let mut lines: Vec<Vec<Candidate>> = Vec::new();
    for line in steps(across_high - across_low - first_line, apart_m) {
        let c = across_low + first_line + f64::from(line) * apart_m;
        let first_step = chance.unit() * step_m;
        let points: Vec<Candidate> = steps(along_high - along_low - first_step, step_m)
            .map(|step| {
                let a = along_low + first_step + f64::from(step) * step_m;
                Candidate {
                    at: [a * sin + c * cos, a * cos - c * sin],
                    line: 0,
                }
            })
            .filter(|candidate| ground.allows(candidate.at))
            .collect();
        if !points.is_empty() {
            lines.push(points);
        }
    }
    chance.shuffle(&mut lines);
    let mut found = Vec::new();
    for (number, line) in (1..).zip(lines) {
        found.extend(line.into_iter().map(|c| Candidate { line: number, ..c }));
    }
    Ok(found)
}

/// 0, 1, 2 ... for as long as a step of `step_m` stays within `room_m`; none when there is no room.
fn steps(room_m: f64, step_m: f64) -> impl Iterator<Item = u32> {
    let n = if room_m >= 0.0 {
        (room_m / step_m).floor() as u32 + 1
    } else {
        0
    };
    0..n
}
