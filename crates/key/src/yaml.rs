//! Reads one YAML file into values that know their line and column.
//!
//! In: the bytes of a file. Out: a [`Yaml`] tree, or what is wrong with the file.
//!
//! `serde_yaml` (archived upstream, kept as the user's choice) reads the data. It says
//! nothing about where a value stands, and lets the last of two equal map keys win without
//! a word, so a second pass with `saphyr-parser` marks every value and refuses duplicates.
//! Nothing outside this module knows that there are two passes or which crates make them.
//!
//! Refused, since a key has no use for them: anchors, aliases, tags, several documents in a
//! file, keys that are not plain text, nesting deeper than [`DEEPEST`], lists and maps
//! with more than [`MOST_ITEMS`], files over [`LARGEST_BYTES`].

use std::collections::BTreeMap;

use saphyr_parser::{Event, Parser, Span, StrInput};

use crate::fault::{Findings, Place, short, shorten};

/// Largest file read, bytes. The largest of our own keys has about 70,000.
pub const LARGEST_BYTES: usize = 4 * 1024 * 1024;

/// Deepest nesting read. Keys need six levels.
pub const DEEPEST: usize = 24;

/// Most items in one list or map. Our own key has 225 sources. The bound keeps every check
/// that compares each item with each other short, whatever the file holds.
pub const MOST_ITEMS: usize = 1000;

/// How to mend what the YAML readers stumble over; their own words name only the symptom.
const MEND_SYNTAX: &str = "check indentation (spaces, no tabs), brackets and colons here \
     and in the lines above; put text that holds `: ` or ` #` in quotes";

/// Most characters shown of what a YAML reader says.
const LONGEST_SYMPTOM: usize = 160;

/// A value and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Yaml {
    /// Where the value begins.
    pub place: Place,
    /// What it is.
    pub value: Value,
}

/// The values a key file can hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Nothing after the colon, `~` or `null`.
    Null,
    /// `true` or `false`. (`yes`, `no`, `on`, `off` are text.)
    Bool(bool),
    /// A finite number.
    Number(f64),
    /// Text.
    Text(String),
    /// A list.
    List(Vec<Yaml>),
    /// A map in file order; no key twice.
    Map(Vec<Entry>),
}

/// One line of a map.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The key.
    pub key: String,
    /// Where the key stands.
    pub key_place: Place,
    /// Its value.
    pub value: Yaml,
}

/// Reads `bytes` of `file`; `None` when a finding makes the content unusable.
pub(crate) fn read(file: &str, bytes: &[u8], findings: &mut Findings) -> Option<Yaml> {
    if bytes.len() > LARGEST_BYTES {
        findings.fault(
            file,
            Place::START,
            format!(
                "the file has {} bytes; at most {LARGEST_BYTES} are read",
                bytes.len()
            ),
            "split it, or remove what does not belong to the key",
        );
        return None;
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            findings.fault(
                file,
                place_of_byte(bytes, error.valid_up_to()),
                "this byte is not UTF-8 text",
                "save the file as UTF-8 in the editor",
            );
            return None;
        }
    };
    // YAML allows none of these; the readers would refuse the file without saying where.
    let stray = |c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r' | '\u{85}');
    if let Some(at) = text.find(stray) {
        findings.fault(
            file,
            place_of_byte(bytes, at),
            "an invisible control character stands here",
            "delete it: put the cursor behind it and press backspace, or type the line anew",
        );
        return None;
    }
    // Some editors begin UTF-8 files with this mark; serde_yaml takes it for a document.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let marks = Marker::new(file, text, findings).document()?;
    let data: serde_yaml::Value = match serde_yaml::from_str(text) {
        Ok(data) => data,
        Err(error) => {
            let place = error.location().map_or(Place::START, |at| Place {
                line: narrow(at.line()),
                column: narrow(at.column()),
            });
            findings.fault(
                file,
                place,
                format!(
                    "not readable as YAML: {}",
                    shorten(&error.to_string(), LONGEST_SYMPTOM)
                ),
                MEND_SYNTAX,
            );
            return None;
        }
    };
    join(file, data, marks, findings)
}

/// Position marks of a document: the same tree as the data, without the values.
enum Mark {
    Scalar(Place),
    List(Place, Vec<Mark>),
    Map(Place, Vec<(String, Place, Mark)>),
}

/// The second pass: walks the parser's events and keeps the places.
struct Marker<'a, 'f> {
    file: &'a str,
    events: Parser<'a, StrInput<'a>>,
    findings: &'f mut Findings,
    refused: bool,
}

impl<'a, 'f> Marker<'a, 'f> {
    fn new(file: &'a str, text: &'a str, findings: &'f mut Findings) -> Self {
        Marker {
            file,
            events: Parser::new_from_str(text),
            findings,
            refused: false,
        }
    }

