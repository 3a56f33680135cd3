//! Counts against published thresholds.

use jiff::civil::date;
use standbook_judge::*;
use standbook_key::standards::{Holds, OfWhat, PlantsCounted, Purpose, Threshold, ThresholdUnit};
use standbook_stand::convert::Rule;

use crate::cases::*;

#[track_caller]
fn compared<'a>(judgement: &'a Judgement, id: &str) -> &'a Compared {
    let found = judgement.compared.iter().find(|c| c.threshold.id == id);
    found.unwrap_or_else(|| panic!("{id} not compared: {:?}", judgement.not_compared))
}

#[track_caller]
fn why_not(judgement: &Judgement, id: &str) -> WhyNot {
    let found = judgement.not_compared.iter().find(|c| c.threshold.id == id);
    found.unwrap_or_else(|| panic!("{id} compared")).why
}

/// Oklahoma State's four placements: 15, 14, 20 and 21 of 25 are read as a 70 % stand. By t over
/// four spots that is 0.476 to 0.924 (SciPy 1.17.1), above the 40 % of Schmer and others 2006.
#[test]
fn oklahomas_four_frames_are_established_for_biomass() {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[15, 14, 20, 21]);
    let judgement = judged(&case);
    let schmer = compared(&judgement, "schmer_biomass");
    let by = &schmer.by[0];
    assert_eq!(by.sure.estimate, 0.70);
    // Another interval may be used for few frames; it must not be narrower than this one by much.
    let (lower, upper) = (by.sure.lower.unwrap(), by.sure.upper.unwrap());
    assert!((0.40..0.50).contains(&lower), "{lower}");
    assert!((0.83..0.95).contains(&upper), "{upper}");
    assert_eq!(schmer.verdict, Verdict::Established);
    assert_eq!(schmer.caveats, [], "Nebraska, first season, a pure stand");
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    assert_eq!(judgement.verdict.firmness, Firmness::Fair);
    assert_eq!(judgement.verdict.rests_on, Some(RestsOn::Measured));
    assert_eq!(judgement.verdict.because, Because::AllAgree);
    for id in ["schmer_biomass", "ndsu_biomass", "msu_ethanol"] {
        assert!(
            judgement.verdict.decided_by.contains(&id.to_owned()),
            "{id}"
        );
    }
    let ndsu = compared(&judgement, "ndsu_biomass");
    assert_eq!(ndsu.by[0].word, "good to excellent");
}

/// Thresholds of Schmer and others 2006: 40 % for biomass, 25 % for conservation.
#[test]
fn a_third_of_cells_is_enough_for_conservation_and_too_few_for_biomass() {
    let mut case = biomass();
    let mut cells = vec![8, 8, 9, 7, 8, 9, 8, 7, 8, 8];
    cells.extend(cells.clone());
    cells.extend(cells.clone());
    case.readings = frames(&taxon(SWITCHGRASS), &cells);
    let biomass = judged(&case);
    assert_eq!(
        biomass.verdict.verdict,
        Verdict::Below,
        "{:?}",
        biomass.verdict
    );
    case.purpose = Purpose::Conservation;
    let conservation = judged(&case);
    assert_eq!(conservation.verdict.verdict, Verdict::Established);
    assert_eq!(conservation.verdict.decided_by, ["schmer_conservation"]);
    assert_eq!(
        why_not(&conservation, "schmer_biomass"),
        WhyNot::OtherPurpose
    );
}

