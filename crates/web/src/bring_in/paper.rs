//! Sheets of paper, typed one after another: for the evening after a phone died.
//!
//! The page asks what the printed frame sheet asks, in its order, and what does not change from
//! sheet to sheet stays filled in. A sheet is saved at once, and drawn above the next blank one, so
//! that it can be held beside the paper. Typed twice, it is saved when both typings agree.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::{Frame, FrameShape, Plot, Visit};
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::laid::{device_in_doubt, laid_words};
use super::twice;
use super::typed::{self, Around, Typed};
use super::visits::{Choice, visits};
use crate::app::{App, Shared, run};
use crate::count::device::Device;
use crate::count::drawing::{Drawing, draw, letter};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::{Here, remember_scout};
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::refuse;
use crate::plot::place::planting_and_site;
use crate::plot::recorded::{gathered, say};
use crate::words::{date_words, number_of, taxon_name};

#[derive(Template)]
#[template(path = "bring_in/paper_visits.html")]
struct VisitsPage {
    shell: Shell,
    visits: Vec<Choice>,
}

/// A choice of a select.
struct Pick {
    value: String,
    words: String,
    chosen: bool,
}

/// The sheet that was saved last.
struct Saved {
    frame: RecordId,
    point: RecordId,
    /// `North strip, point 7, frame 1, A. Fenn`.
    words: String,
    /// The grid, to hold beside the paper.
    drawing: Option<Drawing>,
    /// Letter, name, amount.
    found: Vec<(String, String, String)>,
}

#[derive(Template)]
#[template(path = "bring_in/paper.html")]
struct PaperPage {
    shell: Shell,
    visit: Entry<Visit>,
    on: String,
    place: String,
    plots: Vec<Pick>,
    devices: Vec<Pick>,
    /// Names of what was sown.
    sown: Vec<String>,
    /// What is laid, in words.
    laid: String,
    /// Whether its fields are to be seen.
    other_device: bool,
    /// Whether this is the second typing.
    second: bool,
    saved: Option<Saved>,
    filled: Filled,
}

/// `GET /desk/paper`: which visit.
pub(super) async fn choose(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        crate::page::html(&VisitsPage {
            shell: Shell::new(app, &here, Tab::Desk, "Sheets of paper"),
            visits: visits(app, "/desk/paper/")?,
        })
    })
    .await
}

fn visit_of(app: &App, id: &str) -> Result<Entry<Visit>, Failure> {
    let id = record_id(id, "visit")?;
    app.book
        .visit(id)?
        .ok_or(Failure::NotFound { what: "visit" })
}

fn saved(app: &App, frame: RecordId) -> Result<Option<Saved>, BookError> {
    let Some(frame) = app.book.frame(frame)? else {
        return Ok(None);
    };
    let Some(point) = app.book.point(frame.body.point)? else {
        return Ok(None);
    };
    let plot = app.book.plot(point.body.plot)?;
    let plot = plot.map_or_else(String::new, |plot| format!("{}, ", plot.body.name));
    let mut found = Vec::new();
    for (n, (what, cells, plants)) in gathered(&frame.body).into_iter().enumerate() {
        let amount = match frame.body.shape {
            FrameShape::Grid { .. } => number_of(cells.len(), "cell"),
            _ => number_of(usize::try_from(plants).unwrap_or(usize::MAX), "plant"),
        };
        found.push((letter(n), say(app, &what)?.name, amount));
    }
    Ok(Some(Saved {
        words: format!(
            "{plot}point {}, frame {}, {}",
            point.body.label, frame.body.number, frame.body.scout
        ),
        drawing: drawing(&frame.body),
        found,
        frame: frame.id,
        point: point.id,
    }))
}

fn drawing(frame: &Frame) -> Option<Drawing> {
    match frame.shape {
        FrameShape::Grid { cells, .. } => Some(draw(frame, cells)),
        FrameShape::Quadrat { .. } | FrameShape::Row { .. } => None,
    }
}

