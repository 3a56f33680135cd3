//! The compiled table: shares and misreading sum to 1, no column rules anything out, and the
//! fingerprint changes with what can alter a number and with nothing else.

#![allow(clippy::unwrap_used)]

mod common;

use common::{files, key, key_without, table};
use standbook_identify::Modelling;
use standbook_identify::misread;
use standbook_identify::profile::{self, Kin, Shape};
use standbook_identify::table::NOT_IN_KEY;
use standbook_identify::{Evidence, Table, posterior};
use standbook_key::{
    FactValue, Key, KeyFiles, LookAlikeOf, Often, PlantAge, SourceId, TraitKind, load,
};

fn sums_to_one(shares: &[f64]) {
    let sum: f64 = shares.iter().sum();
    assert!((sum - 1.0).abs() < 1e-12, "{sum}: {shares:?}");
    assert!(shares.iter().all(|p| (0.0..=1.0).contains(p)), "{shares:?}");
}

/// A share as it is reported when any of n states is pressed by a slip now and then.
fn with_slips(n: usize, share: f64) -> f64 {
    let slip = Modelling::default().slip;
    (1.0 - slip) * share + slip / n as f64
}

#[test]
fn misreading_matrices_are_stochastic() {
    let mut n = 0;
    for one in &key().traits {
        let matrix = misread::matrix(one, &Modelling::default());
        assert_eq!(matrix.len(), one.states().len());
        for (truth, row) in matrix.iter().enumerate() {
            sums_to_one(row);
            // Right as often as the trait says, or as was counted, but for a slip of the finger.
            let counted: f64 = one
                .misread
                .taken_for
                .iter()
                .filter(|t| one.state_index(t.shown.as_str()) == Some(truth))
                .map(|t| t.share)
                .sum();
            let some = one.misread.taken_for.iter();
            let some = some.filter(|t| one.state_index(t.shown.as_str()) == Some(truth));
            let right = with_slips(row.len(), 1.0 - counted);
            assert!(row[truth] <= right + 1e-12, "{}", one.id);
            if some.count() == 0 {
                let right = with_slips(row.len(), 1.0 - one.misread.rate);
                assert!((row[truth] - right).abs() < 1e-12, "{}", one.id);
            }
            // A state is at least as likely to be said where it is shown as anywhere else.
            let column = matrix.iter().map(|other| other[truth]);
            assert!(column.fold(0.0, f64::max) <= row[truth], "{}", one.id);
            n += 1;
        }
    }
    assert!(n > 50, "{n} rows");
}

/// By hand: hairs on the upper blade, rate 0.12, four states; `scattered` is taken for its two
/// named neighbours with 3/4 of the rate, and for `none` with the rest.
#[test]
fn a_misreading_row_by_hand() {
    let one = key().trait_by_id("blade_hairs_upper").unwrap();
    let at = |id: &str| one.state_index(id).unwrap();
    let mut by_rate = one.clone();
    by_rate.misread.taken_for.clear();
    let near = Modelling::default().near;
    let row = &misread::matrix(&by_rate, &Modelling::default())[at("scattered")];
    let rate = one.misread.rate;
    for (id, expected) in [
        ("scattered", 1.0 - rate),
        ("near_base", rate * near / 2.0),
        ("velvety", rate * near / 2.0),
        ("none", rate * (1.0 - near)),
    ] {
        let expected = with_slips(4, expected);
        assert!((row[at(id)] - expected).abs() < 1e-12, "{id}");
    }
    // Ordered: the middle state has neighbours only, the first one neighbour and one far off.
    let base = key().trait_by_id("tiller_base").unwrap();
    assert!(matches!(base.kind, TraitKind::Ordered(_)));
    // The rate alone: without what was counted.
    let mut base = base.clone();
    base.misread.taken_for.clear();
    let modelling = Modelling::default();
    let near = modelling.near;
    let (matrix, rate) = (misread::matrix(&base, &modelling), base.misread.rate);
    let expected = [
        [1.0 - rate, rate * near, rate * (1.0 - near)],
        [rate / 2.0, 1.0 - rate, rate / 2.0],
        [rate * (1.0 - near), rate * near, 1.0 - rate],
    ];
    for (row, expected) in matrix.iter().zip(expected) {
        assert!(
            row.iter()
                .zip(expected)
                .all(|(a, b)| (a - with_slips(3, b)).abs() < 1e-12),
            "{row:?}"
        );
    }
}

#[test]
fn profile_shares_sum_to_one() {
    let kin = Kin::of(key());
    for one in &key().traits {
        let Some(shares) = profile::shares(key(), &Modelling::default(), &kin, one) else {
            assert!(matches!(one.kind, TraitKind::Note), "{}", one.id);
            continue;
        };
        sums_to_one(&shares.typical);
        assert_eq!(shares.taxa.len(), key().taxa.len());
        for row in &shares.taxa {
            assert_eq!(row.len(), shares.shape.len());
            sums_to_one(row);
        }
        if let Shape::Bins(bins) = shares.shape {
            // Ends fall into the outer bins, so does everything beyond.
            assert_eq!(
                (bins.bin_of(bins.lowest), bins.bin_of(bins.highest)),
                (0, bins.n - 1)
            );
            assert_eq!((bins.bin_of(1e-9), bins.bin_of(1e9)), (0, bins.n - 1));
        }
    }
}

