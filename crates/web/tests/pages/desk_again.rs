//! Second looks given blind, names as far as sure, disputes and what they do to counts: asked in this
//! process, on a real book with the real key.

use crate::desk_support::*;
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;

const BIG: &str = "andropogon_gerardi";
const INDIAN: &str = "sorghastrum_nutans";

fn again(sample: &Sample) -> String {
    format!("/determinations/{}/again", sample.determination)
}

/// A form as the page sends it: who, the name chosen, and what else.
fn form<'a>(
    id: &'a str,
    scout: &'a str,
    taxon: &'a str,
    more: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let mut fields = vec![
        ("walk", id),
        ("id", id),
        ("scout", scout),
        ("taxon", taxon),
        ("sure", ""),
        ("name_as_written", ""),
        ("reasons", ""),
    ];
    for (name, value) in more {
        match fields.iter_mut().find(|(known, _)| known == name) {
            Some(known) if *name != "a" => known.1 = value,
            _ => fields.push((name, value)),
        }
    }
    fields
}

#[tokio::test]
async fn nothing_of_the_first_answer_is_shown_before_the_second_is_saved() {
    let sample = Sample::counted(false);
    // The page of the plant names it, and shows what was seen.
    sample
        .get(&format!("/determinations/{}", sample.determination))
        .await
        .holds("big bluestem")
        .holds("sparse or dense");
    let page = sample.get(&again(&sample)).await;
    assert_eq!(page.status, StatusCode::OK);
    page.holds("A second look, blind: A plant in cell 7")
        .holds("How far has the plant grown?")
        .holds("Name it without walking it")
        .holds("North, point 1");
    // Its name is one of all those to choose from, and chosen nowhere.
    page.lacks("selected>big bluestem").lacks("sparse or dense");
    page.lacks("A. Fenn, ").lacks("leaning");
    // Walked some way, it still says only what the reviewer saw.
    let walk = RecordId::new();
    let to = format!(
        "{}?walk={walk}&stage=tillering&a=ligule_type:hairs",
        again(&sample)
    );
    let page = sample.get(&to).await;
    page.holds("Your opinion")
        .holds(&format!("action=\"{}\"", again(&sample)))
        .lacks("sparse or dense");
    // Taking an answer back stays on this page.
    let back = sample.get(&format!("{to}&drop=ligule_type")).await;
    assert_eq!(back.status, StatusCode::SEE_OTHER);
    assert!(
        back.location.starts_with(&again(&sample)),
        "{}",
        back.location
    );
    assert!(!back.location.contains("ligule_type"));
}

