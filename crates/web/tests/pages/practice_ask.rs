//! The drills in process: what a page gives away before the answer, what is kept, what is told after.

use std::io::Cursor;

use crate::desk_support::{Answer, Sample, hidden, markup, record, states};
use axum::http::StatusCode;
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Entry, RecordId};
use standbook_identify::NOT_IN_KEY;
use standbook_key::{FactValue, Key, LeafStage, Trait};
use standbook_practice::specimen::{ODD, Specimen, chance};

const SCOUT: &str = "A. Fenn";

/// The page of a question, by way of the address that says nothing.
async fn ask(sample: &Sample, question: &str, more: &str) -> Answer {
    let there = sample
        .get(&format!("/practice/ask?q={question}&{more}"))
        .await;
    assert_eq!(there.status, StatusCode::SEE_OTHER, "{}", there.text());
    let page = sample.get(&there.location).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    page
}

/// Sends the form of a page with these answers.
async fn send(sample: &Sample, page: &Answer, scout: &str, answers: &[(&str, &str)]) -> Answer {
    let text = page.text();
    let carried: Vec<(&str, String)> = ["q", "book", "set", "item", "id", "issued"]
        .into_iter()
        .filter(|name| text.contains(&format!("name=\"{name}\"")))
        .map(|name| (name, hidden(&text, name)))
        .collect();
    let mut fields: Vec<(&str, &str)> = carried.iter().map(|(n, v)| (*n, v.as_str())).collect();
    fields.push(("scout", scout));
    fields.extend_from_slice(answers);
    sample.post("/practice/ask", &fields).await
}

/// What is kept of a page's form.
fn kept(sample: &Sample, page: &Answer) -> Entry<Practice> {
    let id: RecordId = hidden(&page.text(), "id").parse().unwrap();
    sample.app.book.practice(id).unwrap().unwrap()
}

/// Asks, answers, and opens what is told.
async fn through(sample: &Sample, question: &str, answers: &[(&str, &str)]) -> (Practice, Answer) {
    let page = ask(sample, question, "book=0").await;
    let sent = send(sample, &page, SCOUT, answers).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.text());
    let told = sample.get(&sent.location).await;
    assert_eq!(told.status, StatusCode::OK, "{}", told.text());
    told.lacks("<script>").lacks("http-equiv");
    markup::ids_are_sound(&told.text());
    (kept(sample, &page).body, told)
}

/// Cells in which every source says one and the same state: what a plant of the taxon shows is certain
/// without drawing it. Trait, taxon, state.
fn certain(key: &Key) -> Vec<(&Trait, &str, String)> {
    let mut found = Vec::new();
    for taxon in &key.taxa {
        for one in &key.traits {
            let facts = taxon.facts(one.id.as_str());
            let said: Vec<String> = facts
                .iter()
                .filter_map(|fact| match &fact.value {
                    FactValue::State { state, .. } => Some(state.to_string()),
                    _ => None,
                })
                .collect();
            let alike = said.windows(2).all(|two| two[0] == two[1]);
            if let (Some(state), true) = (said.first(), alike)
                && one.visible_at(LeafStage::Tillering)
                && one.applies_to.is_none()
                && one.decides
            {
                found.push((one, taxon.id.as_str(), state.clone()));
            }
        }
    }
    found
}

