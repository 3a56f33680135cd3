//! What is asked next, what for, and practice that is removed: asked in this process, on a real book
//! with the real key.

use std::collections::BTreeSet;

use crate::desk_support::*;
use axum::http::StatusCode;
use standbook_fieldbook::record::*;

const WREN: &str = "scout=Wren+Hollis";
const BIG: &str = "andropogon_gerardi";
const INDIAN: &str = "sorghastrum_nutans";
const GIANT: &str = "setaria_faberi";

fn answer(question: &str, drill: Drill, days_ago: i64) -> Record {
    let at = jiff::Timestamp::now() - jiff::SignedDuration::from_hours(24 * days_ago);
    Record {
        born_at: standbook_fieldbook::time::stamp(at),
        author: "Wren Hollis".into(),
        ..record(Practice {
            scout: "Wren Hollis".into(),
            drill,
            question: question.into(),
            with_book: false,
            key_id: "tallgrass-first-year".into(),
            table_fingerprint: "5f".into(),
            taxon: None,
            against: None,
            named: None,
            by: None,
            readings: vec![],
            cells: vec![],
            seconds: None,
            of_set: None,
        })
    }
}

fn named(truth: &str, called: Option<&str>, days_ago: i64) -> Record {
    let mut record = answer(
        &format!("name.{truth}.tillering.1"),
        Drill::NameIt,
        days_ago,
    );
    if let Body::Practice(it) = &mut record.body {
        it.taxon = Some(truth.into());
        it.named = called.map(str::to_owned);
    }
    record
}

fn pair(truth: &str, against: &str, right: bool, days_ago: i64) -> Record {
    let text = format!("pair.{truth}.{against}.tillering.1");
    let mut record = answer(&text, Drill::TellPair, days_ago);
    if let Body::Practice(it) = &mut record.body {
        it.taxon = Some(truth.into());
        it.against = Some(against.into());
        it.named = Some(if right { truth } else { against }.into());
    }
    record
}

/// The question that an address leads to.
#[track_caller]
fn asked(answer: &Answer) -> String {
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let (_, query) = answer.location.split_once('?').unwrap();
    let fields: Vec<(String, String)> = form_urlencoded::parse(query.as_bytes())
        .into_owned()
        .collect();
    fields.into_iter().find(|(name, _)| name == "q").unwrap().1
}

async fn next(sample: &Sample, query: &str) -> String {
    let address = format!("/practice/next{query}");
    asked(&sample.get_with_cookie(&address, WREN).await)
}

#[tokio::test]
async fn nobody_is_asked_without_a_name_and_the_page_says_how_to_give_one() {
    let sample = Sample::empty();
    let answer = sample.get("/practice/next").await;
    assert_eq!(answer.location, "/practice");
    sample
        .get("/practice")
        .await
        .holds("/scout?back=/practice")
        .lacks("/practice/next?book=0");
    sample
        .get_with_cookie("/practice", WREN)
        .await
        .holds("/practice/next?book=0")
        .holds("not asked yet; sown in this planting");
}

#[tokio::test]
async fn what_she_mixes_up_comes_first_and_not_twice_in_a_row() {
    let sample = Sample::empty();
    for days in [3, 2, 2] {
        sample.keep_record(named(INDIAN, Some(GIANT), days));
    }
    sample.keep_record(pair(BIG, GIANT, true, 1));
    let first = next(&sample, "?drill=tell_pair").await;
    assert!(
        first.starts_with(&format!("pair.{GIANT}.{INDIAN}.")),
        "{first}"
    );
    sample
        .get_with_cookie("/practice", WREN)
        .await
        .holds("you took one for the other 3 times; last asked 2 days ago");
    // Asked and answered wrongly again: still what matters most, but not at once.
    sample.keep_record(pair(INDIAN, GIANT, false, 0));
    let then = next(&sample, "?drill=tell_pair").await;
    assert!(!then.contains(INDIAN) || !then.contains(GIANT), "{then}");
    // The next shares a name with it: look-alikes stand one after the other.
    assert!(then.contains(INDIAN) || then.contains(GIANT), "{then}");
}

#[tokio::test]
async fn what_is_known_waits_and_comes_back_when_it_fades() {
    let sample = Sample::with_mix(&[BIG]);
    let pairs = |sample: &Sample| {
        let key = sample.app.key.taxa.clone();
        let others = key.into_iter().map(|taxon| taxon.id.to_string());
        others.filter(|id| id != BIG).collect::<Vec<_>>()
    };
    // Every pair told apart five times; one of them wrongly the last time.
    for other in pairs(&sample) {
        for days in [60, 45, 30, 15, 5] {
            sample.keep_record(pair(BIG, &other, true, days));
        }
    }
    sample.keep_record(pair(BIG, INDIAN, false, 4));
    sample.keep_record(named(GIANT, Some(GIANT), 0));
    let question = next(&sample, "?drill=tell_pair").await;
    assert!(question.contains(INDIAN), "{question}");
}

