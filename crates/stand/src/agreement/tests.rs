#![allow(clippy::unwrap_used)]
use super::*;
use proptest::prelude::*;

const P95: Confidence = Confidence::P95;

#[track_caller]
fn close(found: f64, wanted: f64, slack: f64) {
    assert!(
        (found - wanted).abs() <= slack,
        "found {found}, wanted {wanted}"
    );
}

fn rows(table: &[&[u64]]) -> Vec<Vec<u64>> {
    table.iter().map(|row| row.to_vec()).collect()
}

/// S9a: the encyclopedia's example (memory), recomputed with statsmodels 0.15.0, 6 digits.
#[test]
fn s9a_two_answers() {
    let found = cohen(&rows(&[&[20, 5], &[10, 15]]), P95).unwrap();
    close(found.observed, 0.70, 1e-15);
    close(found.expected, 0.50, 1e-15);
    let kappa = found.kappa.unwrap();
    close(kappa.value, 0.400_000, 5e-7);
    close(kappa.standard_error, 0.126_996, 5e-7);
    let interval = kappa.interval.unwrap();
    close(interval.lower, 0.151_092, 5e-7);
    close(interval.upper, 0.648_908, 5e-7);
    assert_eq!(kappa.band, Band::Fair);
    assert_eq!((found.pairs, found.table[1][0]), (50, 10));
}

/// S9b: published in statsmodels' tests of inter-rater agreement (from SAS), 4 digits.
#[test]
fn s9b_three_answers() {
    let found = cohen(&rows(&[&[0, 4, 1], &[0, 8, 0], &[0, 1, 5]]), P95).unwrap();
    let kappa = found.kappa.unwrap();
    close(kappa.value, 0.4842, 5e-5);
    close(kappa.standard_error, 0.1380, 5e-5);
    let interval = kappa.interval.unwrap();
    close(interval.lower, 0.2137, 5e-5);
    close(interval.upper, 0.7547, 5e-5);
    close(kappa.standard_error_by_chance, 0.1484, 5e-5);
    close(kappa.z.unwrap(), 3.2626, 5e-5);
}

/// S9c: Fleiss 1971 as in statsmodels' tests (0.210), 7 digits recomputed.
#[test]
fn s9c_several_readers() {
    let found = fleiss(&rows(&[
        &[0, 0, 0, 0, 14],
        &[0, 2, 6, 4, 2],
        &[0, 0, 3, 5, 6],
        &[0, 3, 9, 2, 0],
        &[2, 2, 8, 1, 1],
        &[7, 7, 0, 0, 0],
        &[3, 2, 6, 3, 0],
        &[2, 5, 3, 2, 2],
        &[6, 5, 2, 1, 0],
        &[0, 2, 2, 3, 7],
    ]))
    .unwrap();
    close(found.kappa.unwrap(), 0.209_930_7, 5e-8);
    assert_eq!((found.subjects, found.readers), (10, 14));
    assert_eq!(found.band, Some(Band::Fair));
}

#[test]
fn one_answer_throughout_has_no_kappa_but_an_agreement() {
    for n in [1, 3, 49] {
        let found = cohen(&rows(&[&[n, 0], &[0, 0]]), P95).unwrap();
        assert_eq!(found.kappa, Err(NoKappa::OneCategory));
        assert_eq!(found.observed, 1.0);
        assert!(found.observed_interval.lower < 1.0);
    }
    let found = fleiss(&rows(&[&[3, 0], &[3, 0], &[3, 0]])).unwrap();
    assert_eq!((found.kappa, found.band), (Err(NoKappa::OneCategory), None));
}

#[test]
fn complete_agreement_claims_no_certainty() {
    let found = cohen(&rows(&[&[7, 0], &[0, 5]]), P95).unwrap();
    let kappa = found.kappa.unwrap();
    assert_eq!(kappa.value, 1.0);
    assert_eq!(kappa.interval, None);
    assert!(found.observed_interval.lower < 0.8);
}

/// Two readers who agree on 95 of 100 cells and are still no better than chance: why kappa
/// is never shown alone. By hand: po 0.95, pe 0.95125, kappa -0.00125 / 0.04875.
#[test]
fn kappa_falls_where_one_answer_is_very_common() {
    let found = cohen(&rows(&[&[95, 2], &[3, 0]]), P95).unwrap();
    close(found.observed, 0.95, 1e-12);
    close(found.expected, 0.97 * 0.98 + 0.03 * 0.02, 1e-12);
    assert!(found.kappa.unwrap().value < 0.0);
    assert_eq!(found.kappa.unwrap().band, Band::Poor);
}

