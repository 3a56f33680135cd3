//! Takes typed fields out of a YAML map and finds every fault on the way.
//!
//! In: a map and the name of the file. Out: values where they are right, findings where they
//! are not. Reading goes on after a fault, so that an author sees all of them at once.

use crate::fault::{Findings, Place, meant, meant_within, short};
use crate::ids::is_id;
use crate::yaml::{Entry, Value, Yaml};

/// Longest text a field may hold, characters.
pub const LONGEST_TEXT: usize = 4000;

/// The fields of one map; each is taken once, what is left over is a fault.
pub(crate) struct Fields<'a, 'f> {
    pub file: &'a str,
    /// Where the map begins.
    pub place: Place,
    what: &'static str,
    entries: &'a [Entry],
    known: Vec<&'static str>,
    pub findings: &'f mut Findings,
}

/// A value with its place.
#[derive(Debug, Clone, Copy)]
pub(crate) struct At<T> {
    pub place: Place,
    pub value: T,
}

impl<'a, 'f> Fields<'a, 'f> {
    /// Opens a map; anything else is a fault. `what` names it in messages, such as `a trait`.
    pub fn open(
        file: &'a str,
        yaml: &'a Yaml,
        what: &'static str,
        findings: &'f mut Findings,
    ) -> Option<Self> {
        let Value::Map(entries) = &yaml.value else {
            findings.fault(
                file,
                yaml.place,
                format!("{what} must be a map, this is {}", kind_of(yaml)),
                "write `name: value` lines",
            );
            return None;
        };
        Some(Fields {
            file,
            place: yaml.place,
            what,
            entries,
            known: Vec::new(),
            findings,
        })
    }

    pub fn fault(&mut self, place: Place, problem: impl Into<String>, mend: impl Into<String>) {
        self.findings.fault(self.file, place, problem, mend);
    }

