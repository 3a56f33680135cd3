//! Records that are sent: kept once, weighed again, refused by the rules of the forms.

use axum::http::StatusCode;
use serde_json::{Value, json};
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Body, Opinion, Record, Unknown};

use crate::api::support::*;
use crate::desk_support::{Sample, cells, frame, record, states, taxon};

fn sent(record: &Record) -> Value {
    serde_json::to_value(record).unwrap()
}

fn outcomes(said: &Value) -> Vec<String> {
    let records = said["records"].as_array().unwrap().iter();
    records
        .map(|one| one["outcome"].as_str().unwrap().to_owned())
        .collect()
}

fn fields(said: &Value) -> Vec<String> {
    let records = said["records"].as_array().unwrap().iter();
    records
        .flat_map(|one| one["faults"].as_array().cloned().unwrap_or_default())
        .map(|fault| fault["field"].as_str().unwrap().to_owned())
        .collect()
}

#[tokio::test]
async fn records_are_kept_once_and_may_name_those_before_them() {
    let sample = Sample::empty();
    let document = document(&sample).await;
    let unknown = record(Unknown {
        visit: sample.visit,
        number: 7,
        description: "two ranked, pale".into(),
        first_seen: sample.points[0],
    });
    let counted = standbook_fieldbook::record::Counted::Unknown(unknown.id);
    let frame = record(frame(sample.points[0], 1, cells(&counted, [3, 4])));
    let both = json!([sent(&unknown), sent(&frame)]);
    let answer = post(&sample, "/api/records", &both).await;
    conforms(&document, "post", "/api/records", &answer);
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(outcomes(&json_of(&answer)), ["kept", "kept"]);
    // On disk: another program that opens the file finds them.
    let other = standbook_fieldbook::Book::open_read_only(sample.app.book.path()).unwrap();
    assert_eq!(other.frames_at(sample.points[0]).unwrap().len(), 1);

    let again = post(&sample, "/api/records", &both).await;
    assert_eq!(outcomes(&json_of(&again)), ["already", "already"]);
    // A whole number as a data frame writes it.
    let text = serde_json::to_string(&sent(&frame)).unwrap();
    let text = text.replace("\"number\":1,", "\"number\":1.0,");
    assert!(text.contains("1.0"), "{text}");
    let floats = sample
        .post_as("/api/records", "application/json", text.into_bytes())
        .await;
    assert_eq!(outcomes(&json_of(&floats)), ["already"]);
    // As the book gives it, with when it was received.
    let given = json_of(&sample.get(&format!("/api/records/{}", frame.id)).await);
    let back = post(&sample, "/api/records", &given["current"]).await;
    assert_eq!(outcomes(&json_of(&back)), ["already"]);
}

#[tokio::test]
async fn lines_are_taken_as_the_book_exports_them() {
    let from = Sample::counted(true);
    let mut lines = Vec::new();
    from.app.book.export(&mut lines).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let book = standbook_fieldbook::Book::create(folder.path().join("new.book")).unwrap();
    let app = standbook_web::App::new(book, crate::desk_support::key(), false);
    let to = Sample {
        app: std::sync::Arc::new(app),
        ..Sample::empty()
    };
    let answer = to
        .post_as("/api/records", "application/x-ndjson", lines.clone())
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    let count = from.app.book.count().unwrap();
    assert_eq!(to.app.book.count().unwrap(), count);
    let half = lines.len() / 2;
    lines.truncate(half);
    let document = document(&to).await;
    let answer = to
        .post_as("/api/records", "application/x-ndjson", lines)
        .await;
    let said = problem(&document, &answer, StatusCode::BAD_REQUEST);
    let field = said["faults"][0]["field"].as_str().unwrap();
    assert!(field.starts_with("line "), "{field}");
}

