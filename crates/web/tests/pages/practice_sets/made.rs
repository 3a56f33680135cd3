//! Making sets: a test that is drawn, a set from a visit, a correction.

use axum::http::StatusCode;
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Record, RecordId};

use super::support::*;
use crate::desk_support::*;

#[tokio::test]
async fn a_field_test_is_drawn_from_what_was_sown_and_what_it_is_taken_for() {
    let sample = Sample::empty();
    let set = tested(&sample, "10", "20", "120").await;
    assert_eq!(set.body.purpose, SetPurpose::FieldTest);
    assert_eq!(set.body.title, "Field test, north forty");
    assert_eq!(set.body.minutes, Some(120.0));
    let with: Vec<bool> = set.body.questions.iter().map(|q| q.with_book).collect();
    assert_eq!(with, [vec![false; 10], vec![true; 20]].concat());
    let mix = [BIG, INDIAN, "bouteloua_curtipendula"];
    let sown = |range: std::ops::RangeInclusive<usize>| {
        range
            .filter(|item| mix.contains(&truth(&set, *item).as_str()))
            .count()
    };
    assert_eq!((sown(1..=10), sown(11..=30)), (5, 10));
    // Every other one is a weed of the key, or one that the key says is taken for something sown.
    let names: std::collections::BTreeSet<String> =
        (1..=30).map(|item| truth(&set, item)).collect();
    assert!(names.len() > 12, "{names:?}");
    for id in names.iter().filter(|id| !mix.contains(&id.as_str())) {
        let taxon = sample.app.key.taxon(id).unwrap();
        let alike = |one: &standbook_key::Taxon, ids: &[&str]| {
            one.look_alikes.iter().any(|other| match &other.other {
                standbook_key::LookAlikeOf::Taxon(other) => ids.contains(&other.as_str()),
                standbook_key::LookAlikeOf::Outside(_) => false,
            })
        };
        let taken = alike(taxon, &mix)
            || mix
                .iter()
                .any(|own| alike(sample.app.key.taxon(own).unwrap(), &[id]));
        assert!(taken || taxon.role == standbook_key::Role::Weed, "{id}");
    }
    // The same seed and numbers: the same test.
    let again = tested(&sample, "10", "20", "120").await;
    assert_eq!(again.body.questions, set.body.questions);
    assert_ne!(again.id, set.id);
    let page = sample.get(&format!("/desk/practice/sets/{}", set.id)).await;
    page.holds("10 questions without the book, 20 with it; 2 hours")
        .holds("Drawn with seed 4711.")
        .holds("Quill Farm, north forty")
        .holds("Nobody has answered yet.");
    sample.get("/desk").await.holds("href=\"/desk/practice\"");
    sample
        .get("/desk/practice")
        .await
        .holds("Field test, north forty")
        .holds("nobody has begun")
        .holds("href=\"/desk/practice/scouts\"")
        .holds("href=\"/desk/practice/remove\"")
        .holds("href=\"/desk/practice/same-frames\"");
}

#[tokio::test]
async fn a_test_that_cannot_be_is_refused_with_the_form_filled_in() {
    let sample = Sample::with_mix(&["no_grass_of_this_key"]);
    let known = Sample::empty();
    for (sample, field, wrong, said) in [
        (
            &sample,
            "title",
            "x",
            "This key knows nothing that was sown in north forty",
        ),
        (&known, "planting", "", "No planting is chosen"),
        (&known, "planting", "nonsense", "No planting is chosen"),
        (&known, "without", "101", "not a whole number from 0 to 100"),
        (&known, "with", "-1", "not a whole number from 0 to 100"),
        (&known, "minutes", "0", "not from 1 to 1440 minutes"),
        (&known, "minutes", "1441", "not from 1 to 1440 minutes"),
        (&known, "seed", "4294967296", "The seed is no whole number"),
        (&known, "scout", "", "Your name is missing"),
        (&known, "title", &"x".repeat(121), "Shorten it to 120"),
    ] {
        let planting = sample.planting.to_string();
        let id = RecordId::new().to_string();
        let mut fields = vec![
            ("id", id.as_str()),
            ("planting", &planting),
            ("without", "3"),
            ("with", "4"),
            ("minutes", "5"),
            ("seed", "6"),
            ("title", "Autumn test"),
            ("scout", "T. Alder"),
        ];
        for known in fields.iter_mut().filter(|known| known.0 == field) {
            known.1 = wrong;
        }
        let page = sample.post("/desk/practice/tests/new", &fields).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{field}");
        page.holds(said);
        if field != "title" {
            page.holds("value=\"Autumn test\"");
        }
        assert!(sample.app.book.practice_sets().unwrap().is_empty());
    }
    let none = [("without", "0"), ("with", ""), ("scout", "T. Alder")];
    let page = known.post("/desk/practice/tests/new", &none).await;
    page.holds("A test without a specimen tests nothing");
}