    /// The only document of the file.
    fn document(mut self) -> Option<Mark> {
        let mut root = None;
        loop {
            let (event, span) = self.next()?;
            match event {
                Event::StreamStart | Event::DocumentEnd | Event::Nothing => {}
                Event::DocumentStart(_) if root.is_some() => {
                    self.refuse(
                        span,
                        "a second document begins here",
                        "keep one document in a file; remove the line `---`",
                    );
                    return None;
                }
                Event::DocumentStart(_) => {
                    let (event, span) = self.next()?;
                    root = Some(self.node(event, span, 0)?);
                }
                Event::StreamEnd => break,
                _ => return None,
            }
        }
        if root.is_none() {
            self.findings.fault(
                self.file,
                Place::START,
                "the file is empty",
                "write its content, or remove the file",
            );
        }
        if self.refused { None } else { root }
    }

    fn next(&mut self) -> Option<(Event<'a>, Span)> {
        match self.events.next_event()? {
            Ok(next) => Some(next),
            Err(error) => {
                let place = Place {
                    line: narrow(error.marker().line()),
                    column: narrow(error.marker().col() + 1),
                };
                self.findings.fault(
                    self.file,
                    place,
                    format!(
                        "not readable as YAML: {}",
                        shorten(error.info(), LONGEST_SYMPTOM)
                    ),
                    MEND_SYNTAX,
                );
                None
            }
        }
    }

    fn node(&mut self, event: Event<'a>, span: Span, depth: usize) -> Option<Mark> {
        if depth > DEEPEST {
            self.refuse(
                span,
                format!("nested deeper than {DEEPEST} levels"),
                "a key needs six levels; check brackets and indentation",
            );
            return None;
        }
        let place = place(span);
        match event {
            Event::Scalar(_, _, anchor, tag) => {
                self.refuse_extras(span, anchor, tag.is_some());
                Some(Mark::Scalar(place))
            }
            Event::Alias(_) => {
                self.refuse(
                    span,
                    "an alias (`*name`); a key has none",
                    "write the value out again",
                );
                Some(Mark::Scalar(place))
            }
            Event::SequenceStart(anchor, tag) => {
                self.refuse_extras(span, anchor, tag.is_some());
                let mut items = Vec::new();
                loop {
                    let (event, span) = self.next()?;
                    if matches!(event, Event::SequenceEnd) {
                        return Some(Mark::List(place, items));
                    }
                    self.count(span, items.len())?;
                    items.push(self.node(event, span, depth + 1)?);
                }
            }
            Event::MappingStart(anchor, tag) => {
                self.refuse_extras(span, anchor, tag.is_some());
                self.map(place, depth)
            }
            _ => None,
        }
    }

    fn map(&mut self, at: Place, depth: usize) -> Option<Mark> {
        let mut entries: Vec<(String, Place, Mark)> = Vec::new();
        let mut first_lines: BTreeMap<String, u32> = BTreeMap::new();
        loop {
            let (event, span) = self.next()?;
            let key = match event {
                Event::MappingEnd => return Some(Mark::Map(at, entries)),
                Event::Scalar(text, _, anchor, tag) => {
                    self.refuse_extras(span, anchor, tag.is_some());
                    text.into_owned()
                }
                _ => {
                    self.refuse(
                        span,
                        "a map key that is not plain text",
                        "write a word before the colon",
                    );
                    return None;
                }
            };
            let key_place = place(span);
            self.count(span, entries.len())?;
            let (event, span) = self.next()?;
            let value = self.node(event, span, depth + 1)?;
            if let Some(&line) = first_lines.get(&key) {
                self.refused = true;
                self.findings.fault(
                    self.file,
                    key_place,
                    format!("`{}` stands twice here, first in line {line}", short(&key)),
                    "keep one of the two; in a list begin each item with `- `",
                );
            } else {
                first_lines.insert(key.clone(), key_place.line);
            }
            entries.push((key, key_place, value));
        }
    }

    /// Refuses one item more than [`MOST_ITEMS`].
    fn count(&mut self, span: Span, so_far: usize) -> Option<()> {
        if so_far < MOST_ITEMS {
            return Some(());
        }
        self.refuse(
            span,
            format!("more than {MOST_ITEMS} items in one list or map"),
            "a key has no such long lists; remove what does not belong to the key",
        );
        None
    }

    fn refuse_extras(&mut self, span: Span, anchor: usize, tagged: bool) {
        if anchor != 0 {
            self.refuse(
                span,
                "an anchor (`&name`); a key has none",
                "write the value where it is needed",
            );
        }
        if tagged {
            self.refuse(
                span,
                "a tag (`!name`); a key has none",
                "remove it; quote the text if it begins with `!`",
            );
        }
    }

    fn refuse(&mut self, span: Span, problem: impl Into<String>, mend: &str) {
        self.refused = true;
        self.findings.fault(self.file, place(span), problem, mend);
    }
}

