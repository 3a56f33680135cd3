//! Frames and walks on the one page that a phone carries out of reach.
//!
//! In: a visit. Out: forms for reading frames, empty, that belong to no point yet; the stops of
//! the walk as data. They are forms of `sheet` and `arrive` and go to the same addresses; a
//! script puts in point, number and a fresh id, and does what the laptop does on the page of a
//! frame: adding a column, beginning the second look.

use askama::Template;
use serde::Serialize;
use standbook_fieldbook::record::{Planting, Visit};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_plan::Corner;

use super::arrive::REASONS;
use super::column_view::{ColumnView, view};
use super::device::Device;
use super::draft::{Column, Draft, What};
use super::palette::{self, Choice, Setting};
use super::sheet::device_of;
use super::sheet_page::{OVERLOOKED_SOURCE, next_unknown};
use super::walk::Walk;
use crate::app::App;
use crate::here::Here;
use crate::plot::filled::Troubles;

/// What a script replaces in a blank column.
const COLUMN: &str = "__column__";
/// See [`COLUMN`].
const CODE: &str = "__code__";
/// See [`COLUMN`].
const NAME: &str = "__name__";
/// See [`COLUMN`].
const NUMBER: &str = "__number__";

/// The form for reading frames with one device.
#[derive(Template)]
#[template(path = "count/away.html")]
pub(crate) struct AwaySheet {
    /// What it is called, for its address within the page.
    pub id: &'static str,
    /// The device in words.
    pub words: String,
    draft: Draft,
    columns: Vec<ColumnView>,
    row: u32,
    rest: Vec<Choice>,
    next_unknown: u32,
    troubles: Troubles,
    overlooked_source: &'static str,
    /// Columns to copy: of a taxon or an unknown of the book, and of an unknown yet to be made.
    blanks: [(&'static str, ColumnView); 2],
}

fn sheet(app: &App, setting: Setting, device: Device, scout: &str) -> Result<AwaySheet, BookError> {
    let (id, words) = match &device {
        Device::Grid { cells, side } => ("grid", format!("Frame of {cells} cells, {side} cm each")),
        Device::Quadrat { .. } => ("quadrat", "Plants in a quadrat".to_owned()),
        Device::Row { .. } => ("row", "Plants along a row".to_owned()),
    };
    let mut draft = Draft::new(device, 1, scout.to_owned());
    palette::offer(app, setting, &mut draft)?;
    let columns = view(
        app,
        setting,
        &draft,
        &vec![true; draft.columns.len()],
        &Troubles::default(),
    )?;
    let blank = |what: What| -> Result<ColumnView, BookError> {
        let mut blank = draft.clone();
        blank.columns = vec![Column::empty(what)];
        let mut views = view(app, setting, &blank, &[true], &Troubles::default())?;
        let mut view = views.remove(0);
        view.shown = false;
        Ok(view)
    };
    let mut taxon = blank(What::Taxon(CODE.to_owned()))?;
    CODE.clone_into(&mut taxon.code);
    NAME.clone_into(&mut taxon.name);
    taxon.more.clear();
    let new = blank(What::New {
        id: RecordId::new(),
        number: NUMBER.to_owned(),
        description: String::new(),
    })?;
    Ok(AwaySheet {
        id,
        words,
        row: super::draft::cells_in_a_row(draft.device.cells()),
        rest: palette::rest(app, setting, &draft)?,
        next_unknown: next_unknown(app, setting.visit, &draft)?,
        columns,
        draft,
        troubles: Troubles::default(),
        overlooked_source: OVERLOOKED_SOURCE,
        blanks: [("book", taxon), ("new", new)],
    })
}

/// The forms of a visit: the device laid last first, then the others.
pub(crate) fn sheets(
    app: &App,
    here: &Here,
    visit: &Entry<Visit>,
    planting: &Entry<Planting>,
) -> Result<Vec<AwaySheet>, BookError> {
    let setting = Setting {
        visit: visit.id,
        mix: &planting.body.mix,
        blind_at: None,
    };
    let blank = |unit: &str| Device::Quadrat {
        area: String::new(),
        unit: unit.to_owned(),
    };
    let row = Device::Row {
        length: String::new(),
        unit: String::new(),
        spacing: String::new(),
        spacing_unit: String::new(),
    };
    let mut devices = vec![Device::usual(), blank("m2"), row];
    let last = device_of(app, here, visit.id)?;
    devices.retain(|device| device.letter() != last.letter());
    devices.insert(0, last);
    let scout = here.scout.as_deref().unwrap_or_default();
    let devices = devices.into_iter();
    devices
        .map(|device| sheet(app, setting, device.spaced_as(planting.body.method), scout))
        .collect()
}

/// A stop of the walk.
#[derive(Debug, Serialize)]
pub(crate) struct AwayStop {
    /// Number in the plan.
    number: u32,
    /// Its place in the walking order; none for a spare.
    walk: Option<u32>,
    /// Whether it only stands in for another.
    spare: bool,
    /// What plan and map call it.
    short: String,
    /// In a sentence.
    name: String,
    /// Degrees north, degrees east.
    at: Corner,
    /// Its plot, where the plan says so.
    plot: Option<RecordId>,
    /// The point recorded there.
    point: Option<RecordId>,
}

/// The walk of a visit by its plan.
#[derive(Debug, Serialize)]
pub(crate) struct AwayWalk {
    /// The plan.
    pub plan: RecordId,
    /// Its name.
    name: String,
    /// In walking order, spares last.
    stops: Vec<AwayStop>,
}

/// The walk of a visit; none where the planting has no plan.
pub(crate) fn walk(app: &App, visit: &Entry<Visit>) -> Result<Option<AwayWalk>, BookError> {
    let Some(walk) = Walk::load(app, visit, None)? else {
        return Ok(None);
    };
    let mut stops = walk.in_order();
    stops.extend(walk.stops.iter().filter(|stop| stop.spare));
    let stops = stops.into_iter().map(|stop| AwayStop {
        number: stop.number,
        walk: stop.walk,
        spare: stop.spare,
        short: walk.short_name(stop),
        name: walk.name(stop),
        at: stop.at,
        plot: stop.plot,
        point: stop.point.as_ref().map(|point| point.id),
    });
    Ok(Some(AwayWalk {
        stops: stops.collect(),
        plan: walk.plan.id,
        name: walk.plan.body.name.clone(),
    }))
}

/// Why a point is not reached, one press each.
pub(crate) fn reasons() -> [&'static str; 6] {
    REASONS
}
