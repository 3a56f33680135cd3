//! What a group answered to a set, for the trainer.
//!
//! In: a set and its answers. Out: who has done how much, and by question, trait and pair how often it was
//! answered rightly. It says where the group errs, and ranks nobody: scouts stand in the order of the
//! alphabet, with how much they did and not how well.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Drill, Practice, PracticeSet, SetPurpose, SetQuestion};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_practice::Question;

use super::judged::{Spot, Tally, Verdict, by_pair, by_trait, planted_or_not, verdict};
use super::sitting::{Sitting, answers, scouts};
use super::{set_of, table, words};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::practice::ask::SOMETHING_ELSE;
use crate::practice::scouts::address as scouts_page;
use crate::stand::name::taxon_name;
use crate::words::{instant_words, percent};

/// Lines of the lists of errors. No source; what is below is found in the table of questions.
const MOST_ERRORS: usize = 10;

/// Numbers of a line, in words.
struct Counts {
    right: u64,
    wrong: u64,
    unsure: u64,
    /// `8 of 10, 80 % (49 to 94 %)`; empty without an answer.
    share: String,
}

impl Counts {
    fn of(tally: Tally) -> Counts {
        let share = tally.share().map(|(share, limits)| {
            format!(
                "{} of {}: {} ({} to {})",
                tally.right,
                tally.all(),
                percent(share),
                percent(limits.lower),
                percent(limits.upper)
            )
        });
        Counts {
            right: tally.right,
            wrong: tally.wrong,
            unsure: tally.unsure,
            share: share.unwrap_or_default(),
        }
    }
}

/// A line: what it is about, and how that was answered.
struct Line {
    what: String,
    counts: Counts,
}

/// A question.
struct Row {
    number: usize,
    what: String,
    with_book: bool,
    counts: Counts,
    /// What it was called instead: name, how often.
    instead: Vec<(String, usize)>,
}

/// A scout who has begun.
struct Scout {
    name: String,
    /// `12 of 30; the last on ...`.
    done: String,
    /// What else there is to know; may be empty.
    more: String,
    /// Her page at the Desk.
    address: String,
}

#[derive(Template)]
#[template(path = "practice/sets/results.html")]
struct ResultsPage {
    shell: Shell,
    id: RecordId,
    purpose: &'static str,
    same_frames: bool,
    /// `10 questions without the book, 20 with it; 2 hours`.
    shape: String,
    made: String,
    /// Place, and whether there is a mix to say planted or not by.
    of: String,
    corrected: bool,
    /// Seed of the draw, where the set is as it was drawn.
    drawn_with: Option<u32>,
    scouts: Vec<Scout>,
    /// Without the book, with it.
    parts: Vec<(&'static str, Vec<Line>)>,
    rows: Vec<Row>,
    traits: Vec<Line>,
    pairs: Vec<Line>,
    /// Answers to questions that the set asks no longer.
    dropped: usize,
    columns: &'static [(&'static str, &'static str)],
    on_paper: bool,
}

/// What counts of a set: the first answer of each scout to each question it asks now.
pub(super) struct Counted {
    /// Scout by scout.
    pub sittings: Vec<(String, Sitting)>,
    /// All answers, counted or not.
    pub all: Vec<Entry<Practice>>,
}

impl Counted {
    /// Of a set as it stands.
    pub fn read(app: &App, set: &Entry<PracticeSet>) -> Result<Counted, BookError> {
        let all = answers(app, set)?;
        let sittings = scouts(&all).into_iter();
        let sittings = sittings.map(|name| {
            let sitting = Sitting::of(&set.body, &all, &name);
            (name, sitting)
        });
        Ok(Counted {
            sittings: sittings.collect(),
            all,
        })
    }

    /// Those to one question, by position.
    fn to(&self, at: usize) -> impl Iterator<Item = &Practice> + Clone {
        let given = self.sittings.iter();
        given
            .filter_map(move |(_, sitting)| sitting.given.get(at)?.as_ref())
            .map(|given| &given.answer.body)
    }

