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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everybody_has_a_number_and_a_name_that_nobody_counted_is_never_said() {
        let names = ["Ada Fenn", "", "Bo Reed"].map(str::to_owned).to_vec();
        let people = Aliases::numbered("scout", names);
        let said = ["Bo Reed", " Ada Fenn ", "Dee Vole", ""].map(|name| people.say(name));
        assert_eq!(said, ["scout 2", "scout 1", "", ""]);
        assert_eq!(Aliases::none().say("Dee Vole"), "Dee Vole");
    }
}
