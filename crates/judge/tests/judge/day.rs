//! When it is fair to judge. Times are those of NRCS Montana MT-5 (90 days irrigated; dryland not
//! before the end of the first season; six weeks of spring after a dormant seeding), of Missouri
//! and Tennessee (three to four weeks to emergence), and ours (five weeks for a zero).

use jiff::civil::date;
use standbook_judge::*;
use standbook_key::standards::TimingRule;

use crate::cases::*;

fn thin() -> Case {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[2, 1, 3, 2, 1, 2, 2, 1]);
    case
}

fn full() -> Case {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[18, 20, 17, 19, 18, 21, 20, 18]);
    case
}

fn none() -> Case {
    let mut case = biomass();
    case.readings = frames(&taxon(SWITCHGRASS), &[0; 8]);
    case
}

#[test]
fn few_plants_in_july_are_not_called_failed() {
    let judgement = judged(&on(&thin(), date(2026, 7, 10)));
    assert_eq!(judgement.fairness.days_since_seeding, 59);
    assert_eq!(judgement.fairness.when, When::Early);
    assert_eq!(judgement.fairness.fair_from, date(2026, 9, 15));
    assert_eq!(judgement.fairness.rule, TimingRule::SeasonEnds);
    assert_eq!(judgement.fairness.sources[0].id, "nrcs_mt5");
    let verdict = &judgement.verdict;
    assert_eq!(verdict.verdict, Verdict::NotDecided);
    assert_eq!(verdict.so_far, Verdict::Below);
    assert_eq!(verdict.firmness, Firmness::Withheld);
    assert_eq!(verdict.because, Because::BelowTooEarly);
    assert!(judgement.advice.iter().any(|a| a.id == "patience"));
    assert!(
        judgement
            .advice
            .iter()
            .all(|a| a.id != "overseed_or_reseed")
    );
    assert!(
        judgement
            .look_again
            .iter()
            .any(|l| l.on == date(2026, 9, 15))
    );

    let later = judged(&thin());
    assert_eq!(later.verdict.verdict, Verdict::Below);
    assert_eq!(later.verdict.firmness, Firmness::Fair);
    // Even then the first year ends with a date in the next, not with a plough.
    assert!(later.advice.iter().all(|a| a.id != "overseed_or_reseed"));
    assert!(
        later
            .advice
            .iter()
            .any(|a| a.id == "recount_after_green_up")
    );
    assert!(
        later
            .look_again
            .iter()
            .any(|l| l.id == "after_green_up" && l.on == date(2027, 6, 1))
    );
}

#[test]
fn enough_plants_in_july_are_enough_for_the_time_being() {
    let judgement = judged(&on(&full(), date(2026, 7, 10)));
    assert_eq!(judgement.verdict.verdict, Verdict::Established);
    assert_eq!(judgement.verdict.firmness, Firmness::Provisional);
    let advised = |judgement: &Judgement, id: &str| judgement.advice.iter().any(|a| a.id == id);
    assert!(advised(&judgement, "early_and_good"));
    let later = judged(&full());
    assert_eq!(later.verdict.firmness, Firmness::Fair);
    assert!(advised(&later, "established_first_season") && !advised(&later, "early_and_good"));
}

#[test]
fn what_is_open_in_july_is_provisional_and_told_of_the_fair_day() {
    let mut case = biomass();
    case.irrigated = Some(true);
    case.readings = frames(&taxon(SWITCHGRASS), &[4, 16, 9, 13]);
    let judgement = judged(&on(&case, date(2026, 7, 10)));
    assert_eq!(judgement.verdict.verdict, Verdict::NotDecided);
    assert_eq!(judgement.verdict.firmness, Firmness::Provisional);
    let ids: Vec<&str> = judgement.advice.iter().map(|a| a.id.as_str()).collect();
    assert!(!ids.contains(&"early_and_good"), "{ids:?}");
    let fair_day = date(2026, 8, 10);
    assert!(judgement.look_again.iter().any(|l| l.on == fair_day));
}

#[test]
fn nothing_is_judged_before_emergence() {
    for case in [thin(), full()] {
        // 27 days.
        let judgement = judged(&on(&case, date(2026, 6, 8)));
        assert_eq!(judgement.verdict.verdict, Verdict::NotDecided);
        assert_eq!(judgement.verdict.because, Because::BeforeEmergence);
        assert_eq!(judgement.verdict.firmness, Firmness::Withheld);
        assert!(
            judgement
                .advice
                .iter()
                .any(|a| a.id == "wait_for_emergence")
        );
        assert!(judgement.advice.iter().all(|a| a.id != "mow_first_season"));
    }
}

