//! The numbers of a judgement as plain text: grids, counts, and whether they are enough.
//!
//! In: a judgement. Out: lines of at most 100 columns.
//! Units: shares as percent of cells, plants per m2 and per ft2.
//! Not here: verdict, thresholds and the rest (`super::say`).

use std::fmt::Write;

use standbook_judge::{PLANTED, Wish};
use standbook_stand::cluster::Estimate;
use standbook_stand::convert::Density;
use standbook_stand::summary::{Frequency, GroupOf};

use super::Said;
use super::say::{digits, interval_percent, name_of, percent};
use crate::text::{Sources, WIDTH, head, wrapped};

/// Square metres in a square foot, exact.
const M2_PER_FT2: f64 = 0.092_903_04;

/// `41.2 % (30.1 to 52.9 %)`
fn share(estimate: &Estimate) -> String {
    match &estimate.limits {
        Ok(limited) => format!(
            "{} % ({})",
            percent(estimate.value),
            interval_percent(limited.interval)
        ),
        Err(why) => format!("{} % ({why})", percent(estimate.value)),
    }
}

fn group<'g, T>(groups: &'g [GroupOf<T>], name: &str) -> Option<&'g GroupOf<T>> {
    groups.iter().find(|group| group.name == name)
}

/// Grids, counts, and how many points it takes.
pub(super) fn numbers(out: &mut String, said: &Said<'_>, cited: &mut Sources) {
    let judgement = said.judgement;
    let level = judgement.summary.confidence.level() * 100.0;
    for grid in &judgement.summary.grids {
        head(
            out,
            &format!(
                "Grid of {} cells of {} cm, {} frame(s) at {} point(s): cells with a plant ({level:.0} % interval)",
                grid.grid.cells, grid.grid.cell_side_cm, grid.frames, grid.spots
            ),
        );
        let planted = group(&grid.groups, PLANTED).filter(|_| said.has_planted);
        if let Some(planted) = planted {
            let mut ends = vec![("all planted together", &planted.low)];
            if let Some(high) = &planted.high {
                ends = vec![
                    ("all planted, no unknown among them", &planted.low),
                    ("all planted, every unknown among them", high),
                ];
            }
            for (name, found) in &ends {
                let _ = writeln!(
                    out,
                    "  {name:<40} {:>5}/{:<6} {}",
                    found.occupied,
                    found.cells,
                    share(&found.estimate)
                );
                if let Some(by_t) = found.estimate.by_t {
                    let effect = found
                        .estimate
                        .design_effect
                        .map_or_else(String::new, |effect| {
                            format!("; design effect {}", digits(effect))
                        });
                    let _ = writeln!(
                        out,
                        "  {:<53} {}{effect}",
                        "  by plain t, for comparison",
                        interval_percent(by_t)
                    );
                    if by_t.lower < 0.0 || by_t.upper > 1.0 {
                        let _ = writeln!(
                            out,
                            "    (plain t leaves 0 to 100 % here: too few points or too rare, do not use it)"
                        );
                    }
                }
            }
            for (name, found) in &ends {
                densities(out, name, found, cited);
            }
        }
        for (label, found) in &grid.labels {
            let _ = writeln!(
                out,
                "  {:<40} {:>5}/{:<6} {}",
                name_of(said, label),
                found.occupied,
                found.cells,
                share(&found.estimate)
            );
        }
        for (label, found) in grid.labels.iter().filter(|_| said.by_species) {
            densities(out, &name_of(said, label), found, cited);
        }
    }
    if let Some(quadrats) = &judgement.summary.quadrats {
        head(
            out,
            &format!(
                "Counted, {} frame(s) at {} point(s), {} m2: plants, per m2 ({level:.0} % interval), per ft2",
                quadrats.frames,
                quadrats.spots,
                digits(quadrats.area_m2)
            ),
        );
        let line = |out: &mut String, name: &str, plants: u64, estimate: &Estimate| {
            let limits = match &estimate.limits {
                Ok(limited) => format!(
                    "({} to {}), {}",
                    digits(limited.interval.lower),
                    digits(limited.interval.upper),
                    digits(estimate.value * M2_PER_FT2)
                ),
                Err(why) => format!("({why})"),
            };
            let _ = writeln!(
                out,
                "  {name:<40} {plants:>7}     {} {limits}",
                digits(estimate.value)
            );
        };
        if let Some(planted) = group(&quadrats.groups, PLANTED).filter(|_| said.has_planted) {
            match &planted.high {
                None => line(
                    out,
                    "all planted together",
                    planted.low.plants,
                    &planted.low.estimate,
                ),
                Some(high) => {
                    line(
                        out,
                        "all planted, no unknown among them",
                        planted.low.plants,
                        &planted.low.estimate,
                    );
                    line(
                        out,
                        "all planted, every unknown among them",
                        high.plants,
                        &high.estimate,
                    );
                }
            }
        }
        for (label, found) in &quadrats.labels {
            line(out, &name_of(said, label), found.plants, &found.estimate);
        }
    }
    let enough = &judgement.enough;
    for (wish, to) in [
        (&enough.frequency, "to within 10 points of frequency"),
        (&enough.density, "to within a quarter of the density"),
    ] {
        match wish {
            Some(Wish::Needs(needed)) if said.has_planted => wrapped(
                out,
                "  ",
                "  ",
                &format!(
                    "Enough? To know all planted {to} takes {} points, {} more than now.",
                    needed.total, needed.further
                ),
            ),
            Some(Wish::CannotSay(why)) if said.has_planted => {
                wrapped(
                    out,
                    "  ",
                    "  ",
                    &format!("Enough? It can't be said how many points it takes {to}: {why}."),
                );
            }
            _ => {}
        }
    }
}

/// Plants per area by every conversion.
fn densities(out: &mut String, name: &str, found: &Frequency, cited: &mut Sources) {
    let _ = writeln!(out, "  plants per m2 (per ft2), {name}:");
    for rule in &found.densities {
        let mark = cited.mark(rule.rule.source().citation);
        let line = format!(
            "    {:<38} {}{mark}",
            rule.rule.name(),
            density(&rule.density)
        );
        match line.chars().count() > WIDTH {
            true => wrapped(out, "    ", "      ", &line),
            false => {
                let _ = writeln!(out, "{line}");
            }
        }
    }
}

fn density(
    density: &Result<standbook_stand::convert::Converted, standbook_stand::convert::ConvertError>,
) -> String {
    let one = |value: Density| match value {
        Density::About(m2) => format!("{} ({})", digits(m2), digits(m2 * M2_PER_FT2)),
        Density::AtLeast(m2) => {
            format!("at least {} ({})", digits(m2), digits(m2 * M2_PER_FT2))
        }
    };
    match density {
        Ok(converted) => match converted.limits {
            Some((lower, upper)) => format!(
                "{}, from {} to {}",
                one(converted.estimate),
                one(lower),
                one(upper)
            ),
            None => one(converted.estimate),
        },
        Err(why) => format!("none: {why}"),
    }
}
