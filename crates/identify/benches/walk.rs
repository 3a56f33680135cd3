//! How long reading, compiling and walking the key that ships takes, each beside a baseline
//! that does the least that could be called the same work.
//!
//! `cargo bench -p standbook-identify`. Wanted on a laptop: compiling under 5 ms, one answer
//! and the next look under 100 microseconds.

#![allow(clippy::unwrap_used)]

use std::path::PathBuf;

use divan::{Bencher, black_box};
use standbook_identify::{
    Answer, Evidence, Planted, Reading, Situation, Table, assess, couplets, looks, posterior,
};
use standbook_key::{Key, KeyFiles, load};

fn main() {
    divan::main();
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year")
}

fn files() -> KeyFiles {
    KeyFiles::read_folder(&folder()).unwrap()
}

fn key() -> Key {
    load(&files()).key.unwrap()
}

/// Eight answers that a walk by *Look next at* asks for, always the first state or the lowest
/// measure: a plant of no taxon in particular.
fn eight_answers(table: &Table) -> Evidence {
    let mut evidence = Evidence::default();
    while evidence.answers().len() < 8 {
        let p = posterior(table, &evidence);
        let next = looks(table, &p, &evidence, &Situation::default(), Planted::ByRole);
        evidence.add(first_of(table, next[0].trait_index));
    }
    evidence
}

fn first_of(table: &Table, trait_index: usize) -> Answer {
    let reading = match &table.traits[trait_index].bins {
        Some(bins) => Reading::Measure(bins.lowest),
        None => Reading::States(vec![0]),
    };
    Answer {
        trait_index,
        reading,
    }
}

mod key_files {
    use super::*;

    /// From disk to a checked key.
    #[divan::bench]
    fn load_from_disk() -> Key {
        load(&KeyFiles::read_folder(black_box(&folder())).unwrap())
            .key
            .unwrap()
    }

    /// The same from bytes at hand: reading and checking alone.
    #[divan::bench]
    fn load_from_bytes(bencher: Bencher) {
        let files = files();
        bencher.bench(|| load(black_box(&files)));
    }

    /// Baseline: the bare YAML values of the same bytes, nothing checked, no places.
    #[divan::bench]
    fn baseline_bare_yaml(bencher: Bencher) {
        let files = files();
        bencher.bench(|| {
            files
                .iter()
                .map(|(_, bytes)| serde_yaml::from_slice(bytes).unwrap())
                .collect::<Vec<serde_yaml::Value>>()
        });
    }
}

mod table {
    use super::*;

    #[divan::bench]
    fn compile(bencher: Bencher) {
        let key = key();
        bencher.bench(|| Table::compile(black_box(&key)));
    }

    /// Baseline: the logarithms of all cells, once.
    #[divan::bench]
    fn baseline_logarithms(bencher: Bencher) {
        let table = Table::compile(&key());
        bencher.bench(|| {
            black_box(&table)
                .traits
                .iter()
                .map(|t| {
                    t.chances
                        .iter()
                        .map(|c| c.iter().map(|p| p.ln()).collect())
                        .collect()
                })
                .collect::<Vec<Vec<Vec<f64>>>>()
        });
    }
}

mod one_answer {
    use super::*;

    /// What happens at every tap: the answer joins, all is judged, the next look is chosen.
    #[divan::bench]
    fn answer_assess_and_look(bencher: Bencher) {
        let table = Table::compile(&key());
        let evidence = eight_answers(&table);
        let p = posterior(&table, &evidence);
        let situation = Situation::default();
        let next = looks(&table, &p, &evidence, &situation, Planted::ByRole);
        let answer = first_of(&table, next[0].trait_index);
        bencher.bench(|| {
            let more = black_box(&evidence).with(answer.clone());
            let judged = assess(&table, &more, Planted::ByRole);
            let next = looks(
                &table,
                &judged.posterior,
                &more,
                &situation,
                Planted::ByRole,
            );
            (judged, next)
        });
    }

    /// Only the judging, eight answers.
    #[divan::bench]
    fn assess_alone(bencher: Bencher) {
        let table = Table::compile(&key());
        let evidence = eight_answers(&table);
        bencher.bench(|| assess(&table, black_box(&evidence), Planted::ByRole));
    }

    /// Only the next look, eight answers.
    #[divan::bench]
    fn looks_alone(bencher: Bencher) {
        let table = Table::compile(&key());
        let evidence = eight_answers(&table);
        let p = posterior(&table, &evidence);
        let situation = Situation::default();
        bencher.bench(|| {
            looks(
                &table,
                black_box(&p),
                &evidence,
                &situation,
                Planted::ByRole,
            )
        });
    }

    /// Only the next look, after so many answers: with none every trait is still to be weighed.
    #[divan::bench(args = [0, 1, 2, 4, 6])]
    fn looks_after(bencher: Bencher, answers: usize) {
        let table = Table::compile(&key());
        let mut evidence = Evidence::default();
        for answer in &eight_answers(&table).answers()[..answers] {
            evidence.add(answer.clone());
        }
        let p = posterior(&table, &evidence);
        let situation = Situation::default();
        bencher.bench(|| {
            looks(
                &table,
                black_box(&p),
                &evidence,
                &situation,
                Planted::ByRole,
            )
        });
    }

    /// Baseline: every cell of the table weighed by the row's probability, once.
    #[divan::bench]
    fn baseline_one_pass_over_the_table(bencher: Bencher) {
        let table = Table::compile(&key());
        let p = posterior(&table, &eight_answers(&table));
        bencher.bench(|| {
            let mut sum = 0.0;
            for columns in &table.traits {
                for column in &columns.chances {
                    for (chance, p) in column.iter().zip(black_box(&p)) {
                        sum += chance * p;
                    }
                }
            }
            sum
        });
    }
}

mod single_access {
    use super::*;

    #[divan::bench]
    fn grow(bencher: Bencher) {
        let key = key();
        bencher.bench(|| couplets::grow(black_box(&key)));
    }

    #[divan::bench]
    fn walk_with_eight_answers(bencher: Bencher) {
        let key = key();
        let table = Table::compile(&key);
        let grown = couplets::grow(&key);
        let evidence = eight_answers(&table);
        bencher.bench(|| couplets::walk(&grown, &table, black_box(&evidence), &[]));
    }
}