    /// All that count.
    fn each(&self) -> impl Iterator<Item = &Practice> + Clone {
        let given = self.sittings.iter();
        given
            .flat_map(|(_, sitting)| sitting.given.iter().flatten())
            .map(|given| &given.answer.body)
    }
}

/// The taxa sown in the planting that a set is about.
pub(super) fn mix_of(app: &App, set: &PracticeSet) -> Result<Vec<String>, BookError> {
    let planting = match set.planting {
        Some(id) => app.book.planting(id)?,
        None => None,
    };
    let mix = planting.map_or_else(Vec::new, |planting| planting.body.mix);
    Ok(mix.into_iter().map(|item| item.taxon).collect())
}

/// The place that a set is about, in words; empty for none.
pub(super) fn place(app: &App, set: &PracticeSet) -> Result<String, BookError> {
    let Some(planting) = (match set.planting {
        Some(id) => app.book.planting(id)?,
        None => None,
    }) else {
        return Ok(String::new());
    };
    let site = app.book.site(planting.body.site)?;
    let site = site.map_or_else(String::new, |site| format!("{}, ", site.body.name));
    let visit = match set.visit {
        Some(id) => app.book.visit(id)?,
        None => None,
    };
    let visit = visit.map_or_else(String::new, |visit| {
        format!(", visit of {}", crate::words::date_words(&visit.body.on))
    });
    Ok(format!("{site}{}{visit}", planting.body.name))
}

/// Parts and time allowed, in words.
pub(super) fn shape(set: &PracticeSet) -> String {
    match set.minutes {
        Some(minutes) => format!("{}; {}", words::parts(set), words::minutes(minutes)),
        None => format!("{}; no limit of time", words::parts(set)),
    }
}

/// The seed that a test was drawn with: that of its first specimen, those of the others following (`draw`).
fn drawn_with(set: &PracticeSet) -> Option<u32> {
    let seed = |question: &SetQuestion| match question.question.parse() {
        Ok(Question::NameIt { seed, .. }) => Some(seed),
        _ => None,
    };
    let seeds: Vec<u32> = set.questions.iter().map(seed).collect::<Option<_>>()?;
    let follow = seeds.windows(2).all(|two| two[1] == two[0].wrapping_add(1));
    let drawn = set.purpose == SetPurpose::FieldTest && set.visit.is_none() && follow;
    seeds.first().copied().filter(|_| drawn)
}

/// `GET /desk/practice/sets/{id}`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let set = set_of(app, &id)?;
        let counted = Counted::read(app, &set)?;
        let mix = mix_of(app, &set.body)?;
        let mix: Vec<&str> = mix.iter().map(String::as_str).collect();
        let questions = &set.body.questions;
        let asked = |answer: &Entry<Practice>| {
            let mut questions = questions.iter();
            questions.any(|question| super::sitting::is_to(&answer.body, question))
        };
        html(&ResultsPage {
            shell: Shell::new(app, &here, Tab::Desk, set.body.title.clone()),
            id: set.id,
            purpose: words::purpose(set.body.purpose),
            same_frames: set.body.purpose == SetPurpose::SameFrames,
            shape: shape(&set.body),
            made: format!("{}, {}", set.author, instant_words(&set.born_at)),
            of: place(app, &set.body)?,
            corrected: set.supersedes.is_some(),
            drawn_with: match set.supersedes {
                None => drawn_with(&set.body),
                Some(_) => None,
            },
            scouts: counted.sittings.iter().map(scout).collect(),
            parts: parts(&counted, &mix),
            rows: rows(app, &set.body, &counted),
            traits: top(by_trait(counted.each()), |id| words::trait_name(app, id)),
            pairs: top(by_pair(counted.each()), |(one, other)| {
                let common = |id: &str| taxon_name(app, id).common;
                format!("{} and {}", common(one), common(other))
            }),
            dropped: counted.all.iter().filter(|one| !asked(one)).count(),
            columns: &table::COLUMNS,
            on_paper: questions
                .iter()
                .any(|one| !one.question.starts_with("frame.")),
        })
    })
    .await
}

fn scout((name, sitting): &(String, Sitting)) -> Scout {
    let last = sitting.given.iter().flatten();
    let last = last.map(|given| given.answer.born_at.as_str()).max();
    let done = match last {
        Some(last) => format!(
            "{} of {}, the last on {}",
            sitting.done(),
            sitting.given.len(),
            instant_words(last)
        ),
        None => "only questions that the set asks no longer".to_owned(),
    };
    let paper = sitting.given.iter().flatten();
    let paper = paper.filter(|given| given.from_paper).count();
    let more = [
        (sitting.late(), "late"),
        (paper, "from paper"),
        (sitting.again, "answered again, which does not count"),
    ];
    let more: Vec<String> = more
        .into_iter()
        .filter(|(n, _)| *n > 0)
        .map(|(n, what)| format!("{n} {what}"))
        .collect();
    Scout {
        name: name.clone(),
        done,
        more: more.join("; "),
        address: scouts_page(name),
    }
}