#[tokio::test]
async fn the_planting_decides_what_is_asked_and_can_be_chosen() {
    let sample = Sample::with_mix(&["panicum_virgatum"]);
    let mut seen = BTreeSet::new();
    for _ in 0..6 {
        let question = next(&sample, "?drill=tell_pair").await;
        assert!(question.contains("panicum_virgatum"), "{question}");
        seen.insert(question);
    }
    assert!(seen.len() > 1, "the same specimen six times: {seen:?}");
    let chosen = sample.post("/practice/for", &[("planting", "all")]).await;
    assert!(
        chosen
            .cookies
            .starts_with("practice_for=all; Path=/practice")
    );
    let all = "scout=Wren+Hollis; practice_for=all";
    let page = sample.get_with_cookie("/practice", all).await;
    page.holds("<option value=\"all\" selected>")
        .lacks("sown in this planting");
    let of_this = sample.planting.to_string();
    let chosen = sample
        .post("/practice/for", &[("planting", &of_this)])
        .await;
    assert!(chosen.cookies.contains(&of_this));
    for nonsense in ["", "x", "\r\nSet-Cookie: a=b", &sample.visit.to_string()] {
        let refused = sample
            .post("/practice/for", &[("planting", nonsense)])
            .await;
        assert_eq!(refused.cookies, "", "{nonsense}");
    }
}

#[tokio::test]
async fn every_drill_is_asked_and_a_frame_holds_no_more_names_than_it_can() {
    let sample = Sample::empty();
    for (drill, begins) in [
        ("see_trait", "see."),
        ("tell_pair", "pair."),
        ("name_it", "name."),
        ("count_frame", "frame."),
    ] {
        let question = next(&sample, &format!("?drill={drill}&book=1")).await;
        assert!(question.starts_with(begins), "{question}");
        let parsed: standbook_practice::Question = question.parse().unwrap();
        if let standbook_practice::Question::CountFrame {
            planted, others, ..
        } = parsed
        {
            assert_eq!(planted.len(), 3);
            assert!((1..=6).contains(&others.len()), "{others:?}");
        }
    }
    let frame = sample
        .get_with_cookie("/practice/next?drill=count_frame&book=0", WREN)
        .await;
    assert!(frame.location.starts_with("/practice/frame?"));
    // With the book or without: as she last did.
    assert!(frame.location.contains("book=0"));
    let mut last = named(BIG, Some(BIG), 0);
    if let Body::Practice(it) = &mut last.body {
        it.with_book = true;
    }
    sample.keep_record(last);
    let again = sample.get_with_cookie("/practice/next", WREN).await;
    assert!(again.location.contains("book=1"), "{}", again.location);
}

#[tokio::test]
async fn practice_is_removed_on_request_and_the_field_stays() {
    let sample = Sample::counted(false);
    sample.keep_record(named(BIG, Some(BIG), 2));
    let mut ahead = named(BIG, Some(BIG), 0);
    ahead.born_at = "2099-01-01T00:00:00.000Z".into();
    sample.keep_record(ahead);
    let frames = sample.app.book.frames(sample.visit).unwrap();
    let page = sample.get("/desk/practice/remove").await;
    page.holds("Wren Hollis, 2 answers");
    let id = hidden(&page.text(), "id");
    let mut fields = vec![
        ("id", id.as_str()),
        ("scout", "Wren Hollis"),
        ("author", "C. Sorrel"),
    ];
    let refused = sample.post("/desk/practice/remove", &fields).await;
    refused.holds("Nothing was removed. Tick");
    assert_eq!(sample.app.book.practice_of("Wren Hollis").unwrap().len(), 2);
    fields.push(("sure", "1"));
    let nobody: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (*name, if *name == "scout" { "Nobody" } else { *value }))
        .collect();
    sample
        .post("/desk/practice/remove", &nobody)
        .await
        .holds("Nobody of this name has practised");
    for _ in 0..2 {
        let done = sample.post("/desk/practice/remove", &fields).await;
        assert_eq!(done.location, "/desk/practice/remove?done=1");
    }
    assert_eq!(sample.app.book.practice_of("Wren Hollis").unwrap(), []);
    assert_eq!(sample.app.book.practice_scouts().unwrap(), [""; 0]);
    assert_eq!(sample.app.book.frames(sample.visit).unwrap(), frames);
    sample
        .get("/desk/practice/remove?done=1")
        .await
        .holds("It is removed from this book.")
        .holds("Nobody has practised in this book.");
}
