//! The table as the phone gets it: small enough, and what it says is what the full table says.
//!
//! The largest difference met is printed (`--nocapture`).

#![allow(clippy::unwrap_used)]

mod common;

use standbook_identify::phone::{self, DIGITS, MOST_BYTES, PhoneFault};
use standbook_identify::{
    Answer, Evidence, Outcome, Planted, Reading, Situation, Table, assess, looks,
};

fn text() -> String {
    phone::write(common::table()).unwrap()
}

/// A plant drawn from a row's chances; sometimes two states, sometimes can't tell.
fn plant(table: &Table, random: &mut fastrand::Rng) -> Evidence {
    let row = random.usize(..table.rows.len());
    let mut evidence = Evidence::default();
    for _ in 0..random.usize(1..=14) {
        let at = random.usize(..table.traits.len());
        let columns = &table.traits[at];
        let n = columns.chances.len();
        let mut left = random.f64();
        let state = (0..n - 1)
            .find(|s| {
                left -= columns.chances[*s][row];
                left < 0.0
            })
            .unwrap_or(n - 1);
        let reading = match (&columns.bins, random.u8(..12)) {
            (_, 0) => Reading::CannotTell,
            (Some(bins), _) => Reading::Measure(bins.middle_of(state)),
            (None, 1) if state + 1 < n => Reading::States(vec![state, state + 1]),
            _ => Reading::States(vec![state]),
        };
        evidence.add(Answer {
            trait_index: at,
            reading,
        });
    }
    evidence
}

#[test]
fn the_key_that_ships_fits() {
    let text = text();
    println!(
        "{} bytes, whole table {}",
        text.len(),
        serde_json::to_string(common::table()).unwrap().len()
    );
    assert!(text.len() <= MOST_BYTES, "{} bytes", text.len());
    // Goes into a page as it is.
    assert!(text.is_ascii());
    assert!(!text.contains(['<', '>', '&', '\'', '`', '\\']), "{text}");
}

#[test]
fn everything_but_the_cells_comes_back_as_it_was() {
    let table = common::table();
    let back = phone::read(&text()).unwrap();
    assert_eq!(back.rows, table.rows);
    assert_eq!(back.log_prior, table.log_prior);
    assert_eq!(back.together, table.together);
    assert_eq!(back.fingerprint, table.fingerprint);
    assert_eq!(back.traits.len(), table.traits.len());
    let bare = |table: &Table, at: usize| {
        let mut one = table.traits[at].clone();
        (one.columns, one.chances, one.row_entropy) = Default::default();
        one
    };
    let mut most = 0.0_f64;
    for at in 0..table.traits.len() {
        assert_eq!(bare(&back, at), bare(table, at));
        let cells = |t: &Table| t.traits[at].columns.concat();
        assert_eq!(cells(&back).len(), cells(table).len());
        for (a, b) in cells(&back).iter().zip(cells(table)) {
            most = most.max((a - b).abs());
        }
    }
    println!("largest error of a cell: {most} nats");
    assert!(most < 0.001, "{most} nats");
    // Written again it is the same text but for the modelling, of which walking uses `both` alone.
    let mut again = back.clone();
    again.modelling = table.modelling;
    assert_eq!(phone::write(&again).unwrap().len(), text().len());
}

/// A field that someone adds to the table must not stay behind unseen.
#[test]
fn every_field_of_the_table_is_carried() {
    let full = serde_json::to_value(common::table()).unwrap();
    let sent: serde_json::Value = serde_json::from_str(&text()).unwrap();
    for (name, value) in full.as_object().unwrap() {
        if name != "traits" {
            assert_eq!(&sent[name], value, "{name}");
        }
    }
    for (a, b) in full["traits"]
        .as_array()
        .unwrap()
        .iter()
        .zip(sent["traits"].as_array().unwrap())
    {
        for (name, value) in a.as_object().unwrap() {
            assert!(name == "columns" || &b[name] == value, "{name}");
        }
    }
}

