//! The addresses for programs: an OpenAPI 3.1 document, made from the list of addresses and from
//! the types that they take and answer.
//!
//! Source of its form: OpenAPI Specification 3.1.1; forms of values are JSON Schema 2020-12.

use std::sync::LazyLock;

use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::Serialize;
use serde_json::{Map, Value, json};

use super::address::{Address, Asked, Holds, Method, form_of};
use super::all::{PARTS, addresses};
use super::problem::{PROBLEM, Problem, Refused};
use super::sent::JSON;

/// The parts of the document itself that programs rely on.
#[derive(Serialize, JsonSchema)]
#[allow(dead_code)] // the form only
pub(super) struct Document {
    /// Version of OpenAPI.
    pub openapi: String,
    /// Name, version and words.
    pub info: Value,
    /// The addresses.
    pub paths: Value,
    /// The forms.
    pub components: Value,
}

static DOCUMENT: LazyLock<String> = LazyLock::new(|| document(&addresses()).to_string());

/// `GET /api/openapi.json`
pub(super) async fn show() -> Result<Response, Refused> {
    Ok(([(CONTENT_TYPE, JSON)], DOCUMENT.as_str()).into_response())
}

fn document(addresses: &[Address]) -> Value {
    let mut generator = generator();
    let mut paths = Map::new();
    for address in addresses {
        let path = paths
            .entry(address.path.clone())
            .or_insert_with(|| json!({}));
        path[address.method.id()] = operation(address, &mut generator);
    }
    json!({
        "openapi": "3.1.1",
        "info": {
            "title": "Standbook",
            "version": env!("CARGO_PKG_VERSION"),
            "summary": "A book of a stand of native grasses: records, names of plants, verdicts.",
            "description": "For scripts on the laptop that holds the book, and for phones that were let in. Whatever is refused is answered in the form Problem: what is wrong, and how to mend it. Instants are UTC with milliseconds, dates ISO 8601, positions degrees of WGS 84; other units end the name of a field.",
            "license": { "name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0" },
        },
        "servers": [{ "url": "/" }],
        "tags": PARTS.map(|(name, words)| json!({ "name": name, "description": words })),
        "paths": paths,
        "components": { "schemas": generator.take_definitions(true) },
    })
}

/// Forms lie where an OpenAPI document has them, and say how large its numbers may be: a reader of
/// JSON Schema knows no `uint32`.
fn generator() -> SchemaGenerator {
    let bounded = RecursiveTransform(|schema: &mut Schema| {
        let most = match schema.get("format").and_then(Value::as_str) {
            Some("uint32") => json!(u32::MAX),
            Some("uint64" | "uint") => json!(u64::MAX),
            _ => return,
        };
        schema.insert("maximum".to_owned(), most);
    });
    let settings = SchemaSettings::draft2020_12().with(|settings| {
        settings.definitions_path = "/components/schemas".into();
        settings.meta_schema = None;
    });
    settings.with_transform(bounded).into_generator()
}

fn operation(address: &Address, generator: &mut SchemaGenerator) -> Value {
    let mut operation = json!({
        "operationId": name_of(address.method, &address.path),
        "tags": [address.part],
        "summary": address.words,
        "parameters": parameters(address),
        "responses": responses(address, generator),
    });
    if address.office {
        operation["description"] =
            json!("Phones need the Desk for this: it is given when they are let in.");
    }
    if let Some(takes) = &address.takes {
        let content = takes.content.iter().map(|(kind, form)| {
            let content = match form {
                Some(form) => json!({ "schema": form(generator) }),
                None => json!({}),
            };
            ((*kind).to_owned(), content)
        });
        operation["requestBody"] = json!({
            "description": takes.words,
            "required": true,
            "content": content.collect::<Map<_, _>>(),
        });
    }
    operation
}

/// `get_records_id`: its method and the words of its address.
fn name_of(method: Method, path: &str) -> String {
    let mut name = method.id().to_owned();
    let words = path.trim_start_matches("/api");
    for part in words.split(|c: char| !c.is_ascii_alphanumeric() && c != '_') {
        if !part.is_empty() {
            name.push('_');
            name.push_str(part);
        }
    }
    name
}

/// The names in braces of an address.
fn names_in(path: &str) -> impl Iterator<Item = &str> {
    path.split('{')
        .skip(1)
        .filter_map(|rest| rest.split('}').next())
}

fn parameters(address: &Address) -> Vec<Value> {
    let in_path = names_in(&address.path).map(|name| {
        json!({
            "name": name,
            "in": "path",
            "required": true,
            "description": "Id of the record, of any version of it.",
            "schema": { "type": "string", "format": "uuid" },
        })
    });
    in_path.chain(address.asked.iter().map(asked)).collect()
}

fn asked(asked: &Asked) -> Value {
    let schema = match asked.holds {
        Holds::Id => json!({ "type": "string", "format": "uuid" }),
        Holds::Number { least, most, usual } => {
            json!({ "type": "integer", "minimum": least, "maximum": most, "default": usual })
        }
    };
    json!({
        "name": asked.name,
        "in": "query",
        "required": false,
        "description": asked.words,
        "schema": schema,
    })
}

fn responses(address: &Address, generator: &mut SchemaGenerator) -> Map<String, Value> {
    let answers = &address.answers;
    let content = match answers.form {
        Some(form) => json!({ "schema": form(generator) }),
        None => json!({}),
    };
    let mut responses = Map::new();
    let mut good = json!({
        "description": answers.words,
        "content": { answers.content: content },
    });
    for leads in &address.leads {
        good["links"][leads.name] = json!({
            "operationId": name_of(Method::Get, leads.path),
            "parameters": { leads.parameter: format!("$response.body#{}", leads.pointer) },
        });
    }
    responses.insert("200".to_owned(), good);
    let problem = form_of::<Problem>(generator);
    for (status, words) in &address.refuses {
        let content = json!({ PROBLEM: { "schema": problem } });
        let refused = json!({ "description": words, "content": content });
        responses.insert(status.to_string(), refused);
    }
    responses
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_come_from_addresses() {
        let names: Vec<String> = addresses()
            .iter()
            .map(|it| name_of(it.method, &it.path))
            .collect();
        assert!(names.contains(&"get_plantings_planting_judgement".to_owned()));
        let mut once = names.clone();
        once.sort();
        once.dedup();
        assert_eq!(once.len(), names.len(), "{names:?}");
        let words: Vec<&str> = names_in("/api/a/{one}/b/{two}").collect();
        assert_eq!(words, ["one", "two"]);
    }
}