/// Columns are what would be reported: for every taxon they sum to 1, and none is 0, since no
/// answer ever rules a taxon out by itself.
#[test]
fn columns_sum_to_one_and_rule_nothing_out() {
    let table = table();
    assert_eq!(table.rows.len(), key().taxa.len() + 1);
    let mut least = f64::MAX;
    for columns in &table.traits {
        for row in 0..table.rows.len() {
            let reported: Vec<f64> = columns.chances.iter().map(|c| c[row]).collect();
            sums_to_one(&reported);
            for (p, ln) in reported.iter().zip(columns.columns.iter().map(|c| c[row])) {
                assert_eq!(p.ln(), ln);
                least = least.min(*p);
            }
            let entropy: f64 = reported.iter().map(|p| -p * p.ln()).sum();
            assert!((entropy - columns.row_entropy[row]).abs() < 1e-12);
        }
    }
    println!("least chance in the table: {least:.5}");
    assert!(least > 1e-4, "{least}");
}

#[test]
fn without_answers_the_prior_stands() {
    let table = table();
    let p = posterior(table, &Evidence::default());
    let outside = table.not_in_key().unwrap();
    assert_eq!(table.rows[outside].id, NOT_IN_KEY);
    let prior = Modelling::default().outside;
    assert!((p[outside] - prior).abs() < 1e-12);
    let even = (1.0 - prior) / key().taxa.len() as f64;
    assert!(p[..outside].iter().all(|p| (p - even).abs() < 1e-12));
}

/// A share that was counted takes the place of what the rate gives, and no row loses anything.
#[test]
fn what_was_counted_takes_the_place_of_the_rate() {
    let mut one = key().trait_by_id("ligule_type").unwrap().clone();
    one.misread.taken_for = vec![standbook_key::TakenFor {
        shown: one.states()[2].id.clone(),
        said: one.states()[1].id.clone(),
        share: 0.3,
    }];
    let modelling = Modelling::default();
    let counted = misread::matrix(&one, &modelling);
    one.misread.taken_for.clear();
    let by_rate = misread::matrix(&one, &modelling);
    assert!((counted[2][1] - with_slips(4, 0.3)).abs() < 1e-12);
    assert_eq!(counted[2][0], by_rate[2][0]);
    counted.iter().for_each(|row| sums_to_one(row));
    for row in [0, 1, 3] {
        assert_eq!(counted[row], by_rate[row]);
    }
}

/// Three traits of one set with overlap r are worth 3 / (1 + 2 r) answers (Kish 1965, the
/// effective size of a cluster of 3); a trait of no set always counts whole.
#[test]
fn overlapping_answers_count_less() {
    let table = table();
    let (traits, overlap) = &table.together[0];
    for m in 1..=traits.len() {
        let weight = table.weight(traits[0], m);
        let worth = m as f64 * weight;
        assert!((worth - m as f64 / (1.0 + (m - 1) as f64 * overlap)).abs() < 1e-12);
        assert!(worth >= 1.0);
    }
    let alone = (0..table.traits.len())
        .find(|&at| table.set_of(at).is_none())
        .unwrap();
    assert_eq!(table.weight(alone, 5), 1.0);
}

fn fingerprint_after(change: impl Fn(&mut Key)) -> String {
    let mut key = key().clone();
    change(&mut key);
    assert_ne!(&key, common::key(), "the change changes nothing");
    Table::compile(&key).fingerprint
}

