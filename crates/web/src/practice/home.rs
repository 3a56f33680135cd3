//! The front page of Practice: begin, what for, and what comes first and why.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::record::{Drill, Practice};
use standbook_fieldbook::time::now;
use standbook_fieldbook::{Entry, RecordId};

use super::history::day_of;
use super::next::{all, choose};
use super::remembered::Thing;
use super::what_for::what_for;
use super::worth::Offer;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::words::{number_of, taxon_name};

/// A planting to practise for.
struct Choice {
    id: RecordId,
    name: String,
    chosen: bool,
}

/// A drill by itself.
struct DrillLink {
    name: &'static str,
    what: &'static str,
    address: &'static str,
}

const DRILLS: [DrillLink; 4] = [
    DrillLink {
        name: "See the trait",
        what: "one look at one plant",
        address: "/practice/next?drill=see_trait",
    },
    DrillLink {
        name: "Tell the pair",
        what: "two look-alikes side by side",
        address: "/practice/next?drill=tell_pair",
    },
    DrillLink {
        name: "Name it",
        what: "a whole seedling",
        address: "/practice/next?drill=name_it",
    },
    DrillLink {
        name: "Count the frame",
        what: "25 cells, some plants small",
        address: "/practice/next?drill=count_frame",
    },
];

#[derive(Template)]
#[template(path = "practice/home.html")]
struct HomePage {
    shell: Shell,
    /// Plantings to choose from; the choice of none is the template's.
    plantings: Vec<Choice>,
    for_all: bool,
    /// What comes first, and why.
    first: Vec<(String, String)>,
    /// `12 answers today`; empty for none.
    today: String,
    drills: [DrillLink; 4],
}

/// `GET /practice`.
pub(super) async fn home(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = what_for(app, &here)?;
        let chosen = planting.as_ref().map(|planting| planting.id);
        let plantings = app.book.plantings()?;
        let choices = plantings.into_iter().map(|planting| Choice {
            id: planting.id,
            name: planting.body.name,
            chosen: Some(planting.id) == chosen,
        });
        let (mut first, mut today) = (Vec::new(), String::new());
        if let Some(scout) = &here.scout {
            let practice = app.book.practice_of(scout)?;
            let offers = all(app, scout, planting.as_ref(), &practice)?;
            let day = day_of(&now());
            first = coming(app, &offers, &practice, day);
            today = done_today(&practice);
        }
        html(&HomePage {
            shell: Shell::new(app, &here, Tab::Practice, "Practice"),
            plantings: choices.collect(),
            for_all: chosen.is_none(),
            first,
            today,
            drills: DRILLS,
        })
    })
    .await
}

/// What would come first of each drill, in words.
fn coming(
    app: &App,
    offers: &[Offer],
    practice: &[Entry<Practice>],
    day: f64,
) -> Vec<(String, String)> {
    [
        Drill::TellPair,
        Drill::NameIt,
        Drill::SeeTrait,
        Drill::CountFrame,
    ]
    .into_iter()
    .filter_map(|drill| choose(offers, Some(drill), practice.last(), day))
    .map(|offer| (called(app, &offer.thing), why(offer, day)))
    .collect()
}

/// What a thing is called.
fn called(app: &App, thing: &Thing) -> String {
    let name = |id: &str| taxon_name(app, id).0;
    match thing {
        Thing::Pair(one, other) => format!("{} or {}", name(one), name(other)),
        Thing::Name(taxon) => name(taxon),
        Thing::Trait(id, _) => app
            .key
            .trait_by_id(id)
            .map_or_else(|| id.clone(), |one| one.name.clone()),
        Thing::Frame(..) => "a frame of 25 cells".to_owned(),
    }
}

/// Why it comes.
fn why(offer: &Offer, day: f64) -> String {
    let mut reasons = Vec::new();
    if offer.mixed_up > 0 {
        let times = match offer.mixed_up {
            1 => "once".to_owned(),
            many => format!("{many} times"),
        };
        reasons.push(format!("you took one for the other {times}"));
    }
    reasons.push(match offer.item.memory {
        None => "not asked yet".to_owned(),
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "days, from 0"
        )]
        Some(memory) => match (day - memory.day).max(0.0) as usize {
            0 => "asked today".to_owned(),
            days => format!("last asked {} ago", number_of(days, "day")),
        },
    });
    if offer.sown {
        reasons.push("sown in this planting".to_owned());
    }
    if matches!(offer.thing, Thing::Frame(..)) {
        reasons.push("small plants are overlooked more often than misnamed".to_owned());
    }
    reasons.join("; ")
}

fn done_today(practice: &[Entry<Practice>]) -> String {
    let now = now();
    let today = now.get(..10).unwrap_or_default();
    match practice
        .iter()
        .filter(|answer| answer.born_at.starts_with(today))
        .count()
    {
        0 => String::new(),
        many => format!("{} today", number_of(many, "answer")),
    }
}
