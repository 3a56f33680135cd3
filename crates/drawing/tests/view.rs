//! The mark on a specimen: it lies where drawings of a trait's states differ, not where a table says.

use standbook_drawing::{Drawing, Shown, View};
use standbook_key::LeafStage;

const STAGE: LeafStage = LeafStage::FewLeaves;

/// Traits that a view draws, each with two states that differ there.
const DRAWN: [(View, &str, &str, &str); 27] = [
    (View::Base, "tiller_base", "round", "strongly_flattened"),
    (View::Base, "vernation", "rolled", "folded"),
    (View::Base, "sheath_keel", "rounded", "keeled"),
    (View::Base, "sheath_closure", "open", "closed"),
    (View::Base, "stem_section", "round_or_oval", "triangular"),
    (View::Base, "sheath_hairs", "none", "dense"),
    (View::Base, "base_color", "green", "brown"),
    (View::Collar, "ligule_type", "absent", "membrane"),
    (View::Collar, "auricles", "absent", "clawlike"),
    (View::Collar, "collar_hairs", "none", "margins"),
    (View::Collar, "collar_hairs", "patch", "none"),
    (View::Collar, "sheath_edge_hairs", "none", "fringed"),
    (View::Collar, "sheath_hairs", "none", "dense"),
    (View::Collar, "blade_hairs_upper", "none", "velvety"),
    (View::Collar, "blade_edge_hairs", "none", "spaced"),
    (View::Seed, "seed_attached", "smooth_shiny", "hairy_awned"),
    (View::Seed, "seed_attached", "bare_small", "bur"),
    (View::Seedling(STAGE), "sheath_hairs", "none", "dense"),
    (
        View::Seedling(STAGE),
        "blade_hairs_upper",
        "none",
        "velvety",
    ),
    (View::Seedling(STAGE), "blade_hairs_lower", "none", "dense"),
    (View::Seedling(STAGE), "blade_edge_hairs", "none", "spaced"),
    (View::Seedling(STAGE), "blade_midrib", "faint", "prominent"),
    (
        View::Seedling(STAGE),
        "first_leaf",
        "narrow_upright",
        "narrow_level",
    ),
    (View::Seedling(STAGE), "seed_attached", "bare_small", "bur"),
    (
        View::Seedling(STAGE),
        "growth_habit",
        "upright",
        "prostrate",
    ),
    (
        View::Seedling(LeafStage::Tillering),
        "runners",
        "none",
        "rhizomes",
    ),
    (
        View::Seedling(LeafStage::Tillering),
        "low_branching",
        "no",
        "yes",
    ),
];

/// Strokes of a drawing, one an element.
fn strokes(drawing: &Drawing) -> Vec<&str> {
    drawing.body().split_inclusive("/>").collect()
}

/// Points on a stroke: of a path those of its commands in capitals, of an ellipse its four ends.
fn points(stroke: &str) -> Vec<(f64, f64)> {
    let attribute = |name: &str| -> Option<&str> {
        stroke
            .split(&format!(" {name}=\""))
            .nth(1)?
            .split('"')
            .next()
    };
    if let Some(path) = attribute("d") {
        let mut points = Vec::new();
        let mut rest = path;
        while let Some(command) = rest.chars().next() {
            let end = rest[1..]
                .find(|c: char| c.is_ascii_alphabetic())
                .map_or(rest.len(), |at| at + 1);
            let numbers = rest[1..end].replace('-', " -");
            let numbers: Vec<f64> = numbers
                .split_whitespace()
                .filter_map(|n| n.parse().ok())
                .collect();
            if command.is_uppercase() && numbers.len() >= 2 {
                points.push((numbers[numbers.len() - 2], numbers[numbers.len() - 1]));
            }
            rest = &rest[end..];
        }
        return points;
    }
    let number = |name| attribute(name).and_then(|n| n.parse::<f64>().ok());
    match (number("cx"), number("cy"), number("rx"), number("ry")) {
        (Some(x), Some(y), Some(rx), Some(ry)) => {
            vec![(x - rx, y), (x + rx, y), (x, y - ry), (x, y + ry)]
        }
        _ => Vec::new(),
    }
}

#[test]
fn the_mark_lies_where_states_differ() {
    for (view, trait_id, one, other) in DRAWN {
        for specimen in 0..20 {
            let what = format!("{view:?} {trait_id} {specimen}");
            let plain = view.draw(&Shown::from([(trait_id, one)]), specimen);
            let shown = Shown::from([(trait_id, other)]);
            let drawn = view.draw(&shown, specimen);
            let marked = view.marked(&shown, specimen, trait_id);
            let (Some(plain), Some(drawn), Some(marked)) = (plain, drawn, marked) else {
                panic!("{what}: not drawn or not marked");
            };
            let mark = marked.body().strip_prefix(drawn.body());
            let mark = mark.unwrap_or_else(|| panic!("{what}: another drawing under the mark"));
            assert!(mark.contains("class=\"m b\""), "{what}: {mark}");
            let at: Vec<(f64, f64)> = mark.split_inclusive("/>").flat_map(points).collect();
            let within = |low: f64, high: f64, x: f64| (low - 6.0..=high + 6.0).contains(&x);
            let low = |f: fn(&(f64, f64)) -> f64| at.iter().map(f).fold(f64::MAX, f64::min);
            let high = |f: fn(&(f64, f64)) -> f64| at.iter().map(f).fold(f64::MIN, f64::max);
            for (x, y) in &at {
                assert!(
                    (0.0..=100.0).contains(x) && (0.0..=100.0).contains(y),
                    "{what}: {x} {y}"
                );
            }
            let (before, after) = (strokes(&plain), strokes(&drawn));
            let differ: Vec<(f64, f64)> = before
                .iter()
                .filter(|stroke| !after.contains(stroke))
                .chain(after.iter().filter(|stroke| !before.contains(stroke)))
                .flat_map(|stroke| points(stroke))
                .collect();
            assert!(!differ.is_empty(), "{what}: both states look the same");
            let marked = differ
                .iter()
                .filter(|(x, y)| {
                    within(low(|p| p.0), high(|p| p.0), *x)
                        && within(low(|p| p.1), high(|p| p.1), *y)
                })
                .count();
            // Some strokes of a state reach out of the place (a bristle, a stolon).
            assert!(
                3 * marked >= differ.len(),
                "{what}: {marked} of {} are there",
                differ.len()
            );
            assert!(
                marked_file_is_small(&view, &shown, specimen, trait_id),
                "{what}: too large"
            );
        }
    }
}

fn marked_file_is_small(view: &View, shown: &Shown, specimen: u64, trait_id: &str) -> bool {
    let marked = view.marked(shown, specimen, trait_id);
    marked.is_some_and(|drawing| drawing.body().len() < 6_144)
}

#[test]
fn what_a_view_does_not_draw_has_no_mark() {
    let shown = Shown::from([("ligule_type", "membrane")]);
    assert!(View::Base.marked(&shown, 1, "ligule_type").is_none());
    assert!(View::Collar.marked(&shown, 1, "vernation").is_none());
    assert!(View::Seed.marked(&shown, 1, "seed_attached").is_none());
    assert!(
        View::Seedling(STAGE)
            .marked(&shown, 1, "no such trait")
            .is_none()
    );
}
