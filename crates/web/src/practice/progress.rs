//! A scout's own progress: hit rates with limits, how fresh they are, what would help next, and whether
//! her counts of each planting need a second reader.
//!
//! In: her history, the rules of the plantings. Out: one page, about her alone. It is hers; the office
//! may open the same page from the Desk to know whose counts want a second reader. There is no list in
//! which one scout stands above another.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::BookError;
use standbook_practice::skill::{From, HALF_LIFE_DAYS};
use standbook_stand::confidence::Interval;

use super::history::History;
use super::progress_rows::{Answers, PLACES, by_pair, by_trait};
use super::remembered::{Thing, id_of, remembered};
use super::standing::{ForCounting, mix_of, now, tally};
use super::words::{LEVEL, rate_words, rule_words, short_words};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::stand::whiskers::{Line, Whiskers, draw};
use crate::words::{day_words, number_of, percent, taxon_name};

/// Things named as what would help next.
const HELPS: usize = 3;

/// Pairs and traits that stand open on the page; the others are a press away.
const FIRST: usize = 4;

/// Of fewer answers by herself nothing is said to be weak: it is only little known. A choice.
const LEAST_ANSWERS: usize = 5;

/// A chance of being right from memory below which a thing is said to fade: that says when to look again,
/// never how good she is. A choice; the model counts stability at 0.9.
const FADES: f64 = 0.8;

/// A trait or a pair.
struct Row {
    name: String,
    /// The two side by side, for a pair.
    address: Option<String>,
    /// Hit rates drawn, a line a place.
    drawn: Whiskers,
    /// How fresh it is, and what she could not tell.
    more: String,
    /// Answers by herself, and how often they are right, 0 to 1.
    answers: usize,
    right: f64,
    fades: bool,
}

/// A planting.
struct ForPlanting {
    name: String,
    /// The rule, or that there is none.
    rule: String,
    /// `yes`, `no` or `free`.
    state: &'static str,
    /// Whether she meets it.
    standing: String,
    /// Hit rate and what it rests on.
    rate: String,
    /// Overlooked and not told, beside.
    beside: Vec<String>,
    /// The rule's page, for the office.
    address: Option<String>,
}

#[derive(Template)]
#[template(path = "practice/progress.html")]
struct ProgressPage {
    shell: Shell,
    scout: String,
    /// Whether the office is looking.
    office: bool,
    plantings: Vec<ForPlanting>,
    helps: Vec<String>,
    pairs: Vec<Row>,
    traits: Vec<Row>,
    /// Days in which an answer loses half of its weight.
    half_life: String,
}

/// `GET /practice/progress`.
pub(super) async fn own(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| match here.scout.clone() {
        Some(scout) => page(app, &here, scout, false),
        None => Ok(Redirect::to("/scout?back=/practice/progress").into_response()),
    })
    .await
}

/// `GET /desk/practice/scouts/{name}`.
pub(super) async fn of_scout(
    State(app): State<Shared>,
    here: Here,
    Path(name): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let name = name.trim().to_owned();
        match name.is_empty() || name.chars().count() > 120 {
            true => Err(Failure::NotFound { what: "scout" }),
            false => page(app, &here, name, true),
        }
    })
    .await
}

fn page(app: &App, here: &Here, scout: String, office: bool) -> Result<Response, Failure> {
    let history = History::read(app, &scout)?;
    let today = now();
    let memories = remembered(&app.book.practice_of(&scout)?);
    let fades = |thing: Thing| {
        let memory = memories.get(&id_of(&thing));
        memory.is_some_and(|memory| memory.chance(today) < FADES)
    };
    let (title, tab) = match office {
        true => (format!("Practice of {scout}"), Tab::Desk),
        false => ("Your progress".to_owned(), Tab::Practice),
    };
    let mut pairs: Vec<Row> = by_pair(&history)
        .iter()
        .map(|([one, other], answers)| {
            let name = format!("{} or {}", taxon_name(app, one).0, taxon_name(app, other).0);
            let known = [one, other].iter().all(|id| app.key.taxon(id).is_some());
            let address = known.then(|| format!("/key/{one}/or/{other}"));
            let fades = fades(Thing::Pair(one.clone(), other.clone()));
            row((name, address), answers, fades, today)
        })
        .collect();
    let mut traits: Vec<Row> = by_trait(&history)
        .iter()
        .map(|(id, answers)| {
            let one = app.key.trait_by_id(id);
            let name = one.map_or_else(|| id.clone(), |one| one.name.clone());
            let fades = fades(Thing::Trait(id.clone(), Vec::new()));
            row((name, None), answers, fades, today)
        })
        .collect();
    for rows in [&mut pairs, &mut traits] {
        rows.sort_by(|a, b| b.answers.cmp(&a.answers).then(a.name.cmp(&b.name)));
    }
    html(&ProgressPage {
        shell: Shell::new(app, here, tab, title),
        plantings: plantings(app, &history, today, office)?,
        helps: helps(&pairs, &traits),
        pairs,
        traits,
        scout,
        office,
        half_life: format!("{HALF_LIFE_DAYS:.0}"),
    })
}

/// `12 May 2026` of a day since 1970.
fn on(day: f64) -> String {
    let at = jiff::Timestamp::from_second((day * 86_400.0) as i64);
    at.map_or_else(
        |_| String::new(),
        |at| day_words(&standbook_fieldbook::time::stamp(at)),
    )
}

