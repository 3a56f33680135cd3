//! What somebody wants to take out, and how much of it may be seen.

use standbook_fieldbook::record::{Planting, Visit};
use standbook_fieldbook::{Book, BookError, RecordId};

use crate::error::{Done, ExportError};

/// A format in which a book leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Darwin Core Archive, a zip.
    DarwinCore,
    /// GeoJSON, RFC 7946.
    GeoJson,
    /// GPX 1.1.
    Gpx,
    /// A zip of tables with a data dictionary.
    Csv,
    /// An SQLite file of plain tables.
    Sqlite,
}

impl Format {
    /// All, with id, file ending and media type.
    pub const ALL: [(&'static str, Format, &'static str, &'static str); 5] = [
        ("darwin-core", Format::DarwinCore, "zip", "application/zip"),
        (
            "geojson",
            Format::GeoJson,
            "geojson",
            "application/geo+json",
        ),
        ("gpx", Format::Gpx, "gpx", "application/gpx+xml"),
        ("csv", Format::Csv, "zip", "application/zip"),
        (
            "sqlite",
            Format::Sqlite,
            "sqlite",
            "application/vnd.sqlite3",
        ),
    ];

    /// Id, as on the command line.
    pub fn id(self) -> &'static str {
        Format::ALL[self as usize].0
    }

    /// Ending of its files, without the dot.
    pub fn ending(self) -> &'static str {
        Format::ALL[self as usize].2
    }

    /// Media type of its files.
    pub fn media_type(self) -> &'static str {
        Format::ALL[self as usize].3
    }

    /// From an id.
    pub fn from_id(id: &str) -> Option<Format> {
        Format::ALL.iter().find(|(n, ..)| *n == id).map(|n| n.1)
    }

    /// Whether pictures can leave with it.
    pub fn takes_photos(self) -> bool {
        matches!(self, Format::DarwinCore | Format::Csv)
    }

    /// Whether what scouts practised can leave with it.
    pub fn takes_practice(self) -> bool {
        matches!(self, Format::Csv | Format::Sqlite)
    }
}

/// What of a book leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Scope {
    /// Everything.
    #[default]
    Book,
    /// One planting with all its visits, by the first id of its chain.
    Planting(RecordId),
    /// One visit, with what its planting says of it.
    Visit {
        /// The first id of the planting's chain.
        planting: RecordId,
        /// The first id of the visit's chain.
        visit: RecordId,
    },
}

/// Narrowest and widest cell of a blurring grid, m.
pub const BLUR_M: std::ops::RangeInclusive<f64> = 10.0..=100_000.0;

/// What somebody wants to take out.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// The format.
    pub format: Format,
    /// What of the book.
    pub scope: Scope,
    /// Side of the cells that places are moved to the middle of, m, within [`BLUR_M`]; `None`: places
    /// leave as they are.
    pub blur_m: Option<f64>,
    /// Whether words that say where a blurred place is (site, locality, farm numbers) leave all the same.
    pub locality: bool,
    /// Whether people leave by name; otherwise as `scout 1` and on.
    pub names: bool,
    /// Whether notes, descriptions and reasons leave.
    pub notes: bool,
    /// Whether pictures leave, without what a camera wrote into them.
    pub photos: bool,
    /// Whether what scouts practised leaves, as tables (CSV, SQLite).
    pub practice: bool,
    /// Country, ISO 3166-1 alpha-2, for Darwin Core; the book does not know it. Empty: not said.
    pub country: String,
}

impl Request {
    /// Everything as it is, without pictures and practice.
    pub fn new(format: Format) -> Request {
        Request {
            format,
            scope: Scope::Book,
            blur_m: None,
            locality: false,
            names: true,
            notes: true,
            photos: false,
            practice: false,
            country: String::new(),
        }
    }

    /// Whether words that say where a place is leave.
    pub(crate) fn tells_where(&self) -> bool {
        self.blur_m.is_none() || self.locality
    }

