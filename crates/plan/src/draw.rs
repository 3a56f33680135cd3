//! Points to look at, drawn by chance from a seed.
//!
//! In: ground, a design, how many, a seed. Out: points in the order of their numbers, then spares.
//! The same input gives the same points for ever.
//!
//! Units: m, degrees WGS 84, bearings in degrees clockwise from north.
//!
//! Source: see `halton` for balanced points, `lattice` for grids and lines. Where a grid has more
//! points than wanted, the excess is dropped at random and comes back in reverse order (Colorado's
//! layout practice): the same as keeping the head of one random order and going on in it.
//!
//! Any first part of the drawn order is a fair sample of the whole: of balanced and grid points
//! after each point, of lines after each whole line. With plots, points of all plots are mixed so
//! that every first part has about the plots' shares.
//!
//! Not here: what can be asked for (`request`), the way from point to point (`walk`).

use crate::chance::Chance;
use crate::flat::Metres;
use crate::lattice::{self, Candidate};
use crate::request::{Design, Draw, DrawError, DrawnPoint, MOST_POINTS, Points, Request};
use crate::share::share_out;
use crate::{Ground, halton};

/// Starts tried before the ground counts as too small a part of its box.
const MOST_STARTS: u32 = 50_000;
/// Starts tried before it is asked whether there is room at all.
const STARTS_IN_HOPE: u32 = 500;
/// Steps of the sequence taken at most.
const MOST_STEPS: u64 = 500_000;
/// The start of a balanced draw is below this in each direction: finer than a micrometre in a box
/// of 1 km.
const START_BITS: u32 = 31;
/// Streams of chance: 0 starts a lattice, 1 mixes plots, 2 a bearing, 16 and on the plots.
const STREAM_MIX: u64 = 1;
const STREAM_BEARING: u64 = 2;
const STREAM_PLOT: u64 = 16;

/// Ground that is drawn from by itself: a plot, or all of it.
struct Stratum {
    plot: Option<usize>,
    /// Points to walk; `None`: all there are.
    points: Option<u32>,
    spares: u32,
}

/// Draws points.
///
/// # Errors
/// A request that makes no sense, and ground too small for it, with what would fit.
pub fn draw(ground: &Ground, request: &Request) -> Result<Draw, DrawError> {
    check(request)?;
    let strata = strata(ground, request)?;
    let (seed, lines) = (
        request.seed,
        matches!(request.design, Design::Transects { .. }),
    );
    let drawn = match request.design {
        Design::Balanced => strata
            .iter()
            .map(|stratum| balanced(ground, stratum, seed))
            .collect::<Result<_, _>>()?,
        Design::Grid { spacing_m } => {
            let all =
                lattice::grid(ground, spacing_m, seed).map_err(|e| too_fine(&e, spacing_m))?;
            some_of(ground, &strata, all, seed)?
        }
        Design::Transects {
            apart_m,
            step_m,
            bearing_deg,
        } => {
            let all = lattice::lines(ground, apart_m, step_m, bearing_deg, seed)
                .map_err(|e| too_fine(&e, apart_m.min(step_m)))?;
            some_of(ground, &strata, all, seed)?
        }
    };
    Ok(mix(ground, &strata, drawn, lines, seed))
}

/// A direction for transects by chance, whole degrees clockwise from north, 0 to 179.
pub fn random_bearing_deg(seed: u32) -> f64 {
    f64::from(Chance::new(seed, STREAM_BEARING).below(180))
}

/// The spacing of a square grid that gives about `points` points on the ground left, m, rounded
/// down to 0.1 m; 0 where no ground is left.
pub fn spacing_for_m(ground: &Ground, points: u32) -> f64 {
    let left_m2: f64 = ground.left_m2().iter().sum();
    ((left_m2.max(0.0) / f64::from(points.max(1))).sqrt() * 10.0).floor() / 10.0
}

/// Refuses a request that no ground could fill.
fn check(request: &Request) -> Result<(), DrawError> {
    let distance = |m: f64| {
        if m.is_finite() && m > 0.0 {
            Ok(())
        } else {
            Err(DrawError::Distance(m))
        }
    };
    match request.design {
        Design::Balanced if request.points == Points::All => return Err(DrawError::HowMany),
        Design::Balanced => {}
        Design::Grid { spacing_m } => distance(spacing_m)?,
        Design::Transects {
            apart_m,
            step_m,
            bearing_deg,
        } => {
            distance(apart_m)?;
            distance(step_m)?;
            if !bearing_deg.is_finite() {
                return Err(DrawError::Bearing(bearing_deg));
            }
        }
    }
    let points: u64 = match &request.points {
        Points::All => return Ok(()),
        Points::Total(n) => u64::from(*n),
        Points::EachPlot(each) => each.iter().map(|&n| u64::from(n)).sum(),
    };
    if points == 0 {
        return Err(DrawError::NoPoints);
    }
    let asked = points + u64::from(request.spares);
    if asked > u64::from(MOST_POINTS) {
        return Err(DrawError::TooMany { asked });
    }
    Ok(())
}

