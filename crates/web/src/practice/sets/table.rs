//! The answers of a set as a table: CSV, one row an answer.

use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Drill, Practice, PracticeSet, is_second_hand};

use super::judged::{planted_or_not, verdict};
use super::results::{Counted, mix_of};
use super::{set_of, version};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::report::{Cell, csv, plain_name};

/// Columns of the table, each with what it holds.
pub(super) const COLUMNS: [(&str, &str); 19] = [
    ("set", "title of the set"),
    ("set_id", "version of the set that was answered"),
    ("item", "number of the question in that version"),
    (
        "question",
        "the question as text; the same text draws the same plant",
    ),
    ("drill", "name_it, tell_pair, see_trait or count_frame"),
    ("with_book", "yes or no: whether the book was open"),
    ("scout", "who answered"),
    (
        "answered_at",
        "UTC instant of the answer; of the typing, where it came from paper",
    ),
    (
        "truth",
        "id of the taxon, or of the state where a trait was asked; empty for a frame",
    ),
    ("against", "the other taxon of a pair"),
    (
        "answer",
        "id of the taxon or state she gave; empty: could not tell, or a frame",
    ),
    ("by", "id of the trait she named as deciding"),
    (
        "result",
        "right, wrong or could not tell; a frame is right when every cell is",
    ),
    (
        "planted_or_not",
        "the same, for planted or not planted; empty where no name was asked",
    ),
    (
        "seconds",
        "from the question to the answer; empty: not known",
    ),
    ("late", "yes: after the time allowed was over"),
    ("from_paper", "yes: typed in from paper"),
    (
        "counts",
        "no: she had answered this question before, or the set asks it no longer",
    ),
    ("answer_id", "id of the record"),
];

/// `GET /desk/practice/sets/{id}/answers.csv`.
pub(super) async fn answers_csv(
    State(app): State<Shared>,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let set = set_of(app, &id)?;
        let counted = Counted::read(app, &set)?;
        let mix = mix_of(app, &set.body)?;
        let mix: Vec<&str> = mix.iter().map(String::as_str).collect();
        let head: Vec<&str> = COLUMNS.iter().map(|(name, _)| *name).collect();
        let rows = counted.all.iter();
        let rows = rows.map(|answer| row(app, &set, &counted, &mix, answer));
        let rows: Result<Vec<_>, Failure> = rows.collect();
        let name = format!("{}-answers.csv", plain_name(&set.body.title));
        csv(&name, &head, rows?)
    })
    .await
}

fn row(
    app: &App,
    set: &Entry<PracticeSet>,
    counted: &Counted,
    mix: &[&str],
    answer: &Entry<Practice>,
) -> Result<Vec<Cell>, Failure> {
    let it = &answer.body;
    let reading = it.readings.first().filter(|_| it.drill == Drill::SeeTrait);
    let (truth, said) = match reading {
        Some(reading) => (Some(&reading.shown), reading.reported.as_ref()),
        None => (it.taxon.as_ref(), it.named.as_ref()),
    };
    let text = |text: Option<&String>| text.map_or(Cell::Empty, |text| Cell::text(text.clone()));
    let yes = |yes: bool| Cell::text(if yes { "yes" } else { "no" });
    // The version that was answered: a set may have been called otherwise then.
    let of = it.of_set;
    let then = match of {
        Some(of) => version(app, of.set)?,
        None => None,
    };
    let title = then.map_or_else(|| set.body.title.clone(), |then| then.body.title);
    let mut given = counted
        .sittings
        .iter()
        .flat_map(|(_, sitting)| &sitting.given);
    let counts =
        given.find_map(|given| given.as_ref().filter(|given| given.answer.id == answer.id));
    Ok(vec![
        Cell::text(title),
        of.map_or(Cell::Empty, |of| Cell::text(of.set.to_string())),
        of.map_or(Cell::Empty, |of| Cell::Number(f64::from(of.item))),
        Cell::text(it.question.clone()),
        Cell::text(match it.drill {
            Drill::NameIt => "name_it",
            Drill::TellPair => "tell_pair",
            Drill::SeeTrait => "see_trait",
            Drill::CountFrame => "count_frame",
        }),
        yes(it.with_book),
        Cell::text(it.scout.clone()),
        Cell::text(answer.born_at.clone()),
        text(truth),
        text(it.against.as_ref()),
        text(said),
        text(it.by.as_ref()),
        Cell::text(verdict(it).words()),
        planted_or_not(it, mix).map_or(Cell::Empty, |one| Cell::text(one.words())),
        Cell::maybe(it.seconds),
        yes(counts.is_some_and(|given| given.late)),
        yes(is_second_hand(&answer.device)),
        yes(counts.is_some()),
        Cell::text(answer.id.to_string()),
    ])
}
