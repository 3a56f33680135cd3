//! Every drawing once, however often it stands in the booklet.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use standbook_drawing::Drawing;

/// The drawings met so far.
#[derive(Debug, Default)]
pub struct Symbols {
    /// Strokes, in the order in which they were met.
    bodies: Vec<String>,
    /// Where a drawing's strokes stand in `bodies`.
    known: BTreeMap<String, usize>,
}

impl Symbols {
    /// An `svg` element that uses the drawing. It is for the eye only: what it shows stands in
    /// words beside it.
    pub fn of(&mut self, drawing: &Drawing) -> String {
        let at = match self.known.get(drawing.body()) {
            Some(at) => *at,
            None => {
                let at = self.bodies.len();
                self.bodies.push(drawing.body().to_owned());
                self.known.insert(drawing.body().to_owned(), at);
                at
            }
        };
        format!(
            r##"<svg class="drawing" viewBox="0 0 100 100" aria-hidden="true"><use href="#d{at}"/></svg>"##
        )
    }

    /// All symbols. Each carries the class of drawings: what is used from elsewhere is styled as
    /// a tree of its own, in which the `svg` around it does not count.
    pub fn all(&self) -> String {
        let mut all = String::new();
        for (at, body) in self.bodies.iter().enumerate() {
            // Writing to a text cannot fail.
            let _ = write!(
                all,
                r#"<symbol id="d{at}" viewBox="0 0 100 100"><g class="drawing">{body}</g></symbol>"#
            );
        }
        all
    }
}
