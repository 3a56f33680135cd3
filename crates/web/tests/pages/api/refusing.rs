//! Refusals have one form, whoever gives them; and who may ask.

use std::sync::Arc;
use std::time::Instant;

use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use serde_json::{Value, json};
use standbook_web::phones::code::Guest;
use standbook_web::phones::roster::Roster;
use standbook_web::{App, Phones, phone_router};
use tower::ServiceExt;

use crate::api::support::*;
use crate::desk_support::{Answer, Sample, cells, frame, key, record, taxon};

#[tokio::test]
async fn every_refusal_has_the_form_of_problems() {
    let sample = Sample::empty();
    let document = document(&sample).await;
    for (address, status) in [
        ("/api/nothing", StatusCode::NOT_FOUND),
        ("/api/records/x", StatusCode::NOT_FOUND),
        (
            "/api/records/0197f3a2-7c1e-7abc-8def-0123456789ab",
            StatusCode::NOT_FOUND,
        ),
        ("/api/plantings/x/judgement", StatusCode::NOT_FOUND),
        ("/api/records/%ff", StatusCode::BAD_REQUEST),
        ("/api/", StatusCode::NOT_FOUND),
        ("/api/records", StatusCode::METHOD_NOT_ALLOWED),
        ("/api/frames?limit=0", StatusCode::BAD_REQUEST),
        ("/api/frames?limit=1001", StatusCode::BAD_REQUEST),
        ("/api/frames?limit=+5", StatusCode::BAD_REQUEST),
        ("/api/frames?after=yesterday", StatusCode::BAD_REQUEST),
        ("/api/frames?limt=5", StatusCode::BAD_REQUEST),
        ("/api/frames?limit=5&limit=6", StatusCode::BAD_REQUEST),
        ("/api/book?x=%ff", StatusCode::BAD_REQUEST),
    ] {
        let answer = sample.get(address).await;
        let said = problem(&document, &answer, status);
        assert!(said["detail"].as_str().unwrap().len() > 10, "{said}");
    }
    let answer = sample.get("/api/frames?limt=5").await;
    let said = json_of(&answer);
    assert_eq!(said["faults"][0]["field"], "limt");
    assert_eq!(
        said["faults"][0]["mend"],
        "Ask by visit, point, after, limit."
    );
    // Nothing outside is given that form.
    assert!(
        sample
            .get("/nothing")
            .await
            .content_type
            .starts_with("text/html")
    );
}

#[tokio::test]
async fn another_method_type_or_size_is_refused() {
    let sample = Sample::empty();
    let document = document(&sample).await;
    let request = Request::delete("/api/frames").header("host", "127.0.0.1");
    let site = standbook_web::router(sample.app.clone());
    let answer = site
        .oneshot(request.body(HttpBody::empty()).unwrap())
        .await
        .unwrap();
    assert_eq!(answer.status(), StatusCode::METHOD_NOT_ALLOWED);
    assert_eq!(answer.headers()["allow"], "GET,HEAD");
    assert_eq!(answer.headers()["content-type"], "application/problem+json");

    for kind in [
        "text/plain",
        "application/x-www-form-urlencoded",
        "multipart/form-data",
        "",
    ] {
        let answer = sample.post_as("/api/records", kind, b"{}".to_vec()).await;
        problem(&document, &answer, StatusCode::UNSUPPORTED_MEDIA_TYPE);
    }
    let large = vec![b' '; 5 * 1024 * 1024];
    let answer = sample
        .post_as("/api/records", "application/json", large)
        .await;
    problem(&document, &answer, StatusCode::PAYLOAD_TOO_LARGE);
    let answer = sample
        .post_as("/api/identify", "application/json", vec![b' '; 300_000])
        .await;
    problem(&document, &answer, StatusCode::PAYLOAD_TOO_LARGE);
    let one = serde_json::to_value(record(frame(sample.points[0], 1, vec![]))).unwrap();
    let many = Value::Array(vec![one; 1001]);
    let answer = post(&sample, "/api/records", &many).await;
    problem(&document, &answer, StatusCode::PAYLOAD_TOO_LARGE);
}

#[tokio::test]
async fn pages_of_other_websites_read_and_write_nothing() {
    let sample = Sample::empty();
    let document = document(&sample).await;
    for (name, value) in [
        ("origin", "https://evil.example"),
        ("origin", "http://127.0.0.1:9999"),
        ("origin", "null"),
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
    ] {
        let answer = asked_with(&sample, "/api/sites", name, value).await;
        problem(&document, &answer, StatusCode::FORBIDDEN);
        let request = Request::post("/api/records")
            .header("host", "127.0.0.1:8420")
            .header("content-type", "application/json")
            .header(name, value);
        let answer = sample.ask(request.body("[]".into()).unwrap()).await;
        problem(&document, &answer, StatusCode::FORBIDDEN);
    }
    // A name that a website points at this machine.
    let request = Request::get("/api/sites").header("host", "evil.example:8420");
    let answer = sample.ask(request.body(HttpBody::empty()).unwrap()).await;
    problem(&document, &answer, StatusCode::BAD_REQUEST);
    let answer = asked_with(&sample, "/api/sites", "origin", "http://127.0.0.1:8420").await;
    assert_eq!(answer.status, StatusCode::OK);
}

