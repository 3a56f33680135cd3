//! People and devices by name, or by number where names are to stay at home.

use std::borrow::Cow;
use std::collections::HashMap;

/// What each name is written as.
#[derive(Debug, Default)]
pub(crate) struct Aliases(Option<HashMap<String, String>>);

impl Aliases {
    /// Names as they are.
    pub fn none() -> Aliases {
        Aliases(None)
    }

    /// `scout 1`, `scout 2` and on, in the order given: that of coming into the book, which never
    /// changes, so that everybody has one number in every export.
    pub fn numbered(noun: &str, names: Vec<String>) -> Aliases {
        let known = names.into_iter().filter(|name| !name.is_empty());
        let pairs = known
            .enumerate()
            .map(|(at, name)| (name, format!("{noun} {}", at + 1)));
        Aliases(Some(pairs.collect()))
    }

    /// What a name is written as.
    pub fn say<'a>(&'a self, name: &'a str) -> Cow<'a, str> {
        match &self.0 {
            None => Cow::Borrowed(name),
            Some(numbers) => match numbers.get(name.trim()) {
                Some(number) => Cow::Borrowed(number),
                // Never the name itself: better nobody than somebody who asked not to be named.
                None => Cow::Borrowed(""),
            },
        }
    }
}