/// Where frequency is turned into density: 40 % is 16.0 plants per m2 by 0.4 (Vogel & Masters
/// 2001), 17.8 by 2.25 (Great Lakes protocol 175), 22.7 if scattered at random (own, hand-checked:
/// -ln 0.6 / 0.0225). The classes of the biomass book, 10 and 20, then differ.
#[test]
fn forty_percent_is_adequate_or_excellent_by_the_conversion() {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[10; 60]);
    let judgement = judged(&case);
    let density = compared(&judgement, "biomass_density");
    let by = |rule: Rule| {
        let is = |c: &&Comparison| matches!(c.evidence, Evidence::Converted { rule: r, .. } if r == rule);
        density.by.iter().find(is).unwrap()
    };
    let expected = [
        (Rule::FourTenths, 16.0, "adequate"),
        (Rule::Over225, 17.778, "adequate"),
        (Rule::RandomScatter, 22.703, "excellent"),
    ];
    for (rule, per_m2, word) in expected {
        let found = by(rule);
        assert!((found.sure.estimate - per_m2).abs() < 5e-4, "{found:?}");
        assert!(found.word.starts_with(word), "{found:?}");
        assert_eq!(found.rests_on, RestsOn::Converted);
    }
    assert_eq!(by(Rule::FourTenths).levels[1].verdict, Verdict::Below);
    assert_eq!(
        by(Rule::RandomScatter).levels[1].verdict,
        Verdict::Established
    );
    assert!(judgement.verdict.conversions_disagree);
    // All call it established (10 or more); measured frequency itself straddles 40 %.
    assert_eq!(density.verdict, Verdict::Established);
    assert_eq!(judgement.verdict.verdict, Verdict::NotDecided);
    assert_eq!(judgement.verdict.because, Because::Straddles);
}

#[test]
fn an_interval_that_straddles_decides_nothing() {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[4, 16, 9, 13]);
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::NotDecided);
    assert_eq!(judgement.verdict.because, Because::Straddles);
    assert!(judgement.advice.iter().any(|a| a.id == "more_spots"));
    assert!(matches!(judgement.enough.frequency, Some(Wish::Needs(n)) if n.further > 0));
}

#[test]
fn one_spot_decides_nothing_however_full() {
    let mut case = biomass();
    case.readings = (0..4)
        .map(|_| frame("p1", &[(taxon(SWITCHGRASS), 25)]))
        .collect();
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::NotDecided);
    assert!(judgement.notes.contains(&Note::OneSpot));
}

/// 20 seedlings per square foot wanted soon after emergence (Oklahoma State) are ten to twenty
/// times what the biomass book asks of plants.
#[test]
fn a_goal_for_seedlings_is_not_held_against_plants() {
    let mut case = biomass();
    case.readings = (0..20)
        .map(|at| quadrat(&format!("q{at}"), 0.25, &[(taxon(SWITCHGRASS), 6)]))
        .collect();
    let judgement = judged(&case);
    assert_eq!(
        why_not(&judgement, "okstate_seedling_goal"),
        WhyNot::SeedlingGoal
    );
    assert_eq!(judgement.verdict.verdict, Verdict::Established, "24 per m2");
    assert_eq!(judgement.verdict.decided_by, ["biomass_density"]);

    // Counted as seedlings it is shown, decides nothing, and the rest is caveated.
    case.counted = PlantsCounted::Seedlings;
    let judgement = judged(&case);
    let goal = compared(&judgement, "okstate_seedling_goal");
    assert_eq!(goal.verdict, Verdict::Below);
    assert!(goal.caveats.contains(&Caveat::NotDeciding));
    let density = compared(&judgement, "biomass_density");
    assert!(density.caveats.contains(&Caveat::SeedlingsCounted));
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    assert_eq!(judgement.verdict.disagreements, []);
}

#[test]
fn a_mix_borrows_and_says_so() {
    let mut case = biomass();
    case.purpose = Purpose::Conservation;
    sow(&mut case, &["andropogon_gerardi", "sorghastrum_nutans"]);
    case.state = "KS".to_owned();
    case.readings = frames(
        &taxon("andropogon_gerardi"),
        &[14, 15, 13, 16, 14, 15, 14, 13],
    );
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    assert_eq!(judgement.verdict.rests_on, Some(RestsOn::Borrowed));
    let caveats = &compared(&judgement, "schmer_conservation").caveats;
    assert!(caveats.contains(&Caveat::Borrowed) && caveats.contains(&Caveat::FoundElsewhere));
}

