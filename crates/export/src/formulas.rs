//! Cells of a table that no spreadsheet runs as a formula.

use std::borrow::Cow;

/// What makes a spreadsheet run a cell, and the mark that guards against it. Source: OWASP, CSV injection
/// (memory).
const RUNS: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\''];

/// Text that a spreadsheet would run gets an apostrophe in front, and so does text that begins with one:
/// whoever takes one apostrophe off the front of a cell always has the text as it was. Text that is a
/// plain number stays as it is.
pub fn guarded(text: &str) -> Cow<'_, str> {
    let is_number = text.parse::<f64>().is_ok_and(f64::is_finite);
    match text.starts_with(RUNS) && !is_number {
        true => Cow::Owned(format!("'{text}")),
        false => Cow::Borrowed(text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_runs_and_everything_comes_back() {
        for (text, written) in [
            ("=1+1", "'=1+1"),
            ("@sum", "'@sum"),
            ("-north", "'-north"),
            ("+x", "'+x"),
            ("\t=1", "'\t=1"),
            ("'quoted", "''quoted"),
            ("-3", "-3"),
            ("+4.5", "+4.5"),
            ("big bluestem", "big bluestem"),
            ("", ""),
        ] {
            let cell = guarded(text);
            assert_eq!(cell, written);
            assert_eq!(cell.strip_prefix('\'').unwrap_or(&cell), text);
        }
    }
}
