//! What the page for reading a frame shows: chips, one grid for each, and the fields below.
//!
//! In: a draft, what is wrong with it, what has just been done. Out: the page, with every mark.
//! Not here: what its buttons do (`sheet`).

use askama::Template;
use axum::response::{IntoResponse, Response};
use standbook_fieldbook::{BookError, RecordId};

use super::draft::{Device, Draft, What, cells_in_a_row};
use super::palette::{self, Choice};
use crate::app::App;
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::filled::Troubles;
use crate::plot::keep::at_point;
use crate::plot::place::Place;

/// What overlooking costs; shown beside the second look, with its source.
const OVERLOOKED: &str = "small, pale, single-leaf seedlings are overlooked more often than misnamed (about 19 % against 1 to 2 % in work on Kansas tallgrass prairie)";
/// Source of [`OVERLOOKED`] (abstract read).
const OVERLOOKED_SOURCE: &str = "Morrison L.W. and others 2020 (authors partly from memory). Observer error at Tallgrass Prairie National Preserve. Journal of Plant Ecology 13:641";

/// One cell of a column's grid.
struct Cell {
    /// From 1, row by row from the upper left.
    number: u32,
    /// Whether it is marked.
    marked: bool,
}

/// A column as shown.
struct ColumnView {
    /// As the form spells it.
    code: String,
    /// Common name, or `unknown 3`.
    name: String,
    /// Scientific name, or what the unknown looks like; may be empty.
    more: String,
    /// Whether it is planted here.
    planted: bool,
    /// Whether it is an unknown.
    unknown: bool,
    /// An unknown that is made with this frame: its id, number and description.
    new: Option<(RecordId, String, String)>,
    /// What is wrong with its description.
    wrong_description: Option<String>,
    /// Whether its cells are the ones shown.
    shown: bool,
    /// Its cells.
    cells: Vec<Cell>,
    /// Plants, as typed.
    plants: String,
    /// What is wrong with the number of plants.
    wrong_plants: Option<String>,
}

/// The page.
#[derive(Template)]
#[template(path = "count/sheet.html")]
struct SheetPage {
    /// Frame around the page.
    shell: Shell,
    /// Where the frame lies.
    place: Place,
    /// What is wrong.
    troubles: Troubles,
    /// What has just been done, such as adding a species.
    news: Option<String>,
    /// The draft: plain fields.
    draft: Draft,
    /// Its columns.
    columns: Vec<ColumnView>,
    /// Cells in a row.
    row: u32,
    /// What else may be added.
    rest: Vec<Choice>,
    /// What is chosen in that list.
    chosen: String,
    /// Description typed for a new unknown that is not added yet.
    describe: String,
    /// Number the next new unknown gets.
    next_unknown: u32,
    /// The frame this form was saved as, when it came back changed: its address and number.
    saved_as: Option<(String, u32)>,
    /// What overlooking costs.
    overlooked: &'static str,
    /// Where that is from.
    overlooked_source: &'static str,
}

/// What goes with a draft when the page is shown again.
#[derive(Default)]
pub(super) struct Around {
    /// What is wrong.
    pub troubles: Troubles,
    /// What has just been done.
    pub news: Option<String>,
    /// What is chosen in the list of everything else.
    pub chosen: String,
    /// A description that is not added yet.
    pub describe: String,
    /// The frame this form was saved as: address and number.
    pub saved_as: Option<(String, u32)>,
}

fn view(
    app: &App,
    place: &Place,
    draft: &Draft,
    troubles: &Troubles,
) -> Result<Vec<ColumnView>, BookError> {
    let cells = draft.device.cells();
    let show = if draft.show < draft.columns.len() {
        draft.show
    } else {
        0
    };
    let mut views = Vec::new();
    for (at, column) in draft.columns.iter().enumerate() {
        let said = palette::said(app, &column.what)?;
        let new = match &column.what {
            What::New {
                id,
                number,
                description,
            } => Some((*id, number.clone(), description.clone())),
            _ => None,
        };
        views.push(ColumnView {
            code: column.what.code(),
            planted: matches!(&column.what, What::Taxon(id) if place.planting.body.mix.iter().any(|item| item.taxon == *id)),
            unknown: said.unknown,
            name: said.name,
            more: said.more,
            wrong_description: new
                .as_ref()
                .and_then(|(id, ..)| troubles.at(&format!("new.{id}")))
                .map(str::to_owned),
            new,
            shown: at == show,
            cells: (1..=cells)
                .map(|number| Cell {
                    number,
                    marked: column.cells.contains(&number),
                })
                .collect(),
            plants: column.plants.clone(),
            wrong_plants: troubles.at(&format!("p.{at}")).map(str::to_owned),
        });
    }
    Ok(views)
}

