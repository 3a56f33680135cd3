//! Second opinions as pages show them: the list that is never overwritten.
//!
//! In: opinions about a determination or an unknown. Out: each in order, dated and signed.
//! Not here: the form that adds to them (`give`).

use standbook_fieldbook::named::Called;
use standbook_fieldbook::record::{Body, Opinion};
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::names::name_of;
use crate::app::App;
use crate::stand::name::Name;
use crate::words::instant_words;

/// An opinion as shown.
pub(super) struct Shown {
    /// The name.
    pub name: Name,
    /// As the reviewer wrote it; may be empty.
    pub as_written: String,
    /// Who.
    pub by: String,
    /// When, in words.
    pub when: String,
    /// Why; may be empty.
    pub reasons: String,
    /// Earlier versions of this opinion, oldest first, one line each.
    pub earlier: Vec<String>,
    /// Whether what it is about has been corrected since.
    pub on_earlier: bool,
    /// Whether it is the latest.
    pub latest: bool,
    /// Whether it was given before the first answer was shown.
    pub blind: bool,
    /// How many looks the reviewer took; 0: nothing was walked.
    pub looks: usize,
}

/// Opinions for the page. `about` is the current version of what they are about.
pub(super) fn shown(
    app: &App,
    opinions: &[Entry<Opinion>],
    about: RecordId,
) -> Result<Vec<Shown>, BookError> {
    let last = opinions.len().saturating_sub(1);
    opinions
        .iter()
        .enumerate()
        .map(|(at, opinion)| {
            let earlier = match opinion.supersedes {
                None => Vec::new(),
                Some(_) => earlier(app, opinion.id)?,
            };
            Ok(Shown {
                name: name_of(&Called::by_opinion(&opinion.body), app),
                as_written: opinion.body.name_as_written.clone(),
                by: opinion.author.clone(),
                when: instant_words(&opinion.born_at),
                reasons: opinion.body.reasons.clone(),
                earlier,
                on_earlier: opinion.body.about != about,
                latest: at == last,
                blind: opinion.body.blind,
                looks: opinion
                    .body
                    .evidence
                    .as_ref()
                    .map_or(0, |seen| seen.answers.len()),
            })
        })
        .collect()
}

fn earlier(app: &App, current: RecordId) -> Result<Vec<String>, BookError> {
    let chain = app.book.history(current)?;
    Ok(chain
        .into_iter()
        .filter(|record| record.id != current)
        .filter_map(|record| match record.body {
            Body::Opinion(opinion) => {
                let name = name_of(&Called::by_opinion(&opinion), app).common;
                let when = instant_words(&record.born_at);
                Some(format!("{name}, {} on {when}", record.author))
            }
            _ => None,
        })
        .collect())
}