#[tokio::test]
async fn a_set_from_a_visit_asks_what_is_settled_and_no_more() {
    let sample = Sample::counted(false);
    // One plant: named by A. Fenn, looked at again by B. Reed, who saw a trait; with a photo.
    let seen = sample.determine(Some(BIG), &[("ligule_type", states(&["membrane"]))]);
    sample.keep_record(Record {
        author: "B. Reed".to_owned(),
        ..record(Opinion {
            taxon: Some(BIG.to_owned()),
            evidence: Some(seen.evidence),
            ..Opinion::on(sample.determination)
        })
    });
    // A second one, disputed; a third that nobody looked at again; a fourth without a name.
    let disputed = sample.keep(sample.determine(Some(INDIAN), &[]));
    sample.keep_record(Record {
        author: "B. Reed".to_owned(),
        ..record(Opinion {
            taxon: Some(BIG.to_owned()),
            ..Opinion::on(disputed)
        })
    });
    let alone = sample.keep(sample.determine(Some(GIANT), &[]));
    sample.keep(sample.determine(None, &[]));
    let photo = include_bytes!("../photos/files/turned.jpg");
    for plant in [sample.determination, disputed, alone] {
        let to = format!("/determinations/{plant}/photos");
        let id = RecordId::new().to_string();
        let fields = [
            ("id", id.as_str()),
            ("scout", "A. Fenn"),
            ("shows", "whole plant"),
        ];
        let kept = sample.send_photo(&to, &fields, photo).await;
        assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    }
    let photo_of = |plant: RecordId| sample.app.book.photos(plant).unwrap()[0].id;

    let address = format!("/desk/practice/sets/new?visit={}", sample.visit);
    sample.get("/desk/practice/sets/new").await.holds(&address);
    let (id, page) = opened(&sample, &address).await;
    let value = |q: String| format!("value=\"{q}\"");
    let ticked = |q: String| format!("value=\"{q}\" checked");
    let plant = sample.determination;
    let named = format!("name_photo.{}.{plant}", photo_of(plant));
    let trait_seen = format!("see_photo.ligule_type.{}.{plant}", photo_of(plant));
    assert!(page.contains(&ticked(named.clone())), "{page}");
    assert!(page.contains(&value(trait_seen.clone())));
    assert!(!page.contains(&ticked(trait_seen.clone())));
    assert!(
        !page.contains(&alone.to_string()),
        "one person's name is no truth"
    );
    assert!(page.contains("1 plant with photos: only the scout has given a name."));
    assert!(
        !page.contains(&disputed.to_string()),
        "a disputed plant is not asked about"
    );
    assert!(
        page.contains("2 plants of the visit can\u{2019}t be asked about"),
        "{page}"
    );
    // Drawn: what was sown is ticked, what else was found is offered.
    let drawn = |taxon: &str| {
        let mark = format!("value=\"name.{taxon}.tillering.");
        let rest = page.split(&mark).nth(1).unwrap();
        let number = rest.split('"').next().unwrap();
        (
            format!("name.{taxon}.tillering.{number}"),
            rest[number.len()..].starts_with("\" checked"),
        )
    };
    assert!(drawn(BIG).1 && !drawn(GIANT).1);

    let drawn_big = drawn(BIG).0;
    let fields = [
        ("id", id.as_str()),
        ("title", "Plants of July"),
        ("purpose", "drill"),
        ("book", "0"),
        ("q", named.as_str()),
        ("q", trait_seen.as_str()),
        ("q", drawn_big.as_str()),
        ("q", drawn_big.as_str()),
        ("scout", "T. Alder"),
    ];
    let kept = sample.post(&address, &fields).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    let set = sample
        .app
        .book
        .practice_set(id.parse().unwrap())
        .unwrap()
        .unwrap();
    let asked: Vec<&str> = set
        .body
        .questions
        .iter()
        .map(|q| q.question.as_str())
        .collect();
    assert_eq!(asked, [named.as_str(), &trait_seen, &drawn_big]);
    assert_eq!(
        (set.body.visit, set.body.planting),
        (Some(sample.visit), Some(sample.planting))
    );
    // The blank form of the same address leads to what was kept.
    let back = sample.get(&format!("{address}&id={id}")).await;
    assert_eq!(back.location, format!("/desk/practice/sets/{id}"));

    let none = [("title", "x"), ("scout", "T. Alder")];
    sample
        .post(&address, &none)
        .await
        .holds("No question is chosen");
    for q in [
        "name.no_such_grass.tillering.1",
        "nonsense",
        "name_photo.x.y",
        &format!("name_photo.{plant}.{plant}"),
    ] {
        let forged = [("title", "Kept title"), ("scout", "T. Alder"), ("q", q)];
        let page = sample.post(&address, &forged).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{q}");
        page.holds("none that this book can ask")
            .holds("value=\"Kept title\"");
    }
    assert_eq!(sample.app.book.practice_sets().unwrap().len(), 1);
}