/// Gamagrass stands in crowns four feet across: one plant per square yard.
#[test]
fn gamagrass_is_judged_by_its_own_threshold_in_rows() {
    let mut case = biomass();
    case.purpose = Purpose::Forage;
    sow(&mut case, &["tripsacum_dactyloides"]);
    // 3 m of 30-inch rows: 2.286 m2 with 5 plants is 2.19 per m2, 1.67 per m of row.
    case.readings = (0..12)
        .map(|at| Laid {
            row: Some(RowLaid {
                length_m: 3.0,
                spacing_m: 0.762,
            }),
            ..quadrat(
                &format!("r{at}"),
                3.0 * 0.762,
                &[(taxon("tripsacum_dactyloides"), 5)],
            )
        })
        .collect();
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    assert_eq!(judgement.verdict.decided_by, ["gamagrass_per_yd2"]);
    let row = compared(&judgement, "gamagrass_full_row");
    assert!((row.by[0].sure.estimate - 5.0 / 3.0).abs() < 1e-9);
    assert_eq!(row.verdict, Verdict::Below, "4 per m is a full stand");
    assert!(row.caveats.contains(&Caveat::NotDeciding));
    // One plant per square foot says below: the two disagree, and that is shown.
    assert!(
        judgement
            .verdict
            .disagreements
            .iter()
            .any(|d| { d.established == "gamagrass_per_yd2" && d.below == "one_per_ft2" }),
        "{:?}",
        judgement.verdict
    );
}

fn local(at_least: f64) -> Threshold {
    let source = "County programme sheet, spring 2026";
    Threshold {
        region: "Kansas".to_owned(),
        holds: Holds::There,
        ..Threshold::of_your_own(
            "county",
            "county programme",
            ThresholdUnit::PercentOfCells,
            at_least,
            source,
        )
    }
}

#[test]
fn a_threshold_of_ones_own_goes_before_and_the_disagreement_is_shown() {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[15; 30]);
    case.local = vec![local(80.0)];
    assert_eq!(judged(&case).verdict.verdict, Verdict::Established);
    assert_eq!(why_not(&judged(&case), "county"), WhyNot::OtherRegion);
    case.state = "kansas".to_owned();
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::Below);
    assert_eq!(judgement.verdict.decided_by, ["county"]);
    assert_eq!(judgement.verdict.rests_on, Some(RestsOn::Own));
    assert!(!judgement.verdict.disagreements.is_empty());
    let county = compared(&judgement, "county");
    assert_eq!(
        county.sources[0].citation,
        "County programme sheet, spring 2026"
    );
    case.state = "KS".to_owned();
    assert_eq!(
        judged(&case).verdict.verdict,
        Verdict::Below,
        "the code is the same place"
    );
}

#[test]
fn a_threshold_of_ones_own_may_speak_of_one_species_of_a_mix() {
    let mut case = biomass();
    sow(&mut case, &["andropogon_gerardi", "sorghastrum_nutans"]);
    let found = [
        (taxon("andropogon_gerardi"), 16),
        (taxon("sorghastrum_nutans"), 3),
    ];
    case.readings = (0..20).map(|at| frame(&format!("p{at}"), &found)).collect();
    let mut own = local(40.0);
    own.holds = Holds::Anywhere;
    own.of = OfWhat::Taxa(vec![standbook_key::TaxonId::new("sorghastrum_nutans")]);
    case.local = vec![own];
    let judgement = judged(&case);
    assert_eq!(compared(&judgement, "county").by[0].sure.estimate, 0.12);
    assert_eq!(judgement.verdict.verdict, Verdict::Below);
    let schmer = compared(&judgement, "schmer_biomass");
    assert_eq!(schmer.by[0].sure.estimate, 0.64);
}

