//! Published worked examples, and laws that hold for any seed.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;

use super::*;

/// `value` is what was published, to the digits printed.
#[track_caller]
fn prints(value: f64, digits: usize, published: &str) {
    assert_eq!(format!("{value:.digits$}"), published, "{value}");
}

fn pls(purity: f64, germination: f64, dormant: Option<f64>) -> Pls {
    Tag::new(purity, germination, dormant).unwrap().pls()
}

/// W1. Texas Department of Transportation, Pure live seed: purity 85 %, germination 75 %.
/// Printed: 0.64 lb PLS in a bulk pound; 1.56 bulk lb for 1 lb PLS, which is 1 / 0.64: the exact
/// 1 / 0.6375 is 1.57.
#[test]
fn w1_texas_department_of_transportation() {
    let share = pls(85.0, 75.0, None).germinated_only;
    prints(share, 4, "0.6375");
    prints(share, 2, "0.64");
    prints(bulk_from_pls(1.0, 0.64).unwrap(), 4, "1.5625");
    prints(bulk_from_pls(1.0, share).unwrap(), 2, "1.57");
}

/// W2. EC3 (Wisconsin), PLS vs. bulk seed: switchgrass, germination 92 %, hard 5 %, purity 98 %,
/// 3.00 lb PLS per acre. Printed: 95.06 %, 3.16 bulk lb per acre.
#[test]
fn w2_switchgrass_with_hard_seed() {
    let both = pls(98.0, 92.0, Some(5.0));
    let with = both.with_dormant.unwrap();
    prints(with * 100.0, 2, "95.06");
    prints(bulk_from_pls(3.0, with).unwrap(), 2, "3.16");
    // The other way: 98 x 92.
    prints(both.germinated_only * 100.0, 2, "90.16");
}

/// W3. Ernst Conservation Seeds, Bulk vs. pure live seed: purity 96 %, germination 80 %. Printed:
/// 76.8 %, 1.3 bulk lb for 1 lb PLS.
#[test]
fn w3_bulk_for_a_pound_of_live_seed() {
    let share = pls(96.0, 80.0, None).germinated_only;
    prints(share * 100.0, 1, "76.8");
    prints(bulk_from_pls(1.0, share).unwrap(), 1, "1.3");
}

/// W4. MBS Seed, What is pure live seed: little bluestem, purity 95 %, total germination 85 %,
/// 20 lb PLS wanted. Printed: 80.75 %, 24.77 bulk lb.
#[test]
fn w4_little_bluestem() {
    let share = pls(95.0, 85.0, None).germinated_only;
    prints(share * 100.0, 2, "80.75");
    prints(bulk_from_pls(20.0, share).unwrap(), 2, "24.77");
}

/// W5. Forage seeding rates, seeds per square foot (curiousfarmer.com): 227,000 seeds per lb.
/// Printed: about 5 seeds per ft2 at 1 lb per acre, about 50 at 10 lb.
#[test]
fn w5_seeds_per_square_foot() {
    prints(seeds_per_ft2(1.0, 227_000.0).unwrap(), 0, "5");
    prints(seeds_per_ft2(1.0, 227_000.0).unwrap(), 2, "5.21");
    prints(seeds_per_ft2(10.0, 227_000.0).unwrap(), 1, "52.1");
}

/// W6. Natural Communities, Mesic short prairie mix: sideoats grama 40 oz PLS per acre is printed
/// as 5.51 seeds per ft2; little bluestem 40 oz as 13.77; prairie dropseed 2 oz as 0.73. Seeds to
/// the ounce, 6,000, 15,000 and 16,000, are not printed: they are the round numbers that fit.
#[test]
fn w6_a_mix_in_ounces() {
    for (oz, seeds_per_oz, published) in [
        (40.0, 6_000.0, "5.51"),
        (40.0, 15_000.0, "13.77"),
        (2.0, 16_000.0, "0.73"),
    ] {
        let seeds = seeds_per_ft2(lb_from_oz(oz), seeds_per_oz * OZ_PER_LB).unwrap();
        prints(seeds, 2, published);
    }
}

/// W7. Northern Prairie Wildlife Research Center, table 4 (after SCS Job Sheet ND-20, 1980):
/// purity 90 %, germination 80 %. Printed: 1.4 bulk lb for 1 lb PLS; the table goes by 0.05.
#[test]
fn w7_a_conversion_table_in_steps() {
    let exact = bulk_from_pls(1.0, pls(90.0, 80.0, None).germinated_only).unwrap();
    prints(exact, 3, "1.389");
    prints((exact / 0.05).round() * 0.05, 2, "1.40");
}

