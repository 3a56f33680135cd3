//! A frame on the ground: the same for the same plants, small, well formed, and saying nothing of its
//! plants but how they look.

use std::collections::BTreeSet;

use quick_xml::Reader;
use quick_xml::events::Event;
use standbook_drawing::frame::{Lying, Seen, Standing, WIDTH, frame};
use standbook_drawing::{Nature, Shown};
use standbook_key::LeafStage;

/// Plants with everything that makes a drawing long.
fn crowd(count: u64) -> Vec<Standing> {
    let mut nature = Nature::of(5);
    let habits = ["upright", "spreading", "prostrate"];
    (0..count)
        .map(|number| {
            let habit = habits[(number % 3) as usize];
            Standing {
                shown: Shown::from([
                    ("growth_habit", habit),
                    ("sheath_hairs", "dense"),
                    ("blade_hairs_upper", "velvety"),
                    ("blade_width", "9"),
                    ("tiller_base", "strongly_flattened"),
                ]),
                stage: LeafStage::Tillering,
                specimen: number,
                at: (nature.between(1.2, 73.8), nature.between(1.2, 73.8)),
                height_cm: nature.between(2.0, 12.0),
                mirrored: number % 2 == 0,
            }
        })
        .collect()
}

fn straws() -> Vec<Lying> {
    let mut nature = Nature::of(6);
    (0..14)
        .map(|_| Lying {
            at: (nature.between(2.0, 73.0), nature.between(2.0, 73.0)),
            length_cm: nature.between(4.0, 13.0),
            degrees: nature.between(0.0, 180.0),
        })
        .collect()
}

/// The crowded frame is a good deal more than the 24 plants that `practice` may lay.
#[test]
fn a_crowded_frame_and_each_of_its_cells_stay_small() {
    let (plants, straws) = (crowd(40), straws());
    let whole = frame(&plants, &straws, Seen::FRAME).inline("f", "A frame", "");
    assert!(whole.len() < 80_000, "{} bytes", whole.len());
    for cell in 1..=25 {
        let one = frame(&plants, &straws, Seen::cell(cell)).inline("f", "A cell", "");
        assert!(one.len() < 30_000, "cell {cell}: {} bytes", one.len());
    }
}

#[test]
fn the_same_plants_give_the_same_bytes_in_whatever_order_they_come() {
    let (mut plants, straws) = (crowd(12), straws());
    let first = frame(&plants, &straws, Seen::FRAME);
    plants.reverse();
    assert_eq!(frame(&plants, &straws, Seen::FRAME), first);
    plants[3].specimen += 100;
    assert_ne!(frame(&plants, &straws, Seen::FRAME), first);
}

/// Nothing but paths of the pen's classes, made of numbers: no id, no title, no class that a reader of the
/// page's text could sort plants by.
#[test]
fn a_drawing_says_nothing_but_strokes() {
    let drawing = frame(&crowd(20), &straws(), Seen::FRAME);
    let text = format!("<svg>{}</svg>", drawing.body());
    let mut reader = Reader::from_str(&text);
    let mut classes = BTreeSet::new();
    loop {
        match reader.read_event() {
            Ok(Event::Eof) => break,
            Ok(Event::Start(one)) => assert_eq!(one.name().as_ref(), "svg"),
            Ok(Event::End(_)) => {}
            Ok(Event::Empty(one)) => {
                assert_eq!(one.name().as_ref(), "path");
                for attribute in one
                    .attributes()
                    .map(|a| a.unwrap_or_else(|e| panic!("{e}")))
                {
                    let value = attribute.value.to_string();
                    match attribute.key.as_ref() {
                        "class" => {
                            classes.insert(value);
                        }
                        "d" => assert!(
                            value
                                .chars()
                                .all(|c| "MLQCZ -.".contains(c) || c.is_ascii_digit()),
                            "{value}"
                        ),
                        other => panic!("{other}"),
                    }
                }
            }
            other => panic!("{other:?}"),
        }
    }
    let known = ["d", "d p", "f", "f p", "o p"].map(str::to_owned).into();
    assert!(classes.is_subset(&known), "{classes:?}");
}

/// How large a plant is drawn follows its height, to within what its nature adds; a look from nearer
/// makes it larger.
#[test]
fn a_tall_plant_is_drawn_tall() {
    let one = |height_cm: f64, seen: Seen| {
        let plant = Standing {
            shown: Shown::from([("growth_habit", "upright")]),
            stage: LeafStage::FewLeaves,
            specimen: 3,
            at: (37.0, 40.0),
            height_cm,
            mirrored: false,
        };
        let bare = frame(&[], &[], seen);
        let with = frame(&[plant], &[], seen);
        let added = with.body().strip_prefix(bare.body()).unwrap_or_default();
        // Every second number is a height in the drawing; a minus ends the number before it.
        let spaced: String = added.replace('-', " -");
        let paths = spaced
            .split(" d=\"")
            .skip(1)
            .filter_map(|rest| rest.split('"').next());
        let heights = paths.flat_map(|path| {
            let numbers = path.split(|c: char| c == ' ' || c.is_ascii_uppercase());
            let numbers: Vec<f64> = numbers.filter_map(|n| n.parse().ok()).collect();
            numbers.into_iter().skip(1).step_by(2).collect::<Vec<f64>>()
        });
        let (low, high) = heights.fold((f64::MAX, f64::MIN), |(a, b), y| (a.min(y), b.max(y)));
        high - low
    };
    let (small, large) = (one(3.0, Seen::FRAME), one(12.0, Seen::FRAME));
    assert!((large / small - 4.0).abs() < 0.1, "{small} {large}");
    // Of 20 cm in place of 75.
    let near = one(3.0, Seen::cell(13));
    assert!((near / small - 3.75).abs() < 0.1, "{small} {near}");
}

/// The drawing of the frame is as wide as its 75 cm, and leaves a tenth of that above it: the page lays its
/// 25 fields over the drawing by these numbers.
#[test]
fn the_view_box_is_what_pages_lay_their_cells_over() {
    assert_eq!(Seen::FRAME.width, 75.0);
    assert_eq!(Seen::ABOVE_CM / Seen::FRAME.width, 0.1);
    let inline = frame(&[], &[], Seen::FRAME).inline("f", "", "");
    assert!(
        inline.contains(&format!("viewBox=\"0 0 {WIDTH} 440\"")),
        "{inline}"
    );
}