/// Shares points and spares out.
fn strata(ground: &Ground, request: &Request) -> Result<Vec<Stratum>, DrawError> {
    let plots = ground.n_plots();
    let each: Vec<u32> = match &request.points {
        Points::EachPlot(each) if each.len() == plots => each.clone(),
        Points::EachPlot(each) => {
            return Err(DrawError::PlotNumbers {
                given: each.len(),
                plots,
            });
        }
        Points::Total(n) if plots == 0 => {
            return Ok(vec![Stratum {
                plot: None,
                points: Some(*n),
                spares: request.spares,
            }]);
        }
        Points::Total(n) => {
            if (*n as usize) < plots {
                return Err(DrawError::FewerThanPlots { points: *n, plots });
            }
            let left_m2 = ground.left_m2();
            if let Some(plot) = left_m2.iter().position(|&m2| m2 <= 0.0) {
                ground.check_room()?;
                return Err(DrawError::NoRoomInPlot {
                    plot: plot + 1,
                    edge_m: ground.edge_m,
                });
            }
            share_out(*n, &left_m2, 1)
        }
        Points::All if plots == 0 => {
            return Ok(vec![Stratum {
                plot: None,
                points: None,
                spares: 0,
            }]);
        }
        Points::All => {
            return Ok((0..plots)
                .map(|plot| Stratum {
                    plot: Some(plot),
                    points: None,
                    spares: 0,
                })
                .collect());
        }
    };
    let weights: Vec<f64> = each.iter().map(|&n| f64::from(n)).collect();
    let spares = share_out(request.spares, &weights, 0);
    Ok((0..plots)
        .map(|plot| Stratum {
            plot: Some(plot),
            points: Some(each[plot]),
            spares: spares[plot],
        })
        .collect())
}

fn stream(plot: Option<usize>) -> u64 {
    STREAM_PLOT + plot.map_or(0, |p| p as u64 + 1)
}

fn in_plot(ground: &Ground, plot: Option<usize>, at: Metres) -> bool {
    plot.is_none() || ground.plot_at(at) == plot
}

/// Ground left in a stratum, m2.
fn left_m2(ground: &Ground, plot: Option<usize>) -> f64 {
    ground
        .left_m2()
        .get(plot.unwrap_or(0))
        .copied()
        .unwrap_or(0.0)
}

/// A balanced draw in one stratum. The start is drawn again until its first point is on the
/// ground: only so has every spot the same chance to be the first (Robertson et al. 2017, A
/// modification of balanced acceptance sampling; memory).
fn balanced(ground: &Ground, stratum: &Stratum, seed: u32) -> Result<Vec<Candidate>, DrawError> {
    let wanted = stratum.points.unwrap_or(0) + stratum.spares;
    if wanted == 0 {
        return Ok(Vec::new());
    }
    let mut bounds = ground.field.bounds();
    if let Some(plot) = stratum.plot {
        let plot = ground.plots[plot].bounds();
        bounds = [
            bounds[0].max(plot[0]),
            bounds[1].max(plot[1]),
            bounds[2].min(plot[2]),
            bounds[3].min(plot[3]),
        ];
    }
    let allowed = |at: Metres| ground.allows(at) && in_plot(ground, stratum.plot, at);
    let mut chance = Chance::new(seed, stream(stratum.plot));
    let mut found = Vec::new();
    if bounds[0] < bounds[2] && bounds[1] < bounds[3] {
        for tried in 0..MOST_STARTS {
            if tried == STARTS_IN_HOPE {
                ground.check_room()?;
            }
            let start = [0, 1].map(|_| u64::from(chance.word() >> (32 - START_BITS)));
            if allowed(halton::in_box(start, bounds)) {
                found = halton::run(start, bounds, wanted as usize, MOST_STEPS, allowed);
                break;
            }
        }
    }
    if found.len() == wanted as usize {
        return Ok(found
            .into_iter()
            .map(|(_, at)| Candidate { at, line: 0 })
            .collect());
    }
    ground.check_room()?;
    match stratum.plot {
        Some(plot) if found.is_empty() => Err(DrawError::NoRoomInPlot {
            plot: plot + 1,
            edge_m: ground.edge_m,
        }),
        _ => Err(DrawError::TooThin {
            found: found.len(),
            wanted,
            left_m2: left_m2(ground, stratum.plot),
        }),
    }
}

