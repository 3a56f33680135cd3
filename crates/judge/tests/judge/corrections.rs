//! Misnaming, overlooking, the stopping rule, and seed that came up.

use std::collections::BTreeMap;

use standbook_judge::*;
use standbook_stand::misnaming::Checked;
use standbook_stand::sequential::{Outcome, StopRule};

use crate::cases::*;

fn audits(right: usize, wrong: usize, other_right: usize, other_planted: usize) -> Vec<Audit> {
    let audit = |called: &str, truth: &str| Audit {
        called: taxon(called),
        truth: taxon(truth),
    };
    let mut all = vec![audit(SWITCHGRASS, SWITCHGRASS); right];
    all.extend(vec![audit(SWITCHGRASS, "setaria_faberi"); wrong]);
    all.extend(vec![audit("setaria_faberi", "setaria_faberi"); other_right]);
    all.extend(vec![audit("setaria_faberi", SWITCHGRASS); other_planted]);
    all
}

#[test]
fn a_big_audit_corrects_beside_the_verdict_and_a_small_one_does_not() {
    let mut case = biomass();
    case.readings = (0..30)
        .map(|at| {
            let found = [(taxon(SWITCHGRASS), 13), (taxon("setaria_faberi"), 20)];
            frame(&format!("p{at}"), &found)
        })
        .collect();
    case.audits = audits(8, 2, 10, 0);
    let small = judged(&case);
    assert!(small.corrected.is_none());
    assert!(
        small
            .notes
            .iter()
            .any(|n| matches!(n, Note::NotWorkedOut { what, .. } if what.contains("misnaming")))
    );

    // Half of what was called switchgrass was foxtail: 52 % of cells is 26 %.
    case.audits = audits(100, 100, 200, 0);
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    let corrected = judgement.corrected.unwrap();
    assert_eq!(corrected.audited, 400);
    let by = corrected
        .by
        .iter()
        .find(|by| by.threshold == "schmer_biomass")
        .unwrap();
    assert_eq!(by.before.estimate, 0.52);
    assert!((by.after.estimate - 0.26).abs() < 0.01, "{by:?}");
    assert!(by.after.lower.unwrap() < 0.26 && by.after.upper.unwrap() > 0.26);
    assert_eq!(corrected.verdict, Verdict::Below);
    assert!(corrected.differs);
}

#[test]
fn planted_grass_that_was_called_weed_comes_back() {
    let mut case = biomass();
    // Cells 1 to 10 were called switchgrass, 11 to 20 foxtail alone.
    case.readings = (0..30)
        .map(|at| {
            let found = [(taxon(SWITCHGRASS), 10), (taxon("setaria_faberi"), 20)];
            frame(&format!("p{at}"), &found)
        })
        .collect();
    // A quarter of those called foxtail were switchgrass: 0.4 + 0.4 / 4.
    case.audits = audits(200, 0, 150, 50);
    let corrected = judged(&case).corrected.unwrap();
    let by = corrected
        .by
        .iter()
        .find(|by| by.threshold == "schmer_biomass")
        .unwrap();
    assert!((by.after.estimate - 0.5).abs() < 0.01, "{by:?}");
}

fn specimens(planted: (u64, u64), other: (u64, u64)) -> Specimens {
    let checked = |(right, of)| Checked { right, of };
    Specimens {
        planted: checked(planted),
        other: checked(other),
        scouts: 2,
        of_scouts: 3,
    }
}