#[test]
fn a_zero_at_three_weeks_is_not_scored() {
    let judgement = judged(&on(&none(), date(2026, 6, 2)));
    assert_eq!(judgement.fairness.days_since_seeding, 21);
    assert_eq!(judgement.verdict.because, Because::ZeroTooEarly);
    assert_eq!(judgement.verdict.firmness, Firmness::Withheld);
    assert_eq!(judgement.fairness.zero_counts_from, date(2026, 6, 16));
    // Between four and five weeks seedlings could be seen, yet a zero still says nothing.
    let judgement = judged(&on(&none(), date(2026, 6, 12)));
    assert_eq!(judgement.fairness.when, When::Early);
    assert_eq!(judgement.verdict.because, Because::ZeroTooEarly);
    // After five weeks it counts, and is still no failure in the first summer.
    let judgement = judged(&on(&none(), date(2026, 6, 16)));
    assert_eq!(judgement.verdict.so_far, Verdict::Below);
    assert_eq!(judgement.verdict.because, Because::BelowTooEarly);
    assert_eq!(judged(&none()).verdict.verdict, Verdict::Below);
}

#[test]
fn an_irrigated_seeding_may_be_judged_after_90_days() {
    let mut case = thin();
    case.irrigated = Some(true);
    let judgement = judged(&on(&case, date(2026, 8, 9)));
    assert_eq!(judgement.fairness.days_since_seeding, 89);
    assert_eq!(judgement.verdict.firmness, Firmness::Withheld);
    let judgement = judged(&on(&case, date(2026, 8, 10)));
    assert_eq!(judgement.fairness.fair_from, date(2026, 8, 10));
    assert_eq!(judgement.verdict.verdict, Verdict::Below);
}

#[test]
fn a_dormant_seeding_has_its_first_season_in_the_next_spring() {
    for (seeded, first_year) in [
        (date(2025, 8, 20), 2026),
        (date(2025, 11, 20), 2026),
        (date(2026, 2, 20), 2026),
        (date(2026, 3, 31), 2026),
    ] {
        let mut case = thin();
        case.seeded_on = seeded;
        let judgement = judged(&on(&case, date(2026, 6, 11)));
        assert!(judgement.season.late_or_dormant, "{seeded}");
        assert_eq!(judgement.season.first_year, first_year, "{seeded}");
        assert_eq!(judgement.season.number, 1, "{seeded}");
        assert!(
            judgement
                .notes
                .contains(&Note::LateOrDormant { first_season: 2026 })
        );
        // Six weeks from 1 May.
        assert_eq!(judgement.fairness.fair_from, date(2026, 6, 12), "{seeded}");
        assert_eq!(judgement.verdict.firmness, Firmness::Withheld, "{seeded}");
        assert_eq!(
            judged(&on(&case, date(2026, 6, 12))).verdict.verdict,
            Verdict::Below
        );
        let winter = judged(&on(&case, date(2026, 4, 2)));
        assert_eq!(
            (winter.season.number, winter.fairness.when),
            (0, When::BeforeEmergence)
        );
    }
    let spring = judged(&thin());
    assert!(!spring.season.late_or_dormant);
}

#[test]
fn seasons_are_counted_from_green_up() {
    let number = |visited| judged(&on(&full(), visited)).season.number;
    assert_eq!(number(date(2026, 5, 20)), 1);
    assert_eq!(number(date(2027, 4, 30)), 1, "not begun to grow again");
    assert_eq!(number(date(2027, 5, 1)), 2);
    assert_eq!(number(date(2028, 7, 1)), 3);
    let settled = judged(&on(&full(), date(2028, 7, 1)));
    assert_eq!(settled.fairness.when, When::Settled);
    // Seeded and looked at before the first of May: the first season all the same.
    let mut april = full();
    april.seeded_on = date(2026, 4, 10);
    assert_eq!(judged(&on(&april, date(2026, 4, 28))).season.number, 1);
}

#[test]
fn a_clear_shortage_in_the_second_season_is_a_reason_to_reseed() {
    let judgement = judged(&on(&thin(), date(2027, 7, 1)));
    assert_eq!(judgement.verdict.verdict, Verdict::Below);
    let reseed = judgement
        .advice
        .iter()
        .find(|a| a.id == "overseed_or_reseed")
        .unwrap();
    assert!(!reseed.sources.is_empty() && !reseed.cautions.is_empty());
    assert!(judgement.advice.iter().all(|a| a.id != "patience"));
}
