//! The document, the page and the router know the same addresses, and answers have their forms.

use std::path::Path;

use serde_json::{Value, json};

use crate::api::support::*;
use crate::desk_support::{Sample, states};

/// A book with something of most kinds.
fn filled() -> Sample {
    let sample = Sample::counted(true);
    sample.keep(standbook_fieldbook::record::Opinion {
        taxon: Some("sorghastrum_nutans".into()),
        reasons: "notched ligule".into(),
        ..standbook_fieldbook::record::Opinion::on(sample.determination)
    });
    sample
}

#[tokio::test]
async fn every_address_that_reads_answers_in_its_form() {
    let sample = filled();
    let document = document(&sample).await;
    let mut read = 0;
    for (path, methods) in document["paths"].as_object().unwrap() {
        if methods["get"].is_null() {
            continue;
        }
        let address = path
            .replace("{id}", &sample.determination.to_string())
            .replace("{planting}", &sample.planting.to_string());
        let answer = sample.get(&address).await;
        assert_eq!(answer.status.as_u16(), 200, "{address}: {}", answer.text());
        conforms(&document, "get", path, &answer);
        read += 1;
        // A record that is not there, and what is no id at all.
        for id in ["0197f3a2-7c1e-7abc-8def-0123456789ab", "x"] {
            let elsewhere = path.replace("{id}", id).replace("{planting}", id);
            if elsewhere != *path {
                let answer = sample.get(&elsewhere).await;
                assert_eq!(answer.status.as_u16(), 404, "{elsewhere}");
                conforms(&document, "get", path, &answer);
            }
        }
        // Every question it may be asked, by something that fits and by something that does not.
        for asked in methods["get"]["parameters"].as_array().unwrap() {
            if asked["in"] != "query" {
                continue;
            }
            let name = asked["name"].as_str().unwrap();
            for value in [
                "7",
                "x",
                "",
                &sample.visit.to_string(),
                &sample.planting.to_string(),
            ] {
                let answer = sample.get(&format!("{address}?{name}={value}")).await;
                conforms(&document, "get", path, &answer);
            }
        }
    }
    assert!(read > 20, "{read}");
}

/// Without this a form that allows anything would let every answer through.
#[tokio::test]
async fn forms_say_what_is_in_an_answer() {
    let sample = filled();
    let document = document(&sample).await;
    let mut page = json_of(&sample.get("/api/frames?limit=1").await);
    let form = &document["paths"]["/api/frames"]["get"]["responses"]["200"]["content"];
    let form = &form["application/json"]["schema"];
    holds(&document, form, &page);
    page["items"][0]["record"]["body"]["frame"]["number"] = json!("one");
    let broken = std::panic::catch_unwind(|| holds(&document, form, &page));
    assert!(broken.is_err());
}

#[tokio::test]
async fn the_page_in_words_lists_what_the_document_does() {
    let sample = Sample::empty();
    let page = sample.get("/api").await;
    for (path, methods) in document(&sample).await["paths"].as_object().unwrap() {
        page.holds(path);
        for operation in methods.as_object().unwrap().values() {
            let words = operation["summary"].as_str().unwrap();
            assert!(words.ends_with('.'), "{words}");
        }
    }
    sample.get("/desk/book").await.holds("href=\"/api\"");
}

/// An address that were given to the router elsewhere would be in no document.
#[test]
fn no_address_under_api_is_made_anywhere_else() {
    fn sources(folder: &Path, found: &mut Vec<(String, String)>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                sources(&path, found);
            } else {
                let text = std::fs::read_to_string(&path).unwrap();
                found.push((path.display().to_string(), text));
            }
        }
    }
    let mut found = Vec::new();
    sources(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("src"),
        &mut found,
    );
    let routed: Vec<&str> = found
        .iter()
        .flat_map(|(_, text)| text.split(".route(").skip(1))
        .map(|rest| rest.trim_start().split(',').next().unwrap())
        .filter(|address| address.starts_with("\"/api"))
        .collect();
    assert_eq!(routed, ["\"/api/{*rest}\""]);
}

#[tokio::test]
async fn a_plant_is_named_as_the_pages_name_it() {
    let sample = filled();
    let document = document(&sample).await;
    let seen = json!({
        "answers": [
            { "trait": "tiller_base", "value": { "states": ["slightly_flattened"] } },
            { "trait": "sheath_hairs", "value": { "states": ["sparse", "dense"] } },
            { "trait": "ligule_type", "value": { "states": ["membrane"] } },
            { "trait": "vernation", "value": "cannot_tell" },
        ],
        "leaf_stage": "tillering",
        "tools": ["lens"],
        "planting": sample.planting,
    });
    let answer = post(&sample, "/api/identify", &seen).await;
    conforms(&document, "post", "/api/identify", &answer);
    let said = json_of(&answer);
    // The same plant stands in the book, named by the engine directly.
    let kept = sample.app.book.determination(sample.determination).unwrap();
    let kept = kept.unwrap().body.evidence;
    assert_eq!(said["outcome"], kept.outcome.as_str());
    assert_eq!(
        said["ranking"],
        serde_json::to_value(&kept.ranking).unwrap()
    );
    let total: f64 = numbers(&said["ranking"], "probability").iter().sum();
    assert!((total - 1.0).abs() < 1e-9);
    // Three answers weigh; what could not be told says nothing.
    assert_eq!(said["spoke"].as_array().unwrap().len(), 3);
    assert_eq!(said["evidence"]["answers"], seen["answers"]);
    let looked: Vec<&str> = said["look_next"]
        .as_array()
        .unwrap()
        .iter()
        .map(|look| look["trait"].as_str().unwrap())
        .collect();
    assert!(
        !looked.is_empty() && !looked.contains(&"ligule_type"),
        "{looked:?}"
    );
    let records = sample.app.book.count().unwrap();
    assert_eq!(
        records,
        filled().app.book.count().unwrap(),
        "nothing is kept"
    );
}

fn numbers(list: &Value, field: &str) -> Vec<f64> {
    let list = list.as_array().unwrap().iter();
    list.map(|one| one[field].as_f64().unwrap()).collect()
}

#[tokio::test]
async fn the_doubtful_stand_in_the_order_of_the_desk() {
    let sample = filled();
    for hairs in ["none", "sparse", "dense"] {
        sample.keep(sample.determine(
            Some("andropogon_gerardi"),
            &[("sheath_hairs", states(&[hairs]))],
        ));
    }
    let said = json_of(&sample.get("/api/doubtful").await);
    let listed: Vec<String> = said["plants"]
        .as_array()
        .unwrap()
        .iter()
        .map(|plant| plant["determination"].as_str().unwrap().to_owned())
        .collect();
    let page = sample.get("/desk").await.text();
    let on_page: Vec<String> = page
        .split("<li><a href=\"/determinations/")
        .skip(1)
        .map(|row| row[..36].to_owned())
        .collect();
    assert_eq!(listed.len(), 4);
    assert_eq!(listed, on_page);
    assert_eq!(said["plants"][0]["of"], 300, "twelve frames of 25 cells");
    let two = json_of(&sample.get("/api/doubtful?limit=2").await);
    assert_eq!(two["plants"].as_array().unwrap().len(), 2);
}