/// Same outcome on 2,000 plants, but where a probability lies within the error of a bound.
#[test]
fn two_thousand_plants_come_out_the_same() {
    let table = common::table();
    let back = phone::read(&text()).unwrap();
    let mut random = fastrand::Rng::with_seed(2_000);
    let (mut most, mut same, mut same_look) = (0.0_f64, 0, 0);
    for _ in 0..2_000 {
        let evidence = plant(table, &mut random);
        let full = assess(table, &evidence, Planted::ByRole);
        let sent = assess(&back, &evidence, Planted::ByRole);
        let moved = full
            .posterior
            .iter()
            .zip(&sent.posterior)
            .map(|(a, b)| (a - b).abs());
        most = moved.fold(most, f64::max);
        let alike = |a: &Outcome, b: &Outcome| a.id() == b.id() && a.rows() == b.rows();
        same +=
            usize::from(alike(&full.outcome, &sent.outcome) && full.counts_as == sent.counts_as);
        let first = |table: &Table, p: &[f64]| {
            let all = looks(table, p, &evidence, &Situation::default(), Planted::ByRole);
            all.first().map(|look| look.trait_index)
        };
        same_look += usize::from(first(table, &full.posterior) == first(&back, &sent.posterior));
    }
    println!(
        "largest difference of a probability: {most}; same outcome {same}, same look {same_look} of 2000"
    );
    assert!(most < 0.002, "{most}");
    assert!(same >= 1_990, "{same} of 2000");
    assert!(same_look >= 1_980, "{same_look} of 2000");
}

/// The sum that a script does, written out here from the text alone, without the engine: single
/// states of traits that belong to no set and imply nothing.
#[test]
fn a_few_lines_of_arithmetic_do() {
    let table = common::table();
    let sent: serde_json::Value = serde_json::from_str(&text()).unwrap();
    let step = sent["step_nats"].as_f64().unwrap();
    let n = sent["rows"].as_array().unwrap().len();
    let plain: Vec<usize> = (0..table.traits.len())
        .filter(|at| table.set_of(*at).is_none())
        .filter(|at| sent["traits"][at]["applies_to"].is_null())
        .filter(|at| sent["traits"][at]["bins"].is_null())
        .collect();
    assert!(plain.len() > 5);
    let mut random = fastrand::Rng::with_seed(3);
    for _ in 0..200 {
        let mut log: Vec<f64> = (0..n)
            .map(|row| sent["log_prior"][row].as_f64().unwrap())
            .collect();
        let mut evidence = Evidence::default();
        for &at in plain.iter().filter(|_| random.bool()).collect::<Vec<_>>() {
            let state = random.usize(..table.traits[at].states.len());
            let cells = sent["traits"][at]["columns"].as_str().unwrap().as_bytes();
            let digit = |byte: u8| DIGITS.bytes().position(|d| d == byte).unwrap() as f64;
            for (row, log) in log.iter_mut().enumerate() {
                let cell = 2 * (state * n + row);
                *log -= step * (85.0 * digit(cells[cell]) + digit(cells[cell + 1]));
            }
            evidence.add(common::state(at, state));
        }
        // All answers together count a little more than they are.
        let agreement = sent["modelling"]["agreement"].as_f64().unwrap();
        let earned = 1.0 + agreement / (evidence.answers().len() as f64).max(5.0);
        for (row, log) in log.iter_mut().enumerate() {
            let before = sent["log_prior"][row].as_f64().unwrap();
            *log = before + earned * (*log - before);
        }
        let top = log.iter().copied().fold(f64::MIN, f64::max);
        let total: f64 = log.iter().map(|l| (l - top).exp()).sum();
        let full = assess(table, &evidence, Planted::ByRole).posterior;
        for (a, b) in log.iter().map(|l| (l - top).exp() / total).zip(full) {
            assert!((a - b).abs() < 0.005, "{a} against {b}");
        }
    }
}

#[test]
fn damaged_text_is_refused_and_never_panics() {
    let text = text();
    assert!(matches!(
        phone::read(&text[..text.len() / 2]),
        Err(PhoneFault::NotATable(_))
    ));
    let other = text.replace("phone table 2", "phone table 1");
    assert!(matches!(
        phone::read(&other),
        Err(PhoneFault::Format { .. })
    ));
    let other = text.replacen("\"columns\":\"", "\"columns\":\"!!", 1);
    assert!(matches!(phone::read(&other), Err(PhoneFault::Cells { .. })));
    let other = text.replace("\"settled\":0.9", "\"settled\":0.8");
    assert!(matches!(phone::read(&other), Err(PhoneFault::Limits)));
    let other = text.replace("few_leaves", "many_leaves");
    assert!(matches!(phone::read(&other), Err(PhoneFault::Word { .. })));
    let mut random = fastrand::Rng::with_seed(9);
    for _ in 0..300 {
        let mut bytes = text.clone().into_bytes();
        let at = random.usize(..bytes.len());
        bytes[at] = random.u8(32..127);
        if let Ok(table) = phone::read(&String::from_utf8(bytes).unwrap()) {
            let evidence = plant(&table, &mut random);
            let judged = assess(&table, &evidence, Planted::ByRole);
            looks(
                &table,
                &judged.posterior,
                &evidence,
                &Situation::default(),
                Planted::ByRole,
            );
        }
    }
}
