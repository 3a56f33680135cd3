//! How intervals and conversions were made, in words and with sources.
//!
//! In: methods and rules of crate `stand`. Out: lines for a list of definitions.

use standbook_stand::convert::Rule;
use standbook_stand::method::{Method, Source};

/// How something was made.
pub(super) struct How {
    /// Its name.
    pub name: &'static str,
    /// The formula; empty where words say all.
    pub formula: &'static str,
    /// One sentence.
    pub how: &'static str,
    /// Who says so.
    pub citation: &'static str,
    /// Where to read it; may be empty.
    pub url: &'static str,
    /// Whether the one before it has the same source, so that it need not be said again.
    pub as_above: bool,
}

fn how(name: &'static str, formula: &'static str, how: &'static str, source: Source) -> How {
    How {
        name,
        formula,
        how,
        citation: source.citation,
        url: source.url.unwrap_or_default(),
        as_above: false,
    }
}

pub(super) fn how_of_method(method: Method) -> How {
    how(method.name(), "", method.how(), method.source())
}

pub(super) fn how_of_rule(rule: Rule) -> How {
    how(rule.name(), rule.formula(), rule.how(), rule.source())
}

/// Marks every one whose source the one before it has said.
pub(super) fn say_sources_once(mut hows: Vec<How>) -> Vec<How> {
    for at in 1..hows.len() {
        hows[at].as_above = hows[at].citation == hows[at - 1].citation;
    }
    hows
}
