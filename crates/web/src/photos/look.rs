//! One photo, large: whole or at two, four times its size on the page, with lengths measured by a known one.
//!
//! In: a photo's hash; in the query the size, what was pressed (`at`), the known length (`mm`). Out: the page.
//! The picture is a button of a form: pressed, a browser sends where, without any script. What was pressed
//! and measured stands in the address and nowhere else, so it lasts as long as the address.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::Photo;
use standbook_fieldbook::{Entry, Made};

use super::scale::{MOST_MM, Marks, is_length};
use super::small;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::words::{digits, instant_words};

/// Long side of the picture at once its size, points on the screen: as wide as pages are at a desk.
const LONG_SIDE: f64 = 780.0;

/// Sizes: as addresses spell them, and how many times [`LONG_SIDE`]. The first fits any screen, and is the
/// only one that can't be measured in: how large it is there nobody tells this program.
const SIZES: [(&str, f64); 4] = [("whole", 1.0), ("1", 1.0), ("2", 2.0), ("4", 4.0)];

/// Units of the known length: as forms spell them, and mm in one.
const UNITS: [(&str, f64); 3] = [("mm", 1.0), ("cm", 10.0), ("in", 25.4)];

/// A line or a cross over the picture, in its pixels.
struct Line {
    from: [f64; 2],
    to: [f64; 2],
    words: String,
}

#[derive(Template)]
#[template(path = "photos/look.html")]
struct LookPage {
    shell: Shell,
    sha256: String,
    shows: String,
    by: String,
    /// The page of the plant.
    plant: String,
    /// The address of the picture, which may be a JPEG in place of what few browsers show.
    file: String,
    /// Pixels of the upright picture; none when it can't be shown.
    size: Option<(u32, u32)>,
    /// Width and height on the page, points.
    shown: (u32, u32),
    zoom: &'static str,
    marks: Marks,
    crosses: Vec<[f64; 2]>,
    lines: Vec<Line>,
    /// Thickness of strokes and height of letters, pixels of the picture.
    stroke: f64,
    letter: f64,
    /// `12.3 mm, give or take 0.4 mm`.
    answer: Option<String>,
    too_near: bool,
    filled: Filled,
}

impl LookPage {
    /// The address of this page at another size, with other marks.
    fn at(&self, zoom: &str, marks: &Marks) -> String {
        address(&self.sha256, zoom, marks)
    }

    /// Without the last place, and without the length that hung on it.
    fn one_back(&self) -> String {
        let mut marks = self.marks.clone();
        marks.places.pop();
        if marks.places.len() < 2 {
            marks.mm = None;
        }
        self.at(self.zoom, &marks)
    }

    fn sizes(&self) -> Vec<(&'static str, String, bool)> {
        let words = |zoom: &'static str| if zoom == "whole" { "Whole" } else { zoom };
        let sizes = SIZES.iter().map(|(zoom, _)| *zoom);
        sizes
            .map(|zoom| (words(zoom), self.at(zoom, &self.marks), zoom == self.zoom))
            .collect()
    }

    /// Which of the presses comes next, from 1.
    fn next(&self) -> usize {
        self.marks.places.len() + 1
    }
}

fn address(sha256: &str, zoom: &str, marks: &Marks) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.append_pair("zoom", zoom);
    if !marks.places.is_empty() {
        query.append_pair("at", &marks.to_string());
    }
    if let Some(mm) = marks.mm {
        query.append_pair("mm", &mm.to_string());
    }
    format!("/photos/{sha256}/look?{}", query.finish())
}

/// On to the page with these marks, at the words that say what to press next.
fn on(sha256: &str, zoom: &str, marks: &Marks) -> Response {
    let to = format!("{}#step", address(sha256, zoom, marks));
    Redirect::to(&to).into_response()
}

fn find(app: &App, sha256: &str) -> Result<Entry<Photo>, Failure> {
    let mut photos = app.book.photos_all()?.into_iter();
    photos
        .rfind(|photo| photo.body.sha256 == sha256)
        .ok_or(Failure::NotFound { what: "photo" })
}

/// `GET /photos/{sha256}/look`.
pub(super) async fn look(
    State(app): State<Shared>,
    here: Here,
    Path(sha256): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| page(app, &here, &sha256, query)).await
}

