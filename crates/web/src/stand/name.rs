//! Names of what was counted, as pages show them.
//!
//! In: labels and ids. Out: common and scientific names; an unknown leads to its page.

use standbook_identify::NOT_IN_KEY;

use super::numbers::Walked;
use super::resolve::Label;
use crate::app::App;
use crate::words;

/// A name as the page shows it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Name {
    /// Common name, or what stands for one.
    pub common: String,
    /// Scientific name; empty when there is none.
    pub scientific: String,
    /// Where more is said of it: the page of an unknown.
    pub address: Option<String>,
}

/// The name of a taxon, or of `not_in_key`.
pub(crate) fn taxon_name(app: &App, id: &str) -> Name {
    let (common, scientific) = match id {
        NOT_IN_KEY => ("not in this key".to_owned(), String::new()),
        id => words::taxon_name(app, id),
    };
    Name {
        common,
        scientific,
        address: None,
    }
}

/// The name of a plant of which only the genus is sure.
pub(crate) fn genus_name(genus: &str) -> Name {
    Name {
        common: format!("a {genus}"),
        scientific: format!("{genus} sp."),
        address: None,
    }
}

/// The name of a label.
pub(crate) fn name_of(app: &App, walked: &Walked, label: &Label) -> Name {
    match label {
        Label::Taxon(id) => taxon_name(app, id),
        Label::Genus(name) => genus_name(name),
        Label::NotInKey => taxon_name(app, NOT_IN_KEY),
        Label::Unknown(id) => Name {
            common: match walked.unknowns.get(*id) {
                Some(known) => {
                    let unknown = &known.entry.body;
                    format!(
                        "unknown {}: {}",
                        unknown.number,
                        first_words(&unknown.description)
                    )
                }
                None => "unknown".to_owned(),
            },
            scientific: String::new(),
            address: Some(format!("/unknowns/{id}")),
        },
    }
}

/// A description cut to one short line.
pub(crate) fn first_words(text: &str) -> String {
    let mut cut: String = text.chars().take(60).collect();
    if cut.len() < text.len() {
        cut.push('\u{2026}');
    }
    cut.replace('\n', " ")
}
