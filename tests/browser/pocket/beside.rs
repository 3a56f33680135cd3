//! What the page said of a walk beside what the engine says of it.

use std::collections::BTreeMap;
use std::fmt;

use serde_json::{Value, json};
use standbook_identify::information::Strength;
use standbook_identify::reasons::{Rivals, reasons, spoke, would_change};
use standbook_identify::{Table, assess, looks};

use super::cases::{Case, reading};

/// Two numbers nearer than this may stand in either order.
const TIE: f64 = 1e-9;

/// Largest differences, and what was met.
#[derive(Default)]
pub struct Compared {
    cases: usize,
    most: BTreeMap<&'static str, f64>,
    pub outcomes: BTreeMap<String, usize>,
    pub counts_as: BTreeMap<String, usize>,
    pub strengths: BTreeMap<String, usize>,
    pub rivals: BTreeMap<String, usize>,
    /// Answers implied by others.
    pub implied: usize,
    /// Looks that would change what is said.
    pub changes: usize,
    looks: usize,
    /// Where equals stood in another order.
    ties: usize,
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("no number: {value}"))
}

fn list(value: &Value) -> &[Value] {
    value
        .as_array()
        .unwrap_or_else(|| panic!("no list: {value}"))
}

impl Compared {
    /// The largest difference of all, of probabilities, bits, decibans and log ratios.
    pub fn largest(&self) -> f64 {
        self.most.values().copied().fold(0.0, f64::max)
    }

    /// Compares all that was said of one walk. What has to be the same to the letter is held here.
    pub fn add(&mut self, table: &Table, case: &Case, told: &Value) {
        let evidence = case.evidence();
        let planted = case.planted();
        let said = assess(table, &evidence, planted);
        let what = format!("case {}: {}", self.cases, case.as_json());
        self.cases += 1;

        self.near("posterior", &told["posterior"], &said.posterior);
        let ranking: Vec<f64> = said.ranking.iter().map(|one| one.1).collect();
        let rows = said.ranking.iter().map(|one| json!(one.0));
        self.same_order(
            rows,
            list(&told["ranking"]).iter().cloned(),
            &ranking,
            &what,
        );
        let shares = [
            said.shares.planted,
            said.shares.other,
            said.shares.not_in_key,
        ];
        self.near("shares", &told["shares"], &shares);
        self.near(
            "planted from even",
            &json!([told["planted_from_even"]]),
            &[said.planted_from_even],
        );
        assert_eq!(told["counts_as"], said.counts_as.id(), "{what}");
        let outcome = json!({"id": said.outcome.id(), "rows": said.outcome.rows()});
        assert_eq!(told["outcome"], outcome, "{what}");
        count(&mut self.outcomes, said.outcome.id());
        count(&mut self.counts_as, said.counts_as.id());

        let groups: Vec<f64> = said.groups.iter().map(|one| one.1).collect();
        let ids = said.groups.iter().map(|one| json!(one.0));
        let told_ids = list(&told["groups"]).iter().map(|one| one[0].clone());
        self.same_order(ids, told_ids, &groups, &what);
        let told_groups: Value = list(&told["groups"])
            .iter()
            .map(|one| one[1].clone())
            .collect();
        self.near("groups", &told_groups, &groups);

        let next = looks(table, &said.posterior, &evidence, &case.situation, planted);
        let per_second: Vec<f64> = next.iter().map(|look| look.bits_per_second).collect();
        let traits = next.iter().map(|look| json!(look.trait_index));
        let told_traits = list(&told["looks"]).iter().map(|look| look[0].clone());
        self.same_order(traits, told_traits, &per_second, &what);
        for look in &next {
            let bits = [look.bits_name, look.bits_planted, look.bits_per_second];
            let all = list(&told["looks"]).iter();
            let told = all.clone().find(|one| one[0] == look.trait_index).unwrap();
            self.near("bits of looks", &json!(list(told)[1..]), &bits);
            self.looks += 1;
        }

        let (row, rival) = (said.ranking[0].0, said.ranking[1].0);
        let ours = reasons(&said, row, rival);
        let weights: Vec<f64> = ours.iter().map(|one| one.decibans.abs()).collect();
        let told_reasons = list(&told["reasons"]);
        let of = |at: usize, seen: Value, implied: bool| json!([at, seen, implied]);
        let told_of = |one: &Value| {
            // A script writes 4.0 as 4.
            let seen = &one["reading"];
            let seen = seen.as_f64().map_or_else(|| seen.clone(), |x| json!(x));
            of(
                one["trait_index"].as_u64().unwrap() as usize,
                seen,
                one["implied"] == true,
            )
        };
        self.same_order(
            ours.iter().map(|one| {
                of(
                    one.answer.trait_index,
                    reading(&one.answer.reading),
                    one.implied,
                )
            }),
            told_reasons.iter().map(told_of),
            &weights,
            &what,
        );
        for one in &ours {
            let mut all = told_reasons.iter();
            let told = all
                .find(|told| told["trait_index"] == one.answer.trait_index)
                .unwrap();
            self.near("decibans", &json!([told["decibans"]]), &[one.decibans]);
            assert_eq!(
                told["strength"],
                Strength::of(one.decibans).word(),
                "{what}"
            );
            count(&mut self.strengths, one.strength().word());
            self.implied += usize::from(one.implied);
        }

        let ours = spoke(table, &said, row);
        let told_spoke = list(&told["spoke"]);
        assert_eq!(ours.len(), told_spoke.len(), "{what}");
        for one in &ours {
            let mut all = told_spoke.iter();
            let told = all
                .find(|told| told["trait_index"] == one.answer.trait_index)
                .unwrap();
            self.near(
                "ln of times likelier",
                &json!([told["ln_times"]]),
                &[one.times.ln()],
            );
            let (kind, rivals) = match &one.rivals {
                Rivals::One(row) => ("one", json!({"row": row})),
                Rivals::Group(id) => ("group", json!({"group": id})),
                Rivals::Others => ("others", Value::Null),
            };
            assert_eq!(told["rivals"], rivals, "{what}");
            count(&mut self.rivals, kind);
        }

        let ours = would_change(table, &evidence, &said, &next[..next.len().min(6)], planted);
        let told_changes = list(&told["changes"]);
        assert_eq!(ours.len(), told_changes.len(), "{what}");
        for (one, told) in ours.iter().zip(told_changes) {
            let ours = json!([one.trait_index, one.state, one.then.id(), one.then.rows()]);
            let then = &told["then"];
            assert_eq!(
                json!([told["trait_index"], told["state"], then["id"], then["rows"]]),
                ours,
                "{what}"
            );
            self.near(
                "chance of a change",
                &json!([told["chance"]]),
                &[one.chance],
            );
            self.changes += 1;
        }
    }

