//! Standbook's answers beside those of SciPy, statsmodels, geographiclib and shapely.
//!
//! In: a file of random cases with the libraries' answers, made by `reference.py` (which says what
//! each case is and which function answered): the kept `answers.json`, or the file that
//! `cargo xtask beside` has just made from a new seed. Each test takes the cases of one
//! family and must find some.
#![allow(missing_docs, clippy::unwrap_used)]

mod exports;

use std::sync::OnceLock;

use serde_json::Value;
use standbook_plan::{Area, Ground, Polygon, Whereabouts};
use standbook_stand::agreement;
use standbook_stand::cluster::{self, CellUnit};
use standbook_stand::confidence::{Confidence, Interval};
use standbook_stand::misnaming::inverse_corrected;
use standbook_stand::sample_size::{Wanted, for_frequency};
use standbook_stand::sequential::{Correlation, Look, StopRule, assess};
use standbook_stand::{count, negative_binomial, patch, proportion};

fn cases(kind: &str) -> Vec<&'static Value> {
    static ANSWERS: OnceLock<Value> = OnceLock::new();
    let answers = ANSWERS.get_or_init(|| {
        let path = std::env::var("STANDBOOK_BESIDE").unwrap_or_else(|_| {
            format!("{}/tests/beside/answers.json", env!("CARGO_MANIFEST_DIR"))
        });
        let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
        let answers: Value = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{path}: {e}"));
        println!("{path}: seed {}, {}", answers["seed"], answers["versions"]);
        answers
    });
    let all = answers["cases"].as_array().expect("a list of cases");
    let found: Vec<&Value> = all.iter().filter(|case| case["kind"] == kind).collect();
    assert!(!found.is_empty(), "no case of kind {kind}");
    found
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

fn whole(value: &Value) -> u64 {
    value
        .as_u64()
        .unwrap_or_else(|| panic!("{value} is no whole number"))
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .expect("a list")
        .iter()
        .map(number)
        .collect()
}

fn wholes(value: &Value) -> Vec<u64> {
    value
        .as_array()
        .expect("a list")
        .iter()
        .map(whole)
        .collect()
}

fn confidence(case: &Value) -> Confidence {
    let level = number(&case["level"]);
    *Confidence::ALL
        .iter()
        .find(|c| (c.level() - level).abs() < 1e-12)
        .expect("a level that we have")
}

/// Agreement to `share` of the size of the answer.
#[track_caller]
fn alike(ours: f64, theirs: f64, share: f64, case: &Value) {
    assert!(
        (ours - theirs).abs() <= share * theirs.abs().max(1e-3),
        "ours {ours}, theirs {theirs}: {case}"
    );
}

#[track_caller]
fn limits_alike(ours: Interval, case: &Value, share: f64) {
    alike(ours.lower, number(&case["low"]), share, case);
    alike(ours.upper, number(&case["high"]), share, case);
}

#[test]
fn wilson_limits() {
    for case in cases("wilson") {
        let (x, n) = (whole(&case["occupied"]), whole(&case["cells"]));
        limits_alike(
            proportion::wilson(x, n, confidence(case)).unwrap(),
            case,
            1e-9,
        );
    }
}

#[test]
fn clopper_pearson_limits() {
    for case in cases("clopper_pearson") {
        let (x, n) = (whole(&case["occupied"]), whole(&case["cells"]));
        limits_alike(
            proportion::clopper_pearson(x, n, confidence(case)).unwrap(),
            case,
            1e-7,
        );
    }
}

#[test]
fn garwood_limits() {
    for case in cases("garwood") {
        limits_alike(
            count::garwood(whole(&case["plants"]), confidence(case)),
            case,
            1e-7,
        );
    }
}

#[test]
fn ratio_over_spots() {
    for case in cases("ratio") {
        let units: Vec<cluster::Unit> = numbers(&case["found"])
            .into_iter()
            .zip(numbers(&case["size"]))
            .map(|(found, size)| cluster::Unit { found, size })
            .collect();
        let ratio = cluster::ratio(&units).unwrap();
        alike(ratio.ratio, number(&case["ratio"]), 1e-10, case);
        alike(
            ratio.standard_error().unwrap(),
            number(&case["se"]),
            1e-9,
            case,
        );
        limits_alike(ratio.t_interval(confidence(case)).unwrap(), case, 1e-7);
    }
}

#[test]
fn negative_binomial_by_maximum_likelihood() {
    for case in cases("negative_binomial") {
        let fit = negative_binomial::fit(&wholes(&case["plants"])).unwrap();
        let k = fit.k.expect("clumped");
        alike(fit.mean, number(&case["mean"]), 1e-7, case);
        // statsmodels stops on its gradient: its k is good to about five digits.
        alike(k, number(&case["k"]), 1e-4, case);
        alike(
            fit.log_likelihood,
            number(&case["log_likelihood"]),
            1e-8,
            case,
        );
    }
}

