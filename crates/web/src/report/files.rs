//! Files to take away: names, headers, CSV with cells that no spreadsheet runs as a formula.
//!
//! In: rows of cells. Out: answers with a file name. CSV as in RFC 4180, UTF-8, comma, dot.
//! Not here: which rows (`results`, `frames`), JSON (`json`).

use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use standbook_export::guarded;

use super::gather::Gathered;
use crate::failure::Failure;

/// Longest part of a file name that comes from the planting's name, characters.
const LONGEST_NAME: usize = 60;

/// `quill-farm-north-forty-2026-07-14-frames.csv`: letters, digits and hyphens only.
pub(crate) fn file_name(gathered: &Gathered, what: &str, ending: &str) -> String {
    let name = plain_name(&gathered.place.name());
    let on = plain_name(&gathered.visit.body.on);
    let what = if what.is_empty() {
        String::new()
    } else {
        format!("-{what}")
    };
    format!("{name}-{on}{what}.{ending}")
}

/// Letters and digits of ASCII in small, everything else one hyphen.
pub(crate) fn plain_name(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        if out.len() >= LONGEST_NAME {
            break;
        }
        if letter.is_ascii_alphanumeric() {
            out.push(letter.to_ascii_lowercase());
        } else if !out.ends_with('-') && !out.is_empty() {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-');
    match out.is_empty() {
        true => "planting".to_owned(),
        false => out.to_owned(),
    }
}

/// An answer that the browser keeps as a file.
pub(crate) fn download(name: &str, content_type: &'static str, body: Vec<u8>) -> Response {
    let headers = [
        (CONTENT_TYPE, content_type.to_owned()),
        // The name holds letters, digits, hyphens and a dot: no escaping is needed.
        (
            CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}\""),
        ),
    ];
    (headers, body).into_response()
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Cell {
    /// Text, which is guarded.
    Text(String),
    /// A number, written so that reading it gives the same number.
    Number(f64),
    /// Nothing.
    Empty,
}

impl Cell {
    /// Text.
    pub fn text(text: impl Into<String>) -> Cell {
        Cell::Text(text.into())
    }

    /// A number, or nothing.
    pub fn maybe(number: Option<f64>) -> Cell {
        number.map_or(Cell::Empty, Cell::Number)
    }

    fn written(&self) -> String {
        match self {
            Cell::Text(text) => guarded(text).into_owned(),
            Cell::Number(number) if number.is_finite() => number.to_string(),
            Cell::Number(_) | Cell::Empty => String::new(),
        }
    }
}

/// A CSV file.
pub(crate) fn csv(name: &str, head: &[&str], rows: Vec<Vec<Cell>>) -> Result<Response, Failure> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let wrote = writer.write_record(head).and_then(|()| {
        rows.iter()
            .try_for_each(|row| writer.write_record(row.iter().map(Cell::written)))
    });
    // Writing to memory fails only for rows of unequal length, which is a fault of ours.
    wrote.map_err(|_| Failure::Ours)?;
    let body = writer.into_inner().map_err(|_| Failure::Ours)?;
    Ok(download(name, "text/csv; charset=utf-8", body))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_runs_as_a_formula_and_numbers_stay_numbers() {
        for (text, written) in [
            ("=1+1", "'=1+1"),
            ("@sum", "'@sum"),
            ("-north", "'-north"),
            ("+x", "'+x"),
            ("\t=1", "'\t=1"),
            ("-3", "-3"),
            ("+4.5", "+4.5"),
            ("big bluestem", "big bluestem"),
            ("", ""),
        ] {
            assert_eq!(Cell::text(text).written(), written);
        }
        assert_eq!(Cell::Number(-96.25).written(), "-96.25");
        assert_eq!(Cell::Number(f64::INFINITY).written(), "");
    }

    #[test]
    fn a_file_name_is_plain() {
        assert_eq!(
            plain_name("Quill Farm, \"north\"\r\nforty"),
            "quill-farm-north-forty"
        );
        assert_eq!(plain_name("…"), "planting");
    }
}