#[test]
fn the_fingerprint_names_what_alters_a_number() {
    let before = &table().fingerprint;
    assert_eq!(before.len(), 64);
    assert_eq!(&Table::compile(key()).fingerprint, before);
    // A cell of big bluestem: `vernation: rolled, always`.
    fn vernation(key: &mut Key) -> &mut standbook_key::Fact {
        let taxon = key
            .taxa
            .iter_mut()
            .find(|t| t.id == *"andropogon_gerardi")
            .unwrap();
        &mut taxon.profile.get_mut("vernation").unwrap()[0]
    }
    fn one<'k>(key: &'k mut Key, id: &str) -> &'k mut standbook_key::Trait {
        key.traits.iter_mut().find(|t| t.id == *id).unwrap()
    }
    type Change = fn(&mut Key);
    let altering: [(&str, Change); 14] = [
        ("how often", |k| {
            let FactValue::State { often, .. } = &mut vernation(k).value else {
                unreachable!()
            };
            *often = Often::Usually;
        }),
        ("a state", |k| {
            let FactValue::State { state, .. } = &mut vernation(k).value else {
                unreachable!()
            };
            *state = standbook_key::StateId::new("folded");
        }),
        ("plant age", |k| {
            vernation(k).plant = Some(PlantAge::Seedling)
        }),
        ("from memory", |k| {
            vernation(k).source = SourceId::new("memory")
        }),
        ("a cell gone", |k| {
            let taxon = k
                .taxa
                .iter_mut()
                .find(|t| t.id == *"andropogon_gerardi")
                .unwrap();
            taxon.profile.remove("vernation");
        }),
        ("a range", |k| {
            let taxon = k
                .taxa
                .iter_mut()
                .find(|t| t.id == *"andropogon_gerardi")
                .unwrap();
            taxon.profile.get_mut("blade_width").unwrap()[0].value = FactValue::Range {
                low: 2.0,
                high: 9.0,
            };
        }),
        ("misreading rate", |k| {
            one(k, "vernation").misread.rate += 0.01
        }),
        ("what is mixed up", |k| {
            one(k, "ligule_type").misread.mixed_up.clear()
        }),
        ("what a state is taken for", |k| {
            let shown = one(k, "vernation").states()[0].id.clone();
            let said = one(k, "vernation").states()[1].id.clone();
            one(k, "vernation").misread.taken_for = vec![standbook_key::TakenFor {
                shown,
                said,
                share: 0.123,
            }];
        }),
        ("an overlap", |k| k.together[0].overlap += 0.01),
        ("deciding", |k| one(k, "vernation").decides = false),
        ("where it applies", |k| {
            one(k, "ligule_edge").applies_to = None
        }),
        ("group", |k| k.taxa[0].group = k.taxa[10].group.clone()),
        ("a taxon gone", |k| {
            k.taxa.remove(3);
        }),
    ];
    let mut seen = vec![before.clone()];
    for (what, change) in altering {
        let after = fingerprint_after(change);
        assert!(
            !seen.contains(&after),
            "{what} leaves the fingerprint as it was"
        );
        seen.push(after);
    }
    let silent: [(&str, Change); 8] = [
        ("note", |k| {
            vernation(k).note = Some("seen again".to_owned())
        }),
        ("citation", |k| {
            k.sources
                .values_mut()
                .for_each(|s| s.citation.push_str(", 2nd printing"));
        }),
        ("which published source", |k| {
            vernation(k).source = SourceId::new("fna25")
        }),
        ("question", |k| {
            one(k, "vernation").question = "Rolled or folded?".to_owned()
        }),
        ("how to look", |k| {
            one(k, "vernation").how.push_str(" Look twice.")
        }),
        ("state wording", |k| {
            let TraitKind::States(states) = &mut one(k, "vernation").kind else {
                unreachable!()
            };
            states[0].looks = "Like a scroll.".to_owned();
            states[0].name = "coiled".to_owned();
        }),
        ("title and cautions", |k| {
            k.title.push_str(", second edition");
            k.cautions.clear();
        }),
        ("common name and look-alikes", |k| {
            k.taxa[0].common_name = "turkey foot".to_owned();
            k.taxa[0].look_alikes.clear();
        }),
    ];
    for (what, change) in silent {
        assert_eq!(
            &fingerprint_after(change),
            before,
            "{what} changes the fingerprint"
        );
    }
}

/// Equal fingerprints stand for equal tables, differing ones for different numbers.
#[test]
fn equal_fingerprints_are_equal_tables() {
    let mut reworded = key().clone();
    reworded.traits.iter_mut().for_each(|t| t.how.push('!'));
    assert_eq!(&Table::compile(&reworded), table());
    let mut misread = key().clone();
    misread.traits[0].misread.rate += 0.01;
    let changed = Table::compile(&misread);
    assert_ne!(changed.traits, table().traits);
}

/// Taking a taxon out of the key in memory, as `tests/open_set.rs` does, is the same as taking
/// its file away and its name out of the others.
#[test]
fn a_key_without_one_file() {
    let at = 5;
    let gone = &key().taxa[at].id;
    let contents: Vec<(String, Vec<u8>)> = files()
        .iter()
        .filter(|(name, _)| *name != format!("taxa/{gone}.yaml"))
        .map(|(name, bytes)| {
            // Look-alikes of the taxon become plants outside the key.
            let text = String::from_utf8(bytes.to_vec()).unwrap();
            let text = text.replace(
                &format!("  - taxon: {gone}\n"),
                &format!("  - outside: {gone}\n"),
            );
            (name.to_owned(), text.into_bytes())
        })
        .collect();
    let loaded = load(&KeyFiles::from_contents(contents));
    let faults: Vec<String> = loaded.report.faults().map(ToString::to_string).collect();
    let reloaded = loaded.key.unwrap_or_else(|| panic!("{faults:#?}"));
    let taken_out = key_without(key(), at);
    assert!(
        taken_out
            .taxa
            .iter()
            .flat_map(|t| &t.look_alikes)
            .all(|l| !matches!(&l.other, LookAlikeOf::Taxon(id) if id == gone))
    );
    assert_eq!(Table::compile(&reloaded), Table::compile(&taken_out));
}
