//! `standbook stand`: what a file says besides cells and counts, thresholds of one's own, and what
//! is left unsaid when the mix or a day is missing.

use std::fs;

use serde_json::Value;

use crate::stand::{BIOMASS, four_placements, judged, near, plain, stand};

/// The four placements with a day in every line.
fn dated(days: [&str; 4]) -> String {
    let text = String::from_utf8(four_placements()).unwrap();
    let mut file = String::new();
    for (at, line) in text.lines().enumerate() {
        let point: usize = line.split(',').next().unwrap().parse().unwrap_or(0);
        file += &match at {
            0 => format!("{line},date\n"),
            _ => format!("{line},{}\n", days[point - 1]),
        };
    }
    file
}

#[test]
fn the_day_of_the_visit_may_stand_in_the_file() {
    let file = dated(["2026-10-05", "2026-10-05", "2026-10-06", "2026-10-06"]);
    let seeded = [&BIOMASS[..], &["--seeded", "2026-05-12"]].concat();
    let json = judged(&file, &seeded);
    assert_eq!(json["judgement"]["facts"]["visited_on"], "2026-10-06");
    assert_eq!(json["judgement"]["verdict"]["verdict"], "established");
    let text = plain(&file, &seeded);
    assert!(
        text.contains("Frames of 2026-10-05 to 2026-10-06 are taken as one visit"),
        "{text}"
    );
    let other = [&seeded[..], &["--visited", "2026-09-30"]].concat();
    let text = plain(&file, &other);
    assert!(
        text.contains("--visited says 2026-09-30, the column date"),
        "{text}"
    );
}

#[test]
fn a_day_of_the_visit_is_asked_for_where_there_is_none() {
    let said = stand(&four_placements(), &["--seeded", "2026-05-12"]);
    assert_eq!((said.code, said.out.as_str()), (2, ""), "{}", said.err);
    assert!(
        said.err.contains("hint: give --visited, or a column date"),
        "{}",
        said.err
    );
}

/// Days that nobody gave are made up inside; no trace of them may come out.
#[test]
fn no_made_up_day_is_shown() {
    let json = judged(four_placements(), &BIOMASS);
    let facts = &json["judgement"]["facts"];
    assert_eq!(
        (&facts["seeded_on"], &facts["visited_on"]),
        (&Value::Null, &Value::Null)
    );
    let text = json["judgement"].to_string() + &plain(four_placements(), &BIOMASS);
    for made_up in ["2001", "late_or_dormant", "other_season", "2002"] {
        let without_sources = text.replace("2001. Frequency grid", "");
        assert!(!without_sources.contains(made_up), "{made_up}");
    }
}

/// Nothing may be "below" only because nobody said what was sown.
#[test]
fn without_a_mix_nothing_is_compared() {
    let json = judged(four_placements(), &[]);
    for field in ["compared", "weeds", "enough", "verdict", "unsettled"] {
        assert_eq!(json["judgement"][field], Value::Null, "{field}");
    }
    let grid = &json["judgement"]["summary"]["grids"][0];
    let groups = grid["groups"].as_array().unwrap();
    assert!(
        groups.iter().all(|group| group["name"] != "planted"),
        "{groups:?}"
    );
    assert_eq!(grid["labels"][0][1]["occupied"], 70);
}

/// 70 of 100 cells by Wilson, as if every cell were a trial of its own: 0.6041515 to 0.7810511
/// (SciPy 1.17.1); Korn and Graubard's limits, which rest on four frames, are wider.
#[test]
fn cells_taken_as_independent_claim_too_much() {
    let json = judged(four_placements(), &BIOMASS);
    let estimate = &json["judgement"]["summary"]["grids"][0]["groups"][0]["low"]["estimate"];
    let independent = &estimate["if_independent"]["interval"];
    near(&independent["lower"], 0.604_151_5);
    near(&independent["upper"], 0.781_051_1);
    let ours = &estimate["limits"]["ok"]["interval"];
    assert!(
        ours["lower"].as_f64() < independent["lower"].as_f64(),
        "{ours}"
    );
    assert!(
        ours["upper"].as_f64() > independent["upper"].as_f64(),
        "{ours}"
    );
}

