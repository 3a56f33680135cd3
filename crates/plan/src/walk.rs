//! A short way over points.
//!
//! In: points in drawn order, a start. Out: the order to walk them in and its length in m, along
//! straight lines in the flat frame; fences, water and hills are not known here.
//!
//! Method: nearest next, then improved by turning stretches round (2-opt) and moving up to three
//! points (or-opt) until nothing helps; for 60 points or fewer the same from several first ways, the drawn one among them;
//! the shortest stays. No
//! chance in it: the same points give the same way. Source: common practice for short tours.
//!
//! How it relates to the drawn order: a rule that says *enough* looks at points in the order in
//! which they were drawn. [`walk`] breaks that order, so it must be walked to its end;
//! [`walk_in_blocks`] keeps it block by block, so one may stop after any block.

use crate::flat::Metres;
use crate::{Corner, Frame};

/// Pairs looked at in one improvement, so that 5,000 points take two seconds, not minutes.
const MOST_PAIRS: usize = 50_000_000;
/// Above this many points one first way is improved, not five: improving takes the time.
const MANY_POINTS: usize = 60;

/// A way over points.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// Indices into the points given, in walking order; each once.
    pub order: Vec<usize>,
    /// Length of straight lines from the start, where given, over all points, m.
    pub length_m: f64,
}

impl Walk {
    /// For each point given its place in the walk, from 1.
    pub fn places(&self) -> Vec<u32> {
        let mut places = vec![0; self.order.len()];
        for (place, &index) in self.order.iter().enumerate() {
            places[index] = u32::try_from(place + 1).unwrap_or(u32::MAX);
        }
        places
    }
}

/// The points in the order given, with the length of that way.
pub fn as_drawn(points: &[Corner], start: Option<Corner>) -> Walk {
    let (flat, start) = flatten(points, start);
    let order: Vec<usize> = (0..points.len()).collect();
    Walk {
        length_m: length_m(&flat, start, &order),
        order,
    }
}

/// A short open way over all points. From `start` where given, else from whichever point suits.
/// Never longer than the order given. Do not stop in the middle of it: what is left is then all
/// on one side of the field. For a walk that may be stopped see [`walk_in_blocks`].
pub fn walk(points: &[Corner], start: Option<Corner>) -> Walk {
    walk_in_groups(points, &[points.len()], start)
}

/// A short way that may be stopped after any block: the first `block` points drawn in a good
/// order, then the next `block`, each block from where the last one ended. What has been walked
/// after a block is then the same as if the points had been walked as drawn, which is what a rule
/// that says *enough* asks for. `block` 0 is taken as 1. Never longer than the order given.
pub fn walk_in_blocks(points: &[Corner], block: usize, start: Option<Corner>) -> Walk {
    let block = block.max(1);
    let sizes = vec![block; points.len().div_ceil(block)];
    walk_in_groups(points, &sizes, start)
}

/// As [`walk_in_blocks`] with blocks of these sizes, such as the points of each transect (see
/// [`Draw::fair_blocks`](crate::Draw::fair_blocks)); points beyond them make a last block.
pub fn walk_in_groups(points: &[Corner], sizes: &[usize], start: Option<Corner>) -> Walk {
    let drawn = as_drawn(points, start);
    let (flat, start) = flatten(points, start);
    let mut order = Vec::with_capacity(flat.len());
    let mut from = start;
    for &size in sizes.iter().chain(std::iter::once(&flat.len())) {
        let begin = order.len();
        let end = begin.saturating_add(size).min(flat.len());
        if begin == end {
            continue;
        }
        let block: Vec<usize> = (begin..end).collect();
        order.extend(short_way(&flat, from, block));
        from = order.last().map(|&i| flat[i]);
    }
    let length_m = length_m(&flat, start, &order);
    if length_m < drawn.length_m {
        Walk { order, length_m }
    } else {
        drawn
    }
}

fn flatten(points: &[Corner], start: Option<Corner>) -> (Vec<Metres>, Option<Metres>) {
    let frame = Frame::around(points.iter().copied()).unwrap_or(Frame::at([0.0, 0.0]));
    (
        points.iter().map(|&p| frame.to_metres(p)).collect(),
        start.map(|s| frame.to_metres(s)),
    )
}

fn between_m(a: Metres, b: Metres) -> f64 {
    // Not `hypot`, whose care for huge numbers takes most of the time here.
    let (dx, dy) = (a[0] - b[0], a[1] - b[1]);
    (dx * dx + dy * dy).sqrt()
}

fn length_m(flat: &[Metres], start: Option<Metres>, order: &[usize]) -> f64 {
    let first = match (start, order.first()) {
        (Some(start), Some(&first)) => between_m(start, flat[first]),
        _ => 0.0,
    };
    let steps = order.windows(2).map(|w| between_m(flat[w[0]], flat[w[1]]));
    first + steps.sum::<f64>()
}