/// Feinstein & Cicchetti 1990, as printed in Gerstman, Epidemiology Kept Simple, table 10.6: both
/// tables agree in 0.85, kappa is 0.70 and 0.32. Limits of kappa from statsmodels 0.15.0 (cohens_kappa),
/// positive and negative agreement as the F1 score of either answer (scikit-learn 1.9.1, f1_score).
#[test]
fn the_published_paradox_of_kappa() {
    for (cells, kappa, limits, positive, negative) in [
        (
            [40, 9, 6, 45],
            (0.70, 0.699_519),
            (0.559_590, 0.839_448),
            0.842_105,
            0.857_143,
        ),
        (
            [80, 10, 5, 5],
            (0.32, 0.318_182),
            (0.056_612, 0.579_752),
            0.914_286,
            0.4,
        ),
    ] {
        let [both, first_only, second_only, neither] = cells;
        let pairs = CellPairs {
            both,
            first_only,
            second_only,
            neither,
        };
        let found = pairs.agreement(P95).unwrap();
        close(found.observed, 0.85, 1e-12);
        let (printed, exact) = kappa;
        let kappa = found.kappa.unwrap();
        close(kappa.value, printed, 0.005);
        close(kappa.value, exact, 5e-7);
        let interval = kappa.interval.unwrap();
        close(interval.lower, limits.0, 5e-7);
        close(interval.upper, limits.1, 5e-7);
        close(pairs.positive_agreement().unwrap(), positive, 5e-7);
        close(pairs.negative_agreement().unwrap(), negative, 5e-7);
    }
    let everywhere = CellPairs {
        both: 25,
        ..CellPairs::default()
    };
    assert_eq!(everywhere.negative_agreement(), None);
    assert_eq!(everywhere.positive_agreement(), Some(1.0));
}

#[test]
fn what_cannot_be_compared_is_refused() {
    assert_eq!(cohen(&[], P95), Err(AgreementError::NothingReadTwice));
    let empty = rows(&[&[0, 0], &[0, 0]]);
    assert_eq!(cohen(&empty, P95), Err(AgreementError::NothingReadTwice));
    assert!(matches!(
        cohen(&rows(&[&[1, 2], &[3]]), P95),
        Err(AgreementError::Ragged { row: 2, .. })
    ));
    assert_eq!(fleiss(&rows(&[&[1, 0]])), Err(AgreementError::OneReader));
    assert!(matches!(
        fleiss(&rows(&[&[2, 0], &[1, 2]])),
        Err(AgreementError::UnevenVotes { subject: 2, .. })
    ));
    assert_eq!(fleiss(&[]), Err(AgreementError::NothingReadTwice));
    let cells = |of: &[u32]| of.iter().copied().collect();
    assert_eq!(
        CellPairs::of_frame(25, &cells(&[1, 26]), &cells(&[])),
        Err(AgreementError::NoSuchCell {
            cell: 26,
            cells: 25
        })
    );
    assert!(CellPairs::of_frame(25, &cells(&[0]), &cells(&[])).is_err());
}

#[test]
fn two_readings_of_one_frame_by_cell() {
    let cells = |of: &[u32]| of.iter().copied().collect();
    let one = CellPairs::of_frame(25, &cells(&[1, 2, 7, 9]), &cells(&[2, 7, 25])).unwrap();
    assert_eq!(
        one,
        CellPairs {
            both: 2,
            first_only: 2,
            second_only: 1,
            neither: 20
        }
    );
    close(one.positive_agreement().unwrap(), 4.0 / 7.0, 1e-15);
    let none = CellPairs::of_frame(25, &cells(&[]), &cells(&[])).unwrap();
    assert_eq!(none.positive_agreement(), None);
    let two = one.and(none);
    assert_eq!((two.cells(), two.neither), (50, 45));
    let agreement = two.agreement(P95).unwrap();
    assert_eq!((agreement.pairs, agreement.observed), (50, 47.0 / 50.0));
}

proptest! {
    /// Kappa does not depend on who is called first, nor on the order of answers.
    #[test]
    fn kappa_is_symmetric(counts in proptest::collection::vec(0u64..40, 9)) {
        let table: Vec<Vec<u64>> = counts.chunks(3).map(<[u64]>::to_vec).collect();
        prop_assume!(counts.iter().sum::<u64>() > 0);
        let turned: Vec<Vec<u64>> = (0..3).map(|j| (0..3).map(|i| table[i][j]).collect()).collect();
        let back: Vec<Vec<u64>> = (0..3).map(|i| (0..3).map(|j| table[2 - i][2 - j]).collect()).collect();
        let found = cohen(&table, P95).unwrap();
        for other in [turned, back] {
            let other = cohen(&other, P95).unwrap();
            match (found.kappa, other.kappa) {
                (Ok(a), Ok(b)) => {
                    prop_assert!((a.value - b.value).abs() < 1e-12);
                    prop_assert!((a.standard_error - b.standard_error).abs() < 1e-7);
                    prop_assert!((-1.0..=1.0).contains(&a.value));
                }
                (a, b) => prop_assert_eq!(a.is_err(), b.is_err()),
            }
        }
    }

    /// With two readers, Fleiss' kappa is Scott's pi: a closed form from pooled shares.
    #[test]
    fn fleiss_with_two_readers_is_scotts_pi(a in 1u64..30, b in 0u64..30, c in 0u64..30, d in 1u64..30) {
        let mut votes = vec![];
        for (times, row) in [(a, [2, 0]), (b + c, [1, 1]), (d, [0, 2])] {
            votes.extend(std::iter::repeat_n(row.to_vec(), times as usize));
        }
        let n = (a + b + c + d) as f64;
        let yes = (2 * a + b + c) as f64 / (2.0 * n);
        let by_chance = yes * yes + (1.0 - yes) * (1.0 - yes);
        let wanted = ((a + d) as f64 / n - by_chance) / (1.0 - by_chance);
        prop_assert!((fleiss(&votes).unwrap().kappa.unwrap() - wanted).abs() < 1e-12);
    }
}
