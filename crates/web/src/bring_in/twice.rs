//! Two typings of one sheet: what differs, and which of the two the paper bears out.
//!
//! A sheet typed twice travels in its form: `first` holds the fields of the first typing, `second`
//! those of the second once they were compared.

use askama::Template;
use axum::response::Response;
use standbook_fieldbook::RecordId;
use standbook_import::sheet::{About, Difference, Mark, differences, settle};

use super::typed::Typed;
use crate::app::App;
use crate::failure::Failure;
use crate::form::Form;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::words::taxon_name;

/// The fields that are typed again.
pub(super) const TYPED_AGAIN: [&str; 5] = ["point", "number", "found", "none", "twice"];

/// A difference to settle.
struct Line {
    /// Field of the form.
    field: String,
    about: String,
    first: String,
    second: String,
    /// `1`, `2`, or empty.
    picked: String,
}

#[derive(Template)]
#[template(path = "bring_in/twice.html")]
struct TwicePage {
    shell: Shell,
    visit: RecordId,
    lines: Vec<Line>,
    /// What the form carries on, unseen.
    carried: Vec<(String, String)>,
    filled: Filled,
}

/// What was typed, as one field of the next form.
pub(super) fn packed(form: &Form) -> String {
    let mut text = form_urlencoded::Serializer::new(String::new());
    let fields = form
        .0
        .iter()
        .filter(|(name, _)| TYPED_AGAIN.contains(&name.as_str()));
    text.extend_pairs(fields);
    text.finish()
}

/// The form with the fields of a typing that travelled in one of its fields.
pub(super) fn unpacked(form: &Form, field: &str) -> Result<Form, Failure> {
    let typed = Form::parse(form.get(field).as_bytes())?;
    let others = form
        .0
        .iter()
        .filter(|(name, _)| !TYPED_AGAIN.contains(&name.as_str()));
    Ok(Form(others.cloned().chain(typed.0).collect()))
}

fn mark_words(app: &App, mark: &Mark) -> String {
    match mark {
        Mark::Taxon(id) => taxon_name(app, id).0,
        Mark::Unknown(number) => format!("unknown {number}"),
    }
}

fn about_words(app: &App, about: &About) -> String {
    match about {
        About::Point => "Point".to_owned(),
        About::Number => "Frame no. here".to_owned(),
        About::Twice => "Gone over again from the other side".to_owned(),
        About::None => "Looked, none".to_owned(),
        About::Mark(mark, 0) => format!("{}: plants", mark_words(app, mark)),
        About::Mark(mark, cell) => format!("{} in cell {cell}", mark_words(app, mark)),
        About::Looks(number) => format!("What unknown {number} looks like"),
    }
}

/// One sheet of two typings, by what was picked; `None`: something is still open.
pub(super) fn settled(first: &Typed, second: &Typed, form: &Form) -> Option<Typed> {
    let choose = |difference: &Difference| match form.get(&format!("pick.{}", difference.key)) {
        "1" => Some(true),
        "2" => Some(false),
        _ => None,
    };
    let sheet = settle(&first.sheet, &second.sheet, choose).ok()?;
    Some(Typed {
        sheet,
        order: second.order.clone(),
        shape: second.shape,
    })
}

/// The page that shows what differs. `asked`: whether it was shown before.
pub(super) fn page(
    app: &App,
    here: &Here,
    visit: RecordId,
    form: &Form,
    (first, second): (&Typed, &Typed),
    asked: bool,
) -> Result<Response, Failure> {
    let mut filled = Filled::sent(form.clone());
    let shown = |said: &str| match said {
        "" => "nothing".to_owned(),
        said => said.to_owned(),
    };
    let lines: Vec<Line> = differences(&first.sheet, &second.sheet)
        .into_iter()
        .map(|one| Line {
            about: about_words(app, &one.about),
            first: shown(&one.first),
            second: shown(&one.second),
            picked: form.get(&format!("pick.{}", one.key)).to_owned(),
            field: format!("pick.{}", one.key),
        })
        .collect();
    if asked {
        filled.troubles.add(
            "",
            "Nothing was saved yet. Say of every line which typing the paper bears out.",
        );
    }
    let own = |name: &str| {
        let typed_again = TYPED_AGAIN.contains(&name);
        !typed_again && name != "second" && !name.starts_with("pick.")
    };
    let mut carried: Vec<(String, String)> = form
        .0
        .iter()
        .filter(|(name, _)| own(name))
        .cloned()
        .collect();
    let second = match form.has("second") {
        true => form.get("second").to_owned(),
        false => packed(form),
    };
    carried.push(("second".to_owned(), second));
    let page = TwicePage {
        shell: Shell::new(app, here, Tab::Desk, "The two typings differ"),
        visit,
        lines,
        carried,
        filled,
    };
    respond(&page.filled.troubles, &page)
}