/// Allamakee SWCD (Iowa) prints 45.9 lb of live seed for 55 lb at 91.83 %: that is 50 lb's.
#[test]
fn the_wrong_published_example_is_not_given_back() {
    prints(pls_from_bulk(55.0, 0.9183).unwrap(), 1, "50.5");
    prints(pls_from_bulk(50.0, 0.9183).unwrap(), 1, "45.9");
}

/// agproud.com, Establishing and managing switchgrass: 6 to 7 lb PLS per acre, about 370,000
/// seeds per lb. Worked out by hand: 51 to 59 seeds per ft2.
#[test]
fn switchgrass_rates_as_seeds() {
    prints(seeds_per_ft2(6.0, 370_000.0).unwrap(), 0, "51");
    prints(seeds_per_ft2(7.0, 370_000.0).unwrap(), 0, "59");
}

/// 1 lb per acre is 1.1209 kg per ha, and 3 to 10 kg per ha is 2.7 to 8.9 lb per acre (printed in
/// extension tables; the second by the reference of the biomass review).
#[test]
fn metric_beside_customary() {
    prints(kg_per_ha_from_lb_per_acre(1.0), 4, "1.1209");
    prints(kg_per_ha_from_lb_per_acre(8.922), 1, "10.0");
    prints(kg_per_ha_from_lb_per_acre(2.677), 1, "3.0");
    let per_m2 = seeds_per_m2(1.0, FT2_PER_ACRE).unwrap();
    prints(per_m2, 3, "10.764"); // 1 per ft2
    assert!((HA_PER_ACRE - FT2_PER_ACRE * 0.3048 * 0.3048 / 1e4).abs() < 1e-15);
}

/// 20 to 40 seeds for 1 to 2 plants per ft2: the lower end is 2.5 % of 40 for 1.
#[test]
fn seedlings_to_expect() {
    prints(expected_seedlings(40.0, 0.025).unwrap().per_ft2, 3, "1.000");
    prints(expected_seedlings(20.0, 0.10).unwrap().per_ft2, 3, "2.000");
    // The berm: 110 plants per m2 were 15 % of what was sown, 733 seeds per m2, 68.1 per ft2.
    let berm = expected_seedlings(110.0 / 0.15 * 0.3048 * 0.3048, 0.15).unwrap();
    prints(berm.per_m2, 6, "110.000000");
    let shares: Vec<f64> = EMERGENCE_SHARES.iter().map(|s| s.share).collect();
    assert_eq!(shares, [0.025, 0.05, 0.10, 0.15, 0.30]);
}

#[test]
fn shares_of_a_mix() {
    // 5 lb of 100,000 and 5 lb of 300,000: even by weight, one to three by seed.
    assert_eq!(shares_by_weight(&[5.0, 5.0]).unwrap(), [0.5, 0.5]);
    let one = |lb: f64, per_lb: f64| {
        let seeds = seeds_per_ft2(lb, per_lb).unwrap();
        (seeds, seeds)
    };
    let by_seed = shares_by_seed(&[one(5.0, 100_000.0), one(5.0, 300_000.0)]).unwrap();
    prints(by_seed[0].0, 6, "0.250000");
    prints(by_seed[1].1, 6, "0.750000");
    // A range: 10 to 20 beside 30 is 10 of 40 to 20 of 50.
    let ranged = shares_by_seed(&[(10.0, 20.0), (30.0, 30.0)]).unwrap();
    prints(ranged[0].0, 6, "0.250000");
    prints(ranged[0].1, 6, "0.400000");
    prints(ranged[1].0, 6, "0.600000");
    prints(ranged[1].1, 6, "0.750000");
}

#[test]
fn dormant_seed_is_unknown_zero_or_some() {
    assert_eq!(pls(90.0, 50.0, None).with_dormant, None);
    assert_eq!(
        pls(90.0, 50.0, Some(0.0)).with_dormant,
        Some(pls(90.0, 50.0, None).germinated_only)
    );
    let both = pls(90.0, 50.0, Some(40.0));
    let labels: Vec<_> = both.both().map(|(live, _)| live.words()).collect();
    assert_eq!(labels, ["without dormant seed", "with dormant seed"]);
    prints(both.with_dormant.unwrap(), 4, "0.8100");
}