fn row(
    (name, address): (String, Option<String>),
    answers: &Answers,
    fades: bool,
    today: f64,
) -> Row {
    let rated = answers.rated(today);
    let words: BTreeMap<From, &str> = PLACES.into_iter().collect();
    let lines = rated.iter().map(|it| {
        let (lower, upper) = it.rate.limits(LEVEL);
        Line {
            name: words.get(&it.from).copied().unwrap_or_default().to_owned(),
            numbers: rate_words(it.rate),
            estimates: vec![it.rate.mean()],
            interval: Some(Interval { lower, upper }),
            // A filled dot is her eye alone; with the book it is open.
            planted: it.from != From::WithBook,
        }
    });
    let drawn = draw(lines.collect());
    let mut more: Vec<String> = rated
        .iter()
        .map(|it| {
            let place = words
                .get(&it.from)
                .copied()
                .unwrap_or_default()
                .to_lowercase();
            let answers = number_of(it.answers, "answer");
            let worth = it.rate.answers();
            // Less than half an answer lost to age is not worth a word.
            let left = match (it.answers as f64 - worth).abs() < 0.5 {
                true => String::new(),
                false => format!(", by now worth {worth:.0}"),
            };
            format!("{place}: {answers}{left}, last on {}", on(it.last))
        })
        .collect();
    if answers.not_told > 0 {
        more.push(format!(
            "could not tell {}",
            number_of(answers.not_told, "time")
        ));
    }
    let (own, rate) = answers.by_herself(today);
    Row {
        name,
        address,
        drawn,
        more: sentence(&more.join("; ")),
        answers: own,
        right: rate.mean(),
        fades,
    }
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(char::to_uppercase);
    first.map_or_else(String::new, |first| {
        format!("{}{}.", first.collect::<String>(), letters.as_str())
    })
}

/// What would help next: what is right least often, and what fades; pairs and traits together.
fn helps(pairs: &[Row], traits: &[Row]) -> Vec<String> {
    let mut all: Vec<(&Row, &str)> = pairs.iter().map(|row| (row, "Tell apart")).collect();
    all.extend(traits.iter().map(|row| (row, "See")));
    // From nine of ten on there is nothing to press for, unless it fades.
    all.retain(|(row, _)| row.answers >= LEAST_ANSWERS && (row.fades || row.right < 0.9));
    all.sort_by(|(a, _), (b, _)| a.right.total_cmp(&b.right));
    all.iter()
        .take(HELPS)
        .map(|(row, what)| {
            let right = percent(row.right);
            let fades = match row.fades {
                true => ", and fading by now",
                false => "",
            };
            format!("{what}: {}, right {right} of the time{fades}", row.name)
        })
        .collect()
}

fn plantings(
    app: &App,
    history: &History,
    today: f64,
    office: bool,
) -> Result<Vec<ForPlanting>, BookError> {
    let mut all = Vec::new();
    for planting in app.book.plantings()? {
        let set = ForCounting::of(app, planting.id)?;
        let tally = tally(&mix_of(&planting.body), history);
        let last = tally.last(today, |_| true);
        if set.is_none() && last.is_none() {
            continue;
        }
        let rule = set.clone().unwrap_or(ForCounting::USUAL);
        let rate = rule.rate(&tally, today);
        let short = short_words(rule.rule, rate);
        let whose = if office { "Counts" } else { "Your counts" };
        let (state, standing) = match (&set, short.is_empty()) {
            (Some(_), true) => ("yes", format!("{whose} here need no second reader.")),
            (Some(_), false) => (
                "no",
                format!("{whose} here want a second reader for now. {short}"),
            ),
            (None, true) => ("free", "The usual rule would be met.".to_owned()),
            (None, false) => ("free", format!("By the usual rule: {short}")),
        };
        let words = rule_words(&rule.rule, rule.with_book);
        let counted = tally.last(today, |from| rule.counts(from));
        let (overlooked, held) = tally.overlooked(today);
        let mut beside = Vec::new();
        if held > 0 {
            beside.push(format!(
                "Overlooked in drawn frames: {overlooked} of {} with a planted grass. That is another slip than a wrong name, and no part of the rule.",
                number_of(held, "cell")
            ));
        }
        match tally.not_told(today) {
            0 => {}
            n => beside.push(format!(
                "Could not name {} of the mix. That is neither right nor wrong: in a frame it becomes an unknown.",
                number_of(n, "plant")
            )),
        }
        all.push(ForPlanting {
            name: planting.body.name.clone(),
            rule: match set {
                Some(_) => words,
                None => format!(
                    "No rule is set here, so nothing is required. {}",
                    words.replacen("The rule here:", "The usual one would be:", 1)
                ),
            },
            state,
            standing,
            rate: match counted {
                Some((answers, last)) => format!(
                    "Planted or not: {}, from {}, the last on {}.",
                    rate_words(rate),
                    number_of(answers, "answer"),
                    on(last)
                ),
                None => "Planted or not: nothing answered yet that counts here.".to_owned(),
            },
            beside,
            address: office.then(|| format!("/desk/practice/rule/{}", planting.id)),
        });
    }
    Ok(all)
}
