//! A frame of plants of a key, to be looked at:
//! `cargo run -p standbook-drawing --example frame > frame.html`.

use standbook_drawing::frame::{Lying, Seen, Standing, frame};
use standbook_drawing::pen::STYLE;
use standbook_drawing::{Nature, Shown};
use standbook_key::LeafStage;

fn main() {
    let mut nature = Nature::of(11);
    let kinds = [
        Shown::from([
            ("growth_habit", "upright"),
            ("tiller_base", "round"),
            ("blade_width", "5"),
        ]),
        Shown::from([
            ("growth_habit", "spreading"),
            ("tiller_base", "strongly_flattened"),
            ("blade_width", "9"),
        ]),
        Shown::from([("growth_habit", "prostrate"), ("blade_width", "2")]),
    ];
    let stages = [
        (LeafStage::OneLeaf, 3.0),
        (LeafStage::FewLeaves, 6.0),
        (LeafStage::Tillering, 12.0),
    ];
    let plants: Vec<Standing> = (0..24)
        .map(|number| {
            let (stage, height_cm) = stages[number % 3];
            Standing {
                shown: kinds[number / 3 % 3].clone(),
                stage,
                specimen: number as u64,
                at: (nature.between(1.0, 74.0), nature.between(1.0, 74.0)),
                height_cm,
                mirrored: number % 2 == 0,
            }
        })
        .collect();
    let straws: Vec<Lying> = (0..10)
        .map(|_| Lying {
            at: (nature.between(1.0, 74.0), nature.between(1.0, 74.0)),
            length_cm: nature.between(4.0, 12.0),
            degrees: nature.between(0.0, 180.0),
        })
        .collect();
    let views = [
        (Seen::FRAME, 358),
        (Seen::cell(13), 358),
        (Seen::cell(7), 358),
    ];
    println!(
        "<!doctype html><meta charset=utf-8><title>Frame</title><style>{STYLE} svg{{border:1px dotted}}</style>"
    );
    for (seen, px) in views {
        let drawing = frame(&plants, &straws, seen);
        println!(
            "<div style='width:{px}px;display:inline-block'>{}</div>",
            drawing.inline("f", "", "")
        );
        eprintln!("{} bytes", drawing.body().len());
    }
}
