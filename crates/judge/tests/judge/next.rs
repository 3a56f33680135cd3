//! Weeds, advice and dates.

use jiff::civil::date;
use standbook_judge::*;
use standbook_key::standards::{LifeSpan, Purpose, Situation};

use crate::cases::*;

/// A field in August with so many cells of each label in every one of 16 frames.
fn field(found: &[(&str, u32)]) -> Case {
    let found: Vec<(Label, u32)> = found.iter().map(|(id, n)| (taxon(id), *n)).collect();
    let mut case = on(&biomass(), date(2026, 8, 1));
    case.readings = (0..16).map(|at| frame(&format!("p{at}"), &found)).collect();
    case
}

fn ids(judgement: &Judgement) -> Vec<&str> {
    judgement.advice.iter().map(|a| a.id.as_str()).collect()
}

#[test]
fn perennial_weeds_are_named_before_annual_ones() {
    let case = field(&[
        (SWITCHGRASS, 14),
        ("setaria_faberi", 20),
        ("bromus_inermis", 3),
        ("elymus_repens", 5),
        ("digitaria_sanguinalis", 2),
    ]);
    let judgement = judged(&case);
    let names = |list: &[WeedFound]| -> Vec<String> {
        list.iter()
            .map(|w| w.label.taxon().unwrap().to_owned())
            .collect()
    };
    assert_eq!(
        names(&judgement.weeds.perennial),
        ["elymus_repens", "bromus_inermis"]
    );
    assert_eq!(
        names(&judgement.weeds.annual),
        ["setaria_faberi", "digitaria_sanguinalis"]
    );
    assert_eq!(judgement.weeds.perennial[0].span, Some(LifeSpan::Perennial));
    assert_eq!(
        judgement.weeds.perennial[0].frequency.unwrap().estimate,
        0.2
    );
    assert!(!judgement.weeds.takeover);
    assert!(
        judgement.situations.contains(&Situation::NoxiousListed),
        "quackgrass in Kansas"
    );
    let ids = ids(&judgement);
    // The office is asked before anything is done about a weed that a law names.
    let place = |id: &str| ids.iter().position(|one| *one == id);
    assert!(place("call_weed_office").unwrap() < place("perennial_weeds").unwrap());
    assert!(!ids.contains(&"annual_weeds"));
    // Annual weeds of both groups count a cell once.
    let grid = &judgement.summary.grids[0];
    let annual = grid.groups.iter().find(|g| g.name == ANNUAL_WEEDS).unwrap();
    assert_eq!(annual.low.estimate.value, 0.8);
}

#[test]
fn annual_weeds_alone_are_the_small_problem() {
    let judgement = judged(&field(&[(SWITCHGRASS, 14), ("setaria_faberi", 20)]));
    let ids = ids(&judgement);
    assert!(ids.contains(&"annual_weeds") && !ids.contains(&"perennial_weeds"));
    let mow = judgement
        .advice
        .iter()
        .find(|a| a.id == "mow_first_season")
        .unwrap();
    // The sources disagree from 2 inches to 10, and all of them are shown.
    let cuts: Vec<(f64, f64)> = mow.mowing.iter().filter_map(|m| m.mowing.cut_in).collect();
    let lowest = cuts.iter().map(|c| c.0).fold(f64::INFINITY, f64::min);
    let highest = cuts.iter().map(|c| c.1).fold(0.0, f64::max);
    assert_eq!((lowest, highest), (2.0, 10.0));
    assert!(mow.cautions.iter().any(|c| c.caution.id == "mower"));
    assert!(mow.mowing.iter().all(|m| m.source.kind.is_some()));
}

#[test]
fn a_takeover_by_perennial_weeds_calls_the_office_even_in_the_first_year() {
    let judgement = judged(&field(&[(SWITCHGRASS, 3), ("bromus_inermis", 20)]));
    assert!(judgement.weeds.takeover);
    let ids = ids(&judgement);
    assert!(ids.contains(&"takeover_first_season") && !ids.contains(&"overseed_or_reseed"));
    let annual = judged(&field(&[(SWITCHGRASS, 3), ("setaria_faberi", 20)]));
    assert!(!annual.weeds.takeover);
}

