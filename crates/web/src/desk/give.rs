//! The form that adds a second opinion.
//!
//! In: a filled-in form. Out: a record, or what is wrong with the form.
//!
//! A form that was saved, changed and sent again becomes a correction by the same person; the
//! first version stays in the book and is shown below it.

use std::collections::BTreeSet;

use askama::Template;
use standbook_fieldbook::named::Called;
use standbook_fieldbook::record::{Body, Evidence, Opinion, Planting, Qualifier};
use standbook_fieldbook::{BookError, RecordId, limits};
use standbook_key::Role;

use super::names::name_of;
use crate::app::App;
use crate::form::Form;
use crate::here::Here;
use crate::plot::filled::Filled;
use crate::plot::keep::{Draft, current_id, keep};
use crate::stand::resolve::genus_of;

/// Value of the select for *no name in this key*.
const NONE: &str = "none";

/// What a value of the select begins with that names a genus.
const GENUS: &str = "genus:";

/// Taxa under one heading of the select.
pub(crate) struct Options {
    /// Heading.
    pub title: String,
    /// Id, name, whether chosen.
    pub taxa: Vec<(String, String, bool)>,
}

/// The form.
#[derive(Template)]
#[template(path = "desk/_opinion_form.html")]
pub(crate) struct OpinionForm {
    /// Where it goes.
    pub action: String,
    /// Label of its button.
    pub button: &'static str,
    /// What is filled in, and what is wrong with it.
    pub filled: Filled,
    /// Whether *no name in this key* is chosen.
    pub none: bool,
    /// Names to choose from: the mix first, genera last.
    pub options: Vec<Options>,
    /// Fields that go with it unseen.
    pub hidden: Vec<(String, String)>,
    /// Whether it is given before the first answer was shown.
    pub blind: bool,
}

/// How sure a name is: value of the field, words, whether chosen.
pub(super) type Sure = (&'static str, &'static str, bool);

/// What a reviewer looked at before giving an opinion.
#[derive(Debug, Default)]
pub(super) struct Looked {
    /// Whether the first answer had not been shown.
    pub blind: bool,
    /// What was seen on the plant.
    pub evidence: Option<Evidence>,
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
        let genera: BTreeSet<&str> = app.key.taxa.iter().map(genus_of).collect();
        let genera = genera.into_iter().map(|genus| {
            let value = format!("{GENUS}{genus}");
            let is_chosen = chosen == value;
            (value, format!("{genus} sp."), is_chosen)
        });
        options.push(Options {
            title: "Sure of the genus only".to_owned(),
            taxa: genera.collect(),
        });
        options.retain(|group| !group.taxa.is_empty());
        OpinionForm {
            action,
            button,
            none: chosen == NONE,
            filled,
            options,
            hidden: Vec::new(),
            blind: false,
        }
    }

    /// The choices of how sure the name is.
    pub fn sureness(&self) -> [Sure; 3] {
        let chosen = self.filled.get("sure");
        [
            ("", "sure of it", chosen.is_empty()),
            ("cf", "cf.: looks like it, not sure", chosen == "cf"),
            ("aff", "aff.: near it, but not it", chosen == "aff"),
        ]
    }
}

/// Keeps the opinion of a form. The author's name on success; otherwise the form with what is
/// wrong, everything typed still in it.
pub(super) fn give(
    app: &App,
    here: &Here,
    about: RecordId,
    form: Form,
    looked: Looked,
) -> Result<Result<String, Filled>, BookError> {
    let mut filled = Filled {
        form,
        ..Filled::new()
    };
    let id = filled.id();
    filled.set("id", id.to_string());
    let author = filled.read_name("scout", "Your name");
    let named = read_name(app, &mut filled);
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
    let Some(named) = named.filter(|_| filled.troubles.none()) else {
        return Ok(Err(filled));
    };
    let supersedes = own_earlier(app, &filled, about, &author)?;
    let draft = Draft {
        id,
        supersedes,
        body: Body::Opinion(Opinion {
            about,
            taxon: named.taxon,
            name_as_written,
            reasons,
            qualifier: named.qualifier,
            genus: named.genus,
            blind: looked.blind,
            evidence: looked.evidence,
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

/// A name as far as sure; all empty: no name of the key.
#[derive(Debug, Default)]
struct Named {
    taxon: Option<String>,
    qualifier: Option<Qualifier>,
    genus: Option<String>,
}

/// The name chosen; `None` when there is trouble.
fn read_name(app: &App, filled: &mut Filled) -> Option<Named> {
    let qualifier = match filled.get("sure") {
        "cf" => Some(Qualifier::Cf),
        "aff" => Some(Qualifier::Aff),
        _ => None,
    };
    let chosen = filled.get("taxon").to_owned();
    let named = match chosen.as_str() {
        "" => {
            filled.troubles.add(
                "taxon",
                "No name is chosen. Choose one, or \u{201c}no name in this key\u{201d}. If you cannot tell, send nothing.",
            );
            return None;
        }
        NONE => Named::default(),
        id => {
            let genus = id
                .strip_prefix(GENUS)
                .filter(|genus| app.key.taxa.iter().any(|taxon| genus_of(taxon) == *genus));
            let taxon = app.key.taxon(id);
            if genus.is_none() && taxon.is_none() {
                let cut: String = id.chars().take(80).collect();
                filled.troubles.add(
                    "taxon",
                    format!(
                        "\u{201c}{cut}\u{201d} is not a name of this key. Choose one from the list."
                    ),
                );
                return None;
            }
            Named {
                taxon: taxon.map(|taxon| taxon.id.to_string()),
                qualifier: None,
                genus: genus.map(str::to_owned),
            }
        }
    };
    if qualifier.is_some() && named.taxon.is_none() {
        filled.troubles.add(
            "sure",
            "\u{201c}cf.\u{201d} and \u{201c}aff.\u{201d} belong to a species. Choose the species it is like, or \u{201c}sure of it\u{201d}.",
        );
        return None;
    }
    Some(Named { qualifier, ..named })
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
                let name = name_of(&Called::by_opinion(&opinion), app).common;
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