#[test]
fn practice_corrects_beside_only_when_asked_and_never_where_plants_were_drawn() {
    let mut case = biomass();
    // Cells 1 to 10 were called switchgrass, 11 to 20 foxtail alone, 21 to 25 held nothing.
    case.readings = (0..30)
        .map(|at| {
            let found = [(taxon(SWITCHGRASS), 10), (taxon("setaria_faberi"), 20)];
            frame(&format!("p{at}"), &found)
        })
        .collect();
    let before = judged(&case);
    assert!(before.corrected_by_practice.is_none());
    let json = serde_json::to_value(&before).unwrap();
    assert!(json.get("corrected_by_practice").is_none());

    // Half of the cells with a plant were called planted. Se 0.8, Sp 0.9:
    // (0.5 + 0.9 - 1) / (0.8 + 0.9 - 1) = 4/7, of 20 of 25 cells: 0.457, by hand. Crate `stand` holds
    // the form itself against epiR's worked example.
    case.specimens = Some(specimens((80, 100), (90, 100)));
    let after = judged(&case);
    assert_eq!(after.verdict, before.verdict);
    assert_eq!(after.compared, before.compared);
    assert!(after.corrected.is_none());
    let corrected = after.corrected_by_practice.unwrap();
    assert_eq!(corrected.audited, 200);
    assert!(matches!(corrected.origin, Origin::Practice(of) if of.scouts == 2));
    let by = corrected
        .by
        .iter()
        .find(|by| by.threshold == "schmer_biomass")
        .unwrap();
    assert_eq!(by.before.estimate, 0.4);
    assert!((by.after.estimate - 0.8 * 4.0 / 7.0).abs() < 1e-9, "{by:?}");
    assert!(by.after.lower.unwrap() < by.after.estimate);
    assert!(by.after.upper.unwrap() > by.after.estimate);

    // Plants that somebody picked leave it beside them; drawn ones take its place.
    case.audits = audits(100, 100, 200, 0);
    let picked = judged(&case);
    assert_eq!(picked.corrected.unwrap().origin, Origin::Picked);
    assert!(picked.corrected_by_practice.is_some());
    case.audits_drawn = true;
    let drawn = judged(&case);
    assert_eq!(drawn.corrected.unwrap().origin, Origin::Drawn);
    assert!(drawn.corrected_by_practice.is_none());
}

#[test]
fn practice_that_says_too_little_corrects_nothing_and_says_why() {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[8; 20]);
    let why = |case: &Case| {
        let judgement = judged(case);
        assert!(judgement.corrected_by_practice.is_none());
        let notes = judgement.notes.into_iter();
        notes
            .filter_map(|note| match note {
                Note::NotWorkedOut { what, why } if what.contains("practice") => Some(why),
                _ => None,
            })
            .next()
            .unwrap()
    };
    // Nothing but switchgrass was written down.
    case.specimens = Some(specimens((80, 100), (90, 100)));
    assert!(why(&case).contains("every cell"), "{}", why(&case));
    case.readings = (0..30)
        .map(|at| {
            let found = [(taxon(SWITCHGRASS), 10), (taxon("setaria_faberi"), 20)];
            frame(&format!("p{at}"), &found)
        })
        .collect();
    case.specimens = Some(specimens((10, 10), (90, 100)));
    assert!(why(&case).contains("only 10"), "{}", why(&case));
    // No better than a coin.
    case.specimens = Some(specimens((50, 100), (50, 100)));
    assert!(why(&case).contains("no information"), "{}", why(&case));
}

#[test]
fn practice_corrects_counted_plants_too() {
    let mut case = biomass();
    case.readings = (0..20)
        .map(|at| {
            let found = [(taxon(SWITCHGRASS), 6), (taxon("setaria_faberi"), 6)];
            quadrat(&format!("q{at}"), 0.25, &found)
        })
        .collect();
    case.specimens = Some(specimens((80, 100), (90, 100)));
    let corrected = judged(&case).corrected_by_practice.unwrap();
    let by = corrected
        .by
        .iter()
        .find(|by| by.threshold == "biomass_density")
        .unwrap();
    // 12 plants of a quadrat, 4/7 of them: on 0.25 m2.
    assert!(
        (by.after.estimate - 48.0 * 4.0 / 7.0).abs() < 1e-9,
        "{by:?}"
    );
}

#[test]
fn counted_plants_are_corrected_too() {
    let mut case = biomass();
    case.readings = (0..20)
        .map(|at| {
            let found = [(taxon(SWITCHGRASS), 6), (taxon("setaria_faberi"), 6)];
            quadrat(&format!("q{at}"), 0.25, &found)
        })
        .collect();
    // A quarter of those called switchgrass were not, and nothing the other way round.
    case.audits = audits(150, 50, 200, 0);
    let corrected = judged(&case).corrected.unwrap();
    let by = corrected
        .by
        .iter()
        .find(|by| by.threshold == "biomass_density")
        .unwrap();
    assert_eq!(by.before.estimate, 24.0);
    assert!((by.after.estimate - 18.0).abs() < 0.1, "{by:?}");
    let (lower, upper) = (by.after.lower.unwrap(), by.after.upper.unwrap());
    let before = by.before.upper.unwrap() - by.before.lower.unwrap();
    assert!(
        lower < 18.0 && upper > 18.0 && upper - lower > 0.75 * before,
        "{by:?}"
    );
}