    fn near(&mut self, what: &'static str, told: &Value, said: &[f64]) {
        let told = list(told);
        assert_eq!(told.len(), said.len(), "{what}");
        let most = self.most.entry(what).or_default();
        for (told, said) in told.iter().zip(said) {
            let apart = (number(told) - said).abs();
            // `max` would pass over what is no number.
            assert!(apart.is_finite(), "{what}: {told} beside {said}");
            *most = most.max(apart);
        }
    }

    /// The same things in the same order, but for equals.
    fn same_order(
        &mut self,
        said: impl Iterator<Item = Value>,
        told: impl Iterator<Item = Value>,
        by: &[f64],
        what: &str,
    ) {
        let said: Vec<Value> = said.collect();
        let told: Vec<Value> = told.collect();
        assert_eq!(said.len(), told.len(), "{what}");
        for (at, (ours, theirs)) in said.iter().zip(&told).enumerate() {
            if ours != theirs {
                let place = said.iter().position(|one| one == theirs);
                let place = place.unwrap_or_else(|| panic!("{theirs} not among {said:?}: {what}"));
                let apart = (by[at] - by[place]).abs();
                assert!(apart <= TIE, "{theirs} stands where {ours} should: {what}");
                self.ties += 1;
            }
        }
    }
}

fn count(all: &mut BTreeMap<String, usize>, id: &str) {
    *all.entry(id.to_owned()).or_default() += 1;
}

impl fmt::Display for Compared {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{} walks, {} looks, {} implied answers, {} changes, {} equals in another order",
            self.cases, self.looks, self.implied, self.changes, self.ties
        )?;
        for (what, most) in &self.most {
            writeln!(f, "  largest difference of {what}: {most:e}")?;
        }
        for met in [
            &self.outcomes,
            &self.counts_as,
            &self.strengths,
            &self.rivals,
        ] {
            writeln!(f, "  {met:?}")?;
        }
        Ok(())
    }
}
