//! What the page for reading a frame shows: chips, one grid for each, and the fields below.
//!
//! In: a draft, what is wrong with it, what has just been done. Out: the page, with every mark.
//! Where a frame has so many cells that not all grids fit on a page of 30 KB, the chips of the
//! others are buttons that bring theirs.
//! Not here: what its buttons do (`sheet`), what is said beside the marks (`notices`).

use askama::Template;
use axum::response::Response;
use standbook_fieldbook::{BookError, RecordId};

use super::check::Twin;
use super::column_view::{ColumnView, on_the_page, view};
use super::draft::{Draft, What, cells_in_a_row};
use super::notices::{self, Notice};
use super::palette::{self, Choice, Setting};
use crate::app::App;
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::Troubles;
use crate::plot::filled::respond;
use crate::plot::keep::at_point;
use crate::plot::place::Place;

/// Source of the figures on overlooked seedlings beside the second look (abstract read; 18.6 %
/// overlooked, 1.4 % misnamed).
pub(crate) const OVERLOOKED_SOURCE: &str = "Morrison L.W. and others 2020 (authors partly from memory). Observer error at Tallgrass Prairie National Preserve. Journal of Plant Ecology 13:641";

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
    /// What the scout should know before counting, none of it in the way.
    notices: Vec<Notice>,
    /// Where the walk by plan goes next: address and words; once something is counted here.
    next: Option<(String, String)>,
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
    /// The frame that has this number and scout already.
    twin: Option<Twin>,
    /// What the second look added so far, in words; `None` before it begins.
    added: Option<String>,
    /// Where the figures on overlooked seedlings are from.
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
    /// The frame that has this number and scout already.
    pub twin: Option<Twin>,
}

/// What the second look added to the first, in words; `None` before it begins.
fn added(app: &App, draft: &Draft) -> Result<Option<String>, BookError> {
    if !draft.second {
        return Ok(None);
    }
    let mut parts = Vec::new();
    for column in &draft.columns {
        let name = palette::said(app, &column.what)?.name;
        let cells: Vec<String> = column
            .cells
            .difference(&column.first_cells)
            .map(u32::to_string)
            .collect();
        match cells.as_slice() {
            [] => {}
            [one] => parts.push(format!("{name} in cell {one}")),
            many => parts.push(format!("{name} in cells {}", many.join(", "))),
        }
        let plants = |text: &str| text.parse::<u32>().unwrap_or(0);
        let (before, now) = (plants(&column.first_plants), plants(&column.plants));
        if now > before {
            parts.push(format!("{name}: {} more", now - before));
        }
    }
    Ok(Some(match parts.is_empty() {
        true => "nothing yet".to_owned(),
        false => parts.join("; "),
    }))
}

/// The number a new unknown gets in this draft.
pub(super) fn next_unknown(app: &App, visit: RecordId, draft: &Draft) -> Result<u32, BookError> {
    let in_draft = draft
        .columns
        .iter()
        .filter_map(|column| match &column.what {
            What::New { number, .. } => number.parse::<u32>().ok(),
            _ => None,
        });
    let in_book = app.book.next_unknown_number(visit)?;
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
    let page = page_of(app, here, place, draft, around)?;
    let point = page.place.point.id;
    Ok(at_point(respond(&page.troubles, &page)?, point))
}

fn page_of(
    app: &App,
    here: &Here,
    place: Place,
    draft: Draft,
    around: Around,
) -> Result<SheetPage, Failure> {
    let mut here = here.clone();
    here.point = Some(place.point.id);
    let title = match (draft.supersedes, draft.repeats) {
        (Some(_), _) => format!("Correct frame {}", draft.number),
        (None, Some(_)) => format!("Frame {}, read again", draft.number),
        (None, None) => format!("Frame {}", draft.number),
    };
    let fresh = draft.supersedes.is_none() && draft.repeats.is_none();
    let next = match fresh && !app.book.frames_at(place.point.id)?.is_empty() {
        true => super::walk::next_line(app, &place)?,
        false => None,
    };
    let setting = Setting::of(&place, &draft);
    Ok(SheetPage {
        shell: Shell::new(app, &here, Tab::Count, title),
        columns: view(app, setting, &draft, &on_the_page(&draft), &around.troubles)?,
        row: cells_in_a_row(draft.device.cells()),
        rest: palette::rest(app, setting, &draft)?,
        next_unknown: next_unknown(app, place.visit.id, &draft)?,
        notices: match draft.supersedes {
            Some(_) => Vec::new(),
            None => notices::before_counting(app, &place, &draft)?,
        },
        next,
        chosen: around.chosen,
        describe: around.describe,
        saved_as: around.saved_as,
        twin: around.twin,
        added: added(app, &draft)?,
        overlooked_source: OVERLOOKED_SOURCE,
        troubles: around.troubles,
        news: around.news,
        place,
        draft,
    })
}

impl SheetPage {
    /// Whether this is a blind repeat that is not saved yet.
    fn blind(&self) -> bool {
        self.draft.repeats.is_some() && self.draft.supersedes.is_none()
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
            b"device=grid&cells=25&side=15&col=t.panicum_virgatum&c=0.7&scout=A.+Fenn&number=1&second=1&f.0=3",
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
        let page = page_of(&app, &Here::default(), place, draft, around).unwrap();
        assert_eq!(page.troubles.status(), StatusCode::INSUFFICIENT_STORAGE);
        let html = page.render().unwrap();
        assert!(html.contains("the disk is full"), "{html}");
        assert!(html.contains("value=0.7 class=c7 checked"), "{html}");
        assert!(html.contains("name=\"f.0\" value=\"3\""), "{html}");
        assert!(html.contains("switchgrass in cell 7"), "{html}");
    }
}