#[test]
fn what_cannot_be_is_said_with_its_unit() {
    let says = |error: SeedingError| error.to_string();
    assert_eq!(
        says(Tag::new(120.0, 80.0, None).unwrap_err()),
        "purity of 120 % cannot be: use a number from 0 to 100"
    );
    assert_eq!(
        says(Tag::new(98.0, 92.0, Some(9.0)).unwrap_err()),
        "germination and dormant seed are 101.00 % together, more than 100 %: read the tag again"
    );
    assert_eq!(
        says(seeds_per_ft2(-1.0, 227_000.0).unwrap_err()),
        "a rate of -1 lb per acre cannot be: use a number above 0, up to 1000000000"
    );
    assert!(
        Tag::new(33.3, 66.6, Some(33.4)).is_ok(),
        "tenths that sum to 100"
    );
    for bad in [f64::NAN, f64::INFINITY, 0.0, -3.0] {
        assert!(bulk_from_pls(bad, 0.5).is_err(), "{bad}");
        assert!(bulk_from_pls(1.0, bad).is_err(), "{bad}");
        assert!(pls_from_bulk(bad, 0.5).is_err(), "{bad}");
        assert!(seeds_per_ft2(1.0, bad).is_err(), "{bad}");
        assert!(lb_per_acre_for_ft2(bad, 1e5).is_err(), "{bad}");
        assert!(lb_per_acre_for_m2(bad, 1e5).is_err(), "{bad}");
        assert!(expected_seedlings(bad, 0.1).is_err(), "{bad}");
        assert!(shares_by_weight(&[1.0, bad]).is_err(), "{bad}");
        assert!(shares_by_seed(&[(bad, 5.0)]).is_err(), "{bad}");
        assert!(Tag::new(bad, 50.0, None).is_err() == (bad != 0.0), "{bad}");
    }
    assert!(bulk_from_pls(1.0, 1.01).is_err());
    assert_eq!(shares_by_weight(&[]), Err(SeedingError::EmptyMix));
    assert_eq!(shares_by_seed(&[]), Err(SeedingError::EmptyMix));
    assert!(shares_by_seed(&[(5.0, 4.0)]).is_err());
}

#[test]
fn weights_on_a_tag() {
    let tag = |parts: [Option<f64>; 4]| Weights {
        purity: parts[0],
        other_crop: parts[1],
        inert: parts[2],
        weed: parts[3],
    };
    let whole = tag([Some(92.5), Some(0.2), Some(7.2), Some(0.1)]);
    prints(whole.check().unwrap().unwrap(), 2, "100.00");
    assert_eq!(tag([Some(92.5), None, None, None]).check(), Ok(None));
    assert!(tag([Some(92.5), None, Some(9.0), None]).check().is_err());
}

#[test]
fn age_of_a_test() {
    let month = |year, month| Month { year, month };
    assert_eq!(months_between(month(2025, 8), month(2026, 5)), 9);
    assert_eq!(months_between(month(2025, 12), month(2026, 1)), 1);
    assert_eq!(months_between(month(2026, 5), month(2026, 2)), -3);
    assert!(TEST_RULES.is_sorted_by_key(|rule| rule.months));
    assert!(TEST_RULES.iter().any(|rule| rule.months == STALE_MONTHS));
}

proptest! {
    #[test]
    fn there_and_back(lb in 0.01..500.0f64, seeds in 1e3..1e7f64, share in 0.01..1.0f64) {
        let close = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-12;
        prop_assert!(close(pls_from_bulk(bulk_from_pls(lb, share).unwrap(), share).unwrap(), lb));
        prop_assert!(close(lb_per_acre_for_ft2(seeds_per_ft2(lb, seeds).unwrap(), seeds).unwrap(), lb));
        prop_assert!(close(lb_per_acre_for_m2(seeds_per_m2(lb, seeds).unwrap(), seeds).unwrap(), lb));
        prop_assert!(close(lb_from_oz(oz_from_lb(lb)), lb));
    }

    #[test]
    fn dormant_seed_never_takes_away(purity in 0.0..=100.0f64, germination in 0.0..=100.0f64, part in 0.0..=1.0f64) {
        let dormant = (100.0 - germination) * part;
        let both = Tag::new(purity, germination, Some(dormant)).unwrap().pls();
        let with = both.with_dormant.unwrap();
        prop_assert!(both.germinated_only <= with + 1e-12 && with <= 1.0);
    }

    #[test]
    fn shares_hold_every_mix_within_their_ranges(
        lows in proptest::collection::vec(0.1..100.0f64, 1..8),
        widths in proptest::collection::vec(0.0..2.0f64, 8),
        at in proptest::collection::vec(0.0..=1.0f64, 8),
    ) {
        let ranges: Vec<(f64, f64)> = lows.iter().zip(&widths).map(|(l, w)| (*l, l * (1.0 + w))).collect();
        let inside: Vec<f64> = ranges.iter().zip(&at).map(|((l, h), at)| l + (h - l) * at).collect();
        let all: f64 = inside.iter().sum();
        for (seeds, (low, high)) in inside.iter().zip(shares_by_seed(&ranges).unwrap()) {
            prop_assert!(low - 1e-12 <= seeds / all && seeds / all <= high + 1e-12);
        }
    }
}
