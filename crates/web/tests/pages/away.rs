//! The page that a phone carries out of reach: all in one, and small on its way.

use crate::desk_support::Sample;
use axum::body::Body;
use axum::http::{Request, StatusCode};

/// What goes over the air for an address, bytes.
async fn sent(sample: &Sample, address: &str) -> usize {
    let request = Request::get(address)
        .header("host", "127.0.0.1:8420")
        .header("accept-encoding", "gzip");
    let answer = sample.ask(request.body(Body::empty()).unwrap()).await;
    assert_eq!(answer.status, StatusCode::OK, "{address}");
    assert_eq!(
        answer.bytes[..2],
        [0x1f, 0x8b],
        "{address} is not compressed"
    );
    answer.bytes.len()
}

/// Addresses that a text names, each once.
fn named(text: &str, before: &str) -> Vec<String> {
    let found = text.split(before).skip(1);
    let mut found: Vec<String> = found
        .map(|rest| rest.split('"').next().unwrap().to_owned())
        .collect();
    found.sort();
    found.dedup();
    found
}

/// What photos need.
const PHOTOS: [&str; 4] = ["photo_form", "photo_list", "photos", "sha256"];

/// Scripts may have 25 KB on their way, and 8 KB more for photos; all of a first visit 120 KB,
/// drawings and all.
#[tokio::test]
async fn a_first_visit_is_small() {
    let sample = Sample::empty();
    let address = format!("/visits/{}/pocket", sample.visit);
    let page = sample.get(&address).await.text();
    let styles = named(&page, "rel=\"stylesheet\" href=\"");
    assert_eq!(styles.len(), 1, "{styles:?}");
    // A module asks for others from beside it.
    let mut scripts = named(&page, "<script type=\"module\" src=\"");
    let mut at = 0;
    while let Some(script) = scripts.get(at).cloned() {
        let folder = script.rsplit_once('/').unwrap().0.to_owned();
        for quote in ["from \"./", "from './"] {
            let text = sample.get(&script).await.text().replace('\'', "\"");
            for name in named(&text, &quote.replace('\'', "\"")) {
                let one = format!("{folder}/{name}");
                if !scripts.contains(&one) {
                    scripts.push(one);
                }
            }
        }
        at += 1;
    }
    assert!(scripts.len() >= 15, "{scripts:?}");
    let (mut script_bytes, mut photo_bytes) = (0, 0);
    for script in &scripts {
        let name = script.rsplit('/').next().unwrap().trim_end_matches(".js");
        let bytes = sent(&sample, script).await;
        match PHOTOS.contains(&name) {
            true => photo_bytes += bytes,
            false => script_bytes += bytes,
        }
    }
    let page_bytes = sent(&sample, &address).await + sent(&sample, &styles[0]).await;
    let all = script_bytes + photo_bytes + page_bytes;
    println!("scripts {script_bytes}, for photos {photo_bytes}, all {all} bytes");
    assert!(script_bytes <= 25_600, "scripts: {script_bytes} bytes");
    assert!(
        photo_bytes <= 8_192,
        "scripts for photos: {photo_bytes} bytes"
    );
    assert!(all <= 122_880, "all: {all} bytes");
}

/// Out of reach nothing can be fetched: no picture, no frame, no font, no link to press by mistake.
#[tokio::test]
async fn it_asks_for_nothing_more() {
    let sample = Sample::empty();
    let page = sample
        .get(&format!("/visits/{}/pocket", sample.visit))
        .await
        .text();
    for what in ["<img", "<iframe", "url(", "<form method=\"get\""] {
        assert!(!page.contains(what), "{what}");
    }
    // Links that lead away: one where no script runs, those of what this phone keeps.
    assert_eq!(
        named(&page, "<a href=\"/"),
        [
            "outbox".to_owned(),
            "trust".to_owned(),
            format!("visits/{}", sample.visit)
        ]
    );
    // Every trait of the key can be looked at.
    for one in &sample.app.key.traits {
        if sample.app.table.trait_index(one.id.as_str()).is_some() {
            assert!(
                page.contains(&format!("data-trait=\"{}\"", one.id)),
                "{}",
                one.id
            );
        }
    }
    // Nothing within its data can end the element.
    let data = page.split("id=\"visit-data\">").nth(1).unwrap();
    let data = data.split("</script>").next().unwrap();
    assert!(!data.contains('<'));
    serde_json::from_str::<serde_json::Value>(data).unwrap();
}
