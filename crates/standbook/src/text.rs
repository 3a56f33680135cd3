//! Plain text for a terminal: lines of at most 100 columns, sources by number.
//!
//! In: sentences, sources. Out: text. Addresses of sources are longer than a line; they stand in
//! the JSON.

use std::io::Write as _;

use crate::trouble::Trouble;

/// Columns of a terminal.
pub const WIDTH: usize = 100;

/// Sources by number: in full at the end, for one may stand behind many lines.
#[derive(Default)]
pub struct Sources(Vec<String>);

impl Sources {
    /// ` [3]`.
    pub fn mark(&mut self, citation: &str) -> String {
        let at = self.0.iter().position(|known| known == citation);
        let at = at.unwrap_or_else(|| {
            self.0.push(citation.to_owned());
            self.0.len() - 1
        });
        format!(" [{}]", at + 1)
    }

    /// Everything cited so far, in full.
    pub fn print(&self, out: &mut String) {
        if self.0.is_empty() {
            return;
        }
        head(out, "Sources");
        for (at, citation) in self.0.iter().enumerate() {
            wrapped(out, "  ", "      ", &format!("[{}] {citation}", at + 1));
        }
    }
}

/// Lines of at most [`WIDTH`] columns, the later ones set in. A word longer than a line is cut.
pub fn wrapped(out: &mut String, first: &str, rest: &str, text: &str) {
    let room = WIDTH - rest.chars().count();
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        let letters: Vec<char> = word.chars().collect();
        for piece in letters.chunks(room) {
            if !empty && line.chars().count() + 1 + piece.len() > WIDTH {
                out.push_str(line.trim_end());
                out.push('\n');
                line = rest.to_owned();
                empty = true;
            }
            if !empty {
                line.push(' ');
            }
            line.extend(piece);
            empty = false;
        }
    }
    out.push_str(line.trim_end());
    out.push('\n');
}

/// The title of a part.
pub fn head(out: &mut String, title: &str) {
    out.push('\n');
    wrapped(out, "", "  ", title);
}

/// Prints the result. A reader that has seen enough, as `head`, is no trouble.
pub fn print(text: &str) -> Result<(), Trouble> {
    let mut out = std::io::stdout().lock();
    match writeln!(out, "{text}").and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(Trouble::yours(
            format!("the result can't be written: {error}"),
            "make room, or write to another place",
        )),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_a_terminal() {
        let mut out = String::new();
        let long = "x".repeat(250);
        wrapped(
            &mut out,
            "  ",
            "    ",
            &format!("a {long} {}", "word ".repeat(60)),
        );
        assert!(
            out.lines().all(|line| line.chars().count() <= WIDTH),
            "{out}"
        );
        assert_eq!(out.matches('x').count(), 250);
        assert_eq!(out.matches("word").count(), 60);
    }
}
