//! What a phone out of reach would take along: the modules of the walk, and the table.

use std::collections::BTreeSet;

use crate::desk_support::Sample;
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Request, StatusCode};
use standbook_identify::phone;
use standbook_web::pocket::{SOURCES, TABLE, address};
use standbook_web::router;
use tower::ServiceExt;

/// Status, headers and text of an address, asked with a tag.
async fn get(sample: &Sample, path: &str, tag: &str) -> (StatusCode, HeaderMap, String) {
    let request = Request::get(path)
        .header("host", "127.0.0.1:8420")
        .header("if-none-match", tag)
        .body(Body::empty())
        .unwrap();
    let answer = router(sample.app.clone()).oneshot(request).await.unwrap();
    let (head, body) = answer.into_parts();
    let bytes = to_bytes(body, 1 << 20).await.unwrap();
    let text = String::from_utf8(bytes.to_vec()).unwrap();
    (head.status, head.headers, text)
}

/// What is not the engine: it keeps what is saved, and speaks with the laptop.
const PAGE: [&str; 14] = [
    "away.js",
    "dom.js",
    "frame.js",
    "layer.js",
    "outbox.js",
    "photo_form.js",
    "photo_list.js",
    "photos.js",
    "plant.js",
    "save.js",
    "sha256.js",
    "uuid.js",
    "visit.js",
    "way.js",
];

/// Every module is there, may be kept for ever, and loads only modules that lie beside it.
#[tokio::test]
async fn the_modules_load_one_another() {
    let sample = Sample::empty();
    let names: BTreeSet<&str> = SOURCES.iter().map(|(name, _)| *name).collect();
    let mut loaded = 0;
    for name in &names {
        let (status, headers, text) = get(&sample, &address(name), "").await;
        assert_eq!(status, StatusCode::OK, "{name}");
        assert_eq!(headers["content-type"], "text/javascript; charset=utf-8");
        assert_eq!(
            headers["cache-control"],
            "public, max-age=31536000, immutable"
        );
        let imports = text.lines().filter(|line| line.starts_with("import "));
        for rest in imports.filter_map(|line| line.split(" from ").nth(1)) {
            let other = rest
                .trim_start_matches(['"', '\''])
                .split(['"', '\''])
                .next()
                .unwrap();
            let beside = other.strip_prefix("./").expect("beside it");
            assert!(names.contains(beside), "{name} loads {other}");
            loaded += 1;
        }
        if PAGE.contains(name) {
            continue;
        }
        // They compute and know no page: that is what lets them be tested by numbers alone.
        for word in ["document", "window", "fetch(", "localStorage"] {
            assert!(!text.contains(word), "{name} knows `{word}`");
        }
    }
    assert!(loaded > 8, "{loaded}");
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("static/pocket");
    let files = std::fs::read_dir(folder).unwrap();
    let files = files.map(|file| file.unwrap().file_name().into_string().unwrap());
    let modules: BTreeSet<String> = files.filter(|name| name.ends_with(".js")).collect();
    assert!(modules.iter().eq(names), "{modules:?} are not all served");
}

/// A page of an older program must not be given newer modules one by one.
#[tokio::test]
async fn modules_of_another_program_are_not_given() {
    let sample = Sample::empty();
    for path in [
        address("table.js").replace("/pocket/", "/pocket/0"),
        address("tables.js"),
        address("tsconfig.json"),
        "/assets/pocket".to_owned(),
    ] {
        let (status, ..) = get(&sample, &path, "").await;
        assert_eq!(status, StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test]
async fn the_table_is_sent_once_and_then_only_when_it_changed() {
    let sample = Sample::empty();
    let (status, headers, text) = get(&sample, TABLE, "\"another\"").await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(headers["content-type"], "application/json");
    assert_eq!(headers["cache-control"], "no-cache");
    let table = phone::read(&text).unwrap();
    assert_eq!(table.fingerprint, sample.app.table.fingerprint);
    assert!(text.len() <= phone::MOST_BYTES, "{} bytes", text.len());
    let tag = headers["etag"].to_str().unwrap();
    assert!(
        tag.starts_with(&format!("\"{}-", table.fingerprint)),
        "{tag}"
    );
    for asked in [tag.to_owned(), format!("\"x\", W/{tag}"), "*".to_owned()] {
        let (status, headers, text) = get(&sample, TABLE, &asked).await;
        assert_eq!(status, StatusCode::NOT_MODIFIED, "{asked}");
        assert_eq!(headers["etag"], tag);
        assert_eq!(text, "");
    }
    // How long a look takes alters what is proposed next, but no probability and so no fingerprint.
    let mut slower = sample.app.table.clone();
    slower.traits[0].effort_s += 1;
    let sent = standbook_web::pocket::Sent::of(&slower).unwrap();
    assert_ne!(sent.tag, tag);
}