#[tokio::test]
async fn a_trait_is_seen_rightly_wrongly_or_not_at_all() {
    let sample = Sample::empty();
    let cells = certain(&sample.app.key);
    assert!(cells.len() > 40, "{}", cells.len());
    for (number, (one, taxon, state)) in cells.iter().step_by(17).enumerate() {
        let question = format!("see.{}.{taxon}.tillering.{number}", one.id);
        let other = one
            .states()
            .iter()
            .find(|s| s.id != *state.as_str())
            .unwrap();
        for (said, verdict) in [
            (state.as_str(), "<h1>Right."),
            (other.id.as_str(), "<h1>Not so."),
            ("cannot_tell", "<h1>You could not tell."),
        ] {
            let (answer, told) = through(&sample, &question, &[("said", said)]).await;
            assert_eq!(
                (answer.drill, answer.scout.as_str()),
                (Drill::SeeTrait, SCOUT)
            );
            assert_eq!(answer.question, question);
            assert_eq!((answer.taxon, answer.named), (None, None));
            let reported = (said != "cannot_tell").then(|| said.to_owned());
            assert_eq!(
                answer.readings,
                [PracticeReading {
                    trait_id: one.id.to_string(),
                    shown: state.clone(),
                    reported,
                }],
                "{question}"
            );
            assert!(answer.seconds.is_some_and(|s| (0.0..60.0).contains(&s)));
            let common = &sample.app.key.taxon(taxon).unwrap().common_name;
            told.holds(verdict)
                .holds(&format!("The plant was drawn as {common}."))
                .holds("href=\"/practice/next\">Next")
                .holds(&format!("href=\"/key/{taxon}\""))
                .holds("class=\"m");
            // A source of the very cell, in full.
            let facts = sample.app.key.taxon(taxon).unwrap().facts(one.id.as_str());
            let page = told.text();
            assert!(
                facts.iter().any(|fact| {
                    let citation = &sample.app.key.sources[&fact.source].citation;
                    page.contains(&escaped(citation))
                }),
                "{question}: no source"
            );
        }
    }
}

/// Text as a page holds it.
fn escaped(text: &str) -> String {
    text.replace('&', "&#38;")
        .replace('<', "&#60;")
        .replace('"', "&#34;")
        .replace('\'', "&#39;")
}

#[tokio::test]
async fn two_are_told_apart_by_what_decides() {
    let sample = Sample::empty();
    let (one, other) = ("panicum_virgatum", "setaria_faberi");
    let mut by_nothing = 0;
    for seed in 0..6 {
        let question = format!("pair.{one}.{other}.tillering.{seed}");
        let (left, told_left) = through(
            &sample,
            &question,
            &[
                ("which", "left"),
                ("by", &first_by(&sample, &question).await),
            ],
        )
        .await;
        let (right, told_right) = through(
            &sample,
            &question,
            &[
                ("which", "right"),
                ("by", &first_by(&sample, &question).await),
            ],
        )
        .await;
        // One and only one side is right, and each calls the plant by the name that stands there.
        assert_ne!(left.named, right.named, "{question}");
        let wanted = left.taxon.clone().unwrap();
        assert!([one, other].contains(&wanted.as_str()));
        assert_eq!(left.taxon, right.taxon);
        assert_ne!(left.taxon, left.against);
        let name = &sample.app.key.taxon(&wanted).unwrap().common_name;
        let side = if left.named == left.taxon {
            "left"
        } else {
            "right"
        };
        for (answer, told) in [(&left, &told_left), (&right, &told_right)] {
            let text = told.text().to_lowercase();
            assert!(
                text.contains(&format!("{} is on the {side}.", name.to_lowercase())),
                "{text}"
            );
            let verdict = if answer.named == answer.taxon {
                "<h1>Right."
            } else {
                "<h1>Not so."
            };
            told.holds(verdict).holds("What decides here is");
            assert_eq!(told.text().matches("class=\"m b\"").count() % 2, 0);
            assert!(told.text().contains("class=\"m b\""), "no place is marked");
            told.holds(&format!("/key/{wanted}/or/"));
            if told.text().contains("That hardly parts the two.") && verdict == "<h1>Right." {
                by_nothing += 1;
                told.holds("may have been a guess");
            }
        }
        // Under the figures stand the names of those that are there, left first.
        let page = told_left.text().to_lowercase();
        let place = |id: &str| {
            let common = sample.app.key.taxon(id).unwrap().common_name.to_lowercase();
            page.find(&format!("<figcaption class=\"small\">{common}."))
                .unwrap()
        };
        let against = left.against.clone().unwrap();
        assert_eq!(
            place(&wanted) < place(&against),
            side == "left",
            "{question}"
        );
        let (open, told) = through(&sample, &question, &[("which", "cannot_tell")]).await;
        assert_eq!((open.named, open.by), (None, None));
        told.holds("<h1>You could not tell.")
            .holds("What decides here is");
    }
    assert!(by_nothing > 0, "nobody went by what says nothing");
}