#[tokio::test]
async fn each_is_kept_or_refused_by_itself() {
    let sample = Sample::empty();
    let document = document(&sample).await;
    let good = record(frame(
        sample.points[0],
        1,
        cells(&taxon("setaria_faberi"), [1]),
    ));
    let no_such_cell = record(frame(
        sample.points[0],
        2,
        cells(&taxon("setaria_faberi"), [26]),
    ));
    let no_such_name = record(frame(sample.points[0], 3, cells(&taxon("triffid"), [1])));
    let all = json!([sent(&no_such_cell), sent(&good), sent(&no_such_name)]);
    let answer = post(&sample, "/api/records", &all).await;
    let said = problem(&document, &answer, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(outcomes(&said), ["refused", "kept", "refused"]);
    assert_eq!(fields(&said), ["tallies[0].cell", "tallies[0].what"]);
    assert!(
        said["detail"].as_str().unwrap().contains("2 of 3"),
        "{said}"
    );
    assert_eq!(sample.app.book.frames(sample.visit).unwrap().len(), 1);

    // The same id with other content.
    let mut other = good.clone();
    other.author = "B. Reed".into();
    let answer = post(&sample, "/api/records", &sent(&other)).await;
    let said = problem(&document, &answer, StatusCode::CONFLICT);
    assert_eq!(outcomes(&said), ["refused"]);
}

#[tokio::test]
async fn what_is_no_record_keeps_nothing_of_its_request() {
    let sample = Sample::empty();
    let document = document(&sample).await;
    let before = sample.app.book.count().unwrap();
    let good = sent(&record(frame(sample.points[0], 1, vec![])));
    let mut bad = sent(&record(frame(sample.points[0], 2, vec![])));
    bad["body"]["frame"]["shape"]["grid"]["cells"] = json!(-3);
    let answer = post(&sample, "/api/records", &json!([good, bad])).await;
    let said = problem(&document, &answer, StatusCode::BAD_REQUEST);
    assert_eq!(
        said["faults"][0]["field"],
        "[1].body.frame.shape.grid.cells"
    );
    for body in [
        "",
        "[]",
        "{",
        "null",
        "[{}]",
        "\u{feff}{}",
        "{\"id\":1}",
        "[[[[[[[",
    ] {
        let body = body.as_bytes().to_vec();
        let answer = sample
            .post_as("/api/records", "application/json", body)
            .await;
        problem(&document, &answer, StatusCode::BAD_REQUEST);
    }
    // Python's json writes a whole number of a data frame so; a half is none.
    let mut written = sent(&record(frame(sample.points[0], 7, vec![])));
    written["body"]["frame"]["number"] = json!(7.5);
    let answer = post(&sample, "/api/records", &written).await;
    problem(&document, &answer, StatusCode::BAD_REQUEST);
    let mut more = sent(&record(frame(sample.points[0], 3, vec![])));
    more["colour"] = json!("red");
    let answer = post(&sample, "/api/records", &more).await;
    problem(&document, &answer, StatusCode::BAD_REQUEST);
    assert_eq!(sample.app.book.count().unwrap(), before);
}

#[tokio::test]
async fn evidence_is_weighed_again_and_never_taken_over() {
    let sample = Sample::empty();
    let document = document(&sample).await;
    let seen = [
        ("ligule_type", states(&["membrane"])),
        ("sheath_hairs", states(&["dense"])),
    ];
    let good = record(sample.determine(Some("setaria_faberi"), &seen));
    let refused = |change: fn(&mut Value)| {
        let mut one = sent(&good);
        one["id"] = json!(RecordId::new());
        change(&mut one["body"]["determination"]["evidence"]);
        one
    };
    for (field, one) in [
        (
            "evidence.outcome",
            refused(|it| it["outcome"] = json!("settled")),
        ),
        (
            "evidence.ranking",
            refused(|it| {
                // Still sums to 1: only weighing again finds it.
                let a = it["ranking"][0]["probability"].take();
                it["ranking"][0]["probability"] = it["ranking"][1]["probability"].take();
                it["ranking"][1]["probability"] = a;
            }),
        ),
        (
            "evidence.table_fingerprint",
            refused(|it| it["table_fingerprint"] = json!("00ff")),
        ),
        (
            "evidence.answers[0].value",
            refused(|it| it["answers"][0]["value"] = json!({ "states": ["blue"] })),
        ),
        (
            "evidence.answers[1].trait",
            refused(|it| it["answers"][1]["trait"] = json!("colour_of_the_sky")),
        ),
        ("evidence.answers", refused(|it| it["answers"] = json!([]))),
        (
            "evidence.leaf_stage",
            refused(|it| it["leaf_stage"] = json!("seedling")),
        ),
        (
            "evidence.tools[0]",
            refused(|it| it["tools"] = json!(["plough"])),
        ),
    ] {
        let answer = post(&sample, "/api/records", &one).await;
        let said = problem(&document, &answer, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(fields(&said), [field], "{said}");
    }
    assert_eq!(sample.app.book.determinations_all().unwrap().len(), 0);

    // Rounded in the last bits, as by another program: the engine's own numbers are kept.
    let mut rounded = sent(&good);
    let first = &mut rounded["body"]["determination"]["evidence"]["ranking"][0]["probability"];
    *first = json!(first.as_f64().unwrap() + 1e-12);
    for expected in ["kept", "already"] {
        let answer = post(&sample, "/api/records", &rounded).await;
        assert_eq!(outcomes(&json_of(&answer)), [expected]);
    }
    let kept = sample.app.book.get(good.id).unwrap().unwrap();
    assert_eq!(kept.body, good.body);
}

#[tokio::test]
async fn an_opinion_brings_evidence_that_holds_and_is_never_blind() {
    let sample = Sample::counted(false);
    let document = document(&sample).await;
    let seen = sample.determine(None, &[("ligule_type", states(&["hairs"]))]);
    let opinion = |evidence| Opinion {
        genus: Some("Setaria".into()),
        evidence: Some(evidence),
        ..Opinion::on(sample.determination)
    };
    let good = record(opinion(seen.evidence.clone()));
    let answer = post(&sample, "/api/records", &sent(&good)).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());

    let mut tampered = seen.evidence.clone();
    tampered.outcome = "settled".into();
    let mut blind = opinion(seen.evidence.clone());
    blind.blind = true;
    let mut elsewhere = opinion(seen.evidence);
    elsewhere.genus = Some("Triffidus".into());
    for (field, body) in [
        ("evidence.outcome", opinion(tampered)),
        ("blind", blind),
        ("genus", elsewhere),
    ] {
        let answer = post(&sample, "/api/records", &sent(&record(body))).await;
        let said = problem(&document, &answer, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(fields(&said), [field], "{said}");
    }
    assert_eq!(sample.app.book.opinions_all().unwrap().len(), 1);
}

#[tokio::test]
async fn what_identify_says_can_be_kept_as_it_is() {
    let sample = Sample::empty();
    let seen = json!({ "answers": [
        { "trait": "tiller_base", "value": { "states": ["strongly_flattened"] } },
        { "trait": "blade_width", "value": { "measure": 4.5 } },
    ]});
    let said = post(&sample, "/api/identify", &seen).await;
    assert_eq!(said.status, StatusCode::OK, "{}", said.text());
    let mut plant = sent(&record(sample.determine(None, &[])));
    plant["body"]["determination"]["evidence"] = json_of(&said)["evidence"].clone();
    let answer = post(&sample, "/api/records", &plant).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
}

#[tokio::test]
async fn a_correction_may_keep_a_name_that_the_key_no_longer_has() {
    let sample = Sample::empty();
    let old = frame(sample.points[0], 1, cells(&taxon("a_name_of_once"), [1]));
    let first = sample.keep(old.clone());
    let mut corrected = old;
    corrected.looked_twice = false;
    let record = Record {
        supersedes: Some(first),
        ..record(Body::Frame(corrected))
    };
    let answer = post(&sample, "/api/records", &sent(&record)).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
}

#[tokio::test]
async fn a_picture_is_not_kept_without_its_bytes() {
    let sample = Sample::counted(false);
    let photo = record(standbook_fieldbook::record::Photo {
        of: sample.determination,
        sha256: "0".repeat(64),
        media_type: "image/jpeg".into(),
        bytes: 10,
        shows: String::new(),
    });
    let answer = post(&sample, "/api/records", &sent(&photo)).await;
    let said = problem(
        &document(&sample).await,
        &answer,
        StatusCode::UNPROCESSABLE_ENTITY,
    );
    assert_eq!(fields(&said), ["photo"]);
}
