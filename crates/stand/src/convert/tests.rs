//! Checks of the rules from frequency to density.
#![allow(clippy::unwrap_used)]
use super::*;
use proptest::prelude::*;

#[track_caller]
fn about(rule: Rule, frequency: f64, wanted: f64, slack: f64) {
    match rule.density(frequency, Grid::STANDARD, 100).unwrap() {
        Density::About(found) => {
            assert!(
                (found - wanted).abs() <= slack,
                "found {found}, wanted {wanted}"
            );
        }
        at_least => panic!("{at_least:?}"),
    }
}

/// S5a to S5c: own and Oklahoma State's 70 % (okstate_eval), recomputed, 6 digits.
#[test]
fn s5_densities_by_three_rules() {
    for (frequency, random, four_tenths, over_225) in [
        (0.25, 12.7859, 10.0, 11.1111),
        (0.40, 22.7034, 16.0, 17.7778),
        (0.70, 53.5099, 28.0, 31.1111),
    ] {
        about(Rule::RandomScatter, frequency, random, 5e-5);
        about(Rule::FourTenths, frequency, four_tenths, 1e-12);
        about(Rule::Over225, frequency, over_225, 5e-5);
    }
}

/// S5a to S5c, plants per cell: a cell of 1 m2 makes the two the same; 6 digits.
/// S5d: Bliss & Fisher's red mites (mites_asbio), 80 of 150 leaves, k = 1.0245924.
#[test]
fn s5_plants_per_cell() {
    let one_m2 = Grid {
        cells: 1,
        cell_side_cm: 100.0,
    };
    let clumped = Rule::Clumped { k: 1.024_592_4 };
    for (rule, frequency, wanted) in [
        (Rule::RandomScatter, 0.25, 0.287682),
        (Rule::RandomScatter, 0.40, 0.510826),
        (Rule::RandomScatter, 0.70, 1.203973),
        (Rule::RandomScatter, 80.0 / 150.0, 0.762140),
        (clumped, 80.0 / 150.0, 1.131165),
    ] {
        let found = rule.density(frequency, one_m2, 150).unwrap().per_m2();
        assert!(
            (found - wanted).abs() <= 6e-7,
            "found {found}, wanted {wanted}"
        );
    }
}

#[test]
fn full_cells_give_at_least_and_never_infinity() {
    let rules = [
        Rule::FourTenths,
        Rule::Over225,
        Rule::RandomScatter,
        Rule::Clumped { k: 0.05 },
    ];
    for rule in rules {
        let full = rule.density(1.0, Grid::STANDARD, 100).unwrap();
        assert!(
            full.is_at_least() && full.per_m2().is_finite(),
            "{rule:?} {full:?}"
        );
    }
    // ln 100 / 0.0225 m2: what 99 of 100 cells would have given.
    let full = Rule::RandomScatter
        .density(1.0, Grid::STANDARD, 100)
        .unwrap();
    assert!((full.per_m2() - 204.674).abs() < 1e-3);
}

#[test]
fn linear_rules_refuse_other_frames() {
    let small = Grid {
        cells: 16,
        cell_side_cm: 10.0,
    };
    for rule in [Rule::FourTenths, Rule::Over225] {
        assert!(matches!(
            rule.density(0.4, small, 16),
            Err(ConvertError::OtherFrame { .. })
        ));
        let mesh = Grid {
            cells: 25,
            cell_side_cm: 15.24,
        };
        assert!(rule.density(0.4, mesh, 25).is_ok());
    }
    assert!(Rule::RandomScatter.density(0.4, small, 16).is_ok());
}

#[test]
fn impossible_input_is_refused() {
    let rule = Rule::RandomScatter;
    for frequency in [-0.1, 1.1, f64::NAN] {
        assert!(rule.density(frequency, Grid::STANDARD, 25).is_err());
    }
    assert_eq!(
        rule.density(0.5, Grid::STANDARD, 0),
        Err(ConvertError::NoCells)
    );
    for cell_side_cm in [0.0, f64::NAN, f64::INFINITY] {
        assert!(
            rule.density(
                0.5,
                Grid {
                    cells: 25,
                    cell_side_cm
                },
                25
            )
            .is_err()
        );
    }
    for k in [0.0, 0.01, -1.0, f64::NAN, f64::INFINITY] {
        assert!(
            Rule::Clumped { k }
                .density(0.5, Grid::STANDARD, 25)
                .is_err()
        );
    }
}

proptest! {
    #[test]
    fn density_never_falls_as_frequency_rises(a in 0.0..=1.0f64, b in 0.0..=1.0f64, k in 0.05..50.0f64, cells in 1u64..5000) {
        for rule in [Rule::FourTenths, Rule::Over225, Rule::RandomScatter, Rule::Clumped { k }] {
            let low = rule.density(a.min(b), Grid::STANDARD, cells).unwrap();
            let high = rule.density(a.max(b), Grid::STANDARD, cells).unwrap();
            prop_assert!(low.per_m2() <= high.per_m2());
            prop_assert!(!low.is_at_least() || high.is_at_least());
        }
    }

    #[test]
    fn clumping_always_means_more_plants(f in 0.01..0.95f64, k in 0.05..50.0f64) {
        let random = Rule::RandomScatter.density(f, Grid::STANDARD, 1000).unwrap().per_m2();
        let clumped = Rule::Clumped { k }.density(f, Grid::STANDARD, 1000).unwrap().per_m2();
        prop_assert!(clumped > random);
    }
}
