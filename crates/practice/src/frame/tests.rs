use super::*;
use proptest::prelude::*;

/// First words of the stream for seed 7, worked out apart with a plain Python of RFC 8439
/// (`crates/plan/tests/files/check_draw.py`, with this key): stored answers must draw the same frame.
#[test]
fn words_are_the_same_for_ever() {
    let mut chance = Chance::of(7);
    let words: Vec<u32> = (0..4).map(|_| chance.word()).collect();
    assert_eq!(words, WORDS);
}

const WORDS: [u32; 4] = [218_937_613, 1_110_777_685, 2_896_763_622, 3_940_321_488];

/// Pins how words become a frame: if this fails, frames that were kept are drawn otherwise.
#[test]
fn a_frame_is_the_same_for_ever() {
    let frame = Frame::laid(2, 2, LeafStage::FewLeaves, 2_026);
    let held: Vec<(u32, Role, usize, Size)> = frame
        .plants
        .iter()
        .map(|one| (one.cell(), one.role, one.kind, one.size()))
        .collect();
    assert_eq!(format!("{held:?}"), HELD);
}

const HELD: &str = "[(4, Planted, 1, Medium), (4, Other, 0, Small), (4, Other, 0, Large), (4, Other, 0, Small), (2, Planted, 0, Medium), (1, Other, 0, Medium), (7, Planted, 0, Small), (7, Planted, 0, Medium), (9, Other, 1, Medium), (13, Planted, 1, Large), (14, Planted, 1, Small), (13, Planted, 1, Medium), (16, Planted, 1, Small), (22, Other, 0, Small), (22, Other, 1, Large), (23, Other, 1, Medium), (22, Other, 1, Small), (21, Planted, 0, Medium), (22, Other, 1, Medium), (22, Planted, 1, Medium), (22, Other, 1, Small)]";

#[test]
fn a_place_is_in_the_cell_it_is_in() {
    for (at, cell) in [
        ((0.0, 0.0), 1),
        ((14.9, 14.9), 1),
        ((15.0, 0.0), 2),
        ((74.9, 0.0), 5),
        ((0.0, 15.0), 6),
        ((37.0, 37.0), 13),
        ((75.0, 75.0), 25),
    ] {
        assert_eq!(cell_at(at), cell, "{at:?}");
    }
}

#[test]
fn how_far_a_place_is_from_a_cell() {
    // By hand: 3 and 4 cm off give 5.
    for (at, cell, cm) in [
        ((7.0, 7.0), 1, 0.0),
        ((18.0, 7.0), 1, 3.0),
        ((18.0, 19.0), 1, 5.0),
        ((27.0, 26.0), 13, 5.0),
        ((70.0, 70.0), 25, 0.0),
    ] {
        assert_eq!(cm_from(at, cell), cm, "{at:?} {cell}");
    }
}

#[test]
fn frames_differ_in_what_a_scout_has_to_practise() {
    let frames: Vec<Frame> = (0..300)
        .map(|seed| Frame::laid(2, 3, LeafStage::FewLeaves, seed))
        .collect();
    let share = |is: &dyn Fn(&Frame) -> bool| {
        frames.iter().filter(|frame| is(frame)).count() as f64 / 300.0
    };
    let both = |frame: &Frame| {
        (1..=CELLS).any(|cell| Role::BOTH.iter().all(|role| frame.holds(cell, *role)))
    };
    let none_planted = |frame: &Frame| frame.plants.iter().all(|one| one.role == Role::Other);
    assert!(share(&both) > 0.5, "{}", share(&both));
    let none = share(&none_planted);
    assert!((0.03..0.15).contains(&none), "{none}");
    for size in Size::ALL {
        let has = share(&|frame| frame.plants.iter().any(|one| one.size() == size));
        assert!(has > 0.5, "{size:?} {has}");
    }
    let bare = |frame: &Frame| {
        (1..=CELLS)
            .filter(|cell| frame.in_cell(*cell).next().is_none())
            .count()
            >= 8
    };
    assert!(share(&bare) > 0.9, "{}", share(&bare));
}

proptest! {
    #[test]
    fn every_base_is_in_one_cell_and_clear_of_wires(
        planted in 0usize..6, others in 0usize..6, seed in any::<u32>(), stage in 0usize..4,
    ) {
        let (_, stage, _) = LeafStage::ALL[stage];
        let frame = Frame::laid(planted, others, stage, seed);
        prop_assert_eq!(&frame, &Frame::laid(planted, others, stage, seed));
        let mut seen = 0;
        for cell in 1..=CELLS {
            for one in frame.in_cell(cell) {
                seen += 1;
                let (left, top) = (f64::from((cell - 1) % ROW), f64::from((cell - 1) / ROW));
                for (cm, step) in [(one.at.0, left), (one.at.1, top)] {
                    let off = cm - step * CELL_CM;
                    prop_assert!(off > CLEAR_CM && off < CELL_CM - CLEAR_CM, "{one:?}");
                }
                let kinds = if one.role == Role::Planted { planted } else { others };
                prop_assert!(one.kind < kinds);
                prop_assert!(one.stage <= stage);
            }
            for role in Role::BOTH {
                prop_assert_eq!(frame.holds(cell, role), frame.size_in(cell, role).is_some());
            }
        }
        prop_assert_eq!(seen, frame.plants.len());
        prop_assert!(planted + others == 0 || !frame.plants.is_empty());
    }
}
