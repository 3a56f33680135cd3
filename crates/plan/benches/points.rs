//! How long a person waits for points, and for what comes before and after them.
//!
//! `cargo bench -p standbook-plan`. The field has 2,000 corners and is invented. Aim: 1,000
//! balanced points, preparing the field included, in less than 50 ms.

use divan::Bencher;
use geo::Contains;
use standbook_plan::{
    Area, Design, Frame, Ground, Points, Polygon, Request, draw, walk, walk_in_blocks,
};

fn main() {
    divan::main();
}

const CORNERS: usize = 2_000;

/// A field of some 60 ha with a ragged edge, corners about 1.5 m apart.
fn field() -> Area {
    let frame = Frame::at([40.0, -96.0]);
    let outer = (0..CORNERS)
        .map(|i| {
            let turn = i as f64 / CORNERS as f64 * std::f64::consts::TAU;
            let radius_m = 430.0 + 60.0 * (5.0 * turn).sin() + 4.0 * (97.0 * turn).cos();
            frame.to_corner([radius_m * turn.cos(), radius_m * turn.sin()])
        })
        .collect();
    Area::new(vec![Polygon {
        outer,
        holes: Vec::new(),
    }])
    .expect("a sound field")
}

fn request(points: u32) -> Request {
    Request {
        design: Design::Balanced,
        points: Points::Total(points),
        spares: 0,
        seed: 1,
    }
}

#[divan::bench(args = [0.0, 10.0])]
fn a_thousand_points_with_preparing(bencher: Bencher, edge_m: f64) {
    let field = field();
    bencher.bench(|| {
        let ground = Ground::new(&field, &[], &[], edge_m).expect("a sound edge");
        draw(&ground, &request(1_000)).expect("room")
    });
}

/// The same number of questions with `geo`'s own test, which looks at every side each time.
#[divan::bench]
fn baseline_plain_contains(bencher: Bencher) {
    let field = field();
    let line = field.polygons()[0]
        .outer
        .iter()
        .map(|c| (c[1], c[0]))
        .collect();
    let plain = geo::Polygon::new(line, Vec::new());
    let ground = Ground::new(&field, &[], &[], 0.0).expect("a sound edge");
    let points: Vec<geo::Point> = draw(&ground, &request(1_000))
        .expect("room")
        .points
        .iter()
        .map(|p| geo::Point::new(p.corner[1], p.corner[0]))
        .collect();
    bencher.bench(|| points.iter().filter(|point| plain.contains(*point)).count());
}

#[divan::bench]
fn check_the_outline(bencher: Bencher) {
    let polygons = field().into_polygons();
    bencher.bench(|| Area::new(polygons.clone()).expect("a sound field"));
}

#[divan::bench]
fn area_left_off_the_edge(bencher: Bencher) {
    let ground = Ground::new(&field(), &[], &[], 10.0).expect("a sound edge");
    bencher.bench(|| ground.left_m2());
}

#[divan::bench(args = [40, 1_000])]
fn walk_them(bencher: Bencher, points: u32) {
    let ground = Ground::new(&field(), &[], &[], 10.0).expect("a sound edge");
    let drawn = draw(&ground, &request(points)).expect("room");
    let corners: Vec<[f64; 2]> = drawn.to_walk().map(|p| p.corner).collect();
    bencher.bench(|| walk(&corners, None));
}

#[divan::bench]
fn walk_a_thousand_in_blocks_of_ten(bencher: Bencher) {
    let ground = Ground::new(&field(), &[], &[], 10.0).expect("a sound edge");
    let drawn = draw(&ground, &request(1_000)).expect("room");
    let corners: Vec<[f64; 2]> = drawn.to_walk().map(|p| p.corner).collect();
    bencher.bench(|| walk_in_blocks(&corners, 10, None));
}
