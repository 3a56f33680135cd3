//! The form of an event: mowed, sprayed, rain, drought, grazed, burned, overseeded, other.
//!
//! Heights and rain may be typed in inches and are kept in cm and mm. What was sprayed has no
//! field on purpose: the label decides, and this book names no product.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Event, EventKind, Planting};
use standbook_fieldbook::{Body, Entry, RecordId, limits};

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::dates;
use crate::plot::event::MM_PER_INCH;
use crate::plot::filled::{Filled, respond};
use crate::plot::fresh::fresh;
use crate::plot::keep::keep_form;
use crate::plot::place::planting_and_site;
use crate::plot::standards::{CautionLine, cautions};
use crate::words::{self, CM_PER_INCH};

/// Kinds of event: as forms spell them, for people, and the measures that go with each.
const KINDS: [(&str, &str, &[&str]); 8] = [
    ("mowed", "Mowed", &["height"]),
    ("sprayed", "Sprayed", &["entry_after_h", "graze_after_days"]),
    ("rain", "Rain", &["rain"]),
    ("drought", "A dry spell began", &[]),
    ("grazed", "Grazed", &[]),
    ("burned", "Burned", &[]),
    ("overseeded", "Seeded again", &[]),
    ("other", "Something else", &[]),
];

/// Every measure, with its name in messages.
const MEASURES: [(&str, &str); 4] = [
    ("height", "a height"),
    ("entry_after_h", "hours until people may go in"),
    ("graze_after_days", "days until grazing"),
    ("rain", "an amount of rain"),
];

/// What to mind when a field is sprayed, and before anybody walks it.
const CAUTIONS: [&str; 5] = [
    "label",
    "entry_interval",
    "licensed",
    "grazing_interval",
    "forbs",
];

/// One choice of the list.
struct Kind {
    /// As forms spell it.
    value: &'static str,
    /// For people.
    label: &'static str,
    /// Whether it is chosen.
    chosen: bool,
}

/// The form.
#[derive(Template)]
#[template(path = "plot/form_event.html")]
struct EventPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting it happened to.
    planting: Entry<Planting>,
    /// What can happen.
    kinds: Vec<Kind>,
    /// What to mind when spraying.
    cautions: Vec<CautionLine>,
    /// What is filled in.
    filled: Filled,
}

impl EventPage {
    /// Whether fields of this kind must be seen although another kind is chosen.
    fn shown(&self, kind: &str) -> bool {
        let of = KINDS.iter().find(|(value, _, _)| *value == kind);
        of.is_some_and(|(_, _, fields)| fields.iter().any(|f| self.filled.troubles.at(f).is_some()))
    }
}

