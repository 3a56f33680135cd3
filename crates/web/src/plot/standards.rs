//! Cautions and sources of the standards as pages of Plot say them.
//!
//! In: ids. Out: lines with who says so.
//! Source: every entry of `keys/standards` names its own.
//! Not here: standards that somebody added to the book (`Standard` records).

use standbook_key::standards::Standards;

use crate::app::App;

/// A source as people read it: `Bailey Seed: grass characteristics (seed supplier)`.
pub(super) fn cited(standards: &Standards, id: &str) -> String {
    match standards.source(id) {
        Some(source) => format!("{} ({})", source.citation, source.kind.name()),
        None => id.to_owned(),
    }
}

/// Something to mind, with who says so.
#[derive(Debug)]
pub(crate) struct CautionLine {
    /// What.
    pub words: String,
    /// Who says so.
    pub source: String,
}

/// The cautions with these ids, in this order; one that the standards do not have is left out.
pub(crate) fn cautions(app: &App, ids: &[&str]) -> Vec<CautionLine> {
    ids.iter()
        .filter_map(|id| app.standards.caution(id))
        .map(|caution| CautionLine {
            words: caution.words.clone(),
            source: cited(&app.standards, caution.source.as_str()),
        })
        .collect()
}
