//! What is wrong with a key, where, and how to mend it.
//!
//! A *fault* keeps a key from being used. A *note* is something its author should know,
//! such as a pair of taxa that no deciding trait separates; it keeps nothing from working.

use std::collections::BTreeMap;
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

/// Most faults, and most notes, reported of one file. Nobody mends more than this in one
/// sitting, and a file that is not a key at all must not fill the memory.
pub const MOST_OF_A_FILE: usize = 500;

/// Collects findings while one key is read.
#[derive(Debug, Default)]
pub(crate) struct Findings {
    found: Vec<Finding>,
    /// How many of each weight every file has so far.
    counts: BTreeMap<(Weight, String), usize>,
}

impl Findings {
    pub(crate) fn fault(
        &mut self,
        file: &str,
        place: Place,
        problem: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.push(Weight::Fault, file, place, problem, mend);
    }

    pub(crate) fn note(
        &mut self,
        file: &str,
        place: Place,
        problem: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.push(Weight::Note, file, place, problem, mend);
    }

    /// Problem and mend become text only when they are kept: finding the word that was
    /// meant takes far longer than anything else here.
    fn push(
        &mut self,
        weight: Weight,
        file: &str,
        place: Place,
        problem: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let count = self.counts.entry((weight, file.to_owned())).or_default();
        *count += 1;
        let (problem, mend) = match *count {
            1..=MOST_OF_A_FILE => (problem.into(), mend.into()),
            n if n == MOST_OF_A_FILE + 1 => (
                format!("there is more; only {MOST_OF_A_FILE} findings of a file are reported"),
                "mend the others first, then check again".to_owned(),
            ),
            _ => return,
        };
        self.found.push(Finding {
            weight,
            file: file.to_owned(),
            place,
            problem,
            mend,
        });
    }

    pub(crate) fn into_report(mut self) -> Report {
        self.found.sort();
        self.found.dedup();
        Report {
            findings: self.found,
        }
    }
}

/// The known word nearest to a misspelt one, if any is near enough to be meant.
pub fn nearest<'a>(wrong: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
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
    meant_within(wrong, known, otherwise).into()
}

/// What to write instead of an unknown word; becomes text only when a finding keeps it.
pub(crate) struct Meant<'w, K> {
    wrong: &'w str,
    known: K,
    otherwise: &'w str,
    /// Whether the author may add to the known words.
    open: bool,
}

/// As [`suggest`]; where the whole list is shown, the way to add to it follows.
pub(crate) fn meant<'a, 'w, K: IntoIterator<Item = &'a str> + Clone>(
    wrong: &'w str,
    known: K,
    otherwise: &'w str,
) -> Meant<'w, K> {
    Meant {
        open: true,
        ..meant_within(wrong, known, otherwise)
    }
}

/// As [`suggest`]; `otherwise` is shown only where the list is too long.
pub(crate) fn meant_within<'a, 'w, K: IntoIterator<Item = &'a str> + Clone>(
    wrong: &'w str,
    known: K,
    otherwise: &'w str,
) -> Meant<'w, K> {
    Meant {
        wrong,
        known,
        otherwise,
        open: false,
    }
}

impl<'a, K: IntoIterator<Item = &'a str> + Clone> From<Meant<'_, K>> for String {
    fn from(meant: Meant<'_, K>) -> String {
        if let Some(word) = nearest(meant.wrong, meant.known.clone()) {
            return format!("did you mean `{word}`?");
        }
        let all: Vec<&str> = meant.known.into_iter().collect();
        let otherwise = meant.otherwise;
        if all.is_empty() || all.len() > 12 {
            return otherwise.to_owned();
        }
        let all = all.join(", ");
        if meant.open {
            format!("use one of {all}; or {otherwise}")
        } else {
            format!("use one of {all}")
        }
    }
}

/// Shortens text from a file so that a message stays readable.
pub fn short(text: &str) -> String {
    shorten(text, 60)
}

/// At most `longest` characters of `text`, on one line.
pub(crate) fn shorten(text: &str, longest: usize) -> String {
    let mut chars = text.chars();
    let mut cut: String = chars
        .by_ref()
        .take(longest)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if chars.next().is_some() {
        cut.push_str("...");
    }
    cut
}
