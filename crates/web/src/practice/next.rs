//! What is asked next.
//!
//! In: who practises, what for, everything answered so far. Out: the address of a question. Choosing is
//! `standbook_practice::next`'s business, what there is to choose from `worth`'s.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Drill, Planting, Practice};
use standbook_fieldbook::time::now;
use standbook_key::LeafStage;
use standbook_practice::Question;
use standbook_practice::next::{Item, next};

use super::after::ask_address;
use super::ask::can_be_asked;
use super::asked::Asked;
use super::frame::can_be_told;
use super::history::{History, day_of};
use super::remembered::{Thing, id_of_answer};
use super::what_for::what_for;
use super::worth::{Offer, offers};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::ground::fresh_seed;
use crate::here::Here;

/// From so many right answers on a thing is asked of younger plants, which show less. No source; a choice.
const STABLE_DAYS: f64 = 10.0;

/// Most taxa of a frame: more than a frame of seedlings holds would only be names.
const FRAME_TAXA: usize = 6;

/// `GET /practice/next`: `drill` for one sort of question only, `book` for the book open or not.
pub(super) async fn ask(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let Some(scout) = &here.scout else {
            return Ok(Redirect::to("/practice").into_response());
        };
        let drill = drill_of(query.get("drill"));
        let planting = what_for(app, &here)?;
        let practice = app.book.practice_of(scout)?;
        let with_book = match query.get("book") {
            "1" => true,
            "0" => false,
            // As before.
            _ => practice.last().is_some_and(|last| last.body.with_book),
        };
        let mut offers = all(app, scout, planting.as_ref(), &practice)?;
        let day = day_of(&now());
        // What no specimen shows at this age is passed over: the key may have a fact and no drawing of it.
        while let Some(offer) = choose(&offers, drill, practice.last(), day) {
            let question = question(app, offer, fresh_seed());
            if can_be_asked(app, &question) {
                let address = ask_address(&question.to_string(), with_book, None);
                return Ok(Redirect::to(&address).into_response());
            }
            let passed = offer.item.id.clone();
            offers.retain(|offer| offer.item.id != passed);
        }
        Ok(Redirect::to("/practice").into_response())
    })
    .await
}

/// Everything that can be asked of a scout now.
pub(super) fn all(
    app: &App,
    scout: &str,
    planting: Option<&Entry<Planting>>,
    practice: &[Entry<Practice>],
) -> Result<Vec<Offer>, Failure> {
    let asked = Asked::of(&app.key, planting.map(|planting| &planting.body));
    let history = History::read(app, scout)?;
    Ok(offers(&app.key, &app.table, &asked, &history, practice))
}

/// The one to ask on a day, of all or of one drill.
pub(super) fn choose<'o>(
    offers: &'o [Offer],
    drill: Option<Drill>,
    last: Option<&Entry<Practice>>,
    day: f64,
) -> Option<&'o Offer> {
    let fits: Vec<&Offer> = offers
        .iter()
        .filter(|offer| drill.is_none_or(|drill| offer.thing.drill() == drill))
        .collect();
    let items: Vec<Item> = fits.iter().map(|offer| offer.item.clone()).collect();
    let just_asked = last.and_then(|last| id_of_answer(&last.body));
    // Where there is but one thing of a kind, it is asked again.
    let chosen = next(&items, just_asked.as_deref(), day).or_else(|| next(&items, None, day))?;
    fits.into_iter().find(|offer| offer.item.id == chosen.id)
}

/// The question about a thing; the seed chooses the specimen, and which grass where any will do.
fn question(app: &App, offer: &Offer, seed: u32) -> Question {
    let stage = match offer.item.memory {
        Some(memory) if memory.stability_days >= STABLE_DAYS && seed.is_multiple_of(2) => {
            LeafStage::FewLeaves
        }
        _ => LeafStage::Tillering,
    };
    match offer.thing.clone() {
        Thing::Pair(one, other) => Question::TellPair {
            one,
            other,
            stage,
            seed,
        },
        Thing::Name(taxon) => Question::NameIt { taxon, stage, seed },
        Thing::Trait(trait_id, taxa) => Question::SeeTrait {
            trait_id,
            taxon: of_these(&taxa, seed).cloned().unwrap_or_default(),
            stage: LeafStage::Tillering,
            seed,
        },
        Thing::Frame(planted, others) => {
            frame_of(app, planted, &others, LeafStage::FewLeaves, seed)
        }
    }
}

/// A frame: some of what is planted, and some of the others that the drawing tells from all of it, for
/// nobody could mark rightly what nothing drawn tells apart.
pub(super) fn frame_of(
    app: &App,
    planted: Vec<String>,
    others: &[String],
    stage: LeafStage,
    seed: u32,
) -> Question {
    let planted = some_of(planted, seed);
    let fair = others
        .iter()
        .filter(|id| can_be_told(app, id, &planted, stage));
    Question::CountFrame {
        others: some_of(fair.cloned().collect(), seed / 7),
        planted,
        stage,
        seed,
    }
}

fn of_these(taxa: &[String], seed: u32) -> Option<&String> {
    let at = usize::try_from(seed).ok()?.checked_rem(taxa.len())?;
    taxa.get(at)
}

/// At most so many, beginning anywhere, in order.
fn some_of(mut taxa: Vec<String>, seed: u32) -> Vec<String> {
    if taxa.len() > FRAME_TAXA {
        let from = usize::try_from(seed).unwrap_or(0) % taxa.len();
        taxa.rotate_left(from);
        taxa.truncate(FRAME_TAXA);
        taxa.sort_unstable();
    }
    taxa
}

/// A drill by its name in an address.
pub(super) fn drill_of(text: &str) -> Option<Drill> {
    match text {
        "see_trait" => Some(Drill::SeeTrait),
        "tell_pair" => Some(Drill::TellPair),
        "name_it" => Some(Drill::NameIt),
        "count_frame" => Some(Drill::CountFrame),
        _ => None,
    }
}