#[test]
fn index_of_dispersion() {
    for case in cases("dispersion") {
        let found = patch::dispersion(&wholes(&case["plants"])).unwrap();
        alike(found.index, number(&case["index"]), 1e-10, case);
        alike(found.p, number(&case["p"]), 1e-6, case);
    }
}

fn table(case: &Value) -> Vec<Vec<u64>> {
    case["table"]
        .as_array()
        .expect("rows")
        .iter()
        .map(wholes)
        .collect()
}

#[test]
fn cohens_kappa() {
    for case in cases("cohen") {
        let found = agreement::cohen(&table(case), Confidence::P95).unwrap();
        let kappa = found.kappa.expect("more than one state");
        alike(kappa.value, number(&case["kappa"]), 1e-10, case);
        alike(kappa.standard_error, number(&case["se"]), 1e-9, case);
        // Limits of a kappa are cut at 1; statsmodels leaves them.
        let interval = kappa.interval.expect("limits");
        alike(interval.lower, number(&case["low"]), 1e-8, case);
        alike(interval.upper, number(&case["high"]).min(1.0), 1e-8, case);
    }
}

#[test]
fn fleiss_kappa() {
    for case in cases("fleiss") {
        let found = agreement::fleiss(&table(case)).unwrap();
        alike(
            found.kappa.expect("more than one state"),
            number(&case["kappa"]),
            1e-9,
            case,
        );
    }
}

#[test]
fn misnamed_shares() {
    for case in cases("misnamed") {
        let called_if: Vec<Vec<f64>> = case["called_if"]
            .as_array()
            .expect("rows")
            .iter()
            .map(numbers)
            .collect();
        let found = inverse_corrected(&called_if, &numbers(&case["called"])).unwrap();
        for (ours, theirs) in found.raw.iter().zip(numbers(&case["there"])) {
            alike(*ours, theirs, 1e-7, case);
        }
    }
}

#[test]
fn spots_for_a_wanted_precision() {
    for case in cases("sample_size") {
        let units: Vec<CellUnit> = wholes(&case["occupied"])
            .into_iter()
            .map(|occupied| CellUnit {
                occupied,
                cells: 25,
            })
            .collect();
        let wanted = Wanted::HalfWidth(number(&case["half_width"]));
        let needed = for_frequency(&units, wanted, confidence(case)).unwrap();
        let theirs = number(&case["n"]);
        // A root within a hair of a whole number may be rounded either way.
        assert!(
            needed.total == theirs.ceil() as u64 || (theirs - theirs.round()).abs() < 1e-6,
            "ours {}, theirs {theirs}: {case}",
            needed.total
        );
    }
}

#[test]
fn likelihood_ratio_of_one_spot() {
    for case in cases("look") {
        let mut rule = StopRule::between(number(&case["p_low"]), number(&case["p_high"])).unwrap();
        rule.correlation = Correlation {
            rho: number(&case["rho"]),
            assumed: true,
        };
        let look = Look {
            place: 1,
            occupied: whole(&case["occupied"]) as u32,
            cells: whole(&case["cells"]) as u32,
        };
        let found = assess(&rule, &[look]).unwrap();
        alike(
            found.path[0].log_ratio,
            number(&case["log_ratio"]),
            1e-8,
            case,
        );
    }
}

#[test]
fn area_perimeter_and_inside() {
    for case in cases("field") {
        let ring: Vec<[f64; 2]> = case["ring"]
            .as_array()
            .expect("corners")
            .iter()
            .map(|corner| [number(&corner[0]), number(&corner[1])])
            .collect();
        let area = Area::new(vec![Polygon::from_rings(vec![ring])]).unwrap();
        let measure = area.measure();
        alike(measure.area_m2, number(&case["area_m2"]), 1e-7, case);
        alike(
            measure.perimeter_m,
            number(&case["perimeter_m"]),
            1e-9,
            case,
        );
        let ground = Ground::new(&area, &[], &[], 0.0).unwrap();
        let tries = case["tries"].as_array().expect("points");
        let inside = case["inside"].as_array().expect("answers");
        for (point, inside) in tries.iter().zip(inside) {
            let at = ground.whereabouts([number(&point[0]), number(&point[1])]);
            let ours = !matches!(at, Whereabouts::Outside { .. });
            assert_eq!(
                ours,
                inside.as_bool().expect("yes or no"),
                "{point}: {case}"
            );
        }
    }
}