/// The first trait offered.
async fn first_by(sample: &Sample, question: &str) -> String {
    hidden(&radios(&ask(sample, question, "book=0").await.text()), "by")
}

/// Radio buttons read like hidden fields: the space before `value` is the same.
fn radios(page: &str) -> String {
    page[page.find("By what?").unwrap()..].to_owned()
}

#[tokio::test]
async fn of_the_traits_offered_one_decides() {
    let sample = Sample::empty();
    for seed in 0..8 {
        let question = format!("pair.andropogon_gerardi.sorghastrum_nutans.tillering.{seed}");
        let page = ask(&sample, &question, "book=0").await;
        let by = radios(&page.text());
        let offered: Vec<&str> = by
            .split("name=\"by\" value=\"")
            .skip(1)
            .map(|rest| rest.split('"').next().unwrap())
            .collect();
        assert!((2..=4).contains(&offered.len()), "{offered:?}");
        let mut deciding = 0;
        for trait_id in &offered {
            let answers = [("which", "left"), ("by", *trait_id)];
            let (answer, told) = through(&sample, &question, &answers).await;
            assert_eq!(answer.by.as_deref(), Some(*trait_id));
            deciding += usize::from(!told.text().contains("You went by"));
        }
        assert_eq!(deciding, 1, "{question}");
    }
}

