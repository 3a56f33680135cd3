//! The page on a crew's agreement, in words, with the frames on which they differ.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::PracticeCell;
use standbook_practice::frame::{CELLS, Role};
use standbook_stand::agreement::{BOTH_KINDS, KAPPA};

use super::agree::{Line, line, pairs};
use super::crew::{Crew, Frame};
use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::practice::frame::feedback::Sign;
use crate::practice::frame::picture_address;

/// A scout, and how far she is.
struct Scout {
    name: String,
    marked: usize,
}

/// A table of one kind of mark.
struct Table {
    name: &'static str,
    lines: Vec<Line>,
}

/// A cell in which they differ.
struct Differing {
    cell: u32,
    /// What each scout marked, in the crew's order; `None`: has not marked the frame.
    marks: Vec<Option<&'static str>>,
    stands: &'static str,
}

/// A frame on which they differ.
struct Differ {
    item: u32,
    /// Where its drawing is.
    picture: String,
    signs: Vec<Sign>,
    cells: Vec<Differing>,
}

#[derive(Template)]
#[template(path = "practice/same_agreement.html")]
struct AgreementPage {
    shell: Shell,
    title: String,
    id: String,
    frames: usize,
    scouts: Vec<Scout>,
    tables: Vec<Table>,
    paradox: bool,
    differ: Vec<Differ>,
    sources: [&'static str; 2],
}

/// `GET /desk/practice/sets/{id}/agreement`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let crew = Crew::read(app, &id)?;
        let tables = [
            (Role::Planted, "Planted or not"),
            (Role::Other, "Something else or not"),
        ];
        let tables: Vec<Table> = tables
            .into_iter()
            .map(|(role, name)| Table {
                name,
                lines: pairs(&crew, role).iter().map(line).collect(),
            })
            .collect();
        let mut lines = tables.iter().flat_map(|table| &table.lines);
        let paradox = lines.any(|line| line.paradox);
        let scouts = crew.scouts.iter().enumerate().map(|(at, name)| Scout {
            name: name.clone(),
            marked: crew.marked(at),
        });
        html(&AgreementPage {
            shell: Shell::new(app, &here, Tab::Desk, "Agreement on the same frames"),
            title: crew.set.body.title.clone(),
            id: crew.id().to_string(),
            frames: crew.frames.len(),
            scouts: scouts.collect(),
            paradox,
            tables,
            differ: crew
                .frames
                .iter()
                .filter_map(|frame| differ(&crew, frame))
                .collect(),
            sources: [KAPPA.citation, BOTH_KINDS.citation],
        })
    })
    .await
}

/// What a cell is marked as, or holds.
fn words(planted: bool, other: bool) -> &'static str {
    match (planted, other) {
        (true, true) => "both",
        (true, false) => "planted",
        (false, true) => "something else",
        (false, false) => "nothing",
    }
}

fn differ(crew: &Crew, frame: &Frame) -> Option<Differ> {
    let truth = frame.truth()?;
    let of = |cells: &[PracticeCell], cell: u32| cells.iter().find(|one| one.cell == cell).copied();
    let cells: Vec<Differing> = (1..=CELLS)
        .filter_map(|cell| {
            let marks: Vec<Option<&'static str>> = (0..crew.scouts.len())
                .map(|scout| {
                    let marks = frame.marks.get(&scout)?;
                    Some(
                        of(marks, cell)
                            .map_or("nothing", |one| words(one.marked_planted, one.marked_other)),
                    )
                })
                .collect();
            let mut given = marks.iter().flatten();
            let first = given.next()?;
            if given.all(|other| other == first) {
                return None;
            }
            Some(Differing {
                cell,
                marks,
                stands: of(truth, cell).map_or("nothing", |one| words(one.planted, one.other)),
            })
        })
        .collect();
    if cells.is_empty() {
        return None;
    }
    let signs = (1..=CELLS).map(|cell| {
        let differs = cells.iter().any(|one| one.cell == cell);
        Sign {
            cell,
            sign: if differs { "\u{2260}" } else { "" },
            words: if differs { "differ" } else { "" },
            href: match differs {
                true => format!("#frame-{}-{cell}", frame.item),
                false => String::new(),
            },
        }
    });
    Some(Differ {
        item: frame.item,
        picture: picture_address(&frame.question),
        signs: signs.collect(),
        cells,
    })
}
