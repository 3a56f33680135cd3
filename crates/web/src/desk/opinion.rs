//! Second opinions: the list that is never overwritten, and the form that adds to it.
//!
//! In: opinions about a determination or an unknown; a filled-in form. Out: each in order, dated
//! and signed; a record, or what is wrong with the form.
//!
//! A form that was saved, changed and sent again becomes a correction by the same person; the
//! first version stays in the book and is shown below it.

use standbook_fieldbook::record::{Body, Opinion, Planting};
use standbook_fieldbook::{BookError, Entry, RecordId, limits};
use standbook_key::Role;

use super::names::Called;
use crate::app::App;
use crate::form::Form;
use crate::here::Here;
use crate::plot::filled::Filled;
use crate::plot::keep::{Draft, current_id, keep};
use crate::stand::name::Name;
use crate::words::instant_words;

/// Value of the select for *no name in this key*.
const NONE: &str = "none";

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
                name: Called::by_opinion(&opinion.body).name(app),
                as_written: opinion.body.name_as_written.clone(),
                by: opinion.author.clone(),
                when: instant_words(&opinion.born_at),
                reasons: opinion.body.reasons.clone(),
                earlier,
                on_earlier: opinion.body.about != about,
                latest: at == last,
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
                let name = Called::by_opinion(&opinion).name(app).common;
                let when = instant_words(&record.born_at);
                Some(format!("{name}, {} on {when}", record.author))
            }
            _ => None,
        })
        .collect())
}

/// Taxa under one heading of the select.
pub(super) struct Options {
    /// Heading.
    pub title: String,
    /// Id, name, whether chosen.
    pub taxa: Vec<(String, String, bool)>,
}

/// The form.
pub(super) struct OpinionForm {
    /// Where it goes.
    pub action: String,
    /// Label of its button.
    pub button: &'static str,
    /// What is filled in, and what is wrong with it.
    pub filled: Filled,
    /// Whether *no name in this key* is chosen.
    pub none: bool,
    /// Names to choose from: the mix first.
    pub options: Vec<Options>,
}

/// An empty form for a reviewer.
pub(super) fn blank(here: &Here) -> Filled {
    let mut filled = Filled::new();
    filled.set("id", RecordId::new().to_string());
    filled.set("scout", here.scout.clone().unwrap_or_default());
    filled
}

impl OpinionForm {
    /// The form for a planting, whose mix comes first.
    pub fn new(
        app: &App,
        action: String,
        button: &'static str,
        planting: &Planting,
        filled: Filled,
    ) -> OpinionForm {
        let chosen = filled.get("taxon").to_owned();
        let option = |id: &str, common: &str, scientific: &str| {
            (
                id.to_owned(),
                format!("{common} ({scientific})"),
                chosen == id,
            )
        };
        let in_mix = |id: &str| planting.mix.iter().any(|item| item.taxon == id);
        let planted = planting
            .mix
            .iter()
            .filter_map(|item| app.key.taxon(&item.taxon))
            .map(|t| option(t.id.as_str(), &t.common_name, &t.scientific_name))
            .collect();
        let mut options = vec![Options {
            title: "Planted here".to_owned(),
            taxa: planted,
        }];
        for (title, weed) in [("Other natives", false), ("Weeds", true)] {
            let mut taxa: Vec<_> = app
                .key
                .taxa
                .iter()
                .filter(|t| (t.role == Role::Weed) == weed && !in_mix(t.id.as_str()))
                .map(|t| option(t.id.as_str(), &t.common_name, &t.scientific_name))
                .collect();
            taxa.sort_by(|a, b| a.1.cmp(&b.1));
            options.push(Options {
                title: title.to_owned(),
                taxa,
            });
        }
        options.retain(|group| !group.taxa.is_empty());
        OpinionForm {
            action,
            button,
            none: chosen == NONE,
            filled,
            options,
        }
    }
}

