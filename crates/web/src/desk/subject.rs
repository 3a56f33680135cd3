//! The plant that a specimen, a flag or a slip is about: a determination or an unknown, where it stands,
//! and everybody who named it.
//!
//! In: an id of any version. Out: the plant as it stands now.
//! Not here: why a name is the current one (`names`).

use std::fmt;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use standbook_fieldbook::named::Called;
use standbook_fieldbook::record::Opinion;
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::names::{name_of, standing};
use crate::app::App;
use crate::failure::Failure;
use crate::photos::gallery::{Leading, leading, photos_of_unknown};
use crate::photos::parts::lacking;
use crate::plot::place::Place;
use crate::stand::name::{first_words, taxon_name};
use crate::stand::resolve::{Unknowns, in_order};
use crate::words::day_words;

/// Which kind of record a plant is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A determination.
    Determination,
    /// An unknown.
    Unknown,
}

impl Kind {
    /// The first part of its address.
    pub fn folder(self) -> &'static str {
        match self {
            Kind::Determination => "determinations",
            Kind::Unknown => "unknowns",
        }
    }

    /// From the first part of an address.
    pub fn of_folder(folder: &str) -> Option<Kind> {
        [Kind::Determination, Kind::Unknown]
            .into_iter()
            .find(|kind| kind.folder() == folder)
    }
}

/// The kind that the address of a request names.
impl<S: Send + Sync> FromRequestParts<S> for Kind {
    type Rejection = Failure;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Failure> {
        let folder = parts.uri.path().split('/').nth(1).unwrap_or_default();
        Kind::of_folder(folder).ok_or(Failure::NotFound { what: "plant" })
    }
}

/// A name as somebody gave it, in the parts in which it is printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Written {
    /// In italics: `Setaria`, or the whole name where nobody doubts it.
    pub genus: String,
    /// Upright: `cf.`, `aff.`, `sp.`, or words in place of a name; may be empty.
    pub sign: String,
    /// In italics: the rest of the name; may be empty.
    pub rest: String,
    /// Common name; may be empty.
    pub common: String,
}

impl Written {
    fn words(words: &str) -> Written {
        Written {
            genus: String::new(),
            sign: words.to_owned(),
            rest: String::new(),
            common: String::new(),
        }
    }

    /// The name of a taxon, with a sign of doubt behind its genus (the place that Sigovini, Keppel &
    /// Tagliapietra 2016 recommend, from memory).
    fn taxon(app: &App, id: &str, sign: &str) -> Written {
        let name = taxon_name(app, id);
        if name.scientific.is_empty() {
            let words = format!("{sign} {}", name.common);
            return Written::words(words.trim());
        }
        let (genus, rest) = match name.scientific.split_once(' ') {
            Some((genus, rest)) if !sign.is_empty() => (genus.to_owned(), rest.to_owned()),
            _ => (name.scientific, String::new()),
        };
        Written {
            genus,
            sign: sign.to_owned(),
            rest,
            common: name.common,
        }
    }

    fn of(app: &App, called: &Called) -> Written {
        match called {
            Called::Taxon(id) => Written::taxon(app, id, ""),
            Called::Compare(id) => Written::taxon(app, id, "cf."),
            Called::Near(id) => Written::taxon(app, id, "aff."),
            Called::Genus(genus) => Written {
                genus: genus.clone(),
                ..Written::words("sp.")
            },
            Called::NotInKey | Called::NoName => Written::words(&name_of(called, app).common),
        }
    }

    /// What people call it: the common name where there is one and nobody doubts it.
    pub fn short(&self) -> String {
        match self.common.is_empty() || !self.sign.is_empty() {
            true => self.to_string(),
            false => self.common.clone(),
        }
    }
}

impl fmt::Display for Written {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = [&self.genus, &self.sign, &self.rest];
        let parts = parts.into_iter().filter(|part| !part.is_empty());
        f.write_str(&parts.map(String::as_str).collect::<Vec<_>>().join(" "))
    }
}

/// A name that somebody gave the plant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Naming {
    /// The name.
    pub name: Written,
    /// As the reviewer wrote it, where that is not the name itself; may be empty.
    pub as_written: String,
    /// Who.
    pub by: String,
    /// The day, in words.
    pub on: String,
    born_at: String,
}

/// The plant.
#[derive(Debug, Clone)]
pub(crate) struct Subject {
    /// Its record, the current version.
    pub id: RecordId,
    /// Which kind that is.
    pub kind: Kind,
    /// Where it stands.
    pub place: Place,
    /// The cell of the frame, where one was noted.
    pub cell: Option<u32>,
    /// Who met it.
    pub scout: String,
    /// What it was described as, for an unknown; may be empty.
    pub described: String,
    /// Everybody who named it, oldest first.
    pub namings: Vec<Naming>,
    /// Which of them is the current one; `None`: it has no name.
    pub current: Option<usize>,
}

impl Subject {
    /// Finds a plant of this kind.
    pub fn load(app: &App, kind: Kind, id: RecordId) -> Result<Subject, Failure> {
        let found = match kind {
            Kind::Determination => Subject::determination(app, id)?,
            Kind::Unknown => Subject::unknown(app, id)?,
        };
        found.ok_or(Failure::NotFound {
            what: match kind {
                Kind::Determination => "determination",
                Kind::Unknown => "unknown",
            },
        })
    }