fn page(app: &App, here: &Here, sha256: &str, query: Form) -> Result<Response, Failure> {
    let photo = find(app, sha256)?;
    let asked = match query.get("zoom") {
        "" => "whole",
        zoom => zoom,
    };
    let (zoom, times) = *SIZES
        .iter()
        .find(|(zoom, _)| *zoom == asked)
        .ok_or_else(|| Failure::BadRequest("A photo is shown whole, 1, 2 or 4 times its size on the page. Open it again from the page of its plant.".to_owned()))?;
    let size = small::full_size(&app.book, sha256);
    let pixels = size.unwrap_or((1, 1));
    let Some(mut marks) = Marks::read(query.get("at"), query.get("mm"), pixels) else {
        return Err(Failure::BadRequest(
            "The places in this address are none of this photo. Open it again from the page of its plant.".to_owned(),
        ));
    };
    let shown_by = LONG_SIDE * times / f64::from(pixels.0.max(pixels.1));
    let mut filled = Filled::sent(query);
    if let Some(place) = pressed(&filled.form, shown_by, pixels) {
        marks.press(place);
        // An address of its own, so that a page read again does not press again.
        return Ok(on(sha256, zoom, &marks));
    }
    if filled.form.has("length")
        && let Some(mm) = read_length(&mut filled)
    {
        marks.mm = Some(mm);
        return Ok(on(sha256, zoom, &marks));
    }
    filled.default_to("unit", "mm");
    let (lines, letter) = drawn(&marks, shown_by, pixels);
    let page = LookPage {
        shell: Shell::new(
            app,
            here,
            Tab::Plant,
            format!("Photo: {}", photo.body.shows),
        ),
        by: format!("{}, {}", photo.author, instant_words(&photo.born_at)),
        plant: crate::found::address_of(app, photo.body.of)?.unwrap_or_else(|| "/plot".to_owned()),
        file: match app.book.made_path(sha256, Made::View) {
            Some(_) => format!("/photos/{sha256}/view"),
            None => format!("/photos/{sha256}"),
        },
        shows: photo.body.shows,
        sha256: sha256.to_owned(),
        shown: (on_page(pixels.0, shown_by), on_page(pixels.1, shown_by)),
        size,
        zoom,
        crosses: marks.places.clone(),
        lines,
        stroke: letter / 9.0,
        letter,
        answer: marks.length(shown_by).map(|length| {
            format!(
                "{} mm, give or take {} mm",
                digits_of(length.mm),
                digits(length.off_mm)
            )
        }),
        too_near: marks.too_near(shown_by),
        marks,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// With one digit after the point, as far as a press can tell.
fn digits_of(mm: f64) -> String {
    format!("{mm:.1}")
}

fn on_page(pixels: u32, shown_by: f64) -> u32 {
    // At most four times the long side.
    (f64::from(pixels) * shown_by).round().max(1.0) as u32
}

/// Where the picture was pressed, in its pixels. A press by keyboard has no place: browsers send 0, 0.
fn pressed(form: &Form, shown_by: f64, size: (u32, u32)) -> Option<[f64; 2]> {
    let read = |name: &str, most: u32| {
        let points: f64 = form.get(name).parse().ok()?;
        let pixels = (points / shown_by).clamp(0.0, f64::from(most));
        pixels.is_finite().then_some(pixels)
    };
    let place = [read("p.x", size.0)?, read("p.y", size.1)?];
    (place != [0.0, 0.0]).then_some(place)
}

fn read_length(filled: &mut Filled) -> Option<f64> {
    let unit = filled.get("unit").to_owned();
    let (unit, mm_in_one) = UNITS
        .into_iter()
        .find(|(name, _)| *name == unit)
        .unwrap_or(UNITS[0]);
    let typed = filled.read_number("length", "The known length", unit)?;
    let mm = (typed * mm_in_one * 1e6).round() / 1e6;
    if !is_length(mm) {
        filled.troubles.add(
            "length",
            format!("A known length of {typed} {unit} is out of range. Use a number above 0, up to {MOST_MM} mm."),
        );
        return None;
    }
    Some(mm)
}

/// The lines over the picture, and the height of letters on it, pixels of the picture.
fn drawn(marks: &Marks, shown_by: f64, (width, height): (u32, u32)) -> (Vec<Line>, f64) {
    let letter = 18.0 / shown_by;
    let mut lines = Vec::new();
    if let Some([from, to]) = marks.known() {
        let words = marks.mm.map(|mm| format!("{mm} mm"));
        lines.push(Line {
            from,
            to,
            words: words.unwrap_or_default(),
        });
    }
    if let Some([from, to]) = marks.measured() {
        let words = marks.length(shown_by);
        lines.push(Line {
            from,
            to,
            words: words.map_or(String::new(), |one| format!("{} mm", digits_of(one.mm))),
        });
    }
    if let Some(bar) = marks.bar(width) {
        let y = f64::from(height) - letter;
        lines.push(Line {
            from: [letter, y],
            to: [letter + bar.px, y],
            words: bar.words,
        });
    }
    (lines, letter)
}
