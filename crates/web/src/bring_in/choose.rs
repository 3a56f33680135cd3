//! The page for a file: which visit, what is in it, the file, what it does not say.

use askama::Template;
use axum::extract::State;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::record::{FrameShape, Plot, Visit};
use standbook_fieldbook::{Entry, RecordId};
use standbook_import::MOST_BYTES;
use standbook_import::bring::{Said, What};
use standbook_import::dates::DateForm;
use standbook_import::frames::Usual;

use super::laid::{device_in_doubt, laid_words};
use super::looked::look_at;
use super::visits::{Choice, visits};
use crate::app::{App, Shared, run};
use crate::count::device::{Device, shape};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query, WithFile};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::place::planting_and_site;
use crate::words::date_words;

/// Largest form taken, bytes: above what is read, so that a file somewhat too large gets words.
pub(super) const LARGEST_BYTES: usize = MOST_BYTES + MOST_BYTES / 4;

/// What is typed in place of a file goes by this name.
const PASTED: &str = "pasted text";

/// A line of a select or of radio buttons.
struct Pick {
    value: String,
    words: String,
    chosen: bool,
}

/// A column of a file, for the table that explains it.
struct Column {
    name: &'static str,
    says: &'static str,
}

/// What a kind of file looks like.
struct Kind {
    title: &'static str,
    columns: Vec<Column>,
    example: &'static str,
}

#[derive(Template)]
#[template(path = "bring_in/visits.html")]
struct VisitsPage {
    shell: Shell,
    visits: Vec<Choice>,
}

#[derive(Template)]
#[template(path = "bring_in/choose.html")]
struct ChoosePage {
    shell: Shell,
    visit: Entry<Visit>,
    /// Date of the visit in words.
    on: String,
    /// `Quill Farm, north forty`.
    place: String,
    whats: Vec<Pick>,
    plots: Vec<Pick>,
    dates: Vec<Pick>,
    devices: Vec<Pick>,
    /// What is laid where the file does not say, in words.
    laid: String,
    /// Whether its fields are to be seen.
    other_device: bool,
    kinds: Vec<Kind>,
    filled: Filled,
}

fn option(value: &str, words: &str, chosen: &str) -> Pick {
    Pick {
        value: value.to_owned(),
        words: words.to_owned(),
        chosen: value == chosen,
    }
}

fn kinds() -> Vec<Kind> {
    let column = |(name, says)| Column { name, says };
    vec![
        Kind {
            title: "Points",
            columns: [
                ("label", "the point's name within its plot and this visit"),
                ("latitude, longitude", "degrees, as 40.1234 and -96.5678; degrees and minutes with their marks are read too"),
                ("uncertainty_m", "how far off it may be, metres; may be left out"),
                ("plot", "the plot it lies in; may be left out"),
                ("scout", "who walked; may be left out"),
            ].map(column).into(),
            example: "label,latitude,longitude,uncertainty_m,plot\n1,40.12345,-96.56789,4,North strip",
        },
        Kind {
            title: "Frames",
            columns: [
                ("point", "the point's label, or \u{201c}Plot, label\u{201d}"),
                ("frame", "its number at the point, from 1"),
                ("cell, taxon", "frames of cells: a line for every cell and name in it; a line without both says: looked, none"),
                ("taxon, count", "quadrats and rows: a line for every name with its plants; or a column for every name, with area_m2"),
                ("scout, date", "who read it; may be left out. The date must be the visit's"),
                ("cells, cell_side_cm, area_m2, row_length_m, row_spacing_cm", "what was laid; may be left out"),
                ("plot, looked_twice, repeats, description", "may be left out; repeats is the number of the frame that was read again, description what an unknown looks like"),
            ].map(column).into(),
            example: "point,frame,cell,taxon\n1,1,7,switchgrass\n1,1,8,big bluestem\n2,1,,",
        },
        Kind {
            title: "Determinations",
            columns: [
                ("point", "the point's label"),
                ("leaf_stage", "one_leaf, few_leaves, tillering or heading"),
                ("a column for every trait looked at", "by id or name of the key; a state by id or by the key's words, several joined by |, a number in the trait's unit, or cannot_tell; empty: not looked at"),
                ("taxon", "the name the scout settled for; empty: no name"),
                ("plot, cell, scout, date, unknown, note, tools", "may be left out"),
            ].map(column).into(),
            example: "point,leaf_stage,taxon,scout,ligule_type\n1,tillering,switchgrass,A. Fenn,hairs",
        },
    ]
}