/// The shortest way found over `block`, from `from` where given.
fn short_way(flat: &[Metres], from: Option<Metres>, block: Vec<usize>) -> Vec<usize> {
    let mut firsts: Vec<usize> = match from {
        Some(from) => block
            .iter()
            .copied()
            .min_by(|&a, &b| between_m(from, flat[a]).total_cmp(&between_m(from, flat[b])))
            .into_iter()
            .collect(),
        // A free end is best put at the rim.
        None => [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]]
            .iter()
            .filter_map(|way| {
                let reach = |i: usize| flat[i][0] * way[0] + flat[i][1] * way[1];
                block
                    .iter()
                    .copied()
                    .max_by(|&a, &b| reach(a).total_cmp(&reach(b)))
            })
            .collect(),
    };
    firsts.dedup();
    let many = block.len() > MANY_POINTS;
    if many {
        firsts.truncate(1);
    }
    let mut ways: Vec<Vec<usize>> = firsts
        .into_iter()
        .map(|first| nearest_next(flat, first, &block))
        .collect();
    if !many {
        ways.push(block);
    }
    for way in &mut ways {
        improve(flat, from, way);
    }
    ways.into_iter()
        .min_by(|a, b| length_m(flat, from, a).total_cmp(&length_m(flat, from, b)))
        .unwrap_or_default()
}

fn nearest_next(flat: &[Metres], first: usize, block: &[usize]) -> Vec<usize> {
    let mut rest: Vec<usize> = block.iter().copied().filter(|&i| i != first).collect();
    let mut way = vec![first];
    let mut at = first;
    while let Some(next) = (0..rest.len()).min_by(|&a, &b| {
        between_m(flat[at], flat[rest[a]]).total_cmp(&between_m(flat[at], flat[rest[b]]))
    }) {
        at = rest.remove(next);
        way.push(at);
    }
    way
}

/// Improves a way until nothing helps or the pairs are used up.
fn improve(flat: &[Metres], from: Option<Metres>, way: &mut Vec<usize>) {
    let n = way.len();
    let mut pairs = 0;
    while pairs < MOST_PAIRS && (turn_round(flat, from, way) | move_some(flat, from, way)) {
        pairs += n * n;
    }
}

/// Length of the step into position `i` of a way; 0 where there is none.
fn step_m(flat: &[Metres], before: Option<Metres>, after: Option<usize>) -> f64 {
    match (before, after) {
        (Some(before), Some(after)) => between_m(before, flat[after]),
        _ => 0.0,
    }
}

/// A gain below this is rounding, m.
const GAIN_M: f64 = 1e-9;

/// Turns stretches round where that makes the way shorter; says whether it did.
fn turn_round(flat: &[Metres], from: Option<Metres>, way: &mut [usize]) -> bool {
    let mut better = false;
    for i in 0..way.len() {
        let before = if i == 0 { from } else { Some(flat[way[i - 1]]) };
        for j in i + 1..way.len() {
            let after = way.get(j + 1).copied();
            let old = step_m(flat, before, Some(way[i])) + step_m(flat, Some(flat[way[j]]), after);
            let new = step_m(flat, before, Some(way[j])) + step_m(flat, Some(flat[way[i]]), after);
            if new < old - GAIN_M {
                way[i..=j].reverse();
                better = true;
            }
        }
    }
    better
}

/// Moves one to three points that follow each other where that makes the way shorter, either way
/// round; says whether it did.
fn move_some(flat: &[Metres], from: Option<Metres>, way: &mut Vec<usize>) -> bool {
    let mut better = false;
    for size in 1..=3usize {
        let mut i = 0;
        while i + size < way.len() + 1 && size < way.len() {
            let before = if i == 0 { from } else { Some(flat[way[i - 1]]) };
            let (first, last) = (way[i], way[i + size - 1]);
            let after = way.get(i + size).copied();
            let taken = step_m(flat, before, Some(first)) + step_m(flat, Some(flat[last]), after)
                - step_m(flat, before, after);
            let mut best: Option<(f64, usize, bool)> = None;
            // Between the points that are left, `k` is the one that would follow.
            for k in (0..i).chain(i + size + 1..way.len() + 1) {
                let left = if k == 0 { from } else { Some(flat[way[k - 1]]) };
                let right = way.get(k).copied();
                let open = step_m(flat, left, right);
                for (a, b, back) in [(first, last, false), (last, first, true)] {
                    let put =
                        step_m(flat, left, Some(a)) + step_m(flat, Some(flat[b]), right) - open;
                    let gain = taken - put;
                    if gain > GAIN_M && best.is_none_or(|(most, _, _)| gain > most) {
                        best = Some((gain, k, back));
                    }
                }
            }
            if let Some((_, k, back)) = best {
                let mut moved: Vec<usize> = way.drain(i..i + size).collect();
                if back {
                    moved.reverse();
                }
                let k = if k > i { k - size } else { k };
                way.splice(k..k, moved);
                better = true;
            }
            i += 1;
        }
    }
    better
}

#[cfg(test)]
#[path = "walk_tests.rs"]
mod tests;