fn page(
    app: &App,
    here: &Here,
    planting: RecordId,
    mut filled: Filled,
) -> Result<Response, Failure> {
    let (planting, _) = planting_and_site(app, planting)?;
    filled.begin(here);
    filled.set("planting", planting.id.to_string());
    filled.default_to("on", words::today());
    filled.default_to("height_unit", "in");
    filled.default_to("rain_unit", "in");
    let title = filled.title("What happened", "Correct what happened");
    let kinds = KINDS.iter().map(|(value, label, _)| Kind {
        value,
        label,
        chosen: filled.get("what") == *value,
    });
    let page = EventPage {
        shell: Shell::new(app, here, Tab::Plot, title),
        planting,
        kinds: kinds.collect(),
        cautions: cautions(app, &CAUTIONS),
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// An empty form; the address names the planting and may name the kind.
pub(super) async fn blank(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    let planting = record_id(query.get("planting"), "planting")?;
    run(app, move |app| {
        let saved = |_| format!("/plantings/{planting}#since");
        fresh(app, "/events/new", &query, saved, |mut filled| {
            filled.set("what", query.get("what"));
            page(app, &here, planting, filled)
        })
    })
    .await
}

/// The form filled in with an event, to correct it.
pub(super) async fn correct(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "event")?;
    run(app, move |app| {
        let event = app
            .book
            .event(id)?
            .ok_or(Failure::NotFound { what: "event" })?;
        let planting = event.body.planting;
        page(app, &here, planting, fill(event))
    })
    .await
}

fn fill(event: Entry<Event>) -> Filled {
    let mut filled = Filled::new();
    filled.set("supersedes", event.id.to_string());
    filled.set("on", event.body.on);
    filled.set("note", event.body.note);
    let mut measure = |name: &str, value: Option<f64>| {
        filled.set(name, value.map(|v| v.to_string()).unwrap_or_default());
    };
    let what = match event.body.what {
        EventKind::Mowed { height_cm } => {
            measure("height", height_cm);
            "mowed"
        }
        EventKind::Sprayed {
            entry_after_h,
            graze_after_days,
        } => {
            measure("entry_after_h", entry_after_h);
            measure("graze_after_days", graze_after_days);
            "sprayed"
        }
        EventKind::Rain { mm } => {
            measure("rain", mm);
            "rain"
        }
        EventKind::Drought => "drought",
        EventKind::Grazed => "grazed",
        EventKind::Burned => "burned",
        EventKind::Overseeded => "overseeded",
        EventKind::Other => "other",
    };
    filled.set("what", what);
    filled.set("height_unit", "cm");
    filled.set("rain_unit", "mm");
    filled
}

/// A measure that may be typed in inches.
struct Length {
    /// Name of the field; the field of its unit ends with `_unit`.
    field: &'static str,
    /// Its name in messages, at the beginning of a sentence and within one.
    what: (&'static str, &'static str),
    /// The book's unit.
    unit: &'static str,
    /// The book's units in an inch.
    per_inch: f64,
    /// The most the book takes, in its unit.
    most: f64,
}

const HEIGHT: Length = Length {
    field: "height",
    what: ("The height left", "height"),
    unit: "cm",
    per_inch: CM_PER_INCH,
    most: limits::MOWED_CM,
};

const RAIN: Length = Length {
    field: "rain",
    what: ("The rain", "rain"),
    unit: "mm",
    per_inch: MM_PER_INCH,
    most: limits::RAIN_MM,
};

/// Reads a measure in inches or in the book's unit; out in the book's unit.
fn read_length(filled: &mut Filled, of: &Length) -> Option<f64> {
    let inches = filled.get(&format!("{}_unit", of.field)) != of.unit;
    let (unit, in_unit) = if inches {
        ("inches", of.per_inch)
    } else {
        (of.unit, 1.0)
    };
    let typed = filled.read_number(of.field, of.what.0, unit)?;
    // 6 in is 15.24 cm, not 15.239999999999998.
    let length = (typed * in_unit * 1e6).round() / 1e6;
    if length > 0.0 && length <= of.most {
        return Some(length);
    }
    filled.troubles.add(
        of.field,
        format!(
            "A {} of {typed} {unit} is out of range. Use a number above 0, up to {} {unit}, or leave it empty.",
            of.what.1,
            (of.most / in_unit).floor()
        ),
    );
    None
}

/// Reads what happened; a measure of another kind is asked about, not dropped.
fn read_kind(filled: &mut Filled) -> Option<EventKind> {
    let Some((_, label, own)) = KINDS
        .iter()
        .find(|(value, _, _)| *value == filled.get("what"))
    else {
        filled
            .troubles
            .add("what", "What happened is missing. Choose one.");
        return None;
    };
    for (field, what) in MEASURES {
        if !own.contains(&field) && filled.form.has(field) {
            filled.troubles.add(
                field,
                format!("You typed {what} but chose \u{201c}{label}\u{201d}. Choose what it belongs to, or empty it."),
            );
        }
    }
    Some(match filled.get("what") {
        "mowed" => EventKind::Mowed {
            height_cm: read_length(filled, &HEIGHT),
        },
        "sprayed" => EventKind::Sprayed {
            entry_after_h: filled.read_number("entry_after_h", "Until people may go in", "hours"),
            graze_after_days: filled.read_number(
                "graze_after_days",
                "Until grazing or hay",
                "days",
            ),
        },
        "rain" => EventKind::Rain {
            mm: read_length(filled, &RAIN),
        },
        "drought" => EventKind::Drought,
        "grazed" => EventKind::Grazed,
        "burned" => EventKind::Burned,
        "overseeded" => EventKind::Overseeded,
        _ => EventKind::Other,
    })
}

/// Keeps an event.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    form: Form,
) -> Result<Response, Failure> {
    let planting = record_id(form.get("planting"), "planting")?;
    run(app, move |app| {
        let mut filled = Filled::sent(form);
        let on = filled.read_date("on", "The date");
        dates::ask_about_future(&mut filled, "on", "The date");
        let what = read_kind(&mut filled);
        let note = filled.read_note("note", "The note");
        let event = what.map(|what| {
            Body::Event(Event {
                planting,
                on,
                what,
                note,
            })
        });
        let to = |_| format!("/plantings/{planting}#since");
        match keep_form(app, &here, &mut filled, "event", event, to)? {
            Some(saved) => Ok(saved),
            None => page(app, &here, planting, filled),
        }
    })
    .await
}