/// The phones' door of a sample, and the keys of two phones: for the field, and with the Desk.
struct Door {
    sample: Sample,
    app: Arc<App>,
    field: String,
    desk: String,
}

impl Door {
    fn new() -> Door {
        let sample = Sample::counted(false);
        let book = sample.app.book.clone();
        let phones = Phones::new(Roster::of_book(book.path()).unwrap(), 8421);
        let let_in = |desk| {
            let scout = "Thea Marsh".to_owned();
            let guest = Guest { scout, desk };
            let (key, _) = phones.roster.let_in(&guest).unwrap();
            format!("phone={key}")
        };
        let (field, desk) = (let_in(false), let_in(true));
        let app = App::new(book, key(), false).judging_by(crate::desk_support::standards());
        let app = Arc::new(app.sharing(phones));
        Door {
            sample,
            app,
            field,
            desk,
        }
    }

    async fn ask(&self, method: &str, path: &str, cookie: &str, body: &Value) -> Answer {
        let request = Request::builder()
            .method(method)
            .uri(path)
            .header("host", "127.0.0.1:8421")
            .header("content-type", "application/json")
            .header("cookie", cookie);
        let body = HttpBody::from(body.to_string());
        let answer = phone_router(self.app.clone());
        let answer = answer.oneshot(request.body(body).unwrap()).await.unwrap();
        let content_type = answer.headers()["content-type"]
            .to_str()
            .unwrap()
            .to_owned();
        let status = answer.status();
        let bytes = axum::body::to_bytes(answer.into_body(), usize::MAX).await;
        Answer {
            status,
            location: String::new(),
            content_type,
            cookies: String::new(),
            disposition: String::new(),
            bytes: bytes.unwrap().to_vec(),
        }
    }

    async fn get(&self, path: &str, cookie: &str) -> Answer {
        self.ask("GET", path, cookie, &Value::Null).await
    }
}

#[tokio::test]
async fn phones_ask_what_is_theirs() {
    let door = Door::new();
    let document = document(&door.sample).await;
    let started = Instant::now();
    for path in ["/api", "/api/book", "/api/openapi.json", "/api/nothing"] {
        for cookie in ["", "phone=00"] {
            problem(
                &document,
                &door.get(path, cookie).await,
                StatusCode::FORBIDDEN,
            );
        }
    }
    assert!(
        started.elapsed().as_secs() < 20,
        "a stranger is answered at once"
    );
    for path in ["/api/book", "/api/frames", "/api/key/taxa"] {
        for cookie in [&door.field, &door.desk] {
            assert_eq!(
                door.get(path, cookie).await.status,
                StatusCode::OK,
                "{path}"
            );
        }
    }
    // What is to be settled, and what scouts practised.
    for path in ["/api/doubtful", "/api/practices"] {
        problem(
            &document,
            &door.get(path, &door.field).await,
            StatusCode::FORBIDDEN,
        );
        assert_eq!(
            door.get(path, &door.desk).await.status,
            StatusCode::OK,
            "{path}"
        );
    }
    let own = door.get("/desk/practice", &door.desk).await;
    assert_eq!(own.status, StatusCode::OK);
    // Pages of the office about practice.
    let planting = door.sample.planting;
    for path in [
        "/desk/practice",
        "/desk/practice/scouts",
        "/desk/practice/scouts/A.%20Fenn",
        "/desk/practice/remove",
        "/desk/practice/same-frames",
        "/desk/practice/tests/new",
        &format!("/desk/practice/rule/{planting}"),
    ] {
        let refused = door.get(path, &door.field).await;
        assert_eq!(refused.status, StatusCode::FORBIDDEN, "{path}");
    }
}

#[tokio::test]
async fn phones_send_under_their_own_name_and_no_opinions_from_the_field() {
    let door = Door::new();
    let document = document(&door.sample).await;
    let device = json_of(&door.get("/api/book", &door.field).await)["device"].clone();
    let tallies = cells(&taxon("setaria_faberi"), [1]);
    let mut one = serde_json::to_value(record(frame(door.sample.points[0], 9, tallies))).unwrap();
    let answer = door.ask("POST", "/api/records", &door.field, &one).await;
    let said = problem(&document, &answer, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(said["records"][0]["faults"][0]["field"], "device");
    one["device"] = device;
    let answer = door.ask("POST", "/api/records", &door.field, &one).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());

    let opinion = |cookie: String| {
        let mut opinion = serde_json::to_value(record(standbook_fieldbook::record::Opinion {
            reasons: "a weed".into(),
            ..standbook_fieldbook::record::Opinion::on(door.sample.determination)
        }))
        .unwrap();
        let door = &door;
        async move {
            let book = json_of(&door.get("/api/book", &cookie).await);
            opinion["device"] = book["device"].clone();
            door.ask("POST", "/api/records", &cookie, &json!([opinion]))
                .await
        }
    };
    problem(
        &document,
        &opinion(door.field.clone()).await,
        StatusCode::FORBIDDEN,
    );
    assert_eq!(opinion(door.desk.clone()).await.status, StatusCode::OK);
}