/// The page with a form as it stands.
fn page(
    app: &App,
    here: &Here,
    visit: Entry<Visit>,
    mut filled: Filled,
) -> Result<Response, Failure> {
    let scout = visit.body.scouts.first().cloned().unwrap_or_default();
    filled.default_to("walked", scout);
    filled.default_to("scout", here.scout.clone().unwrap_or_default());
    filled.default_to("cells", "25");
    filled.default_to("side", "15");
    let (planting, site) = planting_and_site(app, visit.body.planting)?;
    let plots: Vec<Entry<Plot>> = app.book.plots(planting.id)?;
    let chosen = filled.get("plot");
    let mut choices = vec![option("", "As the file or the outlines say", chosen)];
    choices.extend(
        plots
            .iter()
            .map(|plot| option(&plot.id.to_string(), &plot.body.name, chosen)),
    );
    let what = filled.get("what");
    let page = ChoosePage {
        shell: Shell::new(app, here, Tab::Desk, "Bring it in"),
        on: date_words(&visit.body.on),
        place: format!("{}, {}", site.body.name, planting.body.name),
        whats: vec![
            option("points", "Points: GeoJSON, KML, GPX or CSV", what),
            option("frames", "Frames, quadrats, rows: CSV", what),
            option(
                "determinations",
                "Determinations, with what was seen of each plant: CSV",
                what,
            ),
        ],
        plots: choices,
        dates: DateForm::ALL
            .iter()
            .map(|(id, _, words)| option(id, words, filled.get("dates")))
            .collect(),
        devices: [
            ("grid", "a frame of cells"),
            ("quadrat", "a quadrat or hoop"),
            ("row", "a length of row"),
        ]
        .map(|(id, words)| option(id, words, filled.get("device")))
        .into(),
        other_device: device_in_doubt(&filled),
        laid: laid_words(&Device::read(&filled.form).unwrap_or_else(Device::usual)),
        kinds: kinds(),
        visit,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

fn visit_of(app: &App, form: &Form) -> Result<Entry<Visit>, Failure> {
    let id = record_id(form.get("visit"), "visit")?;
    app.book
        .visit(id)?
        .ok_or(Failure::NotFound { what: "visit" })
}

/// `GET /desk/bring-in`: which visit; with `visit`, the form.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        if query.has("visit") {
            let visit = visit_of(app, &query)?;
            return page(app, &here, visit, Filled::new());
        }
        let page = VisitsPage {
            shell: Shell::new(app, &here, Tab::Desk, "Bring it in"),
            visits: visits(app, "/desk/bring-in?visit=")?,
        };
        crate::page::html(&page)
    })
    .await
}

/// `POST /desk/bring-in`: looks at the file, and leads to what was seen.
pub(super) async fn look(
    State(app): State<Shared>,
    here: Here,
    multipart: Result<Multipart, MultipartRejection>,
) -> Result<Response, Failure> {
    let too_large = format!(
        "The file has more than {} MB. Nothing was saved. Bring it in parts.",
        MOST_BYTES / (1024 * 1024)
    );
    let WithFile { form, file, bytes } = WithFile::read(multipart, &too_large).await?;
    run(app, move |app| {
        let visit = visit_of(app, &form)?;
        let mut filled = Filled::sent(form);
        let pasted = filled.get("pasted").to_owned();
        let (file, bytes) = match (bytes.is_empty(), pasted.is_empty()) {
            (false, true) => (file, bytes),
            (true, false) => (PASTED.to_owned(), pasted.into_bytes()),
            (true, true) => {
                filled.troubles.add("file", "No file was chosen and nothing was pasted, or the file is empty. Choose the file.");
                (file, bytes)
            }
            (false, false) => {
                filled.troubles.add("file", "A file was chosen and something was pasted. Send one of them.");
                (file, bytes)
            }
        };
        let said = said(&mut filled, file);
        let (Some(said), true) = (said, filled.troubles.none()) else {
            return page(app, &here, visit, filled);
        };
        let id = RecordId::new();
        let look = look_at(app, id, visit.id, said, bytes, false)?;
        app.remembered.looks.put(look);
        Ok(Redirect::to(&format!("/desk/bring-in/{id}")).into_response())
    })
    .await
}

/// What the form says about the file; `None` when something is wrong with it.
fn said(filled: &mut Filled, file: String) -> Option<Said> {
    let what = What::from_id(filled.get("what"));
    if what.is_none() {
        filled.troubles.add("what", "Choose what the file holds.");
    }
    let dates = DateForm::from_id(filled.get("dates")).unwrap_or_default();
    let mut usual = Usual {
        cells: 25,
        cell_side_cm: 15.0,
        area_m2: None,
        row_m: None,
        row_spacing_cm: None,
        dates,
    };
    let device = Device::read(&filled.form).unwrap_or_else(Device::usual);
    match shape(&device, &mut filled.troubles)? {
        FrameShape::Grid {
            cells,
            cell_side_cm,
        } => {
            (usual.cells, usual.cell_side_cm) = (cells, cell_side_cm);
        }
        FrameShape::Quadrat { area_m2 } => usual.area_m2 = Some(area_m2),
        FrameShape::Row {
            length_m,
            row_spacing_cm,
        } => {
            (usual.row_m, usual.row_spacing_cm) = (Some(length_m), Some(row_spacing_cm));
        }
    }
    Some(Said {
        what: what?,
        file,
        by: filled.read_name("scout", "Your name"),
        scout: filled.get("walked").to_owned(),
        plot: filled.get("plot").parse().ok(),
        usual,
        make_missing: filled.form.has("make"),
    })
}