/// An interval of more confidence holds one of less.
#[test]
fn confidence_widens() {
    let limits = |percent| {
        let json = judged(
            four_placements(),
            &[&BIOMASS[..], &["--confidence", percent]].concat(),
        );
        let estimate = &json["judgement"]["summary"]["grids"][0]["groups"][0]["low"]["estimate"];
        let interval = &estimate["limits"]["ok"]["interval"];
        (
            interval["lower"].as_f64().unwrap(),
            interval["upper"].as_f64().unwrap(),
        )
    };
    let (ninety, usual, most) = (limits("90"), limits("95"), limits("99"));
    assert!(
        most.0 < usual.0 && usual.0 < ninety.0,
        "{most:?} {usual:?} {ninety:?}"
    );
    assert!(
        most.1 > usual.1 && usual.1 > ninety.1,
        "{most:?} {usual:?} {ninety:?}"
    );
}

#[test]
fn each_species_by_every_conversion_if_asked() {
    let shown = |more: &[&str]| {
        let text = plain(four_placements(), &[&BIOMASS[..], more].concat());
        text.matches("plants per m2 (per ft2), switchgrass:")
            .count()
    };
    assert_eq!((shown(&[]), shown(&["--by-species"])), (0, 1));
}

/// An invented rule goes before the published ones: 70 of 100 cells in four frames leave 80 %
/// open, where 40 % was reached.
#[test]
fn a_rule_of_ones_own_decides() {
    let folder = tempfile::tempdir().unwrap();
    let rule = "sources:\n  - {id: office, citation: 'Quill County office, 2026', kind: local}\n\
        thresholds:\n  - id: quill\n    name: Quill County, 80 % of cells\n    group: planted_together\n    \
        counts: plants\n    unit: percent_of_cells\n    levels:\n      - {at_least: 80, word: passes}\n    source: office\n";
    fs::write(folder.path().join("own.yaml"), rule).unwrap();
    let days = ["--seeded", "2026-05-12", "--visited", "2026-10-05"];
    let own = ["--standards", folder.path().to_str().unwrap()];
    let json = judged(four_placements(), &[&BIOMASS[..], &days, &own].concat());
    let verdict = &json["judgement"]["verdict"];
    assert_eq!(verdict["verdict"], "not_decided");
    assert_eq!(verdict["rests_on"], "own");
    assert_eq!(verdict["decided_by"], serde_json::json!(["quill"]));
    fs::write(
        folder.path().join("own.yaml"),
        rule.replace("levels", "levls"),
    )
    .unwrap();
    let said = stand(&four_placements(), &[&BIOMASS[..], &days, &own].concat());
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(said.err.contains("own.yaml:9:"), "{}", said.err);
}

#[test]
fn what_is_odd_is_said_in_notes() {
    let file = "point,frame,cell,taxon,scout,repeats,looked_twice\n\
        A1,1,3,switchgrass,Ada,,yes\na1,1,4,switchgrass,Ada,,no\nA1,1,3,switchgrass,Ada,1,yes\n";
    let text = plain(file, &["--planted", "switchgrass"]);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "Points A1 and a1 count as different ones",
        "1 second reading(s) by the scout of the first",
        "1 of 2 frames were gone over twice",
        "taken as conservation cover",
    ] {
        assert!(text.contains(wanted), "{wanted}:\n{text}");
    }
    let text = plain(four_placements(), &BIOMASS);
    assert!(
        text.contains("column looked_twice") && !text.contains("taken as conservation"),
        "{text}"
    );
}

/// A file may not move the cursor of the terminal that shows it.
#[test]
fn what_was_typed_moves_no_cursor() {
    let file = "point,frame,cell,taxon\n1,1,3,unknown \u{1b}[2J\n2,1,3,switchgrass\n";
    let text = plain(file, &["--planted", "switchgrass"]);
    assert!(!text.contains('\u{1b}'), "{text:?}");
    let said = stand(file.replace("unknown ", "").as_bytes(), &[]);
    assert!(
        said.code == 1 && !said.err.contains('\u{1b}'),
        "{:?}",
        said.err
    );
}
