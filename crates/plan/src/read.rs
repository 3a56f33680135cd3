//! Reads outlines and points from files of other programs.
//!
//! In: the bytes of a file, GeoJSON, KML or GPX; which one is seen from its content. Out: shapes
//! with names, or what is wrong, where, and how to mend it. Shapes are not yet checked: see
//! [`Area::new`](crate::Area::new).
//!
//! Not here: the formats themselves (`geojson`, `kml`, `gpx` below), zipped files, files on disk.

use crate::walked;
use crate::{Corner, Polygon};

mod geojson;
mod gpx;
mod kml;
mod xml;

/// The largest file read, bytes.
pub const MOST_BYTES: usize = 5_000_000;
/// The most corners and points read from one file.
pub const MOST_CORNERS: usize = 20_000;

/// A format by content.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileFormat {
    /// RFC 7946.
    GeoJson,
    /// OGC KML 2.2.
    Kml,
    /// GPX 1.0 or 1.1.
    Gpx,
}

impl std::fmt::Display for FileFormat {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            FileFormat::GeoJson => "GeoJSON",
            FileFormat::Kml => "KML",
            FileFormat::Gpx => "GPX",
        })
    }
}

/// What a file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct FileShapes {
    /// Which format it turned out to be.
    pub format: FileFormat,
    /// Shapes in the order of the file; never empty.
    pub shapes: Vec<Shape>,
    /// What was done or left out on the way, in words for the person; may be empty.
    pub notes: Vec<String>,
}

/// One named thing of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Its name in the file; may be empty.
    pub name: String,
    /// Where it stands in the file, in words, such as `feature 2` or `Placemark in line 14`.
    pub place: String,
    /// What it is.
    pub form: Form,
}

/// The form of a shape.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// Polygons, closing corners dropped. A line whose ends are near (a walked boundary) too.
    Polygons(Vec<Polygon>),
    /// A line whose ends are not near each other.
    Line(Vec<Corner>),
    /// A point.
    Point(Corner),
}

/// Why a file cannot be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReadError {
    /// No bytes, or white space only.
    #[error("the file is empty: choose the file again")]
    Empty,
    /// Too large.
    #[error(
        "the file has {bytes} bytes, more than the {MOST_BYTES} that are read: save the field alone, without pictures"
    )]
    TooLarge {
        /// Its size, bytes.
        bytes: usize,
    },
    /// Too many corners.
    #[error(
        "the file has more than {MOST_CORNERS} corners and points: save the field alone, or with fewer corners"
    )]
    TooManyCorners,
    /// A zip, such as KMZ.
    #[error(
        "the file is zipped (KMZ or ZIP): unzip it and choose the .kml, .gpx or .geojson file inside"
    )]
    Zipped,
    /// Not text in any encoding known here.
    #[error("the file is not text: save the outline as GeoJSON, KML or GPX")]
    NotText,
    /// Text, but none of the formats.
    #[error(
        "the file is neither GeoJSON, KML nor GPX but {found}: save the outline as one of these"
    )]
    Unknown {
        /// What it looks like, in words.
        found: String,
    },
    /// Broken JSON.
    #[error(
        "line {line}, column {column}: the file is no sound JSON ({problem}): it may be cut off. Save it again"
    )]
    Json {
        /// From 1.
        line: usize,
        /// From 1.
        column: usize,
        /// What the reader met.
        problem: String,
    },
    /// JSON, but a part of it is no GeoJSON.
    #[error("{place}: {problem}")]
    GeoJson {
        /// Where, in words.
        place: String,
        /// What is wrong and how to mend it.
        problem: String,
    },
    /// Broken XML.
    #[error("line {line}: the file is no sound XML ({problem}): it may be cut off. Save it again")]
    Xml {
        /// From 1.
        line: usize,
        /// What the reader met.
        problem: String,
    },
    /// Numbers that are no coordinates.
    #[error("line {line}: {problem}")]
    Coordinates {
        /// From 1.
        line: usize,
        /// What is wrong and how to mend it.
        problem: String,
    },
    /// Nothing to use.
    #[error("the {format} file has no polygon, line or point in it: {}", match format { FileFormat::Kml => "it may only link to another file. Save the field itself", _ => "save it again with the field in it" })]
    Nothing {
        /// Its format.
        format: FileFormat,
    },
}

impl FileShapes {
    /// All polygons of all shapes.
    pub fn polygons(&self) -> Vec<Polygon> {
        self.shapes
            .iter()
            .filter_map(|shape| match &shape.form {
                Form::Polygons(polygons) => Some(polygons.clone()),
                _ => None,
            })
            .flatten()
            .collect()
    }

    /// All points, with their names.
    pub fn points(&self) -> impl Iterator<Item = (&str, Corner)> {
        self.shapes.iter().filter_map(|shape| match shape.form {
            Form::Point(corner) => Some((shape.name.as_str(), corner)),
            _ => None,
        })
    }
}

impl Shape {
    /// The polygons; a line is closed by a straight side from its end to its start; a point has
    /// none.
    pub fn closed(&self) -> Vec<Polygon> {
        match &self.form {
            Form::Polygons(polygons) => polygons.clone(),
            Form::Line(line) => vec![Polygon {
                outer: line.clone(),
                holes: Vec::new(),
            }],
            Form::Point(_) => Vec::new(),
        }
    }
}