    /// Finds a plant of whichever kind.
    pub fn find(app: &App, id: RecordId) -> Result<Subject, Failure> {
        let found = match Subject::determination(app, id)? {
            Some(found) => Some(found),
            None => Subject::unknown(app, id)?,
        };
        found.ok_or(Failure::NotFound { what: "plant" })
    }

    fn determination(app: &App, id: RecordId) -> Result<Option<Subject>, Failure> {
        let Some(entry) = app.book.determination(id)? else {
            return Ok(None);
        };
        let opinions = in_order(app.book.opinions(entry.id)?);
        let unknowns = Unknowns::read(app, entry.body.unknown)?;
        let unknown = entry.body.unknown.and_then(|id| unknowns.get(id));
        let mut namings = Vec::new();
        if entry.body.taxon.is_some() {
            namings.push(Naming {
                name: Written::of(app, &Called::by_scout(&entry.body)),
                as_written: String::new(),
                by: entry.author.clone(),
                on: day_words(&entry.born_at),
                born_at: entry.born_at.clone(),
            });
        }
        namings.extend(opinions.iter().map(|one| naming(app, one)));
        namings.extend(
            unknown
                .iter()
                .flat_map(|known| &known.opinions)
                .map(|one| naming(app, one)),
        );
        namings.sort_by(|a, b| a.born_at.cmp(&b.born_at));
        // The same order of precedence as the plant's page has.
        let counts = match standing(&app.key, &entry, &opinions, unknown).called {
            Called::NoName => None,
            _ => Some(
                unknown
                    .and_then(|known| known.opinions.last())
                    .or(opinions.last())
                    .map_or(&entry.born_at, |one| &one.born_at),
            ),
        };
        let current =
            counts.and_then(|stamp| namings.iter().rposition(|one| one.born_at == **stamp));
        Ok(Some(Subject {
            id: entry.id,
            kind: Kind::Determination,
            place: Place::load(app, entry.body.point)?,
            cell: entry.body.cell,
            scout: entry.author,
            described: unknown.map_or(String::new(), |known| {
                let unknown = &known.entry.body;
                format!("unknown {}: {}", unknown.number, unknown.description)
            }),
            namings,
            current,
        }))
    }

    fn unknown(app: &App, id: RecordId) -> Result<Option<Subject>, Failure> {
        let Some(entry) = app.book.unknown(id)? else {
            return Ok(None);
        };
        let opinions = in_order(app.book.opinions(entry.id)?);
        let namings: Vec<Naming> = opinions.iter().map(|one| naming(app, one)).collect();
        Ok(Some(Subject {
            id: entry.id,
            kind: Kind::Unknown,
            place: Place::load(app, entry.body.first_seen)?,
            cell: None,
            scout: entry.author,
            described: format!("unknown {}: {}", entry.body.number, entry.body.description),
            current: namings.len().checked_sub(1),
            namings,
        }))
    }

    /// Its page.
    pub fn address(&self) -> String {
        format!("/{}/{}", self.kind.folder(), self.id)
    }

    /// The name that counts now.
    pub fn named(&self) -> Option<&Naming> {
        self.namings.get(self.current?)
    }

    /// What people call it in a list: its name, or the unknown's number and description.
    pub fn short(&self) -> String {
        match self.named() {
            Some(naming) => naming.name.short(),
            None if self.described.is_empty() => "plant without a name".to_owned(),
            None => first_words(&self.described),
        }
    }

    /// `North, point 3, cell 7`.
    pub fn place_words(&self) -> String {
        let mut words = self.place.words();
        if let Some(cell) = self.cell {
            words.push_str(&format!(", cell {cell}"));
        }
        words
    }

    /// Its photos: the one that stands for it in a list, how many there are, and what a second opinion
    /// from afar asks for that none shows.
    pub fn photos(&self, app: &App) -> Result<Pictured, BookError> {
        let photos = match self.kind {
            Kind::Determination => app.book.photos(self.id)?,
            Kind::Unknown => photos_of_unknown(app, self.id)?,
        };
        Ok(Pictured {
            leading: leading(app, &photos),
            many: photos.len(),
            lacking: lacking(photos.iter().map(|photo| photo.body.shows.as_str())),
        })
    }
}

/// The photos of a plant, for a list.
pub(crate) struct Pictured {
    /// The one that stands for it.
    pub leading: Option<Leading>,
    /// How many there are.
    pub many: usize,
    /// The parts of the set that none shows.
    pub lacking: Vec<&'static str>,
}

impl Pictured {
    /// `no photo`, `3 photos; missing: base, roots and seed`.
    pub fn words(&self) -> String {
        match (self.many, self.lacking.as_slice()) {
            (0, _) => "no photo".to_owned(),
            (n, []) => format!("{}, the whole set", crate::words::number_of(n, "photo")),
            (n, lacking) => format!(
                "{}; missing: {}",
                crate::words::number_of(n, "photo"),
                lacking.join(", ")
            ),
        }
    }
}

fn naming(app: &App, opinion: &Entry<Opinion>) -> Naming {
    let as_written = &opinion.body.name_as_written;
    let name = match Called::by_opinion(&opinion.body) {
        // Outside the key the reviewer's own words are all the name there is.
        Called::NotInKey if !as_written.is_empty() => Written::words(as_written),
        called => Written::of(app, &called),
    };
    Naming {
        as_written: match *as_written == name.to_string() {
            true => String::new(),
            false => as_written.clone(),
        },
        name,
        by: opinion.author.clone(),
        on: day_words(&opinion.born_at),
        born_at: opinion.born_at.clone(),
    }
}