/// Keeps the opinion of a form. The author's name on success; otherwise the form with what is
/// wrong, everything typed still in it.
pub(super) fn give(
    app: &App,
    here: &Here,
    about: RecordId,
    form: Form,
) -> Result<Result<String, Filled>, BookError> {
    let mut filled = Filled {
        form,
        ..Filled::new()
    };
    let id = filled.id();
    filled.set("id", id.to_string());
    let author = filled.read_name("scout", "Your name");
    let taxon = read_taxon(app, &mut filled);
    let name_as_written = filled.get("name_as_written").to_owned();
    if name_as_written.chars().count() > limits::NAME_CHARS {
        let most = limits::NAME_CHARS;
        filled.troubles.add(
            "name_as_written",
            format!("The name as written is too long. Shorten it to {most} characters."),
        );
    }
    let reasons = filled.read_note("reasons", "The reasons");
    if filled.get("taxon") == NONE && name_as_written.is_empty() && reasons.trim().is_empty() {
        filled.troubles.add(
            "reasons",
            "No name and no reasons says nothing. Write what speaks against the names of the key, or the name in words.",
        );
    }
    let Some(taxon) = taxon.filter(|_| filled.troubles.none()) else {
        return Ok(Err(filled));
    };
    let supersedes = own_earlier(app, &filled, about, &author)?;
    let draft = Draft {
        id,
        supersedes,
        body: Body::Opinion(Opinion {
            taxon,
            name_as_written,
            reasons,
            ..Opinion::on(about)
        }),
    };
    match keep(app, here, &author, &[draft]) {
        Ok(()) => Ok(Ok(author)),
        Err(BookError::Conflict { .. }) => {
            saved_already(app, &mut filled, id, &author)?;
            Ok(Err(filled))
        }
        Err(error) => {
            filled.troubles.refused(&error, |_, field| match field {
                "author" => "scout".to_owned(),
                field => field.to_owned(),
            });
            Ok(Err(filled))
        }
    }
}

/// The name chosen: `Some(None)` is *no name in this key*; `None` when there is trouble.
#[allow(clippy::option_option)] // chosen or not, and if so which or none
fn read_taxon(app: &App, filled: &mut Filled) -> Option<Option<String>> {
    match filled.get("taxon").to_owned().as_str() {
        "" => {
            filled.troubles.add(
                "taxon",
                "No name is chosen. Choose one, or \u{201c}no name in this key\u{201d}. If you cannot tell, send nothing.",
            );
            None
        }
        NONE => Some(None),
        id => {
            match app.key.taxon(id) {
                Some(taxon) => Some(Some(taxon.id.to_string())),
                None => {
                    let cut: String = id.chars().take(80).collect();
                    filled.troubles.add(
                    "taxon",
                    format!("\u{201c}{cut}\u{201d} is not a name of this key. Choose one from the list."),
                );
                    None
                }
            }
        }
    }
}

/// The opinion that a form corrects: only one's own, and only about the same thing. Anything else
/// becomes an opinion of its own, since nobody overwrites another's.
fn own_earlier(
    app: &App,
    filled: &Filled,
    about: RecordId,
    author: &str,
) -> Result<Option<RecordId>, BookError> {
    let Some(asked) = filled.supersedes() else {
        return Ok(None);
    };
    let id = filled.id();
    // Sent a second time: the same answer as the first time, whatever was added since.
    if let Some(held) = app.book.get(id)? {
        return Ok(held.supersedes);
    }
    let current = current_id(app, asked)?;
    Ok(match app.book.get(current)? {
        Some(held) if held.author == author => match held.body {
            Body::Opinion(opinion) if current_id(app, opinion.about)? == about => Some(current),
            _ => None,
        },
        _ => None,
    })
}

/// The back button after saving: says what was saved, and makes the form a correction of it.
fn saved_already(
    app: &App,
    filled: &mut Filled,
    id: RecordId,
    author: &str,
) -> Result<(), BookError> {
    let held = app.book.get(id)?;
    filled.set("id", RecordId::new().to_string());
    let message = match held {
        Some(held) => match held.body {
            Body::Opinion(opinion) => {
                let name = Called::by_opinion(&opinion).name(app).common;
                let said = format!(
                    "This form was saved already as \u{201c}{name}\u{201d} by {}. Nothing new was saved.",
                    held.author
                );
                if held.author == author {
                    filled.set("supersedes", id.to_string());
                    format!(
                        "{said} Send it again to keep the change: it becomes a correction, and the first version stays in the book."
                    )
                } else {
                    format!("{said} Send it again to add it as an opinion of its own.")
                }
            }
            _ => "This form's number belongs to another record. Send it again.".to_owned(),
        },
        None => "Two forms were sent at once. Send this one again.".to_owned(),
    };
    filled.troubles.conflict(message);
    Ok(())
}
