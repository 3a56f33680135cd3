//! What stood in a frame that was marked: the frame again with signs and words, each wrong cell opened.
//!
//! In: an answer of the book. Out: a page that stays until she goes on. Within a set that finds out what
//! somebody can do, nothing is shown before she has marked its last frame.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Drill, Practice, PracticeCell, SetItem};
use standbook_practice::frame::{CELLS, Plant, Role};
use standbook_practice::frame_score::Slip;

use super::decides::{self, Deciding};
use super::laid::{From, Laid};
use super::told::{OfSize, beside, largest, plant_words, said, sizes, sums};
use super::{held, which};
use crate::app::{App, Shared, run};
use crate::count::OVERLOOKED_SOURCE;
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::practice::{after, sets};
use crate::words::taxon_name;

/// A cell of the drawing, with its sign.
pub(crate) struct Sign {
    /// The cell.
    pub cell: u32,
    /// A mark that tells without colour; empty where nothing stands and nothing was marked.
    pub sign: &'static str,
    /// The same in a word or two.
    pub words: &'static str,
    /// Where the page says more of it; empty where there is nothing to say.
    pub href: String,
}

/// A cell that was marked wrongly.
struct Opened {
    cell: u32,
    drawing: String,
    /// What went amiss.
    slips: Vec<String>,
    /// What has its base in it.
    plants: Vec<String>,
    deciding: Option<Deciding>,
    /// Instead of a trait that decides.
    undecided: Option<String>,
}

#[derive(Template)]
#[template(path = "practice/frame_answer.html")]
struct AnswerPage {
    shell: Shell,
    planted: Vec<String>,
    all_right: bool,
    /// Sums in words.
    sums: Vec<String>,
    /// Beside what was published.
    beside: Option<String>,
    source: &'static str,
    drawing: String,
    signs: Vec<Sign>,
    opened: Vec<Opened>,
    sizes: Vec<OfSize>,
    /// Whether the key has changed since the frame was marked.
    key_changed: bool,
    /// The way on, in words and as an address.
    next: (&'static str, String),
}

/// `GET /practice/frame/answers/{id}`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let what = "answer";
        let found = app.book.practice(record_id(&id, what)?)?;
        let answer = found.ok_or(Failure::NotFound { what })?;
        if answer.body.drill != Drill::CountFrame {
            return Err(Failure::NotFound { what });
        }
        page(app, &here, &answer)
    })
    .await
}

/// The page of an answer about a frame.
///
/// # Errors
/// [`Failure::NotLetIn`] before the last frame of a set that is marked without being told.
pub(crate) fn page(app: &App, here: &Here, answer: &Entry<Practice>) -> Result<Response, Failure> {
    let body = &answer.body;
    let next = way_on(app, body)?;
    let laid = which::laid(app, &body.question)?;
    let score = held::score(&body.cells, Some(&laid.frame));
    let page = AnswerPage {
        shell: Shell::new(app, here, Tab::Practice, "What stood in the frame"),
        planted: laid
            .planted
            .iter()
            .map(|id| taxon_name(app, id).0)
            .collect(),
        all_right: score.is_right(),
        sums: sums(&score),
        beside: beside(score.planted),
        source: OVERLOOKED_SOURCE,
        drawing: laid.whole(From::Here).inline(
            "frame",
            "The frame from above",
            "The cells over it say what was right in each.",
        ),
        signs: signs(&body.cells),
        opened: opened(app, &laid, &body.cells),
        sizes: sizes(&score),
        key_changed: body.table_fingerprint != app.table.fingerprint,
        next,
    };
    html(&page)
}

/// Where she goes from here.
fn way_on(app: &App, answer: &Practice) -> Result<(&'static str, String), Failure> {
    let Some(of) = answer.of_set else {
        return Ok(("Next", "/practice/next".to_owned()));
    };
    let Some(set) = app.book.practice_set(of.set)? else {
        return Ok(("Back to Practice", "/practice".to_owned()));
    };
    let next = after::next_item(app, &set, &answer.scout)?;
    match next {
        Some(_) if !sets::may_be_told(app, &set, &answer.scout)? => Err(Failure::NotLetIn(
            "What stood in this frame is shown when every frame of the set is marked, so that one frame does not help with the next. Go on with the set."
                .to_owned(),
        )),
        Some(item) => {
            let address = after::item_address(&set.body, SetItem { set: set.id, item });
            Ok(("Next", address.unwrap_or_else(|| "/practice".to_owned())))
        }
        None => Ok(("Back to the set", format!("/practice/sets/{}", set.id))),
    }
}

