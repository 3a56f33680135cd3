//! A scout's looks at a plant beside a reviewer's, trait by trait.
//!
//! In: a determination and an opinion that brings evidence. Out: one row a trait that both looked at,
//! those in which they differ first, with what each says between the two names, strongest first; and
//! what only one of them looked at.
//!
//! Units: decibans. Source: a measure that differs by more than a fifth is another one; so wide are the
//! engine's bins of a measure (`identify::table`).
//! Not here: who is right.

use std::collections::{BTreeSet, HashMap};

use standbook_fieldbook::Entry;
use standbook_fieldbook::named::Called;
use standbook_fieldbook::record::{Determination, Evidence, Opinion, ValueGiven};
use standbook_identify::reasons::reasons;

use super::names::{fits, name_of};
use super::replay::in_words;
use crate::app::App;
use crate::evidence::again;
use crate::words::instant_words;

/// How two answers to one trait compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Match {
    /// The same, as far as either says.
    Same,
    /// Something else.
    Differs,
    /// One of them, or both, could not tell.
    NotTold,
}

/// A measure this much larger than another is another one.
const SAME_MEASURE: f64 = 1.2;

/// Compares two answers. Of several states it is enough that one is named by both.
pub(super) fn compare(one: &ValueGiven, other: &ValueGiven) -> Match {
    let same = match (one, other) {
        (ValueGiven::CannotTell, _) | (_, ValueGiven::CannotTell) => return Match::NotTold,
        (ValueGiven::States(one), ValueGiven::States(other)) => {
            one.iter().any(|state| other.contains(state))
        }
        (ValueGiven::Measure(one), ValueGiven::Measure(other)) => {
            let (low, high) = (one.min(*other), one.max(*other));
            low == high || (low > 0.0 && high / low <= SAME_MEASURE)
        }
        _ => false,
    };
    match same {
        true => Match::Same,
        false => Match::Differs,
    }
}

/// One trait.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    /// The question.
    pub question: String,
    /// What the scout saw.
    pub scout: String,
    /// What the reviewer saw.
    pub reviewer: String,
    /// Whether they differ.
    pub differs: bool,
    /// What each answer says between the two names; empty where there is nothing to say.
    pub weighs: String,
}

/// A scout's looks beside a reviewer's.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Apart {
    /// Who reviewed, and when.
    pub by: String,
    /// Whether the first answer had not been shown.
    pub blind: bool,
    /// The scout's name for the plant.
    pub scouts_name: String,
    /// The reviewer's.
    pub reviewers_name: String,
    /// Whether both can be right.
    pub fits: bool,
    /// Traits that both looked at, those in which they differ first.
    pub rows: Vec<Row>,
    /// How many of them differ.
    pub differing: usize,
    /// Traits that one of them looked at: question, whose, answer.
    pub only: Vec<(String, &'static str, String)>,
}