    /// The value of a field that may be missing; an empty one (`name:`) counts as missing.
    pub fn optional(&mut self, name: &'static str) -> Option<&'a Yaml> {
        self.known.push(name);
        let entry = self.entries.iter().find(|e| e.key == name)?;
        (entry.value.value != Value::Null).then_some(&entry.value)
    }

    /// The value of a field that must be there.
    pub fn required(&mut self, name: &'static str) -> Option<&'a Yaml> {
        let found = self.optional(name);
        if found.is_none() {
            let what = self.what;
            self.fault(
                self.place,
                format!("{what} has no `{name}`"),
                match name {
                    "source" => "add a line `source: ...` with an id of sources.yaml, such as \
                                 `memory`"
                        .to_owned(),
                    _ => format!("add a line `{name}: ...`"),
                },
            );
        }
        found
    }

    /// Text that must be there and not be empty.
    pub fn text(&mut self, name: &'static str) -> Option<At<&'a str>> {
        let yaml = self.required(name)?;
        self.as_text(yaml, name)
    }

    /// Text that may be missing.
    pub fn optional_text(&mut self, name: &'static str) -> Option<At<&'a str>> {
        let yaml = self.optional(name)?;
        self.as_text(yaml, name)
    }

    /// An id that must be there and be well formed.
    pub fn id(&mut self, name: &'static str) -> Option<At<&'a str>> {
        let text = self.text(name)?;
        if !is_id(text.value) {
            self.fault(
                text.place,
                format!("`{}` is not an id", short(text.value)),
                "use lower-case letters, digits and `_`, beginning with a letter, at most 80",
            );
            return None;
        }
        Some(text)
    }

    /// One of a closed list of words.
    pub fn word<T: Copy>(&mut self, name: &'static str, words: &[(&'static str, T)]) -> Option<T> {
        let yaml = self.required(name)?;
        self.one_of(yaml, name, words)
    }

    /// One of a closed list of words, or missing.
    pub fn optional_word<T: Copy>(
        &mut self,
        name: &'static str,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        let yaml = self.optional(name)?;
        self.one_of(yaml, name, words)
    }

    /// One of a closed list of words, from a value at hand.
    pub fn one_of<T: Copy>(
        &mut self,
        yaml: &'a Yaml,
        name: &str,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        let text = self.as_text(yaml, name)?;
        if let Some((_, value)) = words.iter().find(|(word, _)| *word == text.value) {
            return Some(*value);
        }
        let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        self.fault(
            text.place,
            format!("`{}` is not a known `{name}`", short(text.value)),
            meant_within(text.value, known, ""),
        );
        None
    }

    /// A number that must be there.
    pub fn number(&mut self, name: &'static str) -> Option<At<f64>> {
        let yaml = self.required(name)?;
        self.as_number(yaml, name)
    }

    /// `true` or `false`, must be there.
    pub fn truth(&mut self, name: &'static str) -> Option<bool> {
        let yaml = self.required(name)?;
        if let Value::Bool(b) = yaml.value {
            return Some(b);
        }
        self.fault(
            yaml.place,
            format!("`{name}` must be true or false, this is {}", kind_of(yaml)),
            format!("write `{name}: true` or `{name}: false`"),
        );
        None
    }

    /// Two numbers `[low, high]` with low <= high.
    pub fn range(&mut self, name: &'static str) -> Option<At<(f64, f64)>> {
        let yaml = self.required(name)?;
        self.as_range(yaml, name)
    }

    /// Two numbers `[low, high]` with low <= high, from a value at hand.
    pub fn as_range(&mut self, yaml: &'a Yaml, name: &str) -> Option<At<(f64, f64)>> {
        let items = match &yaml.value {
            Value::List(items) => items.as_slice(),
            _ => &[],
        };
        let [low, high] = items else {
            let found = match yaml.value {
                Value::List(_) => format!("a list of {}", items.len()),
                _ => kind_of(yaml),
            };
            self.fault(
                yaml.place,
                format!("`{name}` needs two numbers, this is {found}"),
                format!("write `{name}: [low, high]`"),
            );
            return None;
        };
        let low = self.as_number(low, name)?;
        let high = self.as_number(high, name)?;
        if low.value > high.value {
            self.fault(
                yaml.place,
                format!(
                    "`{name}` is upside down: {} is more than {}",
                    low.value, high.value
                ),
                format!("write `{name}: [{}, {}]`", high.value, low.value),
            );
            return None;
        }
        Some(At {
            place: yaml.place,
            value: (low.value, high.value),
        })
    }

    /// A list that may be missing (then empty).
    pub fn list(&mut self, name: &'static str) -> &'a [Yaml] {
        match self.optional(name) {
            Some(yaml) => self.as_list(yaml, name).unwrap_or(&[]),
            None => &[],
        }
    }

    /// A list of texts that may be missing (then empty).
    pub fn texts(&mut self, name: &'static str) -> Vec<At<&'a str>> {
        self.list(name)
            .iter()
            .filter_map(|yaml| self.as_text(yaml, name))
            .collect()
    }

    pub fn as_list(&mut self, yaml: &'a Yaml, name: &str) -> Option<&'a [Yaml]> {
        if let Value::List(items) = &yaml.value {
            return Some(items);
        }
        self.fault(
            yaml.place,
            format!("`{name}` must be a list, this is {}", kind_of(yaml)),
            "begin each item with `- `, or write `[a, b]`",
        );
        None
    }

    pub fn as_text(&mut self, yaml: &'a Yaml, name: &str) -> Option<At<&'a str>> {
        let Value::Text(text) = &yaml.value else {
            self.fault(
                yaml.place,
                format!("`{name}` must be text, this is {}", kind_of(yaml)),
                match yaml.value {
                    Value::List(_) | Value::Map(_) => {
                        "write one plain text; put it in quotes if it holds `: `, `[` or `{`"
                    }
                    _ => "write words, or put it in quotes",
                },
            );
            return None;
        };
        let text = text.trim();
        if text.is_empty() {
            self.fault(
                yaml.place,
                format!("`{name}` is empty"),
                "write something, or remove the line if it may be missing",
            );
            return None;
        }
        if text.chars().count() > LONGEST_TEXT {
            self.fault(
                yaml.place,
                format!("`{name}` is longer than {LONGEST_TEXT} characters"),
                "shorten it",
            );
            return None;
        }
        Some(At {
            place: yaml.place,
            value: text,
        })
    }

    pub fn as_number(&mut self, yaml: &'a Yaml, name: &str) -> Option<At<f64>> {
        if let Value::Number(value) = yaml.value {
            return Some(At {
                place: yaml.place,
                value,
            });
        }
        self.fault(
            yaml.place,
            format!("`{name}` must be a number, this is {}", kind_of(yaml)),
            "write digits alone, such as 12 or 2.5, without a unit",
        );
        None
    }

    /// Ends the reading of this map: any field not asked for is a fault.
    pub fn close(&mut self) {
        for entry in self.entries {
            if !self.known.contains(&entry.key.as_str()) {
                self.findings.fault(
                    self.file,
                    entry.key_place,
                    format!("{} has no field `{}`", self.what, short(&entry.key)),
                    meant(&entry.key, self.known.iter().copied(), "remove it"),
                );
            }
        }
    }
}

/// What a value is, in words for a message.
pub(crate) fn kind_of(yaml: &Yaml) -> String {
    match &yaml.value {
        Value::Null => "nothing".to_owned(),
        Value::Bool(b) => format!("`{b}`, a truth value"),
        Value::Number(n) => format!("the number {n}"),
        Value::Text(text) => format!("the text `{}`", short(text)),
        Value::List(_) => "a list".to_owned(),
        Value::Map(_) => "a map".to_owned(),
    }
}