#[test]
fn unknowns_that_matter_leave_it_not_decided() {
    let mut case = biomass();
    let unknown = Label::Unknown("unknown 3".to_owned());
    let found = |planted: u32, unknown_cells: u32| {
        (0..20)
            .map(|at| {
                frame(
                    &format!("p{at}"),
                    &[
                        (taxon(SWITCHGRASS), planted),
                        (unknown.clone(), unknown_cells),
                    ],
                )
            })
            .collect::<Vec<_>>()
    };
    case.readings = found(6, 16);
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::NotDecided);
    assert_eq!(judgement.verdict.because, Because::Unknowns);
    let by = &compared(&judgement, "schmer_biomass").by[0];
    assert_eq!(
        (by.verdict_sure, by.verdict_at_most),
        (Verdict::Below, Verdict::Established)
    );
    assert!(judgement.unsettled[0].could_decide);
    assert_eq!(judgement.unsettled[0].cells, 320);
    assert!(judgement.advice.iter().any(|a| a.id == "settle_unknowns"));

    // The same unknown, where it cannot change anything.
    case.readings = found(20, 4);
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    assert!(!judgement.unsettled[0].could_decide);
    // Settled as a weed, it decides.
    case.readings = found(6, 16);
    let weed = About {
        group: "cool_weed".to_owned(),
        role: Role::Weed,
    };
    case.labels.insert(unknown, weed);
    assert_eq!(judged(&case).verdict.verdict, Verdict::Below);
}

#[test]
fn parts_of_the_field_are_weighed_by_area() {
    let mut case = biomass();
    let full = frames(&taxon(SWITCHGRASS), &[18, 17, 19, 18, 18, 17]);
    let mut thin = frames(&taxon(SWITCHGRASS), &[3, 2, 4, 3, 3, 2]);
    for (at, laid) in thin.iter_mut().enumerate() {
        laid.reading.spot = format!("slope {at}");
    }
    case.readings = full.into_iter().chain(thin).collect();
    let part = |name: &str, area_m2: f64, slope: bool| Stratum {
        name: name.to_owned(),
        area_m2: Some(area_m2),
        spots: case
            .readings
            .iter()
            .map(|laid| laid.reading.spot.clone())
            .filter(|spot| spot.starts_with("slope") == slope)
            .collect(),
    };
    let alone = judged(&case);
    case.strata = vec![part("flat", 90_000.0, false), part("slope", 10_000.0, true)];
    let judgement = judged(&case);
    let by_part = judgement.by_part.as_ref().unwrap();
    // 0.9 x 107/150 + 0.1 x 17/150.
    let wanted = 0.9 * 107.0 / 150.0 + 0.1 * 17.0 / 150.0;
    assert!((by_part.frequency.unwrap().estimate - wanted).abs() < 1e-12);
    let schmer = compared(&judgement, "schmer_biomass");
    assert_eq!(schmer.by[0].sure, by_part.frequency.unwrap());
    assert!(by_part.used && judgement.verdict.verdict == Verdict::Established);
    assert_eq!(
        alone.verdict.verdict,
        Verdict::NotDecided,
        "two kinds of ground as one"
    );

    case.strata[1].area_m2 = None;
    let judgement = judged(&case);
    assert!(!judgement.by_part.as_ref().unwrap().used);
    assert!(
        judgement
            .notes
            .iter()
            .any(|n| matches!(n, Note::StrataNotWeighed { .. }))
    );
    assert_eq!(judgement.verdict.verdict, alone.verdict.verdict);

    // A part with three spots says too little of itself, and with four it is weighed.
    case.strata[1].area_m2 = Some(10_000.0);
    for (kept, weighed) in [(3, false), (4, true)] {
        let mut fewer = case.clone();
        let slope: Vec<String> = fewer.strata[1].spots.iter().take(kept).cloned().collect();
        fewer.strata[1].spots = slope.iter().cloned().collect();
        fewer.readings.retain(|laid| {
            !laid.reading.spot.starts_with("slope") || slope.contains(&laid.reading.spot)
        });
        let by_part = judged(&fewer).by_part.unwrap();
        assert_eq!(by_part.used, weighed, "{kept} spots");
    }
}

#[test]
fn a_second_season_is_said_of_thresholds_for_the_first() {
    let mut case = on(&biomass(), date(2027, 6, 20));
    case.readings = frames(&taxon(SWITCHGRASS), &[15, 14, 20, 21, 16, 18]);
    let judgement = judged(&case);
    assert_eq!(judgement.season.number, 2);
    let schmer = compared(&judgement, "schmer_biomass");
    assert_eq!(schmer.caveats, [Caveat::OtherSeason { season: 1 }]);
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
}
