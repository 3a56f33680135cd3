//! Drawings on pages: the walk's cards, the grasses, look-alikes side by side, the words drawn.

use crate::desk_support::Sample;
use crate::desk_support::markup::{ids_are_sound, values};
use axum::http::StatusCode;
use standbook_key::Trait;

/// A drawing's element, from the id of its title on.
#[track_caller]
fn drawing<'a>(page: &'a str, id: &str) -> &'a str {
    let from = page
        .find(&format!("<title id=\"{id}-t\">"))
        .unwrap_or_else(|| panic!("no drawing {id}"));
    page[from..].split("</svg>").next().unwrap()
}

#[track_caller]
fn state_is_drawn(page: &str, place: &str, one: &Trait, state: &standbook_key::State) {
    let svg = drawing(page, &format!("{place}-{}-{}", one.id, state.id));
    assert!(svg.contains(&format!("{}: {}</title>", one.name, state.name)));
    assert!(svg.contains("<desc id="), "{}: no description", state.id);
    assert!(
        svg.contains("<path") || svg.contains("<use"),
        "{}: no strokes",
        state.id
    );
}

#[tokio::test]
async fn the_glossary_draws_every_state_of_every_trait() {
    let sample = Sample::empty();
    let page = sample.get("/key/glossary").await;
    assert_eq!(page.status, StatusCode::OK);
    let text = page.text();
    ids_are_sound(&text);
    let mut states = 0;
    for one in &sample.app.key.traits {
        page.holds(&format!("<section class=\"entry\" id=\"{}\"", one.id));
        for state in one.states() {
            state_is_drawn(&text, "g", one, state);
            states += 1;
        }
        if one.id.as_str() != "odor_or_other" {
            drawing(&text, &format!("g-where-{}", one.id));
        }
        if one.measure().is_some() {
            drawing(&text, &format!("g-measure-{}", one.id));
        }
    }
    assert_eq!(states, 89);
    for word in ["vernation", "pure live seed (PLS)", "tiller", "spikelet"] {
        page.holds(&format!("<dt>{word}</dt>"));
    }
    let words = text.matches("<dt>").count();
    assert_eq!(text.matches("Common practice.</span>").count(), words);
    // Where the page would be split into one a class.
    assert!(page.bytes.len() < 150_000, "{} bytes", page.bytes.len());
    // Every drawing that a word of the trade wants is one of this key.
    assert!(text.matches("aria-hidden=\"true\"><").count() > 20);
    sample.get("/key").await.holds("href=\"/key/glossary\"");
}

/// A drawing used in several places is styled in a tree of its own: the class must be within it.
#[tokio::test]
async fn shared_drawings_carry_their_class() {
    let page = Sample::empty().get("/key/glossary").await;
    let text = page.text();
    let symbols: Vec<&str> = text.split("<symbol ").skip(1).collect();
    assert!(symbols.len() > 5);
    for symbol in symbols {
        assert!(symbol.contains("viewBox=\"0 0 100 100\"><g class=\"drawing\">"));
    }
    // The strokes are defined on every page.
    let sheet = values(&text, "href")
        .into_iter()
        .find(|a| a.starts_with("/assets/"))
        .unwrap()
        .to_owned();
    Sample::empty()
        .get(&sheet)
        .await
        .holds(standbook_drawing::pen::STYLE);
}

#[tokio::test]
async fn the_walk_shows_a_card_for_each_state_and_needs_no_script() {
    let sample = Sample::empty();
    // Traits that hang on another are asked after the answer that they hang on.
    let answers = "&a=sheath_hairs:dense&a=ligule_type:membrane";
    for one in &sample.app.key.traits {
        if sample.app.table.trait_index(one.id.as_str()).is_none() {
            continue;
        }
        let page = sample
            .get(&format!(
                "/at/{}/plant?stage=tillering&tool=lens&tool=trowel&tool=torn_shoot&tool=backlight\
                 {answers}&ask={}",
                sample.points[0], one.id
            ))
            .await;
        assert_eq!(page.status, StatusCode::OK);
        let text = page.text();
        ids_are_sound(&text);
        page.holds(&format!("<h2>{}</h2>", one.question.replace('\'', "&#39;")))
            .holds(&format!("href=\"/key/glossary#{}\"", one.id))
            .lacks("<script>");
        drawing(&text, &format!("w-where-{}", one.id));
        for state in one.states() {
            state_is_drawn(&text, "w", one, state);
            page.holds(&format!(
                "<button class=\"answer card\" name=\"a\" value=\"{}:{}\"",
                one.id, state.id
            ));
        }
        if one.measure().is_some() {
            drawing(&text, &format!("w-measure-{}", one.id));
        } else {
            page.holds("I see more than one of these");
        }
        page.holds(&format!("value=\"{}:cannot_tell\"", one.id));
        if !one.decides && !one.states().is_empty() {
            page.holds("go by the word");
        }
        // 30 KB before compression (design), the form for photos among them.
        assert!(page.bytes.len() <= 30_720, "{} bytes", page.bytes.len());
    }
}

#[tokio::test]
async fn every_grass_is_drawn_on_its_page() {
    let sample = Sample::empty();
    assert_eq!(sample.app.key.taxa.len(), 52);
    for taxon in &sample.app.key.taxa {
        let page = sample.get(&format!("/key/{}", taxon.id)).await;
        assert_eq!(page.status, StatusCode::OK, "{}", taxon.id);
        let text = page.text();
        ids_are_sound(&text);
        for place in ["t0", "t1"] {
            drawing(&text, &format!("{place}-{}-seedling", taxon.id));
        }
        drawing(&text, &format!("t2-{}-base", taxon.id));
        drawing(&text, &format!("t3-{}-collar", taxon.id));
        let seed = text.contains(&format!("<title id=\"t4-{}-seed-t\">", taxon.id));
        assert_eq!(seed, !taxon.facts("seed_attached").is_empty());
        page.holds("Plants vary");
    }
    sample
        .get("/key/setaria_pumila")
        .await
        .holds("tiller base: strongly flattened");
}

#[tokio::test]
async fn look_alikes_stand_side_by_side_drawn() {
    let sample = Sample::empty();
    let taxa = &sample.app.key.taxa;
    for (one, other) in taxa.iter().zip(taxa.iter().skip(1)) {
        let page = sample
            .get(&format!("/key/{}/or/{}", one.id, other.id))
            .await;
        assert_eq!(page.status, StatusCode::OK);
        let text = page.text();
        ids_are_sound(&text);
        for taxon in [one, other] {
            drawing(&text, &format!("p-{}-seedling", taxon.id));
        }
        // 30 KB before compression (design), the form for photos among them.
        assert!(page.bytes.len() <= 30_720, "{} bytes", page.bytes.len());
    }
    // The published difference of the two foxtails, drawn in its row.
    let page = sample.get("/key/setaria_faberi/or/setaria_pumila").await;
    let text = page.text();
    for id in ["round", "strongly_flattened"] {
        let svg = drawing(&text, &format!("p-tiller_base-{id}"));
        assert!(svg.contains("class=\"m"), "nothing is marked");
    }
    assert!(text.find("p-tiller_base-round-t") < text.find("p-tiller_base-strongly_flattened-t"));
}