fn too_fine(fine: &lattice::TooFine, distance_m: f64) -> DrawError {
    // Aim at a tenth of what is drawn at most, counted in the box.
    let times = (fine.0 / (f64::from(MOST_POINTS) / 2.0)).sqrt();
    DrawError::TooFine {
        points: fine.0,
        least_m: (distance_m * times).max(0.1),
    }
}

/// For each stratum as many of a lattice's points as wanted, by chance, then its spares.
fn some_of(
    ground: &Ground,
    strata: &[Stratum],
    all: Vec<Candidate>,
    seed: u32,
) -> Result<Vec<Vec<Candidate>>, DrawError> {
    let mut by_stratum: Vec<Vec<Candidate>> = strata.iter().map(|_| Vec::new()).collect();
    for candidate in all {
        let stratum = match strata {
            [only] if only.plot.is_none() => Some(0),
            _ => ground.plot_at(candidate.at),
        };
        if let Some(stratum) = stratum {
            by_stratum[stratum].push(candidate);
        }
    }
    let mut total = 0;
    for (stratum, found) in strata.iter().zip(&mut by_stratum) {
        Chance::new(seed, stream(stratum.plot)).shuffle(found);
        let wanted = stratum.points.unwrap_or(found.len() as u32);
        // A plot may be too small for any point of a lattice; a field may not.
        let least = if stratum.plot.is_none() {
            wanted.max(1)
        } else {
            wanted
        };
        if found.len() < least as usize {
            ground.check_room()?;
            return Err(DrawError::TooFew {
                plot: stratum.plot.map(|p| p + 1),
                found: found.len(),
                wanted: least,
                left_m2: left_m2(ground, stratum.plot),
                // A little less than enough on average, since a lattice by chance may fall short.
                times: (0.8 * (found.len().max(1) as f64 / f64::from(least)).sqrt()).min(0.9),
            });
        }
        found.truncate((wanted + stratum.spares) as usize);
        total += found.len() as u64;
    }
    if total == 0 {
        ground.check_room()?;
        return Err(DrawError::TooFew {
            plot: None,
            found: 0,
            wanted: 1,
            left_m2: ground.left_m2().iter().sum(),
            times: 0.5,
        });
    }
    if total > u64::from(MOST_POINTS) {
        return Err(DrawError::TooMany { asked: total });
    }
    Ok(by_stratum)
}

/// Puts strata together: points first, then spares.
fn mix(
    ground: &Ground,
    strata: &[Stratum],
    drawn: Vec<Vec<Candidate>>,
    lines: bool,
    seed: u32,
) -> Draw {
    let mut chance = Chance::new(seed, STREAM_MIX);
    let (mut points, mut spares) = (Vec::new(), Vec::new());
    for (index, (stratum, found)) in strata.iter().zip(drawn).enumerate() {
        let wanted = stratum.points.map_or(found.len(), |n| n as usize);
        let n_spares = found.len().saturating_sub(wanted);
        // Every stratum spreads its points evenly over the whole order, from a start by chance.
        let shift = chance.unit();
        for (i, candidate) in found.into_iter().enumerate() {
            let (list, rank, of) = if i < wanted {
                (&mut points, i, wanted)
            } else {
                (&mut spares, i - wanted, n_spares)
            };
            list.push(((rank as f64 + shift) / of as f64, index, candidate));
        }
    }
    let by_rank = |a: &(f64, usize, Candidate), b: &(f64, usize, Candidate)| {
        a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))
    };
    points.sort_by(by_rank);
    spares.sort_by(by_rank);
    if lines {
        // Within a line the shuffle has lost the order of the points: it is that of the ground.
        points.sort_by(|a, b| {
            a.2.line
                .cmp(&b.2.line)
                .then(a.2.at[0].total_cmp(&b.2.at[0]))
                .then(a.2.at[1].total_cmp(&b.2.at[1]))
        });
    }
    let point = |spare: bool| {
        move |(_, index, candidate): (f64, usize, Candidate)| DrawnPoint {
            corner: ground.frame.to_corner(candidate.at),
            plot: strata[index].plot,
            line: (candidate.line > 0).then_some(candidate.line),
            spare,
        }
    };
    Draw {
        points: points
            .into_iter()
            .map(point(false))
            .chain(spares.into_iter().map(point(true)))
            .collect(),
    }
}

#[cfg(test)]
#[path = "draw_tests.rs"]
mod tests;