/// How each kind of question was answered, without the book and with it.
fn parts(counted: &Counted, mix: &[&str]) -> Vec<(&'static str, Vec<Line>)> {
    let books = [(false, "Without the book"), (true, "With the book")];
    let parts = books.into_iter().map(|(with_book, title)| {
        let of = |drill: Drill| {
            let each = counted.each();
            each.filter(move |it| it.with_book == with_book && it.drill == drill)
        };
        let drills: [(&str, Tally); 5] = [
            (
                "The species named",
                of(Drill::NameIt).map(verdict).collect(),
            ),
            (
                "Planted told from not planted, by the name given",
                of(Drill::NameIt)
                    .filter_map(|it| planted_or_not(it, mix))
                    .collect(),
            ),
            ("The pair told", of(Drill::TellPair).map(verdict).collect()),
            ("The trait seen", of(Drill::SeeTrait).map(verdict).collect()),
            (
                "Cells with planted grasses marked so",
                of(Drill::CountFrame).flat_map(cells).collect(),
            ),
        ];
        let lines = drills.into_iter().filter(|(_, tally)| tally.all() > 0);
        let lines = lines.map(|(what, tally)| Line {
            what: what.to_owned(),
            counts: Counts::of(tally),
        });
        (title, lines.collect::<Vec<Line>>())
    });
    parts.filter(|(_, lines)| !lines.is_empty()).collect()
}

/// Of each cell with a planted grass, whether it was marked so.
fn cells(frame: &Practice) -> impl Iterator<Item = Verdict> {
    let planted = frame.cells.iter().filter(|cell| cell.planted);
    planted.map(|cell| match cell.marked_planted {
        true => Verdict::Right,
        false => Verdict::Wrong,
    })
}

fn rows(app: &App, set: &PracticeSet, counted: &Counted) -> Vec<Row> {
    let questions = set.questions.iter().enumerate();
    questions
        .map(|(at, one)| Row {
            number: at + 1,
            what: match one.question.parse::<Question>() {
                Ok(question) => words::with_truth(app, &question),
                Err(_) => one.question.clone(),
            },
            with_book: one.with_book,
            counts: Counts::of(counted.to(at).map(verdict).collect()),
            instead: instead(app, counted.to(at)),
        })
        .collect()
}

/// Wrong answers to one question, the commonest first.
fn instead<'a>(app: &App, to: impl Iterator<Item = &'a Practice>) -> Vec<(String, usize)> {
    let mut found: Vec<(String, usize)> = Vec::new();
    for answer in to.filter(|answer| verdict(answer) == Verdict::Wrong) {
        let Some(said) = said(app, answer) else {
            continue;
        };
        match found.iter_mut().find(|(known, _)| *known == said) {
            Some((_, n)) => *n += 1,
            None => found.push((said, 1)),
        }
    }
    found.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    found
}

/// What somebody answered, in words; `None` where she could not tell, and for frames.
pub(super) fn said(app: &App, answer: &Practice) -> Option<String> {
    match answer.drill {
        Drill::SeeTrait => {
            let reading = answer.readings.first()?;
            let state = reading.reported.as_deref()?;
            Some(words::state_name(app, &reading.trait_id, state))
        }
        Drill::TellPair | Drill::NameIt => Some(match answer.named.as_deref()? {
            SOMETHING_ELSE => "something that is not planted".to_owned(),
            id => taxon_name(app, id).common,
        }),
        Drill::CountFrame => None,
    }
}

fn top<K>(spots: Vec<Spot<K>>, words: impl Fn(&K) -> String) -> Vec<Line> {
    let spots = spots.into_iter().take(MOST_ERRORS);
    spots
        .map(|spot| Line {
            what: words(&spot.what),
            counts: Counts::of(spot.tally),
        })
        .collect()
}

/// How many scouts have begun a set, in words.
pub(super) fn begun(app: &App, set: &Entry<PracticeSet>) -> Result<String, BookError> {
    Ok(match scouts(&answers(app, set)?).len() {
        0 => "nobody has begun".to_owned(),
        1 => "1 scout has begun".to_owned(),
        n => format!("{n} scouts have begun"),
    })
}