#[tokio::test]
async fn a_plant_is_named() {
    let sample = Sample::empty();
    let weed = "name.setaria_faberi.tillering.3";
    for (question, said, verdict) in [
        (
            "name.panicum_virgatum.tillering.3",
            "panicum_virgatum",
            "<h1>Right.",
        ),
        (
            "name.panicum_virgatum.tillering.3",
            "setaria_faberi",
            "<h1>Not so.",
        ),
        (
            "name.andropogon_gerardi.tillering.3",
            "something_else",
            "<h1>Not so.",
        ),
        (
            "name.panicum_virgatum.tillering.3",
            "cannot_tell",
            "<h1>You could not tell.",
        ),
        (weed, "something_else", "<h1>Right."),
    ] {
        let (answer, told) = through(&sample, question, &[("said", said)]).await;
        let truth = question.split('.').nth(1).unwrap();
        assert_eq!(answer.taxon.as_deref(), Some(truth));
        let named = (said != "cannot_tell").then_some(said);
        assert_eq!(answer.named.as_deref(), named);
        let taxon = sample.app.key.taxon(truth).unwrap();
        told.holds(verdict).holds(&format!(
            "It is {} ({}).",
            taxon.common_name, taxon.scientific_name
        ));
        if said == "setaria_faberi" {
            told.holds("You said: giant foxtail.")
                .holds("What decides against giant foxtail is")
                .holds("/key/panicum_virgatum/or/setaria_faberi")
                .holds("class=\"m b\"");
        }
    }
    // A name from the list; none chosen from it.
    let page = ask(&sample, weed, "book=0").await;
    let refused = send(&sample, &page, SCOUT, &[("said", "listed"), ("listed", "")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let listed = [("said", "listed"), ("listed", "bromus_inermis")];
    let (answer, _) = through(&sample, weed, &listed).await;
    assert_eq!(answer.named.as_deref(), Some("bromus_inermis"));
    // The row for what the key has not is no answer.
    let page = ask(&sample, weed, "book=0").await;
    let refused = send(&sample, &page, SCOUT, &[("said", NOT_IN_KEY)]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn what_is_odd_about_a_plant_is_said_after_the_answer_only() {
    let sample = Sample::empty();
    let taxon = "andropogon_gerardi";
    let (mut missing, mut misleading) = (0, 0);
    for seed in 0..60 {
        let question = format!("name.{taxon}.tillering.{seed}");
        let page = ask(&sample, &question, "book=0").await;
        page.lacks("misleads");
        let lacks = page.text().contains("Not to be seen on this plant");
        let (_, told) = through(&sample, &question, &[("said", "cannot_tell")]).await;
        let told_odd = told.text().contains("One thing misleads") || lacks;
        assert!(!told_odd || chance(seed, taxon, "is odd") < ODD, "{seed}");
        if lacks {
            missing += 1;
            told.holds("Not to be seen on this plant");
        }
        if told.text().contains("One thing misleads on this plant") {
            misleading += 1;
            told.holds("No single look makes a name.");
            assert!(!lacks);
        }
    }
    assert!(missing >= 3 && misleading >= 3, "{missing} {misleading}");
}

/// A page without what differs from page to page: strokes, the veiled question, ids, the hour.
fn bare(page: &Answer) -> String {
    let text = page.text();
    let mut bare = text.clone();
    for name in ["q", "id", "issued"] {
        bare = bare.replace(&hidden(&text, name), &format!("[{name}]"));
    }
    let mut parts = bare.split("</desc>");
    let mut kept = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        kept.push_str("</desc>");
        kept.push_str(part.split_once("</svg>").unwrap().1);
    }
    kept
}

/// The page of a plant to be named on which no part is missing.
async fn whole(sample: &Sample, taxon: &str) -> Answer {
    for seed in 0..20 {
        let page = ask(sample, &format!("name.{taxon}.tillering.{seed}"), "book=0").await;
        if !page.text().contains("Not to be seen") {
            return page;
        }
    }
    panic!("every {taxon} misses a part");
}

#[tokio::test]
async fn before_the_answer_only_the_strokes_tell() {
    let sample = Sample::empty();
    let app = &sample.app;
    let stage = LeafStage::Tillering;
    let shows = |taxon: &str, seed: u32| {
        let plant = Specimen::grown(&app.key, &app.table, taxon, stage, seed).unwrap();
        plant.shows_of("vernation").map(str::to_owned)
    };
    // One trait, two states.
    let taxon = "dactylis_glomerata";
    let folded = ["poa_pratensis", "dactylis_glomerata", "eleusine_indica"]
        .into_iter()
        .flat_map(|taxon| (0..20).map(move |seed| (taxon, seed)))
        .find(|(taxon, seed)| shows(taxon, *seed).as_deref() == Some("folded"))
        .unwrap();
    let rolled = ["panicum_virgatum", "bromus_inermis"]
        .into_iter()
        .flat_map(|taxon| (0..20).map(move |seed| (taxon, seed)))
        .find(|(taxon, seed)| shows(taxon, *seed).as_deref() == Some("rolled"))
        .unwrap();
    for book in ["book=0", "book=1"] {
        let question =
            |(taxon, seed): (&str, u32)| format!("see.vernation.{taxon}.tillering.{seed}");
        let one = ask(&sample, &question(folded), book).await;
        let other = ask(&sample, &question(rolled), book).await;
        assert_eq!(bare(&one), bare(&other), "see, {book}");
        assert_ne!(one.text(), other.text());
        for said in [folded.0, rolled.0, taxon, "switchgrass", "see.vernation"] {
            one.lacks(said);
            other.lacks(said);
        }
    }
    // Names: as many views, other strokes.
    let one = whole(&sample, "andropogon_gerardi").await;
    let other = whole(&sample, "panicum_virgatum").await;
    assert_eq!(bare(&one), bare(&other), "name");
    assert_ne!(one.text(), other.text());
    one.lacks("name.andropogon");
    // A pair: left or right.
    let pair = |seed: u32| format!("pair.panicum_virgatum.setaria_faberi.tillering.{seed}");
    let mut sides = std::collections::BTreeMap::new();
    for seed in 0..12 {
        let page = ask(&sample, &pair(seed), "book=0").await;
        let by = hidden(&radios(&page.text()), "by");
        let (answer, _) = through(&sample, &pair(seed), &[("which", "left"), ("by", &by)]).await;
        let head = page
            .text()
            .split("<h1>")
            .nth(1)
            .unwrap()
            .split('<')
            .next()
            .unwrap()
            .to_owned();
        let bare = bare(&page).split("By what?").next().unwrap().to_owned();
        let is_left = answer.named == answer.taxon;
        if let Some((left, page)) = sides.insert(head, (is_left, bare.clone()))
            && left != is_left
        {
            assert_eq!(page, bare, "pair {seed}");
            return;
        }
    }
    panic!("no two pairs with the same question and another answer");
}

#[tokio::test]
async fn an_answer_is_kept_once() {
    let sample = Sample::empty();
    let question = "see.vernation.panicum_virgatum.tillering.5";
    let page = ask(&sample, question, "book=1").await;
    let first = send(&sample, &page, SCOUT, &[("said", "rolled")]).await;
    let again = send(&sample, &page, SCOUT, &[("said", "rolled")]).await;
    assert_eq!(again.status, StatusCode::SEE_OTHER, "{}", again.text());
    assert_eq!(first.location, again.location);
    assert!(first.cookies.contains("scout=A.+Fenn"), "{}", first.cookies);
    assert!(kept(&sample, &page).body.with_book);
    // Changed, and by somebody else.
    for (scout, said) in [(SCOUT, "folded"), ("B. Reed", "rolled")] {
        let changed = send(&sample, &page, scout, &[("said", said)]).await;
        assert_eq!(changed.status, StatusCode::CONFLICT);
        changed
            .holds("The first answer stays; nothing new was kept.")
            .holds(&format!("href=\"{}\"", first.location));
    }
    let all = sample.app.book.practice_of(SCOUT).unwrap();
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].body.readings[0].reported.as_deref(), Some("rolled"));
    // Going back to the page leads to what was answered.
    let id = hidden(&page.text(), "id");
    let q = hidden(&page.text(), "q");
    let back = sample
        .get(&format!("/practice/ask?q={q}&book=1&id={id}"))
        .await;
    assert_eq!(
        (back.status, back.location),
        (StatusCode::SEE_OTHER, first.location)
    );
}

#[tokio::test]
async fn a_refused_form_comes_back_filled_in() {
    let sample = Sample::empty();
    let page = ask(
        &sample,
        "pair.panicum_virgatum.setaria_faberi.tillering.1",
        "book=0",
    )
    .await;
    let refused = send(&sample, &page, SCOUT, &[("which", "right")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    refused
        .holds("Choose by what you told them apart.")
        .holds("value=\"right\" checked")
        .holds(&hidden(&page.text(), "id"))
        .holds(&hidden(&page.text(), "issued"));
    let by = hidden(&radios(&page.text()), "by");
    for answers in [
        &[("which", "up"), ("by", by.as_str())][..],
        &[("which", "left"), ("by", "odor_or_other")],
        &[],
    ] {
        let refused = send(&sample, &page, SCOUT, answers).await;
        assert_eq!(
            refused.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{answers:?}"
        );
    }
    let unnamed = send(&sample, &page, "", &[("which", "left"), ("by", &by)]).await;
    assert_eq!(unnamed.status, StatusCode::UNPROCESSABLE_ENTITY);
    unnamed
        .holds("Your name is missing. Type it.")
        .holds("value=\"left\" checked");
    let long = "x".repeat(5_000);
    let refused = send(&sample, &page, &long, &[("which", "left"), ("by", &by)]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(sample.app.book.practice_scouts().unwrap().is_empty());
}

#[tokio::test]
async fn what_cannot_be_asked_is_said_with_a_way_on() {
    let sample = Sample::empty();
    let record = RecordId::new();
    let gone = format!("name_photo.{record}.{record}");
    let seen = format!("see_photo.vernation.{record}.{record}");
    let long = format!("name.{}.tillering.1", "x".repeat(4_000));
    for question in [
        "",
        "name",
        "name.no_such_grass.tillering.1",
        "name.andropogon_gerardi.old.1",
        "name.andropogon_gerardi.tillering.-1",
        "name.andropogon_gerardi.tillering.99999999999",
        "see.no_such_trait.andropogon_gerardi.tillering.1",
        "see.odor_or_other.andropogon_gerardi.tillering.1",
        "see.blade_width.andropogon_gerardi.tillering.1",
        // Colours are not drawn.
        "see.base_color.andropogon_gerardi.tillering.1",
        // Not to be seen so early.
        "see.runners.andropogon_gerardi.one_leaf.1",
        "pair.andropogon_gerardi.andropogon_gerardi.tillering.1",
        "pair.andropogon_gerardi.no_such_grass.tillering.1",
        "_AAAA",
        "_",
        "%3Cscript%3Ealert(1)%3C/script%3E",
        "name.%F0%9F%8C%BE.tillering.1",
        &gone,
        &seen,
        &long,
    ] {
        let id = RecordId::new();
        let address = format!("/practice/ask?q={question}&id={id}");
        let mut page = sample.get(&address).await;
        if page.status == StatusCode::SEE_OTHER {
            page = sample.get(&page.location).await;
        }
        assert_eq!(
            page.status,
            StatusCode::NOT_FOUND,
            "{question}: {}",
            page.text()
        );
        page.holds("This can’t be asked")
            .holds("href=\"/practice/next\"")
            .lacks("<script>alert");
        let form = format!("q={question}&id={id}&scout=A&said=rolled&which=left&by=vernation");
        let sent = sample.post_text("/practice/ask", &form).await;
        assert_eq!(sent.status, StatusCode::NOT_FOUND, "{question}");
    }
    for address in [
        "/practice/answers/x",
        &format!("/practice/answers/{record}"),
    ] {
        assert_eq!(sample.get(address).await.status, StatusCode::NOT_FOUND);
    }
    for set in ["x", &record.to_string(), &sample.planting.to_string()] {
        let page = sample
            .get(&format!(
                "/practice/ask?q=name.andropogon_gerardi.tillering.1&set={set}&item=1"
            ))
            .await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{set}");
    }
    assert!(sample.app.book.practice_scouts().unwrap().is_empty());
}

fn set(purpose: SetPurpose, questions: &[(&str, bool)]) -> PracticeSet {
    PracticeSet {
        title: "Before the north forty".to_owned(),
        purpose,
        planting: None,
        visit: None,
        minutes: None,
        questions: questions
            .iter()
            .map(|(question, with_book)| SetQuestion {
                question: (*question).to_owned(),
                with_book: *with_book,
            })
            .collect(),
    }
}

#[tokio::test]
async fn a_test_tells_nothing_before_its_end() {
    let sample = Sample::empty();
    let one = "see.vernation.panicum_virgatum.tillering.5";
    let two = "name.panicum_virgatum.tillering.3";
    let set = sample.keep(record(set(SetPurpose::FieldTest, &[(one, false), (two, false)])).body);
    // Whatever the address says, the set says that the book is shut.
    let page = ask(&sample, one, &format!("book=1&set={set}&item=1")).await;
    page.holds("Before the north forty, 1 of 2")
        .lacks("the book is open");
    let wrong = sample
        .get(&format!("/practice/ask?q={two}&set={set}&item=1"))
        .await;
    assert_eq!(wrong.status, StatusCode::NOT_FOUND);
    let sent = send(&sample, &page, SCOUT, &[("said", "rolled")]).await;
    assert!(
        sent.location.starts_with("/practice/ask?"),
        "{}",
        sent.location
    );
    let answer = kept(&sample, &page);
    assert_eq!(answer.body.of_set, Some(SetItem { set, item: 1 }));
    assert!(!answer.body.with_book);
    let told = sample
        .get(&format!("/practice/answers/{}", answer.id))
        .await;
    assert_eq!(told.status, StatusCode::NOT_FOUND);
    told.holds("once every question of this set is answered")
        .lacks("Right.");
    // Asked once more it leads on, and another answer is not taken.
    let again = sample
        .get_with_cookie(
            &format!("/practice/ask?q={one}&set={set}&item=1"),
            "scout=A.+Fenn",
        )
        .await;
    assert_eq!(again.location, sent.location);
    let anew = ask(&sample, one, &format!("set={set}&item=1")).await;
    let second = send(&sample, &anew, SCOUT, &[("said", "folded")]).await;
    assert_eq!(second.location, sent.location);
    assert_eq!(sample.app.book.practice_of(SCOUT).unwrap().len(), 1);
    let next = ask(&sample, two, &format!("set={set}&item=2")).await;
    let last = send(&sample, &next, SCOUT, &[("said", "panicum_virgatum")]).await;
    assert_eq!(last.location, format!("/practice/sets/{set}"));
    sample
        .get(&format!("/practice/answers/{}", answer.id))
        .await
        .holds("<h1>Right.")
        .holds(&format!("href=\"/practice/sets/{set}\""));
}

#[tokio::test]
async fn with_the_book_a_plant_is_walked_and_its_readings_are_kept() {
    let sample = Sample::empty();
    let app = &sample.app;
    let taxon = "panicum_virgatum";
    let stage = LeafStage::Tillering;
    // One about which nothing is odd.
    let plain = (0..50)
        .find(|seed| chance(*seed, taxon, "is odd") >= ODD)
        .unwrap();
    let grown = Specimen::grown(&app.key, &app.table, taxon, stage, plain).unwrap();
    let (vernation, ligule) = (
        grown.shows_of("vernation").unwrap(),
        grown.shows_of("ligule_type").unwrap(),
    );
    let question = format!("name.{taxon}.tillering.{plain}");
    let page = ask(&sample, &question, "book=1").await;
    page.holds("the book is open")
        .holds("Look next at")
        .holds("<option value=\"panicum_virgatum\">switchgrass")
        .lacks("How far has the plant grown?")
        .lacks("Save this plant")
        .lacks(&question);
    let (q, id) = (hidden(&page.text(), "q"), hidden(&page.text(), "id"));
    // A step of the walk keeps the question.
    let wrong = if ligule == "membrane" {
        "hairs"
    } else {
        "membrane"
    };
    let walked = sample
        .get(&format!(
            "/practice/ask?q={q}&book=1&id={id}&walk={id}&a=vernation:{vernation}&a=ligule_type:{wrong}&a=auricles:cannot_tell"
        ))
        .await;
    assert_eq!(walked.status, StatusCode::OK, "{}", walked.text());
    walked.holds("Seen so far").holds(&q);
    markup::ids_are_sound(&walked.text());
    let dropped = sample
        .get(&format!(
            "/practice/ask?q={q}&book=1&id={id}&a=vernation:{vernation}&drop=vernation"
        ))
        .await;
    assert_eq!(dropped.status, StatusCode::SEE_OTHER);
    assert!(dropped.location.contains(&q), "{}", dropped.location);
    let bad = sample
        .get(&format!(
            "/practice/ask?q={q}&book=1&id={id}&a=vernation:curled"
        ))
        .await;
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);
    let first = format!("vernation:{vernation}");
    let second = format!("ligule_type:{wrong}");
    let answers = [
        ("a", first.as_str()),
        ("a", second.as_str()),
        ("a", "auricles:cannot_tell"),
        ("said", taxon),
    ];
    let sent = send(&sample, &walked, SCOUT, &answers).await;
    let told = sample.get(&sent.location).await;
    let answer = kept(&sample, &walked).body;
    assert!(answer.with_book);
    let read: Vec<(&str, &str, Option<&str>)> = answer
        .readings
        .iter()
        .map(|r| (r.trait_id.as_str(), r.shown.as_str(), r.reported.as_deref()))
        .collect();
    assert_eq!(read[0], ("vernation", vernation, Some(vernation)));
    assert_eq!(read[1], ("ligule_type", ligule, Some(wrong)));
    assert!(
        read[2..]
            .iter()
            .all(|(id, _, reported)| *id == "auricles" && reported.is_none())
    );
    told.holds("<h1>Right.").holds("You read ligule as");
    let refused = send(
        &sample,
        &walked,
        "C. Wold",
        &[("a", "vernation:curled"), ("said", taxon)],
    )
    .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}

/// A picture that can be shown.
fn picture() -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let image = image::RgbImage::from_pixel(12, 9, image::Rgb([40, 120, 60]));
    image.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

#[tokio::test]
async fn a_plant_of_the_book_is_asked_by_its_photo_once_it_is_settled() {
    let sample = Sample::counted(false);
    let plant = sample.determination;
    let photo = RecordId::new();
    let book = &sample.app.book;
    book.add_photo(&picture(), plant, "collar", SCOUT, "laptop", photo)
        .unwrap();
    let (see, name) = (
        format!("see_photo.vernation.{photo}.{plant}"),
        format!("name_photo.{photo}.{plant}"),
    );
    let refused = async |question: &str, why: &str| {
        let there = sample.get(&format!("/practice/ask?q={question}")).await;
        sample.get(&there.location).await.holds(why);
    };
    refused(&name, "No reviewer has settled what this plant is").await;
    let evidence = sample
        .determine(
            None,
            &[
                ("vernation", states(&["folded"])),
                ("ligule_type", states(&["hairs", "membrane"])),
            ],
        )
        .evidence;
    let mut opinion = Opinion::on(plant);
    opinion.taxon = Some("bouteloua_curtipendula".to_owned());
    opinion.evidence = Some(evidence);
    let mut by = record(opinion);
    by.author = "C. Wold".to_owned();
    // The scout had said big bluestem: two differ, and nobody ended it.
    sample.keep_record(by.clone());
    refused(&name, "or two differ").await;
    by.id = RecordId::new();
    by.author = "D. Marsh".to_owned();
    by.born_at = standbook_fieldbook::time::now();
    sample.keep_record(by);
    let page = ask(&sample, &see, "book=0").await;
    page.holds("<img src=\"/photos/")
        .lacks("bouteloua")
        .lacks("grama")
        .lacks("C. Wold");
    let (answer, told) = through(&sample, &see, &[("said", "rolled")]).await;
    assert_eq!(answer.readings[0].shown, "folded");
    told.holds("<h1>Not so.")
        .holds("D. Marsh settled what this plant is")
        .holds(&format!("/determinations/{plant}"));
    let (answer, told) = through(&sample, &name, &[("said", "bouteloua_curtipendula")]).await;
    assert_eq!(answer.taxon.as_deref(), Some("bouteloua_curtipendula"));
    told.holds("<h1>Right.");
    // Two states at once, a trait that nobody looked at, another plant's photo.
    refused(
        &see.replace("vernation", "ligule_type"),
        "No reviewer said of this plant",
    )
    .await;
    refused(
        &see.replace("vernation", "auricles"),
        "No reviewer said of this plant",
    )
    .await;
    let unknown = sample.unknown;
    let mut opinion = Opinion::on(unknown);
    opinion.taxon = Some("setaria_faberi".to_owned());
    sample.keep(opinion);
    refused(
        &format!("name_photo.{photo}.{unknown}"),
        "is not of its plant",
    )
    .await;
}