/// What each of the 25 cells shows: its sign, and a word.
pub(crate) fn signs(cells: &[PracticeCell]) -> Vec<Sign> {
    let all = (1..=CELLS).map(|cell| {
        let found = cells.iter().find(|one| one.cell == cell);
        let slips = found.map(|one| held::marked(one, None).slips());
        let (sign, words) = match slips.as_deref() {
            None => ("", ""),
            Some([]) => ("\u{2713}", "right"),
            Some([Slip::Overlooked(_), ..]) => ("\u{2013}", "missed"),
            Some([Slip::Misnamed(_), ..]) => ("\u{2260}", "misnamed"),
            Some([Slip::NotThere(_), ..]) => ("?", "not there"),
        };
        Sign {
            cell,
            sign,
            words,
            href: match slips.is_some_and(|slips| !slips.is_empty()) {
                true => format!("#cell-{cell}"),
                false => String::new(),
            },
        }
    });
    all.collect()
}

/// Each wrong cell, opened.
fn opened(app: &App, laid: &Laid, cells: &[PracticeCell]) -> Vec<Opened> {
    let wrong = cells.iter().filter_map(|one| {
        let slips = held::marked(one, None).slips();
        (!slips.is_empty()).then_some((one.cell, slips))
    });
    let mut told: Vec<String> = Vec::new();
    wrong
        .map(|(cell, slips)| {
            let said = slips.iter().map(|slip| said(app, laid, cell, *slip));
            // What stands there and was not marked as it is; the first of the two is the planted one.
            let plant = slips.iter().find_map(|slip| match slip {
                Slip::Overlooked(role) | Slip::Misnamed(role) => largest(laid, cell, *role),
                Slip::NotThere(_) => None,
            });
            let (mut deciding, undecided) = match plant {
                Some(plant) => deciding(app, laid, cell, plant),
                None => (None, None),
            };
            if let Some(deciding) = &mut deciding {
                // How to look is said once.
                match told.contains(&deciding.name) {
                    true => deciding.how.clear(),
                    false => told.push(deciding.name.clone()),
                }
            }
            Opened {
                cell,
                drawing: laid.cell(cell, From::Here).inline(
                    &format!("cell-{cell}-near"),
                    &format!("Cell {cell} from nearer"),
                    "",
                ),
                slips: said.collect(),
                plants: laid
                    .in_cell(cell, From::Here)
                    .iter()
                    .map(|(plant, _)| plant_words(app, laid, plant))
                    .collect(),
                deciding,
                undecided,
            }
        })
        .collect()
}

/// The one trait that tells a plant from the hardest kind of the other role, or why there is none.
fn deciding(
    app: &App,
    laid: &Laid,
    cell: u32,
    plant: &Plant,
) -> (Option<Deciding>, Option<String>) {
    let taxon = laid.taxon(plant);
    let other = match plant.role {
        Role::Planted => Role::Other,
        Role::Other => Role::Planted,
    };
    let Some(against) = decides::hardest(app, taxon, laid.kinds(other), plant.stage) else {
        return (None, None);
    };
    match decides::between(app, [taxon, against], plant.stage, &format!("c{cell}")) {
        Some(deciding) => (Some(deciding), None),
        None => (
            None,
            Some(format!(
                "At {} nothing that the key lets decide tells {} from {}. In the field call it an unknown, and look again when it has grown.",
                plant.stage.name(),
                taxon_name(app, taxon).0,
                taxon_name(app, against).0
            )),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cell(cell: u32, stands: [bool; 2], marked: [bool; 2]) -> PracticeCell {
        PracticeCell {
            cell,
            planted: stands[0],
            other: stands[1],
            marked_planted: marked[0],
            marked_other: marked[1],
        }
    }

    #[test]
    fn every_slip_has_a_sign_and_a_word_of_its_own() {
        let signs = signs(&[
            cell(1, [true, false], [true, false]),
            cell(2, [true, false], [false, false]),
            cell(3, [true, false], [false, true]),
            cell(4, [false, false], [true, false]),
            // Of two slips the one about what stands there is shown.
            cell(5, [false, true], [true, true]),
        ]);
        assert_eq!(signs.len(), 25);
        let said: Vec<(&str, &str, bool)> = signs
            .iter()
            .map(|one| (one.sign, one.words, !one.href.is_empty()))
            .take(6)
            .collect();
        assert_eq!(
            said,
            [
                ("\u{2713}", "right", false),
                ("\u{2013}", "missed", true),
                ("\u{2260}", "misnamed", true),
                ("?", "not there", true),
                ("?", "not there", true),
                ("", "", false),
            ]
        );
    }
}
