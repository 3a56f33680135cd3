//! What is wrong with a key, where, and how to mend it.
//!
//! A *fault* keeps a key from being used. A *note* is something its author should know,
//! such as a pair of taxa that no deciding trait separates; it keeps nothing from working.

use std::fmt;

use serde::Serialize;

/// A place in a file, counted from 1 as editors show it; columns count characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Place {
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

impl Place {
    /// The beginning of a file: for faults of a whole file.
    pub const START: Place = Place { line: 1, column: 1 };
}

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// The key can't be used until it is mended.
    Fault,
    /// Worth knowing; the key works.
    Note,
}

/// One finding in a key.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Finding {
    /// Fault or note.
    pub weight: Weight,
    /// File, relative to the key's folder, with `/` between folders.
    pub file: String,
    /// Where in the file.
    pub place: Place,
    /// What is wrong.
    pub problem: String,
    /// How to mend it.
    pub mend: String,
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = match self.weight {
            Weight::Fault => "fault",
            Weight::Note => "note",
        };
        let Place { line, column } = self.place;
        write!(
            f,
            "{}:{line}:{column}: {word}: {}\n  mend: {}",
            self.file, self.problem, self.mend
        )
    }
}

/// Everything found in a key, faults first, then by file and place.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Report {
    /// The findings, sorted.
    pub findings: Vec<Finding>,
}

impl Report {
    /// Whether the key can be used.
    pub fn is_sound(&self) -> bool {
        self.faults().next().is_none()
    }

    /// The faults alone.
    pub fn faults(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|f| f.weight == Weight::Fault)
    }

    /// The notes alone.
    pub fn notes(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|f| f.weight == Weight::Note)
    }
}

/// Collects findings while one key is read.
#[derive(Debug, Default)]
pub(crate) struct Findings(Vec<Finding>);

impl Findings {
    pub(crate) fn fault(
        &mut self,
        file: &str,
        place: Place,
        problem: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.push(Weight::Fault, file, place, problem.into(), mend.into());
    }

    pub(crate) fn note(
        &mut self,
        file: &str,
        place: Place,
        problem: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.push(Weight::Note, file, place, problem.into(), mend.into());
    }

    fn push(&mut self, weight: Weight, file: &str, place: Place, problem: String, mend: String) {
        self.0.push(Finding {
            weight,
            file: file.to_owned(),
            place,
            problem,
            mend,
        });
    }

    pub(crate) fn into_report(mut self) -> Report {
        self.0.sort();
        self.0.dedup();
        Report { findings: self.0 }
    }
}

/// The known word nearest to a misspelt one, if any is near enough to be meant.
pub(crate) fn nearest<'a>(
    wrong: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    // Very long input can't be a slip of the finger, and would make the comparison slow.
    if wrong.len() > 100 {
        return None;
    }
    known
        .into_iter()
        .map(|word| (strsim::damerau_levenshtein(wrong, word), word))
        .filter(|(distance, word)| *distance * 3 <= word.len().max(3))
        .min()
        .map(|(_, word)| word)
}

/// `did you mean ...?` with the nearest known word, or the whole list when it is short.
pub fn suggest<'a>(
    wrong: &str,
    known: impl IntoIterator<Item = &'a str> + Clone,
    otherwise: &str,
) -> String {
    if let Some(word) = nearest(wrong, known.clone()) {
        return format!("did you mean `{word}`?");
    }
    let all: Vec<&str> = known.into_iter().collect();
    if !all.is_empty() && all.len() <= 12 {
        return format!("use one of {}", all.join(", "));
    }
    otherwise.to_owned()
}

/// Shortens text from a file so that a message stays readable.
pub fn short(text: &str) -> String {
    let mut cut: String = text
        .chars()
        .take(60)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if text.chars().count() > 60 {
        cut.push_str("...");
    }
    cut
}
