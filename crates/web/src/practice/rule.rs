//! The rule of one planting: when a scout's counts need no second reader.
//!
//! In: the office's form. Out: a record; frames of scouts who do not meet it are marked from then on
//! (`marks`). What counts stands on the page in the words of `standbook_practice::planted`.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Planting, ScoutRule};
use standbook_fieldbook::{Body, Entry};

use super::scouts::address;
use super::standing::{ForCounting, now, of_scouts};
use super::words::rule_words;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::ground::rule::number;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::keep_form;
use crate::words::plain;

#[derive(Template)]
#[template(path = "practice/rule.html")]
struct RulePage {
    shell: Shell,
    planting: Entry<Planting>,
    /// The rule as it is, or that there is none.
    now: String,
    /// Scouts who counted here: address, name, whether they meet it today; without a rule none.
    scouts: Vec<(String, String, bool)>,
    filled: Filled,
}

fn find(app: &App, id: &str) -> Result<Entry<Planting>, Failure> {
    let found = app.book.planting(record_id(id, "planting")?)?;
    found.ok_or(Failure::NotFound { what: "planting" })
}

fn page(
    app: &App,
    here: &Here,
    planting: Entry<Planting>,
    mut filled: Filled,
) -> Result<Response, Failure> {
    filled.begin(here);
    let rule = ForCounting::of(app, planting.id)?;
    let mut scouts = Vec::new();
    if let Some(rule) = &rule {
        let mut names = Vec::new();
        for visit in app.book.visits(planting.id)? {
            names.extend(visit.body.scouts);
        }
        names.sort_by_key(|name| name.to_lowercase());
        let today = now();
        for it in of_scouts(app, &planting, names.iter().map(String::as_str))? {
            let meets = rule.is_met(&it.tally, today);
            scouts.push((address(&it.name), it.name, meets));
        }
    }
    let page = RulePage {
        shell: Shell::new(app, here, Tab::Desk, "Rule for counting"),
        now: match &rule {
            Some(rule) => rule_words(&rule.rule, rule.with_book),
            None => "No rule is set, so nothing is required and no frame is marked. The form below shows the usual one.".to_owned(),
        },
        scouts,
        planting,
        filled,
    };
    respond(&page.filled.troubles, &page)
}

/// `GET /desk/practice/rule/{planting}`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(planting): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = find(app, &planting)?;
        let set = app.book.scout_rule(planting.id)?;
        let mut filled = Filled::new();
        if let Some(set) = &set {
            filled.set("supersedes", set.id.to_string());
        }
        let withdrawn = set.as_ref().is_some_and(|set| set.body.withdrawn);
        let rule = set.map_or(ForCounting::USUAL, |set| ForCounting::by(&set.body));
        // A share of binary digits times 100 has a tail that nobody typed.
        let percent = |share: f64| plain((share * 1e5).round() / 1e3);
        filled.set("at_least", percent(rule.rule.at_least));
        filled.set("sure", percent(rule.rule.sure));
        let yes = |on: bool| if on { "yes" } else { "" };
        filled.set("with_book", yes(rule.with_book));
        filled.set("own_rates", yes(rule.own_rates));
        filled.set("withdrawn", yes(withdrawn));
        page(app, &here, planting, filled)
    })
    .await
}

/// `POST /desk/practice/rule/{planting}`.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    Path(planting): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let planting = find(app, &planting)?;
        let mut filled = Filled::sent(form);
        let at_least = number(&mut filled, "at_least", "Right at least", 1.0, 99.0);
        let sure = number(&mut filled, "sure", "How sure", 50.0, 99.0);
        let body = at_least.zip(sure).map(|(at_least, sure)| {
            Body::ScoutRule(ScoutRule {
                planting: planting.id,
                at_least: at_least / 100.0,
                sure: sure / 100.0,
                with_book: filled.get("with_book") == "yes",
                own_rates: filled.get("own_rates") == "yes",
                withdrawn: filled.get("withdrawn") == "yes",
            })
        });
        let to = |_| format!("/desk/practice/rule/{}", planting.id);
        match keep_form(app, &here, &mut filled, "rule", body, to)? {
            Some(saved) => Ok(saved),
            None => page(app, &here, planting, filled),
        }
    })
    .await
}
