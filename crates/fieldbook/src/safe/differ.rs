//! In what two records of one kind differ, field by field, in words a person can compare.

use serde::Serialize;
use serde_json::Value;

use crate::record::{Body, Record};

/// Longest value shown, characters.
const SHOWN: usize = 120;

/// One field in which two records differ.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Differing {
    /// The field, such as `name` or `tallies[2].cell` (items are counted from 0).
    pub field: String,
    /// What the first says; `nothing` where it has no such field.
    pub one: String,
    /// What the second says.
    pub other: String,
}

/// Everything in which two records differ, but not when they were received.
pub(super) fn records(one: &Record, other: &Record) -> Vec<Differing> {
    let bare = |record: &Record| {
        let mut value = serde_json::to_value(record).unwrap_or_default();
        if let Value::Object(fields) = &mut value {
            fields.remove("received_at");
            fields.remove("id");
            if one.body.kind() == other.body.kind() {
                fields.remove("body");
            }
        }
        value
    };
    let mut found = Vec::new();
    walk("", Some(&bare(one)), Some(&bare(other)), &mut found);
    if one.body.kind() == other.body.kind() {
        found.extend(bodies(&one.body, &other.body));
    }
    found
}

/// Everything in which two bodies of one kind differ.
pub(super) fn bodies(one: &Body, other: &Body) -> Vec<Differing> {
    let inside = |body: &Body| match serde_json::to_value(body) {
        // The one field is the kind's name.
        Ok(Value::Object(kind)) => kind.into_iter().next().map(|(_, value)| value),
        _ => None,
    };
    let mut found = Vec::new();
    walk("", inside(one).as_ref(), inside(other).as_ref(), &mut found);
    found
}

fn walk(field: &str, one: Option<&Value>, other: Option<&Value>, found: &mut Vec<Differing>) {
    if one == other {
        return;
    }
    match (one, other) {
        (Some(Value::Object(a)), Some(Value::Object(b))) => {
            let mut names: Vec<&String> = a.keys().chain(b.keys()).collect();
            names.sort();
            names.dedup();
            for name in names {
                let field = match field {
                    "" => name.clone(),
                    before => format!("{before}.{name}"),
                };
                walk(&field, a.get(name), b.get(name), found);
            }
        }
        (Some(Value::Array(a)), Some(Value::Array(b))) => {
            for at in 0..a.len().max(b.len()) {
                walk(&format!("{field}[{at}]"), a.get(at), b.get(at), found);
            }
        }
        _ => found.push(Differing {
            field: field.to_owned(),
            one: said(one),
            other: said(other),
        }),
    }
}

fn said(value: Option<&Value>) -> String {
    let text = match value {
        None | Some(Value::Null) => return "nothing".to_owned(),
        Some(Value::String(text)) if text.is_empty() => return "nothing".to_owned(),
        Some(Value::String(text)) => text.clone(),
        Some(other) => other.to_string(),
    };
    match text.char_indices().nth(SHOWN) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text,
    }
}