#[tokio::test]
async fn a_corrected_set_is_a_new_version_and_answers_stay_with_theirs() {
    let sample = Sample::empty();
    let set = tested(&sample, "2", "1", "").await;
    keep(&sample, answer(&set, 1, "A. Fenn", None));
    keep(&sample, answer(&set, 2, "A. Fenn", Some(&truth(&set, 2))));
    let to = format!("/desk/practice/sets/{}/correct", set.id);
    let page = sample.get(&to).await.text();
    let (id, old) = (hidden(&page, "id"), hidden(&page, "supersedes"));
    assert_eq!(old, set.id.to_string());
    // The first question goes; the third comes first.
    let q = |at: usize| {
        let one: &SetQuestion = &set.body.questions[at];
        format!("{} {}", u8::from(one.with_book), one.question)
    };
    assert!(
        page.contains(&format!("value=\"{}\" checked", q(0))),
        "{page}"
    );
    let (third, second) = (q(2), q(1));
    let fields = [
        ("id", id.as_str()),
        ("supersedes", old.as_str()),
        ("title", "Shorter"),
        ("q", third.as_str()),
        ("q", second.as_str()),
        ("scout", "T. Alder"),
    ];
    let kept = sample.post(&to, &fields).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    assert_eq!(kept.location, format!("/desk/practice/sets/{id}"));
    let now = sample.app.book.practice_set(set.id).unwrap().unwrap();
    assert_eq!(
        (now.body.title.as_str(), now.body.questions.len()),
        ("Shorter", 2)
    );
    assert_eq!(now.body.purpose, SetPurpose::FieldTest);
    // What she answered to the second question counts, wherever it stands now.
    sample
        .get_with_cookie(&format!("/practice/sets/{}", set.id), HERS)
        .await
        .holds("1 of 2 answered.")
        .holds("item=1");
    let page = sample.get(&kept.location).await;
    page.holds("1 of 2, the last on")
        .holds("1 answer to questions that an earlier version asked")
        .holds("; corrected")
        .lacks("Drawn with seed");
    let rows = sample
        .get(&format!("{}/answers.csv", kept.location))
        .await
        .text();
    assert_eq!(rows.lines().count(), 3);
    assert!(
        rows.contains(&format!("Field test, north forty\",{}", set.id)),
        "{rows}"
    );
    // The page of an earlier version corrects the one that stands.
    let lead = sample.get(&to).await;
    assert_eq!(lead.location, format!("/desk/practice/sets/{id}/correct"));
}

#[tokio::test]
async fn a_set_that_is_not_there_is_an_ordinary_refusal() {
    let sample = Sample::empty();
    let none = RecordId::new();
    for address in [
        format!("/practice/sets/{none}"),
        "/practice/sets/nonsense".to_owned(),
        format!("/desk/practice/sets/{none}"),
        format!("/desk/practice/sets/{none}/correct"),
        format!("/desk/practice/sets/{none}/answers.csv"),
        format!("/desk/practice/sets/new?visit={none}"),
        format!("/desk/practice/sets/{}", sample.planting),
    ] {
        let page = sample.get(&address).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{address}");
    }
}
