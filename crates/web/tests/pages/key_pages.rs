//! Reading the key: two grasses side by side, why a number is what it is, and the reasons that a
//! walk gives in words.

use crate::desk_support::Sample;
use axum::http::StatusCode;
use standbook_key::LookAlikeOf;

/// Every published look-alike pair of the key has its page, with the note and its source, and
/// stays under the size promised.
#[tokio::test]
async fn every_published_pair_stands_side_by_side() {
    let sample = Sample::empty();
    let key = &sample.app.key;
    let mut pairs = 0;
    for taxon in &key.taxa {
        for note in &taxon.look_alikes {
            let LookAlikeOf::Taxon(other) = &note.other else {
                continue;
            };
            let page = sample.get(&format!("/key/{}/or/{other}", taxon.id)).await;
            assert_eq!(page.status, StatusCode::OK);
            page.holds("What sources say parts the two");
            let words: String = note
                .separates
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == ' ')
                .collect();
            page.holds(&words);
            assert!(page.bytes.len() < 30_000, "{} bytes", page.bytes.len());
            pairs += 1;
        }
    }
    assert!(pairs > 40, "{pairs}");
}

/// The published difference of the two foxtails (University of Missouri IPM1024): hairs over the
/// whole blade against a few long ones at its base, a round shoot against a flat one.
#[tokio::test]
async fn the_most_telling_look_comes_first() {
    let sample = Sample::empty();
    let page = sample.get("/key/setaria_faberi/or/setaria_pumila").await;
    let text = String::from_utf8(page.bytes.to_vec()).unwrap();
    let place = |what: &str| text.find(what).unwrap_or_else(|| panic!("{what}"));
    assert!(place("<h2>hairs on upper blade") < place("<h2>tiller base"));
    assert!(place("<h2>tiller base") < place("Hardly help"));
    page.holds("nearly always near the base only")
        .holds("Bend a blade over your finger");
    // A stage at which less can be seen leaves more in doubt, and says so.
    let early = sample
        .get("/key/setaria_faberi/or/setaria_pumila?stage=one_leaf")
        .await;
    early.holds("Not to be told apart for sure at this stage (one leaf)");
}

#[tokio::test]
async fn the_list_of_look_alikes_leads_to_every_pair() {
    let sample = Sample::empty();
    let page = sample.get("/key/alike").await;
    assert!(page.bytes.len() < 30_000, "{} bytes", page.bytes.len());
    page.holds("Japanese brome or downy brome");
    let text = String::from_utf8(page.bytes.to_vec()).unwrap();
    for taxon in &sample.app.key.taxa {
        for note in &taxon.look_alikes {
            if let LookAlikeOf::Taxon(other) = &note.other {
                let there = format!("/key/{}/or/{other}\"", taxon.id);
                let back = format!("/key/{other}/or/{}\"", taxon.id);
                assert!(text.contains(&there) || text.contains(&back), "{there}");
            }
        }
    }
}

/// Every fact of a cell, its note and its source in full.
#[tokio::test]
async fn why_shows_every_fact_with_its_source() {
    let sample = Sample::empty();
    let key = &sample.app.key;
    let taxon = key.taxon("panicum_virgatum").unwrap();
    let page = sample.get("/key/panicum_virgatum/why/ligule_type").await;
    page.holds("What is said").holds("What comes of it");
    for fact in taxon.facts("ligule_type") {
        let citation = &key.sources[&fact.source].citation;
        let words: String = citation
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == ' ')
            .collect();
        page.holds(&words);
    }
    sample
        .get("/key/panicum_virgatum")
        .await
        .holds("/key/panicum_virgatum/why/ligule_type");
    for (taxon, of) in [("panicum_virgatum", "nonsense"), ("unicorn", "vernation")] {
        let page = sample.get(&format!("/key/{taxon}/why/{of}")).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND);
    }
    for pair in [
        "unicorn/or/setaria_pumila",
        "setaria_pumila/or/setaria_pumila",
    ] {
        let page = sample.get(&format!("/key/{pair}")).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{pair}");
    }
}

/// The reasons of a walk in words, and what would change them.
#[tokio::test]
async fn a_walk_says_why_in_words() {
    let sample = Sample::empty();
    let page = sample
        .get(&format!(
            "/at/{}/plant?stage=few_leaves&tool=lens&a=tiller_base:strongly_flattened\
             &a=ligule_type:hairs&a=blade_hairs_upper:near_base",
            sample.points[0]
        ))
        .await;
    page.holds("times likelier in yellow foxtail than in")
        .holds("/key/setaria_pumila/or/")
        .holds("Why? Most by ");
    // Each taxon's page keeps the size promised, however many sources describe it.
    for taxon in &sample.app.key.taxa {
        let page = sample.get(&format!("/key/{}", taxon.id)).await;
        assert!(
            page.bytes.len() < 30_000,
            "{}: {} bytes",
            taxon.id,
            page.bytes.len()
        );
    }
}
