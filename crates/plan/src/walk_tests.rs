use super::*;
use crate::chance::Chance;
use proptest::prelude::*;

fn corner([x, y]: Metres) -> Corner {
    Frame::at([40.0, -96.0]).to_corner([x, y])
}

fn some_points(seed: u32, n: usize) -> Vec<Corner> {
    let mut chance = Chance::new(seed, 99);
    (0..n)
        .map(|_| corner([chance.unit() * 400.0, chance.unit() * 300.0]))
        .collect()
}

/// The shortest way of all, by trying every order.
fn shortest_m(points: &[Corner], start: Option<Corner>) -> f64 {
    fn go(flat: &[Metres], at: Option<Metres>, left: &mut Vec<usize>, so_far: f64, best: &mut f64) {
        if so_far >= *best {
            return;
        }
        if left.is_empty() {
            *best = so_far;
            return;
        }
        for i in 0..left.len() {
            let next = left.swap_remove(i);
            let step = at.map_or(0.0, |a| between_m(a, flat[next]));
            go(flat, Some(flat[next]), left, so_far + step, best);
            left.push(next);
            let end = left.len() - 1;
            left.swap(i, end);
        }
    }
    let (flat, start) = flatten(points, start);
    let mut best = f64::INFINITY;
    go(&flat, start, &mut (0..flat.len()).collect(), 0.0, &mut best);
    best
}

fn is_an_order(walk: &Walk, n: usize) -> bool {
    let mut seen = walk.order.clone();
    seen.sort_unstable();
    seen == (0..n).collect::<Vec<_>>()
}

#[test]
fn small_walks_are_nearly_the_shortest() {
    for with_start in [true, false] {
        let (mut sum, mut worst, mut count) = (0.0, 0.0f64, 0.0);
        for seed in 0..150 {
            let n = 3 + (seed as usize) % 6;
            let points = some_points(seed, n);
            let start = with_start.then(|| corner([-50.0, -20.0]));
            let found = walk(&points, start);
            assert!(is_an_order(&found, n));
            let ratio = found.length_m / shortest_m(&points, start);
            assert!(ratio > 1.0 - 1e-9);
            sum += ratio;
            worst = worst.max(ratio);
            count += 1.0;
        }
        let mean = sum / count;
        println!("start {with_start}: mean {mean:.4}, worst {worst:.4}");
        assert!(mean <= 1.05, "{mean}");
        assert!(worst <= 1.3, "{worst}");
    }
}

/// 0.7124 sqrt(n A) is the length of a long shortest tour over points by chance (Beardwood,
/// Halton and Hammersley 1959, constant from later simulation; memory).
#[test]
fn a_long_walk_is_near_what_is_known() {
    let points = some_points(7, 400);
    let found = walk(&points, None);
    assert!(is_an_order(&found, 400));
    let known = 0.7124 * (400.0f64 * 400.0 * 300.0).sqrt();
    assert!(found.length_m < 1.2 * known, "{} {known}", found.length_m);
    assert_eq!(found, walk(&points, None));
}

#[test]
fn blocks_hold_together() {
    let points = some_points(3, 23);
    let found = walk_in_blocks(&points, 5, Some(corner([0.0, 0.0])));
    assert!(is_an_order(&found, 23));
    for (block, walked) in found.order.chunks(5).enumerate() {
        assert!(walked.iter().all(|&i| i / 5 == block), "{:?}", found.order);
    }
    assert_eq!(walk_in_blocks(&points, 0, None).order.len(), 23);
    assert_eq!(
        walk_in_blocks(&points, 1, None).order,
        (0..23).collect::<Vec<_>>()
    );
    let groups = walk_in_groups(&points, &[4, 0, 9], None);
    assert!(groups.order[..4].iter().all(|&i| i < 4));
    assert!(groups.order[4..13].iter().all(|&i| (4..13).contains(&i)));
    assert!(is_an_order(&groups, 23));
}

#[test]
fn few_points_are_walked() {
    assert_eq!(walk(&[], None).order, Vec::<usize>::new());
    assert_eq!(walk(&[], Some([40.0, -96.0])).length_m, 0.0);
    let one = walk(&[corner([30.0, 40.0])], Some(corner([0.0, 0.0])));
    assert_eq!(one.order, [0]);
    assert!((one.length_m - 50.0).abs() < 1e-6);
    let same = walk(&[corner([1.0, 1.0]); 4], None);
    assert!(is_an_order(&same, 4));
}

#[test]
fn places_say_when_each_point_comes() {
    let walk = Walk {
        order: vec![2, 0, 1],
        length_m: 0.0,
    };
    assert_eq!(walk.places(), [2, 3, 1]);
}

proptest! {
    #[test]
    fn never_longer_than_drawn(seed in 0u32..10_000, n in 0usize..40, block in 0usize..12, free: bool) {
        let points = some_points(seed, n);
        let start = (!free).then(|| corner([200.0, -30.0]));
        let drawn = as_drawn(&points, start);
        for found in [walk(&points, start), walk_in_blocks(&points, block, start)] {
            prop_assert!(is_an_order(&found, n));
            prop_assert!(found.length_m <= drawn.length_m);
            let again: f64 = length_m(&flatten(&points, None).0, None, &found.order);
            prop_assert!(again <= found.length_m + 1e-6);
        }
    }
}