/// Lays the marks over the data. Both passes read the same text, so the shapes agree; where
/// they don't, one of the two readers is wrong about the file and it is refused.
fn join(file: &str, data: serde_yaml::Value, mark: Mark, findings: &mut Findings) -> Option<Yaml> {
    use serde_yaml::Value as Data;
    let (place, value) = match (mark, data) {
        (Mark::Scalar(place), Data::Null) => (place, Value::Null),
        (Mark::Scalar(place), Data::Bool(b)) => (place, Value::Bool(b)),
        (Mark::Scalar(place), Data::String(text)) => (place, Value::Text(text)),
        (Mark::Scalar(place), Data::Number(number)) => {
            let number = number.as_f64().filter(|n| n.is_finite());
            let Some(number) = number else {
                findings.fault(
                    file,
                    place,
                    "not a finite number",
                    "write a plain number such as 2.5; `.nan` and `.inf` have no meaning here",
                );
                return None;
            };
            (place, Value::Number(number))
        }
        (Mark::List(place, marks), Data::Sequence(items)) if marks.len() == items.len() => {
            let items = marks
                .into_iter()
                .zip(items)
                .map(|(mark, item)| join(file, item, mark, findings))
                .collect::<Option<Vec<_>>>()?;
            (place, Value::List(items))
        }
        (Mark::Map(place, marks), Data::Mapping(map)) if marks.len() == map.len() => {
            let entries = marks
                .into_iter()
                .zip(map)
                .map(|((key, key_place, mark), (_, value))| {
                    Some(Entry {
                        key,
                        key_place,
                        value: join(file, value, mark, findings)?,
                    })
                })
                .collect::<Option<Vec<_>>>()?;
            (place, Value::Map(entries))
        }
        (Mark::Scalar(place) | Mark::List(place, _) | Mark::Map(place, _), _) => {
            findings.fault(
                file,
                place,
                "the value here can be read in two ways",
                "put it in quotes, or write it as a plain list or map",
            );
            return None;
        }
    };
    Some(Yaml { place, value })
}

fn place(span: Span) -> Place {
    Place {
        line: narrow(span.start.line()),
        column: narrow(span.start.col() + 1),
    }
}

/// Line and column (in characters) of a byte offset; `upto` lies at the end of valid UTF-8.
fn place_of_byte(bytes: &[u8], upto: usize) -> Place {
    let before = String::from_utf8_lossy(&bytes[..upto]);
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
    Place {
        line: narrow(line),
        column: narrow(column),
    }
}

fn narrow(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX).max(1)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn faults(text: &[u8]) -> Vec<String> {
        let mut findings = Findings::default();
        read("t.yaml", text, &mut findings);
        let report = findings.into_report();
        report.findings.iter().map(ToString::to_string).collect()
    }

    /// serde_yaml alone lets the last of two equal keys win (or reports the start of the
    /// map); the author needs the line of the second one.
    #[test]
    fn a_key_twice_is_refused_where_it_stands_the_second_time() {
        let found = faults(b"a: 1\nb:\n  c: 2\n  c: 3\n");
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].starts_with("t.yaml:4:3: fault: `c` stands twice here, first in line 3"));
    }

    #[test]
    fn every_value_knows_its_place_even_behind_wide_letters() {
        let mut findings = Findings::default();
        let yaml = read("t.yaml", "ä: {ö: [1, no]}\n".as_bytes(), &mut findings).unwrap();
        let Value::Map(top) = yaml.value else {
            panic!()
        };
        let Value::Map(inner) = &top[0].value.value else {
            panic!()
        };
        let Value::List(items) = &inner[0].value.value else {
            panic!()
        };
        assert_eq!(items[0].place, Place { line: 1, column: 9 });
        assert_eq!(items[0].value, Value::Number(1.0));
        assert_eq!(
            items[1].value,
            Value::Text("no".into()),
            "`no` is a state, not false"
        );
    }

    #[test]
    fn what_a_key_has_no_use_for_is_refused_with_its_place() {
        assert!(faults(b"a: &x 1\nb: *x\n")[0].contains("t.yaml:1:"));
        assert!(faults(b"a: !t 1\n")[0].contains("a tag"));
        assert!(faults(b"a: 1\n---\nb: 2\n")[0].contains("second document"));
        assert!(faults(b"a: .nan\n")[0].contains("not a finite number"));
        assert!(faults(b"a: \xff\n")[0].starts_with("t.yaml:1:4: fault: this byte is not UTF-8"));
        assert!(faults(b"")[0].contains("empty"));
        let deep = ["[".repeat(100), "]".repeat(100)].concat();
        assert!(faults(deep.as_bytes())[0].contains("nested deeper"));
        assert!(!faults(&b"[".repeat(5000)).is_empty());
        assert!(faults(b"? [a]\n: 1\n")[0].contains("map key"));
        assert!(faults(b"a: [1,\nb: 2")[0].contains("not readable"));
    }
}
