//! Which visit something belongs to.

use standbook_fieldbook::BookError;

use crate::app::App;
use crate::words::date_words;

/// A visit to choose.
pub(super) struct Choice {
    /// Where it leads.
    pub address: String,
    /// `14 July 2026`.
    pub on: String,
    /// `Quill Farm, north forty; A. Fenn`.
    pub more: String,
}

/// All visits of the book, the latest first; `at` begins their addresses.
pub(super) fn visits(app: &App, at: &str) -> Result<Vec<Choice>, BookError> {
    let mut dated = Vec::new();
    for planting in app.book.plantings()? {
        let site = app.book.site(planting.body.site)?;
        let site = site.map_or_else(String::new, |site| format!("{}, ", site.body.name));
        for visit in app.book.visits(planting.id)? {
            let choice = Choice {
                address: format!("{at}{}", visit.id),
                on: date_words(&visit.body.on),
                more: format!(
                    "{site}{}; {}",
                    planting.body.name,
                    visit.body.scouts.join(", ")
                ),
            };
            dated.push((visit.body.on, choice));
        }
    }
    dated.sort_by(|(a, _), (b, _)| b.cmp(a));
    Ok(dated.into_iter().map(|(_, choice)| choice).collect())
}
