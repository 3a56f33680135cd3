#![allow(clippy::unwrap_used)]
use standbook_plan::*;
use std::time::Instant;
fn t<T>(name: &str, f: impl FnOnce() -> T) -> T {
    let b = Instant::now();
    let r = f();
    println!("{name}: {:?}", b.elapsed());
    r
}
#[test]
fn stress() {
    let frame = Frame::at([40.0, -96.0]);
    for lobes in [300.0, 20.0] {
        let circle: Vec<[f64; 2]> = (0..20_000)
            .map(|i| {
                let a = f64::from(i) / 20_000.0 * 6.283185;
                let k = 400.0 + 50.0 * (a * lobes).sin();
                frame.to_corner([k * a.cos(), k * a.sin()])
            })
            .collect();
        let circle = t("ragged circle", || {
            Area::new(vec![Polygon {
                outer: circle,
                holes: vec![],
            }])
        })
        .unwrap();
        for e in [1.0, 10.0, 100.0] {
            let g = t("ground", || Ground::new(&circle, &[], &[], e).unwrap());
            let l = t("left", || g.left_m2());
            // independent count
            let n = 400;
            let mut k = 0;
            for i in 0..n {
                for j in 0..n {
                    let c = frame.to_corner([
                        -460.0 + 920.0 * (f64::from(i) + 0.5) / f64::from(n),
                        -460.0 + 920.0 * (f64::from(j) + 0.5) / f64::from(n),
                    ]);
                    if matches!(g.whereabouts(c), Whereabouts::Inside { .. }) {
                        k += 1;
                    }
                }
                if i % 20 != 0 {}
            }
            println!("{l:?} {}", 920.0 * 920.0 * f64::from(k) / f64::from(n * n));
        }
    }
    let line: Vec<[f64; 2]> = (0..9_000)
        .flat_map(|i| {
            let k = f64::from(i) * 0.05;
            [[k, 0.0]]
        })
        .chain((0..9_000).rev().map(|i| [f64::from(i) * 0.05, 1.0]))
        .map(|c| frame.to_corner(c))
        .collect();
    let strip = t("strip", || {
        Area::new(vec![Polygon {
            outer: line,
            holes: vec![],
        }])
    })
    .unwrap();
    let g = Ground::new(&strip, &[], &[], 2.0).unwrap();
    let _ = t("no room", || {
        draw(
            &g,
            &Request {
                design: Design::Balanced,
                points: Points::Total(10),
                spares: 0,
                seed: 1,
            },
        )
    })
    .map_err(|e| println!("{e}"));
}