/// The number a new unknown gets in this draft.
pub(super) fn next_unknown(app: &App, place: &Place, draft: &Draft) -> Result<u32, BookError> {
    let in_draft = draft
        .columns
        .iter()
        .filter_map(|column| match &column.what {
            What::New { number, .. } => number.parse::<u32>().ok(),
            _ => None,
        });
    let in_book = app.book.next_unknown_number(place.visit.id)?;
    Ok(in_draft
        .map(|n| n.saturating_add(1))
        .fold(in_book, u32::max))
}

/// The page, with the status its troubles ask for; remembers the point.
pub(super) fn show(
    app: &App,
    here: &Here,
    place: Place,
    draft: Draft,
    around: Around,
) -> Result<Response, Failure> {
    let mut here = here.clone();
    here.point = Some(place.point.id);
    let title = match draft.supersedes {
        Some(_) => format!("Correct frame {}", draft.number),
        None => format!("Frame {}", draft.number),
    };
    let point = place.point.id;
    let page = SheetPage {
        shell: Shell::new(app, &here, Tab::Count, title),
        columns: view(app, &place, &draft, &around.troubles)?,
        row: cells_in_a_row(draft.device.cells()),
        rest: palette::rest(app, &place, &draft)?,
        next_unknown: next_unknown(app, &place, &draft)?,
        chosen: around.chosen,
        describe: around.describe,
        saved_as: around.saved_as,
        overlooked: OVERLOOKED,
        overlooked_source: OVERLOOKED_SOURCE,
        troubles: around.troubles,
        news: around.news,
        place,
        draft,
    };
    let status = page.troubles.status();
    Ok(at_point(
        (status, page::html(&page)?).into_response(),
        point,
    ))
}

impl SheetPage {
    /// The grid's device, for hidden fields.
    fn grid(&self) -> Option<(&str, &str)> {
        match &self.draft.device {
            Device::Grid { cells, side } => Some((cells, side)),
            Device::Quadrat { .. } => None,
        }
    }

    /// The quadrat's area and unit.
    fn quadrat(&self) -> (&str, &str) {
        match &self.draft.device {
            Device::Quadrat { area, unit } => (area, unit),
            Device::Grid { .. } => ("", ""),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::form::Form;
    use axum::http::StatusCode;

    /// A full disk can't be had in a test of pages, so the error is made by hand: the form must
    /// come back with its own status and all of its marks.
    #[test]
    fn a_full_disk_gives_the_marks_back() {
        let folder = tempfile::tempdir().unwrap();
        let (app, place) = crate::count::samples::place(folder.path());
        let form = Form::parse(
            b"device=grid&cells=25&side=15&col=t.panicum_virgatum&c=0.7&scout=A.+Fenn&number=1",
        )
        .unwrap();
        let draft = Draft::read(&form);
        let mut around = Around::default();
        around.troubles.refused(
            &BookError::Full {
                path: "season.book".into(),
            },
            |_, f| f.to_owned(),
        );
        let page = SheetPage {
            shell: Shell::new(&app, &Here::default(), Tab::Count, "Frame 1"),
            columns: view(&app, &place, &draft, &around.troubles).unwrap(),
            row: 5,
            rest: Vec::new(),
            chosen: String::new(),
            describe: String::new(),
            next_unknown: 1,
            saved_as: None,
            overlooked: OVERLOOKED,
            overlooked_source: OVERLOOKED_SOURCE,
            troubles: around.troubles,
            news: None,
            place,
            draft,
        };
        assert_eq!(page.troubles.status(), StatusCode::INSUFFICIENT_STORAGE);
        let html = page.render().unwrap();
        assert!(html.contains("the disk is full"), "{html}");
        assert!(html.contains("value=0.7 class=c7 checked"), "{html}");
    }
}