fn page(
    app: &App,
    here: &Here,
    visit: Entry<Visit>,
    mut filled: Filled,
) -> Result<Response, Failure> {
    filled.begin(here);
    filled.default_to(
        "walked",
        visit.body.scouts.first().cloned().unwrap_or_default(),
    );
    filled.default_to("number", "1");
    let device = Device::read(&filled.form).unwrap_or_else(Device::usual);
    for (name, value) in device.fields() {
        filled.default_to(name, value);
    }
    // The other devices' fields stand ready as well; what is typed there is not lost either.
    for (name, value) in Device::usual().fields() {
        filled.default_to(name, value);
    }
    let (planting, site) = planting_and_site(app, visit.body.planting)?;
    let plots: Vec<Entry<Plot>> = app.book.plots(planting.id)?;
    let pick = |value: String, words: String, chosen: &str| Pick {
        chosen: value == chosen,
        value,
        words,
    };
    let page = PaperPage {
        shell: Shell::new(app, here, Tab::Desk, "Sheets of paper"),
        on: date_words(&visit.body.on),
        place: format!("{}, {}", site.body.name, planting.body.name),
        plots: plots
            .into_iter()
            .map(|plot| pick(plot.id.to_string(), plot.body.name, filled.get("plot")))
            .collect(),
        devices: [("grid", "cells"), ("quadrat", "quadrat"), ("row", "row")]
            .map(|(id, words)| pick(id.to_owned(), words.to_owned(), filled.get("device")))
            .into(),
        sown: planting
            .body
            .mix
            .iter()
            .map(|item| taxon_name(app, &item.taxon).0)
            .collect(),
        other_device: device_in_doubt(&filled),
        laid: laid_words(&device),
        second: filled.form.has("first"),
        saved: match filled.get("after").parse() {
            Ok(frame) => saved(app, frame)?,
            Err(_) => None,
        },
        visit,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /desk/paper/{visit}`: a blank sheet.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let visit = visit_of(app, &id)?;
        page(app, &here, visit, Filled::sent(query))
    })
    .await
}

/// What stays filled in from sheet to sheet.
fn carried(form: &Form) -> Vec<(String, String)> {
    let fields = ["plot", "walked", "double"]
        .into_iter()
        .map(|name| (name, form.get(name).to_owned()));
    let device = Device::read(form).unwrap_or_else(Device::usual);
    let device = device.fields();
    let device = device
        .iter()
        .map(|(name, value)| (*name, (*value).to_owned()));
    let all = fields.chain(device).filter(|(_, value)| !value.is_empty());
    all.map(|(name, value)| (name.to_owned(), value)).collect()
}

/// A blank form for the second typing of a sheet.
fn typed_again(form: &Form) -> Filled {
    let mut fields = carried(form);
    for name in ["id", "scout"] {
        fields.push((name.to_owned(), form.get(name).to_owned()));
    }
    fields.push(("first".to_owned(), twice::packed(form)));
    fields.push(("number".to_owned(), String::new()));
    Filled::sent(Form(fields))
}

/// `POST /desk/paper/{visit}`: a sheet, or its second typing, or what was settled between the two.
pub(super) async fn take(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let visit = visit_of(app, &id)?;
        if !form.has("first") {
            let mut filled = Filled::sent(form);
            let typed = typed::read(app, &filled.form.clone(), &mut filled.troubles);
            return match typed {
                Some(_) if filled.form.has("double") => {
                    check_names(&mut filled);
                    match filled.troubles.none() {
                        true => page(app, &here, visit, typed_again(&filled.form)),
                        false => page(app, &here, visit, filled),
                    }
                }
                Some(typed) => keep(app, &here, visit, filled, &typed),
                None => page(app, &here, visit, filled),
            };
        }
        let asked = form.has("second");
        let mut filled = Filled::sent(match asked {
            true => twice::unpacked(&form, "second")?,
            false => form.clone(),
        });
        let first = twice::unpacked(&form, "first")?;
        let first = typed::read(app, &first, &mut filled.troubles);
        let second = typed::read(app, &filled.form.clone(), &mut filled.troubles);
        let (Some(first), Some(second)) = (first, second) else {
            return page(app, &here, visit, filled);
        };
        match twice::settled(&first, &second, &form) {
            Some(typed) => keep(app, &here, visit, filled, &typed),
            None => twice::page(app, &here, visit.id, &form, (&first, &second), asked),
        }
    })
    .await
}

fn check_names(filled: &mut Filled) -> (String, String) {
    let walked = filled.read_name("walked", "The scout on the sheet");
    (walked, filled.read_name("scout", "Your name"))
}

/// Keeps a sheet, and leads to the next blank one.
fn keep(
    app: &App,
    here: &Here,
    visit: Entry<Visit>,
    mut filled: Filled,
    typed: &Typed,
) -> Result<Response, Failure> {
    let (scout, by) = check_names(&mut filled);
    let plot = match filled.get("plot").parse() {
        Ok(plot) => app.book.plot(plot)?,
        Err(_) => None,
    };
    let Some(plot) = plot else {
        filled
            .troubles
            .add("plot", "Choose the plot that stands on the sheet.");
        return page(app, here, visit, filled);
    };
    let around = Around {
        visit: &visit,
        plot: &plot,
        id: filled.id(),
        scout,
        by,
    };
    let records = around.records(app, &mut filled, typed)?;
    if !filled.troubles.none() {
        return page(app, here, visit, filled);
    }
    match app.book.append(records) {
        Ok(_) => {
            let mut query = form_urlencoded::Serializer::new(String::new());
            query.extend_pairs(carried(&filled.form));
            query.append_pair("after", &around.id.to_string());
            let to = format!("/desk/paper/{}?{}", visit.id, query.finish());
            let mut response = Redirect::to(&to).into_response();
            if let Some(cookie) = remember_scout(&around.by) {
                response
                    .headers_mut()
                    .append(axum::http::header::SET_COOKIE, cookie);
            }
            Ok(response)
        }
        Err(BookError::Conflict { .. }) => {
            let id = around.id;
            filled.troubles.conflict(format!("This sheet was saved already, and the form has been changed since. Nothing new was saved. Correct the saved one: its page is /frames/{id}/correct."));
            page(app, here, visit, filled)
        }
        Err(error) => {
            refuse(app, &mut filled, &error, "sheet")?;
            page(app, here, visit, filled)
        }
    }
}
