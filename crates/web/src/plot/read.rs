//! Reads the fields of a form: names, notes, numbers, dates; what can't be read becomes a trouble.
//!
//! In: fields as typed. Out: values in the unit the caller names, and messages that say the unit.
//! Not here: rules of the book about what was read (crate `fieldbook`).

use standbook_fieldbook::limits;

use crate::plot::filled::Filled;

impl Filled {
    /// Reads a name that may not be empty.
    pub fn read_name(&mut self, name: &str, what: &str) -> String {
        let text = self.get(name).to_owned();
        if text.is_empty() {
            self.troubles
                .add(name, format!("{what} is missing. Type it."));
        } else {
            self.check_length(name, what, &text, limits::NAME_CHARS, false);
        }
        text
    }

    /// Reads a text of one line that may be empty.
    pub fn read_line(&mut self, name: &str, what: &str) -> String {
        let text = self.get(name).to_owned();
        self.check_length(name, what, &text, limits::NAME_CHARS, false);
        text
    }

    /// Reads a text that may be empty.
    pub fn read_note(&mut self, name: &str, what: &str) -> String {
        // Browsers send line ends as CR LF; the book keeps LF.
        let text = self.get(name).replace("\r\n", "\n");
        self.check_length(name, what, &text, limits::NOTE_CHARS, true);
        text
    }

    fn check_length(&mut self, name: &str, what: &str, text: &str, most: usize, lines: bool) {
        let chars = text.chars().count();
        if chars > most {
            self.troubles.add(
                name,
                format!("{what} has {chars} characters. Shorten it to {most}."),
            );
        }
        if text
            .chars()
            .any(|c| c.is_control() && !(lines && c == '\n'))
        {
            self.troubles.add(
                name,
                format!("{what} holds a character that can't be seen, such as a tab. Type it again by hand."),
            );
        }
    }

    /// Reads a number that may be missing; `unit` is said in the message.
    pub fn read_number(&mut self, name: &str, what: &str, unit: &str) -> Option<f64> {
        let text = self.get(name).to_owned();
        if text.is_empty() {
            return None;
        }
        // A comma for the point is a habit of many, and so is one for the thousands.
        let text = match (in_thousands(&text), text.matches(',').count()) {
            (true, 1) => {
                let (whole, cut) = (text.replace(',', ""), text.replace(',', "."));
                self.troubles.add(
                    name,
                    format!("{what}: \u{201c}{text}\u{201d} can be read as {whole} or as {cut}. Type one of them ({unit})."),
                );
                return None;
            }
            (true, _) => text.replace(',', ""),
            (false, _) => text,
        };
        match text.replace(',', ".").parse::<f64>() {
            Ok(number) if number.is_finite() => Some(number),
            _ => {
                let cut: String = text.chars().take(30).collect();
                self.troubles.add(
                    name,
                    format!("{what}: \u{201c}{cut}\u{201d} is not a number. Type digits only ({unit}), such as 7.5."),
                );
                None
            }
        }
    }

    /// Reads a whole number that may be missing; commas part thousands.
    pub fn read_count(&mut self, name: &str, what: &str, unit: &str) -> Option<f64> {
        let text = self.get(name).to_owned();
        if in_thousands(&text) {
            self.set(name, text.replace(',', ""));
        }
        self.read_number(name, what, unit)
    }

    /// Reads a date.
    pub fn read_date(&mut self, name: &str, what: &str) -> String {
        let text = self.get(name).to_owned();
        if standbook_fieldbook::time::parse_date(&text).is_none() {
            let problem = if text.is_empty() {
                format!("{what} is missing. Type it, such as 2026-05-12.")
            } else {
                let cut: String = text.chars().take(30).collect();
                format!(
                    "{what}: \u{201c}{cut}\u{201d} is no date. Use year, month and day, such as 2026-05-12."
                )
            };
            self.troubles.add(name, problem);
        }
        text
    }
}

/// Whether commas in a number stand before three digits each: `227,000`, but also `1,250`.
fn in_thousands(text: &str) -> bool {
    let mut parts = text.split(',');
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    let first = parts.next().unwrap_or_default();
    let mut rest = parts.peekable();
    rest.peek().is_some()
        && (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && digits(first)
        && rest.all(|part| part.len() == 3 && digits(part))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_take_a_comma_and_refuse_the_rest() {
        let mut filled = Filled::new();
        filled.set("a", "7,5");
        filled.set("b", "1e999");
        filled.set("c", "7 in");
        assert_eq!(filled.read_number("a", "Row spacing", "cm"), Some(7.5));
        assert_eq!(filled.read_number("b", "Row spacing", "cm"), None);
        assert_eq!(filled.read_number("c", "Row spacing", "cm"), None);
        assert_eq!(filled.troubles.list.len(), 2);
    }

    #[test]
    fn a_comma_before_three_digits_is_asked_about_unless_it_can_only_part_thousands() {
        let mut filled = Filled::new();
        for (name, typed) in [
            ("a", "1,250"),
            ("b", "227,000"),
            ("c", "0,375"),
            ("d", "1,227,000"),
        ] {
            filled.set(name, typed);
        }
        assert_eq!(filled.read_number("a", "Weight", "pounds"), None);
        assert!(filled.troubles.list[0].message.contains("1250 or as 1.250"));
        assert_eq!(
            filled.read_count("b", "Seeds", "per pound"),
            Some(227_000.0)
        );
        assert_eq!(filled.read_number("c", "Weight", "pounds"), Some(0.375));
        assert_eq!(
            filled.read_number("d", "Seeds", "per pound"),
            Some(1_227_000.0)
        );
        assert_eq!(filled.troubles.list.len(), 1);
    }
}