/// Lays the two side by side; `None` when the opinion brings no evidence.
pub(super) fn apart(
    app: &App,
    plant: &Entry<Determination>,
    opinion: &Entry<Opinion>,
) -> Option<Apart> {
    let theirs = opinion.body.evidence.as_ref()?;
    let own = &plant.body.evidence;
    let (scout, reviewer) = (
        Called::by_scout(&plant.body),
        Called::by_opinion(&opinion.body),
    );
    let weights = Weights::of(app, &scout, &reviewer, [own, theirs]);
    let (mut rows, mut only) = (Vec::new(), Vec::new());
    for given in &own.answers {
        let seen = in_words(app, given);
        let same_trait = theirs.answers.iter().find(|it| it.r#trait == given.r#trait);
        match same_trait {
            None => only.push((seen.question, "the scout", seen.answer)),
            Some(other) => {
                let differs = compare(&given.value, &other.value) == Match::Differs;
                let (weight, words) = match differs {
                    true => weights.words(&given.r#trait),
                    false => (0.0, String::new()),
                };
                let row = Row {
                    question: seen.question,
                    scout: seen.answer,
                    reviewer: in_words(app, other).answer,
                    differs,
                    weighs: words,
                };
                rows.push((weight, row));
            }
        }
    }
    let looked: BTreeSet<&str> = own.answers.iter().map(|it| it.r#trait.as_str()).collect();
    for given in &theirs.answers {
        if !looked.contains(given.r#trait.as_str()) {
            let seen = in_words(app, given);
            only.push((seen.question, "the reviewer", seen.answer));
        }
    }
    // A stable sort: what weighs alike stays in the order in which the scout looked.
    rows.sort_by(|(a_weight, a), (b_weight, b)| {
        b.differs.cmp(&a.differs).then(b_weight.total_cmp(a_weight))
    });
    let rows: Vec<Row> = rows.into_iter().map(|(_, row)| row).collect();
    Some(Apart {
        by: format!("{}, {}", opinion.author, instant_words(&opinion.born_at)),
        blind: opinion.body.blind,
        fits: fits(&scout, &reviewer, &app.key),
        scouts_name: name_of(&scout, app).common,
        reviewers_name: name_of(&reviewer, app).common,
        differing: rows.iter().filter(|row| row.differs).count(),
        rows,
        only,
    })
}

/// What each answer of the two says for the scout's name against the reviewer's, decibans.
struct Weights {
    names: Option<[String; 2]>,
    by_trait: [HashMap<String, f64>; 2],
}

impl Weights {
    fn of(app: &App, scout: &Called, reviewer: &Called, seen: [&Evidence; 2]) -> Weights {
        let row = |called: &Called| called.taxon().and_then(|id| app.table.row_index(id));
        let rows = row(scout).zip(row(reviewer)).filter(|(a, b)| a != b);
        let Some((scouts, reviewers)) = rows else {
            return Weights {
                names: None,
                by_trait: [HashMap::new(), HashMap::new()],
            };
        };
        let by_trait = seen.map(|evidence| {
            let said = again(&app.key, &app.table, evidence).said;
            let mut weights: HashMap<String, f64> = HashMap::new();
            for reason in reasons(&said, scouts, reviewers) {
                // What follows from an answer is not that answer.
                if !reason.implied {
                    let id = &app.table.traits[reason.answer.trait_index].id;
                    *weights.entry(id.to_string()).or_default() += reason.decibans;
                }
            }
            weights
        });
        Weights {
            names: Some([name_of(scout, app).common, name_of(reviewer, app).common]),
            by_trait,
        }
    }

    /// How far the two answers to a trait lie apart, decibans, and both in words.
    fn words(&self, trait_id: &str) -> (f64, String) {
        let Some([scouts, reviewers]) = &self.names else {
            return (0.0, String::new());
        };
        let [own, theirs] = [0, 1].map(|at| {
            let weights: &HashMap<String, f64> = &self.by_trait[at];
            weights.get(trait_id).copied().unwrap_or(0.0)
        });
        let say = |decibans: f64| match decibans {
            d if d >= 0.05 => format!("{d:.1} decibans for {scouts}"),
            d if d <= -0.05 => format!("{:.1} decibans for {reviewers}", -d),
            _ => "nothing either way".to_owned(),
        };
        let words = format!(
            "the scout\u{2019}s says {}, the reviewer\u{2019}s {}",
            say(own),
            say(theirs)
        );
        ((own - theirs).abs(), words)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn states(ids: &[&str]) -> ValueGiven {
        ValueGiven::States(ids.iter().map(|id| (*id).to_owned()).collect())
    }

    #[test]
    fn what_is_the_same() {
        use ValueGiven::{CannotTell, Measure};
        let flat = states(&["flat"]);
        assert_eq!(compare(&flat, &flat), Match::Same);
        assert_eq!(compare(&flat, &states(&["round", "flat"])), Match::Same);
        assert_eq!(compare(&flat, &states(&["round"])), Match::Differs);
        assert_eq!(compare(&flat, &CannotTell), Match::NotTold);
        assert_eq!(compare(&Measure(2.0), &Measure(2.4)), Match::Same);
        assert_eq!(compare(&Measure(2.5), &Measure(2.0)), Match::Differs);
        assert_eq!(compare(&Measure(0.0), &Measure(0.0)), Match::Same);
        assert_eq!(compare(&Measure(0.0), &Measure(0.1)), Match::Differs);
        assert_eq!(compare(&Measure(1.0), &flat), Match::Differs);
    }
}