/// Reads a file.
///
/// # Errors
/// What is wrong, where and how to mend it. Never panics.
pub fn read(bytes: &[u8]) -> Result<FileShapes, ReadError> {
    if bytes.len() > MOST_BYTES {
        return Err(ReadError::TooLarge { bytes: bytes.len() });
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return Err(ReadError::Zipped);
    }
    let text = decode(bytes)?;
    let text = text.trim_start_matches('\u{feff}');
    let mut gathered = Gathered::default();
    let format = match text.trim_start().chars().next() {
        None => return Err(ReadError::Empty),
        Some('{' | '[') => {
            geojson::read(text, &mut gathered)?;
            FileFormat::GeoJson
        }
        Some('<') => match xml::root(text)?.as_str() {
            "kml" => {
                kml::read(text, &mut gathered)?;
                FileFormat::Kml
            }
            "gpx" => {
                gpx::read(text, &mut gathered)?;
                FileFormat::Gpx
            }
            "" => {
                return Err(ReadError::Unknown {
                    found: "XML without an element".to_owned(),
                });
            }
            "html" | "HTML" => {
                return Err(ReadError::Unknown {
                    found: "a web page".to_owned(),
                });
            }
            other => {
                return Err(ReadError::Unknown {
                    found: format!("XML of the kind `{}`", shorten(other)),
                });
            }
        },
        Some(_) => {
            return Err(ReadError::Unknown {
                found: "plain text (corners one a line can be typed or pasted instead)".to_owned(),
            });
        }
    };
    if gathered.shapes.is_empty() {
        return Err(ReadError::Nothing { format });
    }
    Ok(FileShapes {
        format,
        shapes: gathered.shapes,
        notes: gathered.notes,
    })
}

/// UTF-8, UTF-16 with its mark, or what XML says is a Latin alphabet of one byte a letter.
fn decode(bytes: &[u8]) -> Result<String, ReadError> {
    if let [first, second, rest @ ..] = bytes
        && matches!((first, second), (0xff, 0xfe) | (0xfe, 0xff))
    {
        let units = rest.chunks_exact(2).map(|pair| {
            let pair = [pair[0], pair[1]];
            if *first == 0xff {
                u16::from_le_bytes(pair)
            } else {
                u16::from_be_bytes(pair)
            }
        });
        return char::decode_utf16(units)
            .collect::<Result<String, _>>()
            .map_err(|_| ReadError::NotText);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) if text.contains('\0') => Err(ReadError::NotText),
        Ok(text) => Ok(text.to_owned()),
        Err(_) => {
            let head = String::from_utf8_lossy(&bytes[..bytes.len().min(200)]).to_lowercase();
            let latin = ["iso-8859-1", "iso-8859-15", "windows-1252", "us-ascii"];
            if head.trim_start().starts_with("<?xml")
                && latin.iter().any(|name| head.contains(name))
            {
                // Names may show a wrong quotation mark; numbers are the same in all of them.
                Ok(bytes.iter().map(|&b| char::from(b)).collect())
            } else {
                Err(ReadError::NotText)
            }
        }
    }
}

/// A text held to a length that fits a message.
fn shorten(text: &str) -> String {
    let mut short: String = text.chars().take(40).collect();
    if short.len() < text.len() {
        short.push_str("...");
    }
    short
}

/// Shapes on the way in.
#[derive(Default)]
struct Gathered {
    shapes: Vec<Shape>,
    notes: Vec<String>,
    corners: usize,
}

impl Gathered {
    /// Counts corners against the limit.
    fn count(&mut self, corners: usize) -> Result<(), ReadError> {
        self.corners += corners;
        if self.corners > MOST_CORNERS {
            return Err(ReadError::TooManyCorners);
        }
        Ok(())
    }

    fn polygons(&mut self, name: &str, place: &str, mut polygons: Vec<Polygon>) {
        for polygon in &mut polygons {
            open(&mut polygon.outer);
            polygon.holes.iter_mut().for_each(open);
        }
        self.push(name, place, Form::Polygons(polygons));
    }

    fn point(&mut self, name: &str, place: &str, corner: Corner) {
        self.push(name, place, Form::Point(corner));
    }

    /// A line, closed where its ends are near; `recorded` by a receiver or drawn.
    fn line(&mut self, name: &str, place: &str, line: Vec<Corner>, recorded: bool) {
        if line.is_empty() {
            return;
        }
        match walked::close(&line, recorded) {
            Some(ring) => {
                if !ring.notes.is_empty() {
                    self.notes
                        .push(format!("{place}: {}.", ring.notes.join("; ")));
                }
                let polygon = Polygon {
                    outer: ring.corners,
                    holes: Vec::new(),
                };
                self.push(name, place, Form::Polygons(vec![polygon]));
            }
            None => self.push(name, place, Form::Line(line)),
        }
    }

    fn push(&mut self, name: &str, place: &str, form: Form) {
        self.shapes.push(Shape {
            name: name.trim().to_owned(),
            place: place.to_owned(),
            form,
        });
    }
}

/// Takes the closing corner off.
fn open(ring: &mut Vec<Corner>) {
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
}
