//! The judgement as one JSON object, spelled as in the file that the report page gives.
//!
//! In: a judgement. Out: `standbook` (version), `key` (id, title, fingerprint), `judgement`,
//! `ignored_columns` and `notes` (on the file). Numbers are unrounded; shares run from 0 to 1, densities are plants per
//! m2. What hangs on a mix or on days that nobody gave is null.
//! Not here: any number that the judgement does not have.

use serde_json::{Map, Value, json};
use standbook_judge::PLANTED;

use super::Said;

/// What hangs on the days.
const DATED: [&str; 7] = [
    "season",
    "fairness",
    "verdict",
    "situations",
    "advice",
    "look_again",
    "corrected",
];
/// What hangs on the mix.
const OF_PLANTED: [&str; 8] = [
    "compared",
    "not_compared",
    "by_part",
    "unsettled",
    "weeds",
    "enough",
    "seen_twice",
    "emergence",
];

/// The object.
pub fn whole(said: &Said<'_>) -> Result<String, serde_json::Error> {
    let mut judgement = serde_json::to_value(said.judgement)?;
    snake(&mut judgement);
    if !said.has_verdict() {
        empty(&mut judgement, &DATED);
    }
    if !said.has_planted {
        empty(&mut judgement, &OF_PLANTED);
        without_planted(&mut judgement);
    }
    judgement["facts"]["seeded_on"] = json!(said.seeded_on);
    judgement["facts"]["visited_on"] = json!(said.visited_on);
    let whole = json!({
        "standbook": env!("CARGO_PKG_VERSION"),
        "key": {
            "id": said.key.id,
            "title": said.key.title,
            "fingerprint": standbook_key::fingerprint::of_key(said.key),
        },
        "judgement": judgement,
        "ignored_columns": said.ignored,
        "notes": said.notes,
    });
    serde_json::to_string_pretty(&whole)
}

fn empty(judgement: &mut Value, fields: &[&str]) {
    for field in fields {
        judgement[*field] = Value::Null;
    }
}

/// Without a mix there is no group of the planted, and no note that says so.
fn without_planted(judgement: &mut Value) {
    let is_planted = |group: &Value| {
        let name = group["name"].as_str().unwrap_or_default();
        name == PLANTED || name.starts_with("group:")
    };
    let drop = |groups: &mut Value| {
        if let Some(groups) = groups.as_array_mut() {
            groups.retain(|group| !is_planted(group));
        }
    };
    let summary = &mut judgement["summary"];
    if let Some(grids) = summary["grids"].as_array_mut() {
        grids.iter_mut().for_each(|grid| drop(&mut grid["groups"]));
    }
    if summary["quadrats"].is_object() {
        drop(&mut summary["quadrats"]["groups"]);
    }
    if let Some(notes) = judgement["notes"].as_array_mut() {
        notes.retain(|note| note != "no_mix");
    }
}

/// Gives every key the spelling of the report's file: results that could be worked out stand
/// under `ok`, reasons why not under `error`.
fn snake(value: &mut Value) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(snake),
        Value::Object(map) => {
            let old = std::mem::take(map);
            let mut new = Map::new();
            for (key, mut inner) in old {
                snake(&mut inner);
                let key = match key.as_str() {
                    "Ok" => "ok".to_owned(),
                    "Err" => "error".to_owned(),
                    _ => key,
                };
                new.insert(key, inner);
            }
            *map = new;
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}
