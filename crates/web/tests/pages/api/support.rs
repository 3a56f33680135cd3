//! Requests in JSON, and answers held against the document.

use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use serde_json::{Value, json};

use crate::desk_support::{Answer, Sample};

/// The document as it is served.
pub async fn document(sample: &Sample) -> Value {
    json_of(&sample.get("/api/openapi.json").await)
}

#[track_caller]
pub fn json_of(answer: &Answer) -> Value {
    let text = answer.text();
    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error} in {text}"))
}

/// Sends JSON.
pub async fn post(sample: &Sample, path: &str, body: &Value) -> Answer {
    let body = serde_json::to_vec(body).unwrap();
    sample.post_as(path, "application/json", body).await
}

/// Asks with one more header.
pub async fn asked_with(sample: &Sample, path: &str, name: &str, value: &str) -> Answer {
    let request = Request::get(path)
        .header("host", "127.0.0.1:8420")
        .header(name, value);
    sample.ask(request.body(HttpBody::empty()).unwrap()).await
}

/// Holds an answer against what the document says of this address, as a path of the document.
#[track_caller]
pub fn conforms(document: &Value, method: &str, path: &str, answer: &Answer) {
    let status = answer.status.as_u16().to_string();
    let said = &document["paths"][path][method]["responses"][&status];
    assert!(
        said.is_object(),
        "{method} {path} answers {status}, which is not documented: {}",
        answer.text()
    );
    let kind = answer.content_type.split(';').next().unwrap();
    let content = &said["content"][kind];
    assert!(
        content.is_object(),
        "{method} {path} answers {status} as {kind}: not documented"
    );
    if !content["schema"].is_null() {
        holds(document, &content["schema"], &json_of(answer));
    }
}

/// Holds a value against a form of the document.
#[track_caller]
pub fn holds(document: &Value, form: &Value, value: &Value) {
    let mut whole = form.clone();
    whole["components"] = document["components"].clone();
    let validator = jsonschema::draft202012::new(&whole).unwrap();
    let errors: Vec<String> = validator
        .iter_errors(value)
        .map(|error| format!("{} at {}", error, error.instance_path()))
        .collect();
    assert!(errors.is_empty(), "{errors:#?} in {value:#}");
}

/// Holds a refusal against the form of problems, and gives it.
#[track_caller]
pub fn problem(document: &Value, answer: &Answer, status: StatusCode) -> Value {
    assert_eq!(answer.status, status, "{}", answer.text());
    assert_eq!(answer.content_type, "application/problem+json");
    let problem = json_of(answer);
    let form = json!({ "$ref": "#/components/schemas/Problem" });
    holds(document, &form, &problem);
    assert_eq!(problem["status"], status.as_u16());
    problem
}
