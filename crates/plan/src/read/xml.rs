//! What KML and GPX share: elements, text and line numbers from XML.
//!
//! In: text. Out: events with their line. Entities that the file defines itself are never
//! expanded: they stay as they are written, so a file cannot grow while it is read.

use super::{ReadError, shorten};
use quick_xml::XmlVersion;
use quick_xml::events::{BytesStart, Event};

/// Elements inside each other; more is no file of a field.
const MOST_DEPTH: usize = 100;
/// Letters kept of one text, so that a name stays a name. Coordinates are not held to it.
const MOST_NAME: usize = 200;

/// What is met in a file. Names are without their prefix.
#[derive(Debug)]
pub(super) enum Met<'a> {
    Start(String, BytesStart<'a>),
    Text(String),
    /// The name, and the line where the element began.
    End(String, usize),
    EndOfFile,
}

/// Reads a file from event to event.
pub(super) struct Xml<'a> {
    text: &'a str,
    reader: quick_xml::Reader<&'a [u8]>,
    /// Open elements with the lines where they began.
    open: Vec<(String, usize)>,
    counted_to: usize,
    line: usize,
}

impl<'a> Xml<'a> {
    pub(super) fn new(text: &'a str) -> Xml<'a> {
        let mut reader = quick_xml::Reader::from_str(text);
        let config = reader.config_mut();
        config.expand_empty_elements = true;
        // Names such as `Smith & Sons` are often written so; they harm nobody.
        config.allow_dangling_amp = true;
        Xml {
            text,
            reader,
            open: Vec::new(),
            counted_to: 0,
            line: 1,
        }
    }

    /// The line where the reader stands, from 1.
    pub(super) fn line(&mut self) -> usize {
        let here = (self.reader.buffer_position() as usize).min(self.text.len());
        if here > self.counted_to {
            let passed = &self.text.as_bytes()[self.counted_to..here];
            self.line += passed.iter().filter(|&&b| b == b'\n').count();
            self.counted_to = here;
        }
        self.line
    }

    /// Whether the innermost open elements have these names, outer one first.
    pub(super) fn within(&self, names: &[&str]) -> bool {
        self.open.len() >= names.len()
            && self.open[self.open.len() - names.len()..]
                .iter()
                .zip(names)
                .all(|((open, _), name)| open == name)
    }

    /// Whether an element of this name is open.
    pub(super) fn inside(&self, name: &str) -> bool {
        self.open.iter().any(|(open, _)| open == name)
    }

    /// The next thing of interest. When an element ends it is no longer open.
    pub(super) fn next(&mut self) -> Result<Met<'a>, ReadError> {
        loop {
            let event = match self.reader.read_event() {
                Ok(event) => event,
                Err(error) => return Err(self.broken(&error.to_string())),
            };
            match event {
                Event::Start(start) => {
                    let name = start.local_name().as_ref().to_owned();
                    if self.open.len() >= MOST_DEPTH {
                        return Err(self.broken("elements lie too deep in each other"));
                    }
                    let line = self.line();
                    self.open.push((name.clone(), line));
                    return Ok(Met::Start(name, start));
                }
                Event::End(_) => {
                    if let Some((name, line)) = self.open.pop() {
                        return Ok(Met::End(name, line));
                    }
                }
                Event::Text(text) => return Ok(Met::Text(text.into_inner().into_owned())),
                Event::CData(data) => return Ok(Met::Text(data.into_inner().into_owned())),
                Event::GeneralRef(reference) => {
                    let letter = match &*reference {
                        "amp" => Some('&'),
                        "lt" => Some('<'),
                        "gt" => Some('>'),
                        "quot" => Some('"'),
                        "apos" => Some('\''),
                        _ => reference.resolve_char_ref().ok().flatten(),
                    };
                    let text = letter.map_or_else(|| format!("&{};", &*reference), String::from);
                    return Ok(Met::Text(text));
                }
                Event::Eof => {
                    return match self.open.last() {
                        Some((name, line)) => {
                            let problem = format!(
                                "`{}` begins in line {line} and does not end",
                                shorten(name)
                            );
                            Err(self.broken(&problem))
                        }
                        None => Ok(Met::EndOfFile),
                    };
                }
                Event::Empty(_)
                | Event::Comment(_)
                | Event::Decl(_)
                | Event::PI(_)
                | Event::DocType(_) => {}
            }
        }
    }

    fn broken(&mut self, problem: &str) -> ReadError {
        ReadError::Xml {
            line: self.line(),
            problem: problem.to_owned(),
        }
    }

    /// A number in an attribute; an error with the line where it is missing or no number.
    pub(super) fn number(&mut self, start: &BytesStart, name: &str) -> Result<f64, ReadError> {
        let value = start.try_get_attribute(name).ok().flatten().and_then(|a| {
            a.normalized_value(XmlVersion::Implicit1_0)
                .ok()
                .map(|v| v.into_owned())
        });
        let number = value.as_deref().and_then(|v| v.trim().parse::<f64>().ok());
        match number {
            Some(number) if number.is_finite() => Ok(number),
            _ => Err(ReadError::Coordinates {
                line: self.line(),
                problem: format!(
                    "`{name}` is {}: every point has lat and lon in degrees. Save the file again",
                    value.map_or("missing".to_owned(), |v| format!("`{}`", shorten(&v)))
                ),
            }),
        }
    }
}

/// Adds to a name, up to a length.
pub(super) fn add_to_name(name: &mut String, text: &str) {
    let room = MOST_NAME.saturating_sub(name.chars().count());
    name.extend(text.chars().take(room));
}

/// Local name of the first element; empty when there is none.
pub(super) fn root(text: &str) -> Result<String, ReadError> {
    let mut xml = Xml::new(text);
    loop {
        match xml.next()? {
            Met::Start(name, _) => return Ok(name),
            Met::EndOfFile => return Ok(String::new()),
            Met::Text(_) | Met::End(..) => {}
        }
    }
}