#[test]
fn leaves_of_the_planted_grass_are_asked_for_and_stated() {
    let mut case = field(&[(SWITCHGRASS, 14), ("setaria_faberi", 20)]);
    let judgement = judged(&case);
    assert!(ids(&judgement).contains(&"count_leaves"));
    case.leaves = Some(Leaves { fewest: 3, most: 6 });
    let judgement = judged(&case);
    assert!(ids(&judgement).contains(&"too_few_leaves"));
    assert!(!ids(&judgement).contains(&"count_leaves"));
    case.leaves = Some(Leaves { fewest: 4, most: 6 });
    let judgement = judged(&case);
    assert!(!ids(&judgement).contains(&"too_few_leaves"));
    let spray = judgement
        .advice
        .iter()
        .find(|a| a.id == "who_may_spray")
        .unwrap();
    for caution in [
        "label",
        "licensed",
        "entry_interval",
        "grazing_interval",
        "forbs",
    ] {
        assert!(
            spray.cautions.iter().any(|c| c.caution.id == caution),
            "{caution}"
        );
    }
}

#[test]
fn grazing_is_put_off_for_forage_only() {
    let mut case = field(&[(SWITCHGRASS, 14)]);
    assert!(!ids(&judged(&case)).contains(&"no_grazing_first"));
    case.purpose = Purpose::Forage;
    assert!(ids(&judged(&case)).contains(&"no_grazing_first"));
    let second = judged(&on(&case, date(2027, 8, 1)));
    assert!(ids(&second).contains(&"light_grazing_second"));
    assert!(!ids(&second).contains(&"no_grazing_first"));
}

#[test]
fn every_piece_of_advice_says_why_and_by_whom() {
    let mut case = field(&[
        (SWITCHGRASS, 3),
        ("bromus_inermis", 20),
        ("setaria_pumila", 4),
    ]);
    case.events.push(Event {
        on: date(2026, 6, 20),
        what: Happened::Drought,
    });
    let judgement = judged(&case);
    assert!(ids(&judgement).contains(&"drought"));
    for advice in &judgement.advice {
        assert!(!advice.why.is_empty(), "{}", advice.id);
        assert!(
            advice.sources.iter().all(|s| s.kind.is_some()),
            "{}",
            advice.id
        );
        assert!(advice.cautions.iter().all(|c| !c.sources.is_empty()));
    }
}

#[test]
fn dates_to_look_again_are_to_come_and_in_order() {
    let mut case = field(&[(SWITCHGRASS, 14)]);
    case.purpose = Purpose::Conservation;
    let early = judged(&on(&case, date(2026, 6, 12)));
    let dates: Vec<_> = early
        .look_again
        .iter()
        .map(|l| (l.id.as_str(), l.on))
        .collect();
    assert_eq!(
        dates,
        [
            // 45 days (Roundstone, conservation).
            ("look_at_45_days", date(2026, 6, 26)),
            ("fall_check", date(2026, 9, 15)),
            ("after_green_up", date(2027, 6, 1)),
            ("third_season", date(2028, 6, 1)),
        ]
    );
    // The office looks at it a year later: what has passed is left out.
    let mut late = case.clone();
    late.today = date(2027, 8, 1);
    let late = judged(&late);
    let dates: Vec<_> = late.look_again.iter().map(|l| l.id.as_str()).collect();
    assert_eq!(dates, ["third_season"]);
    // An irrigated seeding is told of its own day.
    case.irrigated = Some(true);
    case.readings.truncate(0);
    case.readings = frames(&taxon(SWITCHGRASS), &[1; 8]);
    let irrigated = judged(&on(&case, date(2026, 7, 1)));
    assert!(
        irrigated
            .look_again
            .iter()
            .any(|l| l.id == "irrigated_90_days" && l.on == date(2026, 8, 10))
    );
}

#[test]
fn much_grass_is_not_praised_for_wildlife_without_a_word() {
    let mut case = field(&[("andropogon_gerardi", 22), ("sorghastrum_nutans", 20)]);
    case.purpose = Purpose::Wildlife;
    sow(&mut case, &["andropogon_gerardi", "sorghastrum_nutans"]);
    let judgement = judged(&case);
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    assert!(ids(&judgement).contains(&"dense_for_wildlife"));
}