#[tokio::test]
async fn a_blind_walk_is_kept_with_what_was_seen_and_laid_beside_the_first() {
    let sample = Sample::counted(false);
    let id = RecordId::new().to_string();
    let fields = form(
        &id,
        "C. Wold",
        "sorghastrum_nutans",
        &[
            ("stage", "tillering"),
            ("tool", "lens"),
            ("a", "tiller_base:strongly_flattened"),
            ("a", "ligule_type:membrane"),
            ("reasons", "notched ligule"),
        ],
    );
    let answer = sample.post(&again(&sample), &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    assert_eq!(
        answer.location,
        format!("/determinations/{}#opinions", sample.determination)
    );
    let opinions = sample.app.book.opinions(sample.determination).unwrap();
    assert_eq!(opinions.len(), 1);
    let said = &opinions[0].body;
    assert!(said.blind);
    assert_eq!(said.taxon.as_deref(), Some("sorghastrum_nutans"));
    let seen = said.evidence.as_ref().unwrap();
    assert_eq!(seen.answers.len(), 2);
    assert_eq!(seen.leaf_stage, "tillering");
    assert_eq!(seen.tools, ["lens"]);
    // What the engine says of it was worked out here; it can be said again.
    let sum: f64 = seen.ranking.iter().map(|ranked| ranked.probability).sum();
    assert!((sum - 1.0).abs() < 1e-9);

    let page = sample
        .get(&format!("/determinations/{}", sample.determination))
        .await;
    page.holds("blind; after 2 looks")
        .holds("The scout and C. Wold");
    page.holds("<strong>big bluestem</strong> said the scout, <strong>indiangrass</strong> the reviewer, blind.")
        .holds("They differ.")
        .holds("They differ in 1 trait of 2 that both looked at.")
        .holds("Settle it as a third person");
    // What each saw of the base says something between the two names.
    page.holds("<b>differs</b>");
    // From the table's own chances: how likely each grass shows that base.
    let table = &sample.app.table;
    let columns = &table.traits[table.trait_index("tiller_base").unwrap()];
    let weight = |id: &str| {
        let state = columns.states.iter().position(|state| *state == *id);
        let chance = |taxon: &str| columns.chances[state.unwrap()][table.row_index(taxon).unwrap()];
        10.0 * (chance(BIG) / chance(INDIAN)).log10()
    };
    let say = |db: f64| match db {
        db if db >= 0.05 => format!("{db:.1} decibans for big bluestem"),
        db if db <= -0.05 => format!("{:.1} decibans for indiangrass", -db),
        _ => "nothing either way".to_owned(),
    };
    page.holds(&format!(
        "the scout\u{2019}s says {}, the reviewer\u{2019}s {}",
        say(weight("slightly_flattened")),
        say(weight("strongly_flattened"))
    ));
    // Sent again, it is the same opinion; with the first answer seen before, it would not be blind.
    let again_sent = sample.post(&again(&sample), &fields).await;
    assert_eq!(again_sent.status, StatusCode::SEE_OTHER);
    assert_eq!(
        sample
            .app
            .book
            .opinions(sample.determination)
            .unwrap()
            .len(),
        1
    );
    let other = RecordId::new().to_string();
    let seen_before = form(
        &other,
        "J. Roth",
        "panicum_virgatum",
        &[("seen_before", "yes")],
    );
    sample.post(&again(&sample), &seen_before).await;
    let opinions = sample.app.book.opinions(sample.determination).unwrap();
    assert_eq!(opinions.len(), 2);
    let second = opinions.iter().find(|it| it.author == "J. Roth").unwrap();
    assert!(!second.body.blind && second.body.evidence.is_none());
    sample
        .get("/desk")
        .await
        .holds("two differed, settled by J. Roth");
}

#[tokio::test]
async fn a_refused_second_look_keeps_what_was_typed_and_seen() {
    let sample = Sample::counted(false);
    let id = RecordId::new().to_string();
    let fields = form(
        &id,
        "C. Wold",
        "genus:Setaria",
        &[
            ("sure", "cf"),
            ("stage", "tillering"),
            ("a", "ligule_type:hairs"),
            ("reasons", "hairs on the blade"),
        ],
    );
    let answer = sample.post(&again(&sample), &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer
        .holds("belong to a species")
        .holds("hairs on the blade")
        .holds("value=\"genus:Setaria\" selected")
        .holds("value=\"ligule_type:hairs\"");
    assert!(
        sample
            .app
            .book
            .opinions(sample.determination)
            .unwrap()
            .is_empty()
    );
    let untold = form(
        &id,
        "C. Wold",
        "setaria_pumila",
        &[("a", "ligule_type:velvet")],
    );
    let answer = sample.post(&again(&sample), &untold).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    answer.holds("velvet");
    for wrong in ["genus:Nowhere", "no_such_grass", ""] {
        let fields = form(&id, "C. Wold", wrong, &[]);
        let answer = sample.post(&again(&sample), &fields).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
    }
    let missing = format!("/determinations/{}/again", RecordId::new());
    assert_eq!(sample.get(&missing).await.status, StatusCode::NOT_FOUND);
}

/// Twelve frames hold 89 of 300 cells with big bluestem; unknown 3 is in others (see `stand.rs`).
#[tokio::test]
async fn an_unknown_counts_as_far_as_its_name_is_sure() {
    for (taxon, sure, shown, planted) in [
        // A planted species that it is compared with counts, and stays doubtful.
        ("sorghastrum_nutans", "cf", "cf. indiangrass", Some(true)),
        ("sorghastrum_nutans", "aff", "aff. indiangrass", Some(false)),
        // Nothing of this genus was sown.
        ("genus:Setaria", "", "a Setaria", Some(false)),
        // Of this one something was: it stays open.
        ("genus:Sorghastrum", "", "a Sorghastrum", None),
    ] {
        let sample = Sample::counted(true);
        let id = RecordId::new().to_string();
        let to = format!("/unknowns/{}/again", sample.unknown);
        let page = sample.get(&to).await;
        page.holds("A second look, blind: Unknown 3");
        let answer = sample
            .post(&to, &form(&id, "C. Wold", taxon, &[("sure", sure)]))
            .await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        let page = sample.get(&format!("/unknowns/{}", sample.unknown)).await;
        page.holds(shown);
        let stand = sample.get(&format!("/stand/{}", sample.planting)).await;
        match planted {
            Some(true) => stand.holds("together: 31 % of cells"),
            Some(false) => stand.holds("together: 30 % of cells"),
            None => stand
                .holds("30 %")
                .holds("31 %")
                .holds("Unknowns not settled"),
        };
        let desk = sample.get("/desk").await;
        match planted {
            Some(_) => desk.lacks("Unknowns to settle"),
            None => desk.holds("Unknowns to settle"),
        };
    }
}

#[tokio::test]
async fn the_list_hides_names_from_who_looks_blind() {
    let sample = Sample::counted(false);
    let page = sample.get("/desk?names=hidden").await;
    page.holds(&format!("href=\"{}\"", again(&sample)))
        .holds("North, point 1, cell 7");
    page.lacks("<strong>big bluestem").lacks("leading name");
}
