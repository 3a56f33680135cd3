//! Two-letter codes of the states, so that `Nebraska` and `NE` are one place.
//!
//! In: what people wrote. Out: a code, if it is a state of the United States.
//! Source: codes of the postal service (memory).

const STATES: [(&str, &str); 50] = [
    ("AL", "Alabama"),
    ("AK", "Alaska"),
    ("AZ", "Arizona"),
    ("AR", "Arkansas"),
    ("CA", "California"),
    ("CO", "Colorado"),
    ("CT", "Connecticut"),
    ("DE", "Delaware"),
    ("FL", "Florida"),
    ("GA", "Georgia"),
    ("HI", "Hawaii"),
    ("ID", "Idaho"),
    ("IL", "Illinois"),
    ("IN", "Indiana"),
    ("IA", "Iowa"),
    ("KS", "Kansas"),
    ("KY", "Kentucky"),
    ("LA", "Louisiana"),
    ("ME", "Maine"),
    ("MD", "Maryland"),
    ("MA", "Massachusetts"),
    ("MI", "Michigan"),
    ("MN", "Minnesota"),
    ("MS", "Mississippi"),
    ("MO", "Missouri"),
    ("MT", "Montana"),
    ("NE", "Nebraska"),
    ("NV", "Nevada"),
    ("NH", "New Hampshire"),
    ("NJ", "New Jersey"),
    ("NM", "New Mexico"),
    ("NY", "New York"),
    ("NC", "North Carolina"),
    ("ND", "North Dakota"),
    ("OH", "Ohio"),
    ("OK", "Oklahoma"),
    ("OR", "Oregon"),
    ("PA", "Pennsylvania"),
    ("RI", "Rhode Island"),
    ("SC", "South Carolina"),
    ("SD", "South Dakota"),
    ("TN", "Tennessee"),
    ("TX", "Texas"),
    ("UT", "Utah"),
    ("VT", "Vermont"),
    ("VA", "Virginia"),
    ("WA", "Washington"),
    ("WV", "West Virginia"),
    ("WI", "Wisconsin"),
    ("WY", "Wyoming"),
];

/// The code of a state, from its code or its name in any case.
pub(crate) fn code(text: &str) -> Option<&'static str> {
    let text = text.trim();
    let is = |known: &str| known.eq_ignore_ascii_case(text);
    let found = STATES.iter().find(|(code, name)| is(code) || is(name));
    found.map(|(code, _)| *code)
}

/// Whether two texts name one place: the same state, or the same words.
pub(crate) fn same(one: &str, other: &str) -> bool {
    match (code(one), code(other)) {
        (Some(one), Some(other)) => one == other,
        _ => one.trim().eq_ignore_ascii_case(other.trim()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_codes_are_one_place() {
        assert!(same(" nebraska", "NE") && same("New Mexico", "nm"));
        assert!(!same("NE", "NM") && !same("", "NE"));
        assert!(same("Flint Hills", "flint hills"));
    }

    #[test]
    fn codes_are_in_the_order_of_names_and_none_twice() {
        assert!(STATES.is_sorted_by_key(|(_, name)| *name));
        let mut codes: Vec<&str> = STATES.iter().map(|(code, _)| *code).collect();
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), 50);
    }
}
