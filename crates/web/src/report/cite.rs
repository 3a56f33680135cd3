//! Sources, each said once and pointed at by number.
//!
//! In: sources as they come up. Out: numbers from 1, and the list.
//! Not here: what the sources say.

use standbook_judge::Cited;
use standbook_key::standards::SourceKind;
use standbook_stand::method::Source;

/// A source of the list.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Listed {
    /// Author, year, title.
    pub citation: String,
    /// Where it was read; empty: nowhere on the web.
    pub url: String,
    /// What kind of work it is; empty: not said.
    pub kind: &'static str,
}

/// Most characters of a citation in a line of small print; the list has it whole.
const SHORT_CHARS: usize = 64;

/// A citation cut between words for a line of small print.
pub(crate) fn short(citation: &str) -> String {
    if citation.chars().count() <= SHORT_CHARS {
        return citation.to_owned();
    }
    let cut: String = citation.chars().take(SHORT_CHARS).collect();
    let end = cut.rfind(' ').unwrap_or(cut.len());
    format!(
        "{} \u{2026}",
        cut[..end].trim_end_matches([',', '.', ';', ':', '&', ' '])
    )
}

/// The list as it grows.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Sources {
    list: Vec<Listed>,
}

impl Sources {
    /// The list.
    pub fn list(self) -> Vec<Listed> {
        self.list
    }

    /// `[1] [4]` for sources of the standards.
    pub fn cite(&mut self, cited: &[Cited]) -> String {
        let marks: Vec<String> = cited
            .iter()
            .map(|one| {
                self.mark(Listed {
                    citation: one.citation.clone(),
                    url: one.url.clone().unwrap_or_default(),
                    kind: one.kind.map_or("", SourceKind::name),
                })
            })
            .collect();
        marks.join(" ")
    }

    /// `[2]` for the source of a method.
    pub fn cite_method(&mut self, source: Source) -> String {
        self.mark(Listed {
            citation: source.citation.to_owned(),
            url: source.url.unwrap_or_default().to_owned(),
            kind: "",
        })
    }

    fn mark(&mut self, listed: Listed) -> String {
        let known = self
            .list
            .iter()
            .position(|one| one.citation == listed.citation);
        let at = known.unwrap_or_else(|| {
            self.list.push(listed);
            self.list.len() - 1
        });
        format!("[{}]", at + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_source_keeps_its_number() {
        let mut sources = Sources::default();
        let cited = |citation: &str| Cited {
            id: String::new(),
            citation: citation.to_owned(),
            url: None,
            kind: None,
        };
        assert_eq!(sources.cite(&[cited("a"), cited("b")]), "[1] [2]");
        assert_eq!(sources.cite(&[cited("b")]), "[2]");
        assert_eq!(sources.list().len(), 2);
    }

    #[test]
    fn a_long_citation_is_cut_between_words() {
        assert_eq!(short("Short 2026"), "Short 2026");
        let long = short(&"Ähre, B. ".repeat(20));
        assert!(
            long.ends_with(" \u{2026}") && long.chars().count() < 70,
            "{long}"
        );
        assert!(!short(&"é".repeat(200)).is_empty());
    }
}