    /// Refuses what makes no sense.
    pub(crate) fn check(&self) -> Done {
        let wrong = |field, problem: String, mend: &str| {
            Err(ExportError::Request {
                field,
                problem,
                mend: mend.to_owned(),
            })
        };
        if let Some(side) = self.blur_m.filter(|side| !BLUR_M.contains(side)) {
            return wrong(
                "--blur",
                format!("cells of {side} m are out of range"),
                "Give a number of metres from 10 to 100000",
            );
        }
        if self.photos && !self.format.takes_photos() {
            return wrong(
                "--photos",
                format!("pictures can't travel inside {}", self.format.id()),
                "Leave them out, or take darwin-core or csv",
            );
        }
        if self.practice && !self.format.takes_practice() {
            return wrong(
                "--practice",
                format!("practice can't travel inside {}", self.format.id()),
                "Leave it out, or take csv or sqlite",
            );
        }
        let country = self.country.as_str();
        if !country.is_empty()
            && (country.len() != 2 || !country.bytes().all(|b| b.is_ascii_uppercase()))
        {
            return wrong(
                "--country",
                format!("`{country}` is no country code"),
                "Give two capital letters, such as US (ISO 3166-1)",
            );
        }
        Ok(())
    }
}

/// Finds what a person means by a planting (its name, `site, name` or an id) and a visit (an id).
///
/// Errors: [`ExportError::Request`] that lists what there is; those of reading.
pub fn find(
    book: &Book,
    planting: Option<&str>,
    visit: Option<&str>,
) -> Result<Scope, ExportError> {
    let planting = planting
        .map(|words| find_planting(book, words))
        .transpose()?;
    let Some(words) = visit else {
        return Ok(planting.map_or(Scope::Book, Scope::Planting));
    };
    let no = |problem: &str| ExportError::Request {
        field: "--visit",
        problem: format!("`{words}` {problem}"),
        mend: "Take the id out of the address of the visit's page".to_owned(),
    };
    let id: RecordId = words.parse().map_err(|_| no("is no id of a visit"))?;
    book.at_one_moment(|moment| {
        let current = moment.current::<Visit>(id)?;
        let current = current.ok_or_else(|| no("is no visit of this book"))?;
        let of = current.entry.body.planting;
        let of = moment.root(of)?.unwrap_or(of);
        match planting {
            Some(other) if other != of => Err(no("is a visit to another planting")),
            _ => Ok(Scope::Visit {
                planting: of,
                visit: current.root,
            }),
        }
    })
}

fn find_planting(book: &Book, words: &str) -> Result<RecordId, ExportError> {
    if let Ok(id) = words.parse::<RecordId>() {
        let found = book.at_one_moment(|moment| moment.current::<Planting>(id))?;
        if let Some(found) = found {
            return Ok(found.root);
        }
    }
    let wanted = words.trim().to_lowercase();
    let all = plantings(book)?;
    let named: Vec<&(RecordId, String, String)> = all
        .iter()
        .filter(|(_, site, name)| {
            let name = name.to_lowercase();
            name == wanted || format!("{}, {name}", site.to_lowercase()) == wanted
        })
        .collect();
    if let [(id, ..)] = named.as_slice() {
        return Ok(*id);
    }
    let list = |of: &mut dyn Iterator<Item = &(RecordId, String, String)>| {
        let lines: Vec<String> = of
            .take(20)
            .map(|(id, site, name)| format!("`{site}, {name}` ({id})"))
            .collect();
        lines.join("; ")
    };
    let (problem, mend) = match (named.is_empty(), all.is_empty()) {
        (_, true) => (
            "this book has no planting".to_owned(),
            "Choose another book".to_owned(),
        ),
        (true, _) => (
            format!("there is no planting `{words}`"),
            format!("This book has {}", list(&mut all.iter())),
        ),
        (false, _) => (
            format!("{} plantings are called `{words}`", named.len()),
            format!("Give one by id: {}", list(&mut named.into_iter())),
        ),
    };
    Err(ExportError::Request {
        field: "--planting",
        problem,
        mend,
    })
}

/// The plantings of a book: first id of the chain, name of the site, name of the planting.
///
/// Errors: those of reading.
pub fn plantings(book: &Book) -> Result<Vec<(RecordId, String, String)>, BookError> {
    book.at_one_moment(|moment| {
        let mut all = Vec::new();
        for planting in moment.all::<Planting>()? {
            let site =
                moment.current::<standbook_fieldbook::record::Site>(planting.entry.body.site)?;
            let site = site.map(|site| site.entry.body.name).unwrap_or_default();
            all.push((planting.root, site, planting.entry.body.name));
        }
        Ok(all)
    })
}
