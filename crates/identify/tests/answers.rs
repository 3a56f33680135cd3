//! Answers as text: every fault with its message, and what is read is what was written.

#![allow(clippy::unwrap_used)]

mod common;

use common::any::{all_traits, any_answers, config};
use common::{key, table};
use proptest::prelude::*;
use standbook_identify::evidence::{parse, value_text};
use standbook_identify::{Evidence, Reading};

fn fault(trait_id: &str, value: &str) -> String {
    parse(key(), table(), trait_id, value)
        .unwrap_err()
        .to_string()
}

#[test]
fn every_fault_says_how_to_mend_it() {
    assert_eq!(
        fault("tiler_base", "round"),
        "`tiler_base` is not a trait of this key; did you mean `tiller_base`?"
    );
    assert_eq!(
        fault("petals", "five"),
        "`petals` is not a trait of this key; see traits.yaml"
    );
    assert_eq!(
        fault("tiller_base", "rond"),
        "`rond` is not a state of `tiller_base`; did you mean `round`?"
    );
    assert_eq!(
        fault("tiller_base", "round|purple"),
        "`purple` is not a state of `tiller_base`; use one of round, slightly_flattened, strongly_flattened"
    );
    assert_eq!(
        fault("vernation", "rolled|"),
        "`` is not a state of `vernation`; use one of rolled, folded"
    );
    assert_eq!(
        fault("blade_width", "wide"),
        "`wide` is not a number; write `blade_width` as a plain number in mm, such as 2.5"
    );
    assert_eq!(
        fault("blade_width", "2,5"),
        "`2,5` is not a number; write `blade_width` as a plain number in mm, such as 2.5"
    );
    assert_eq!(
        fault("blade_width", "500"),
        "500 mm can't be right for `blade_width`: from 0.2 to 120 mm is possible; check the unit"
    );
    for odd in ["-1", "0", "inf", "NaN", "1e300"] {
        assert_eq!(
            fault("blade_width", odd),
            format!(
                "{odd} mm can't be right for `blade_width`: from 0.2 to 120 mm is possible; check the unit"
            )
        );
    }
    for blank in ["", "  ", "\t"] {
        assert_eq!(
            fault("tiller_base", blank),
            "`tiller_base` has no value; write a state, a number, or `cannot_tell`"
        );
    }
    // Long input is shortened, control characters are not passed on.
    let long = "x".repeat(5000);
    let message = fault("tiller_base", &format!("\u{1b}[31m{long}"));
    assert!(
        message.len() < 250 && !message.contains('\u{1b}'),
        "{message}"
    );
}

#[test]
fn good_answers_are_read() {
    let read = |t: &str, v: &str| parse(key(), table(), t, v).unwrap();
    let reading = |t: &str, v: &str| read(t, v).unwrap().reading;
    assert_eq!(reading("tiller_base", "round"), Reading::States(vec![0]));
    // White space, order and repetition don't matter.
    assert_eq!(
        reading(" tiller_base ", " strongly_flattened | round|round "),
        Reading::States(vec![0, 2])
    );
    assert_eq!(reading("blade_width", " 2.5 "), Reading::Measure(2.5));
    assert_eq!(reading("blade_width", "cannot_tell"), Reading::CannotTell);
    assert_eq!(reading("vernation", "cannot_tell"), Reading::CannotTell);
    // A remark is kept by others and never weighed.
    assert_eq!(read("odor_or_other", "smells of lemon"), None);
    // The bounds themselves are possible.
    assert_eq!(reading("blade_width", "0.2"), Reading::Measure(0.2));
    assert_eq!(reading("blade_width", "120"), Reading::Measure(120.0));
}

/// Two measures: the last corrects the first. *Can't tell* takes nothing back, and an answer
/// after it counts.
#[test]
fn answers_to_one_trait_join() {
    let answer = |t: &str, v: &str| parse(key(), table(), t, v).unwrap().unwrap();
    let width = table().trait_index("blade_width").unwrap();
    let base = table().trait_index("tiller_base").unwrap();
    let mut evidence = Evidence::default();
    for (t, v) in [
        ("blade_width", "3"),
        ("tiller_base", "cannot_tell"),
        ("blade_width", "4.5"),
        ("tiller_base", "round"),
        ("blade_width", "cannot_tell"),
        ("tiller_base", "slightly_flattened"),
    ] {
        evidence.add(answer(t, v));
    }
    assert_eq!(evidence.answers().len(), 2);
    assert_eq!(evidence.reading(width), Some(&Reading::Measure(4.5)));
    assert_eq!(evidence.reading(base), Some(&Reading::States(vec![0, 1])));
    assert_eq!(evidence.without(7), evidence);
    assert_eq!(evidence.without(0).answers().len(), 1);
}

proptest! {
    #![proptest_config(config(512))]

    /// What is written is read back as the same answer.
    #[test]
    fn answers_as_text_round_trip(answers in any_answers(all_traits())) {
        for answer in answers {
            let id = table().traits[answer.trait_index].id.as_str();
            let text = value_text(table(), &answer);
            let back = parse(key(), table(), id, &text);
            prop_assert_eq!(back, Ok(Some(answer)), "{} {}", id, text);
        }
    }

    /// No text makes it panic, and every fault has something to say.
    #[test]
    fn any_text_is_taken_or_explained(
        trait_id in prop_oneof![
            prop::sample::select(key().traits.iter().map(|t| t.id.to_string()).collect::<Vec<_>>()),
            ".{0,30}",
        ],
        value in prop_oneof![".{0,80}", "[0-9.,eE+-]{0,8}", "[a-z_|]{0,30}"],
    ) {
        if let Err(fault) = parse(key(), table(), &trait_id, &value) {
            let message = fault.to_string();
            prop_assert!(message.len() > 20 && message.len() < 900, "{message}");
        }
    }
}
