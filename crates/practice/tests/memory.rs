//! The model of memory beside a library not made here, and what must hold for any answers.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use serde::Deserialize;
use standbook_practice::memory::Memory;

#[derive(Deserialize)]
struct Step {
    day: f64,
    right: bool,
    chance_before: Option<f64>,
    stability_days: f64,
    difficulty: f64,
}

/// Python library fsrs 6.3.2 (`reference/memory.py`): 60 random histories.
#[test]
fn histories_come_out_as_in_the_reference() {
    let histories: Vec<Vec<Step>> =
        serde_json::from_str(include_str!("reference/memory.json")).unwrap();
    let close = |ours: f64, theirs: f64| (ours - theirs).abs() <= 1e-9 * theirs.abs().max(1.0);
    let mut steps = 0;
    for history in &histories {
        let mut memory: Option<Memory> = None;
        for step in history {
            let now = match memory {
                None => Memory::first(step.right, step.day),
                Some(before) => {
                    assert!(close(before.chance(step.day), step.chance_before.unwrap()));
                    before.answered(step.right, step.day)
                }
            };
            assert!(
                close(now.stability_days, step.stability_days),
                "{now:?} {}",
                step.stability_days
            );
            assert!(close(now.difficulty, step.difficulty), "{now:?}");
            memory = Some(now);
            steps += 1;
        }
    }
    assert_eq!(histories.len(), 60);
    assert!(steps > 300, "{steps}");
}

#[test]
fn stability_is_the_time_to_nine_in_ten() {
    let memory = Memory::first(true, 10.0);
    let then = memory.day + memory.stability_days;
    assert!((memory.chance(then) - 0.9).abs() < 1e-12);
    assert!((memory.falls_to(0.9) - then).abs() < 1e-9);
    assert_eq!(memory.chance(3.0), 1.0); // a clock that went back
}

proptest! {
    #[test]
    fn whatever_is_answered_the_numbers_stay_sound(
        answers in prop::collection::vec((any::<bool>(), -5.0..400.0_f64), 1..40),
    ) {
        let mut memory = Memory::first(answers[0].0, 0.0);
        let mut day = 0.0;
        for (right, gap) in answers {
            let before = memory;
            memory = memory.answered(right, day + gap);
            day = memory.day;
            prop_assert!(memory.stability_days.is_finite() && memory.stability_days > 0.0);
            prop_assert!((1.0..=10.0).contains(&memory.difficulty));
            // A right answer never makes it forgotten sooner, a wrong one never later.
            match right {
                true => prop_assert!(memory.stability_days >= before.stability_days),
                false => prop_assert!(memory.stability_days <= before.stability_days),
            }
            let later = memory.chance(day + 30.0);
            prop_assert!(later < memory.chance(day + 1.0) && later > 0.0);
            prop_assert!((memory.chance(memory.falls_to(0.8)) - 0.8).abs() < 1e-9);
        }
    }
}