#[test]
fn frames_read_twice_show_what_one_look_overlooks() {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[8; 20]);
    let seen = |from: u32, to: u32| {
        let cells = (from..=to).collect();
        standbook_stand::summary::Seen::Grid {
            grid: standbook_stand::convert::Grid::STANDARD,
            occupied: BTreeMap::from([(taxon(SWITCHGRASS), cells)]),
        }
    };
    case.double_reads = (0..10)
        .map(|at| DoubleRead {
            spot: format!("p{at}"),
            first_scout: "A. Fenn".to_owned(),
            second_scout: "B. Rook".to_owned(),
            first: seen(1, 8),
            second: seen(1, 10),
        })
        .collect();
    let judgement = judged(&case);
    let twice = judgement.seen_twice.unwrap();
    assert_eq!(
        (twice.frames, twice.pairs.both, twice.pairs.second_only),
        (10, 80, 20)
    );
    // 2 x 80 / (80 + 100).
    assert!((twice.detection.unwrap().one_look.value - 160.0 / 180.0).abs() < 1e-12);
    let through = twice.seen_through.unwrap();
    assert!((through.value - 0.32 / (160.0 / 180.0)).abs() < 1e-12);
    // Found is what is judged; seen through stands beside it.
    assert_eq!(judgement.verdict.verdict, Verdict::Below);
}

#[test]
fn the_rule_set_before_the_walk_is_followed_by_place() {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[22, 21, 23, 22, 24, 22]);
    case.stopping = Some(Stopping {
        rule: StopRule::between(0.25, 0.40).unwrap(),
        places: (0..6).map(|at| (format!("p{at}"), at + 1)).collect(),
    });
    let judgement = judged(&case);
    let state = judgement.enough.sequential.unwrap();
    assert_eq!(state.assessment.outcome, Outcome::Enough);
    assert_eq!(state.assessment.points, 6);
    assert!(state.forecast.is_none());

    // Frames flipped at one spot are one point.
    let again: Vec<Laid> = case.readings.clone();
    case.readings.extend(again);
    let state = judged(&case).enough.sequential.unwrap();
    assert_eq!((state.assessment.points, state.assessment.cells), (6, 300));
    // A rule that makes no sense is said, and the rest is judged.
    case.stopping.as_mut().unwrap().rule.p_low = 0.9;
    let judgement = judged(&case);
    assert!(judgement.enough.sequential.is_none());
    assert!(judgement.notes.iter().any(|n| matches!(
        n,
        Note::NotWorkedOut {
            what: "stopping rule",
            ..
        }
    )));
}

/// 6 lb of switchgrass per acre at 370,000 to 390,000 seeds per lb (farm magazine; Bismarck) are
/// 549 to 578 seeds per m2; 24 plants per m2 are 4.2 to 4.4 % of that (hand-checked).
#[test]
fn seed_that_came_up_is_shown_with_the_span_of_the_seed_counts() {
    let mut case = biomass();
    case.readings = (0..20)
        .map(|at| quadrat(&format!("q{at}"), 0.25, &[(taxon(SWITCHGRASS), 6)]))
        .collect();
    let judgement = judged(&case);
    let [emerged] = &judgement.emergence[..] else {
        panic!("{:?}", judgement.emergence)
    };
    assert!((emerged.seeds_per_m2.0 - 548.57).abs() < 0.01);
    assert!((emerged.seeds_per_m2.1 - 578.23).abs() < 0.01);
    assert!(
        (emerged.share.estimate - 0.0426).abs() < 1e-4,
        "{emerged:?}"
    );
    assert!(!emerged.own_counts);
    // The lower limit rests on the most seeds, the upper on the fewest.
    let plants = emerged.plants_per_m2;
    assert_eq!(
        emerged.share.lower,
        plants.lower.map(|l| l / emerged.seeds_per_m2.1)
    );
    assert_eq!(
        emerged.share.upper,
        plants.upper.map(|u| u / emerged.seeds_per_m2.0)
    );

    case.mix[0].seeds_per_lb = Some(300_000.0);
    let own = &judged(&case).emergence[0];
    assert!(own.own_counts && own.seeds_per_m2.0 == own.seeds_per_m2.1);
    // Unknown rates: nothing is made up.
    case.mix[0].pls_lb_per_acre = None;
    assert!(judged(&case).emergence.is_empty());
}
