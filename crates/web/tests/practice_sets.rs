//! Sets that a trainer puts together: made, taken, corrected, read, all asked in this process, on a real
//! book with the real key.
#![allow(clippy::unwrap_used)]

mod desk_support;

use axum::http::StatusCode;
use desk_support::*;
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Entry, Record, RecordId};

const BIG: &str = "andropogon_gerardi";
const INDIAN: &str = "sorghastrum_nutans";
const GIANT: &str = "setaria_faberi";
const HERS: &str = "scout=A.+Fenn";

/// Opens a form; gives the id that its address names.
async fn opened(sample: &Sample, address: &str) -> (String, String) {
    let to = sample.get(address).await;
    assert_eq!(to.status, StatusCode::SEE_OTHER, "{}", to.text());
    let page = sample.get(&to.location).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    let page = page.text();
    (hidden(&page, "id"), page)
}

/// A field test of the sample's planting with so many specimens.
async fn tested(sample: &Sample, without: &str, with: &str, minutes: &str) -> Entry<PracticeSet> {
    let (id, _) = opened(sample, "/desk/practice/tests/new").await;
    let planting = sample.planting.to_string();
    let fields = [
        ("id", id.as_str()),
        ("planting", &planting),
        ("without", without),
        ("with", with),
        ("minutes", minutes),
        ("stage", "few_leaves"),
        ("title", ""),
        ("seed", "4711"),
        ("scout", "T. Alder"),
    ];
    for _ in 0..2 {
        let kept = sample.post("/desk/practice/tests/new", &fields).await;
        assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
        assert_eq!(kept.location, format!("/desk/practice/sets/{id}"));
    }
    let set = sample.app.book.practice_set(id.parse().unwrap()).unwrap();
    set.unwrap()
}

/// What the question of an item is about.
fn truth(set: &Entry<PracticeSet>, item: usize) -> String {
    let text = &set.body.questions[item - 1].question;
    text.split('.').nth(1).unwrap().to_owned()
}

/// An answer as the page of the question keeps it: its id is made with the page.
fn answer(set: &Entry<PracticeSet>, item: usize, scout: &str, named: Option<&str>) -> Record {
    let question = &set.body.questions[item - 1];
    Record {
        author: scout.to_owned(),
        ..record(Practice {
            scout: scout.to_owned(),
            drill: Drill::NameIt,
            question: question.question.clone(),
            with_book: question.with_book,
            key_id: "tallgrass-first-year".to_owned(),
            table_fingerprint: "ab".repeat(32),
            taxon: Some(truth(set, item)),
            against: None,
            named: named.map(str::to_owned),
            by: None,
            readings: Vec::new(),
            cells: Vec::new(),
            seconds: Some(12.5),
            of_set: Some(SetItem {
                set: set.id,
                item: u32::try_from(item).unwrap(),
            }),
        })
    }
}

fn keep(sample: &Sample, answer: Record) -> RecordId {
    sample.keep_record(answer)
}

/// Two taxa sown in the sample that a specimen is not.
fn other_sown(is: &str) -> &'static str {
    if is == BIG { INDIAN } else { BIG }
}

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
        .holds(&format!("/desk/practice/rule/{}", sample.planting));
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
async fn a_scout_is_told_what_it_is_and_where_she_stands_and_nothing_before_the_end() {
    let sample = Sample::empty();
    let set = tested(&sample, "1", "2", "120").await;
    let page = format!("/practice/sets/{}", set.id);
    sample
        .get(&page)
        .await
        .holds("1 question without the book, 2 with it; 2 hours")
        .holds("Say who you are")
        .lacks("Begin");
    sample
        .get_with_cookie("/practice/sets", HERS)
        .await
        .holds("Field test, north forty")
        .holds("not begun");
    let begin = sample.get_with_cookie(&page, HERS).await;
    begin
        .holds("You can stop at any time and go on later")
        .holds("later answers are marked as late")
        .holds(">Begin<")
        .holds("item=1")
        .holds("book=0");
    // What the specimen is stands nowhere on the way to it.
    begin.lacks(&truth(&set, 1));

    let first = keep(&sample, answer(&set, 1, "A. Fenn", Some(&truth(&set, 1))));
    let between = sample.get_with_cookie(&page, HERS).await;
    between
        .holds("1 of 3 answered.")
        .holds("The second part: with the book")
        .holds("1 hour 59 minutes are left.")
        .holds("item=2")
        .holds("book=1")
        .lacks(&format!("/practice/answers/{first}"))
        .lacks("right");
    keep(&sample, answer(&set, 2, "A. Fenn", None));
    let wrong = other_sown(&truth(&set, 3));
    keep(&sample, answer(&set, 3, "a. fenn", Some(wrong)));
    let done = sample.get_with_cookie(&page, HERS).await;
    done.holds("How it went")
        .holds("1 of 1 right; planted or not: 1 of 1")
        .holds("0 of 2 right")
        .holds(&format!("href=\"/practice/answers/{first}\""))
        .holds("1. Name it: right")
        .holds("2. Name it: could not tell")
        .holds("3. Name it: wrong")
        .lacks("are left.")
        .lacks("Go on");
    // Somebody else's answers are hers alone.
    sample
        .get_with_cookie(&page, "scout=B.+Reed")
        .await
        .holds(">Begin<")
        .lacks("How it went");
    sample
        .get_with_cookie("/practice/sets", HERS)
        .await
        .holds("all answered: see how it went");
}

#[tokio::test]
async fn when_the_time_is_over_nothing_is_lost_and_late_answers_are_marked() {
    let sample = Sample::empty();
    let set = tested(&sample, "2", "0", "1").await;
    let mut first = answer(&set, 1, "A. Fenn", Some(&truth(&set, 1)));
    // Its page was shown two minutes ago.
    let shown = jiff::Timestamp::now() - jiff::SignedDuration::from_mins(2);
    let millis = u64::try_from(shown.as_millisecond()).unwrap();
    let uuid = uuid::Builder::from_unix_timestamp_millis(millis, &[7; 10]).into_uuid();
    first.id = RecordId::from_uuid(uuid);
    first.born_at = standbook_fieldbook::time::stamp(shown + jiff::SignedDuration::from_secs(50));
    keep(&sample, first);
    let page = format!("/practice/sets/{}", set.id);
    sample
        .get_with_cookie(&page, HERS)
        .await
        .holds("The time is over. Nothing is lost")
        .holds("Go on with question 2")
        .holds("1. Name it: right")
        .lacks("; late");
    keep(&sample, answer(&set, 2, "A. Fenn", Some(&truth(&set, 2))));
    sample
        .get_with_cookie(&page, HERS)
        .await
        .holds("2 of 2 right")
        .holds("2. Name it: right")
        .holds("; late");
    sample
        .get(&format!("/desk/practice/sets/{}", set.id))
        .await
        .holds("2 of 2, the last on")
        .holds("1 late");
}

/// Limits of 1 of 3 (0.0615, 0.7923) and of 2 of 2 (0.3424, 1) at 95 %: statsmodels 0.15.0,
/// `proportion_confint(x, n, method="wilson")`.
#[tokio::test]
async fn results_say_where_a_group_errs_and_rank_nobody() {
    let sample = Sample::empty();
    let set = tested(&sample, "2", "1", "").await;
    let wrong = other_sown(&truth(&set, 1)).to_owned();
    for (scout, first) in [
        ("Z. Ash", Some(truth(&set, 1))),
        ("A. Fenn", Some(wrong.clone())),
    ] {
        keep(&sample, answer(&set, 1, scout, first.as_deref()));
        keep(&sample, answer(&set, 3, scout, Some(&truth(&set, 3))));
    }
    keep(&sample, answer(&set, 2, "Z. Ash", None));
    // Answered again: kept, and not counted.
    keep(&sample, answer(&set, 1, "A. Fenn", Some(&truth(&set, 1))));
    let page = sample.get(&format!("/desk/practice/sets/{}", set.id)).await;
    let text = page.text();
    page.holds("2 of 3, the last on")
        .holds("3 of 3, the last on")
        .holds("1 answered again, which does not count")
        .holds("In the order of the alphabet")
        .holds("href=\"/desk/practice/scouts/A.%20Fenn\"")
        // Without the book: right, wrong, could not tell.
        .holds("1 of 3: 33 % (6 % to 79 %)")
        .holds("could not tell: 1")
        .holds("2 of 2: 100 % (34 % to 100 %)");
    let hers = text.find("A. Fenn</strong>").unwrap();
    assert!(hers < text.find("Z. Ash</strong>").unwrap());
    let name = |id: &str| sample.app.key.taxon(id).unwrap().common_name.clone();
    let mut pair = [truth(&set, 1), wrong.clone()];
    pair.sort();
    let told = format!("{} and {}", name(&pair[0]), name(&pair[1]));
    page.holds("Taken for each other").holds(&told);
    page.holds(&format!("<td>{}</td>", name(&wrong)));
}

#[tokio::test]
async fn the_table_of_answers_reads_back_and_runs_nowhere() {
    let sample = Sample::empty();
    let set = tested(&sample, "2", "1", "120").await;
    let right = keep(&sample, answer(&set, 1, "=cmd()", Some(&truth(&set, 1))));
    keep(&sample, answer(&set, 2, "A. Fenn", None));
    keep(&sample, answer(&set, 3, "A. Fenn", Some("not_in_key")));
    let again = keep(&sample, answer(&set, 2, "A. Fenn", Some(&truth(&set, 2))));
    let address = format!("/desk/practice/sets/{}/answers.csv", set.id);
    let file = sample.get(&address).await;
    assert_eq!(file.content_type, "text/csv; charset=utf-8");
    assert!(
        file.disposition
            .contains("field-test-north-forty-answers.csv")
    );
    let mut reader = csv::Reader::from_reader(file.bytes.as_slice());
    let head: Vec<String> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 4);
    let cell = |id: &RecordId, name: &str| {
        let at = |name: &str| head.iter().position(|head| head == name).unwrap();
        let row = rows
            .iter()
            .find(|row| row[at("answer_id")] == id.to_string());
        row.unwrap()[at(name)].to_owned()
    };
    assert_eq!(cell(&right, "scout"), "'=cmd()");
    assert_eq!(cell(&right, "truth"), truth(&set, 1));
    assert_eq!(cell(&right, "result"), "right");
    assert_eq!(cell(&right, "planted_or_not"), "right");
    assert_eq!(cell(&right, "item"), "1");
    assert_eq!(cell(&right, "set_id"), set.id.to_string());
    assert_eq!(cell(&right, "seconds"), "12.5");
    assert_eq!(cell(&again, "counts"), "no");
    // Every column is explained on the page.
    let page = sample.get(&format!("/desk/practice/sets/{}", set.id)).await;
    for name in &head {
        page.holds(&format!("<code>{name}</code>"));
    }
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
    let photo = include_bytes!("photos/files/turned.jpg");
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

/// The address of a link of a page, by its words.
fn link(page: &str, words: &str) -> String {
    let end = page
        .find(&format!(">{words}"))
        .unwrap_or_else(|| panic!("no {words} in:\n{page}"));
    let address = page[..end].rsplit("href=\"").next().unwrap();
    address
        .split('"')
        .next()
        .unwrap()
        .replace("&#38;", "&")
        .replace("&amp;", "&")
}

/// Opens a question as a phone does, by way of redirects; gives the page.
async fn question(sample: &Sample, address: &str) -> String {
    let mut answer = sample.get_with_cookie(address, HERS).await;
    for _ in 0..3 {
        if answer.status == StatusCode::SEE_OTHER {
            answer = sample.get_with_cookie(&answer.location, HERS).await;
        }
    }
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    answer.text()
}

/// Answers a question as its page would send it; gives where that leads.
async fn answered(sample: &Sample, page: &str, said: &str) -> String {
    let fields: Vec<(&str, String)> = ["q", "book", "set", "item", "id", "issued"]
        .into_iter()
        .map(|name| (name, hidden(page, name)))
        .collect();
    let mut fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    fields.extend([("scout", "A. Fenn"), ("said", said)]);
    let kept = sample.post("/practice/ask", &fields).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    kept.location
}

#[tokio::test]
async fn a_test_is_taken_question_by_question_without_a_word_between() {
    let sample = Sample::empty();
    let set = tested(&sample, "2", "1", "120").await;
    let home = format!("/practice/sets/{}", set.id);
    let begin = link(&sample.get_with_cookie(&home, HERS).await.text(), "Begin<");
    let page = question(&sample, &begin).await;
    assert!(page.contains("Field test, north forty, 1 of 3"), "{page}");
    // All names are offered alike; which is right is marked nowhere.
    let name = truth(&set, 1);
    assert_eq!(
        page.matches(&name).count(),
        1,
        "its own button only:\n{page}"
    );
    let next = answered(&sample, &page, &name).await;
    let page = question(&sample, &next).await;
    assert!(
        page.contains("2 of 3. 1 hour 59 minutes are left."),
        "{page}"
    );
    assert!(!page.contains("right"));
    // After the first part comes the page that opens the book.
    assert_eq!(answered(&sample, &page, "cannot_tell").await, home);
    let between = sample.get_with_cookie(&home, HERS).await.text();
    let page = question(&sample, &link(&between, "Begin the second part")).await;
    assert!(page.contains("3 of 3"), "{page}");
    assert_eq!(answered(&sample, &page, "something_else").await, home);
    sample
        .get_with_cookie(&home, HERS)
        .await
        .holds("1. Name it: right")
        .holds("you said something that is not planted");
    // An old page of hers leads to where she stands, and nothing is kept twice.
    let again = sample.get_with_cookie(&begin, HERS).await;
    assert_eq!(
        (again.status, again.location),
        (StatusCode::SEE_OTHER, home)
    );
    assert_eq!(sample.app.book.practice_of("A. Fenn").unwrap().len(), 3);
}

#[tokio::test]
async fn after_a_correction_a_scout_goes_on_with_what_is_new() {
    let sample = Sample::empty();
    let set = tested(&sample, "2", "0", "").await;
    keep(&sample, answer(&set, 1, "A. Fenn", None));
    // The second question goes, and another takes the place of the first: its number was answered before.
    let mut now = set.body.clone();
    now.questions.swap(0, 1);
    let correction = Record {
        supersedes: Some(set.id),
        ..record(now)
    };
    let id = sample.keep_record(correction);
    let home = sample
        .get_with_cookie(&format!("/practice/sets/{id}"), HERS)
        .await
        .text();
    let page = question(&sample, &link(&home, "Go on with question 2")).await;
    assert!(
        page.contains("What is this plant?") && page.contains("1 of 2"),
        "{page}"
    );
}

#[tokio::test]
async fn the_sheet_for_scouts_says_nothing_of_what_is_right_and_the_trainers_says_it_all() {
    let sample = Sample::empty();
    let set = tested(&sample, "4", "3", "90").await;
    let address = format!("/desk/practice/sets/{}/paper", set.id);
    let sheet = sample.get(&address).await;
    assert_eq!(sheet.status, StatusCode::OK);
    let page = sheet.text();
    sheet
        .holds("Time for everything: 1 hour 30 minutes.")
        .holds("<h3>7</h3>")
        .holds("sheet-letter")
        .holds("href=\"?paper=a4\"");
    assert_eq!(page.matches("<article class=\"test-item\">").count(), 7);
    assert_eq!(page.matches("Known by").count(), 7);
    let ids = markup::ids_are_sound(&page);
    assert!(ids > 0);
    let truths = (1..=7).map(|item| {
        let id = truth(&set, item);
        (
            id.clone(),
            sample.app.key.taxon(&id).unwrap().common_name.clone(),
        )
    });
    for (id, name) in truths.clone() {
        assert!(
            !page.contains(&id) && !page.contains(&name),
            "{name} in:\n{page}"
        );
    }
    let bare = sample.get(&format!("{address}?paper=a4&pictures=no")).await;
    bare.holds("sheet-a4")
        .holds("<h3>7</h3>")
        .lacks("class=\"drawing\"");
    let key = sample.get(&format!("{address}/answers")).await;
    for (_, name) in truths {
        key.holds(&name);
    }
    let odd = sample.get(&format!("{address}?paper=parchment")).await;
    assert_eq!(odd.status, StatusCode::BAD_REQUEST);
    odd.holds("Ask for letter or a4.");
}

#[tokio::test]
async fn a_sheet_is_typed_in_once_and_counts_as_hers() {
    let sample = Sample::empty();
    let set = tested(&sample, "3", "1", "1").await;
    let to = format!("/desk/practice/sets/{}/typed", set.id);
    let (id, page) = opened(&sample, &to).await;
    assert_eq!(page.matches("left empty").count(), 4);
    let first = truth(&set, 1);
    let wrong = other_sown(&truth(&set, 3)).to_owned();
    let fields = [
        ("id", id.as_str()),
        ("walked", "A. Fenn"),
        ("scout", "T. Alder"),
        ("said.1", first.as_str()),
        ("by.1", "ligule_type"),
        ("said.2", "cannot_tell"),
        ("said.3", wrong.as_str()),
        ("said.4", ""),
    ];
    for _ in 0..2 {
        let kept = sample.post(&to, &fields).await;
        assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
        let next = sample.get(&kept.location).await;
        sample
            .get(&next.location)
            .await
            .holds("Kept: 3 answers of A. Fenn.");
    }
    let kept = sample.app.book.practice_of("a. fenn").unwrap();
    assert_eq!(kept.len(), 3);
    let one = &kept[0];
    assert_eq!(
        (one.id.to_string(), one.author.as_str()),
        (id.clone(), "T. Alder")
    );
    assert!(
        one.device.starts_with("typed from paper by T. Alder on 20"),
        "{}",
        one.device
    );
    assert_eq!(one.body.scout, "A. Fenn");
    assert_eq!(one.body.named.as_deref(), Some(first.as_str()));
    assert_eq!(one.body.by.as_deref(), Some("ligule_type"));
    assert_eq!(one.body.question, set.body.questions[0].question);
    assert_eq!(one.body.of_set.map(|of| of.item), Some(1));
    assert_eq!(one.body.table_fingerprint, sample.app.table.fingerprint);
    assert_eq!(
        (kept[1].body.named.as_deref(), kept[1].body.seconds),
        (None, None)
    );
    // Hers, from paper, and never late.
    sample
        .get(&format!("/desk/practice/sets/{}", set.id))
        .await
        .holds("3 of 4, the last on")
        .holds("3 from paper")
        .lacks("late;");

    // Changed and sent again; typed once more; nothing typed; no name; an answer that is none.
    let mut changed = fields;
    changed[5].1 = first.as_str();
    let page = sample.post(&to, &changed).await;
    assert_eq!(page.status, StatusCode::CONFLICT);
    let again = RecordId::new().to_string();
    for (fields, said) in [
        (
            vec![
                ("walked", "A. FENN"),
                ("scout", "T. Alder"),
                ("said.2", "cannot_tell"),
            ],
            "Question 2: A. FENN has answered it already",
        ),
        (
            vec![("walked", "B. Reed"), ("scout", "T. Alder")],
            "No answer is typed",
        ),
        (
            vec![("scout", "T. Alder"), ("said.1", "cannot_tell")],
            "The scout on the sheet is missing",
        ),
        (
            vec![
                ("walked", "B. Reed"),
                ("scout", "T. Alder"),
                ("said.1", "no_such_grass"),
            ],
            "Question 1: ",
        ),
        (
            vec![
                ("walked", "B. Reed"),
                ("scout", "T. Alder"),
                ("said.2", "cannot_tell"),
                ("by.3", "ligule_type"),
            ],
            "Question 3: ",
        ),
    ] {
        let mut all = vec![("id", again.as_str())];
        all.extend(fields);
        let page = sample.post(&to, &all).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        page.holds(said);
    }
    assert_eq!(sample.app.book.practice_scouts().unwrap(), ["A. Fenn"]);
}

#[tokio::test]
async fn pairs_and_traits_go_on_paper_and_come_back() {
    let sample = Sample::empty();
    let asked = |text: &str| SetQuestion {
        question: text.to_owned(),
        with_book: false,
    };
    let set = PracticeSet {
        title: "Looks".to_owned(),
        purpose: SetPurpose::Drill,
        planting: Some(sample.planting),
        visit: None,
        minutes: None,
        questions: vec![
            asked("pair.setaria_faberi.setaria_viridis.tillering.5"),
            asked("see.ligule_type.panicum_virgatum.tillering.3"),
            asked("frame.andropogon_gerardi.setaria_faberi.tillering.2"),
            asked("name.a_grass_that_went.tillering.1"),
        ],
    };
    let id = sample.keep(set);
    let to = format!("/desk/practice/sets/{id}");
    let sheet = sample.get(&format!("{to}/paper")).await;
    sheet
        .holds("Which one is ")
        .holds("<li>the left one</li>")
        .holds("By what?")
        .holds("<li>skin (membrane)</li>")
        .holds("1 question of this set not printed")
        .holds("Not asked: There is no such plant to draw");
    let (form, page) = opened(&sample, &format!("{to}/typed")).await;
    assert!(
        page.contains("2 questions of the set not on paper"),
        "{page}"
    );
    let by = page.split("name=\"by.1\"").nth(1).unwrap();
    let by = by
        .split("option value=\"")
        .nth(2)
        .unwrap()
        .split('"')
        .next()
        .unwrap();
    let fields = [
        ("id", form.as_str()),
        ("walked", "B. Reed"),
        ("scout", "T. Alder"),
        ("said.1", "left"),
        ("by.1", by),
        ("said.2", "hairs"),
    ];
    let kept = sample.post(&format!("{to}/typed"), &fields).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    let kept = sample.app.book.practice_of("B. Reed").unwrap();
    let (pair, seen) = (&kept[0].body, &kept[1].body);
    let mut names = [pair.taxon.clone().unwrap(), pair.against.clone().unwrap()];
    names.sort();
    assert_eq!(names, ["setaria_faberi", "setaria_viridis"]);
    assert!(pair.named == pair.taxon || pair.named == pair.against);
    assert_eq!(pair.by.as_deref(), Some(by));
    assert_eq!(seen.readings[0].reported.as_deref(), Some("hairs"));
    // Of what the key no longer has nothing breaks, here and on the scout's page.
    sample.get(&to).await.holds("a_grass_that_went");
    let hers = sample
        .get_with_cookie(&format!("/practice/sets/{id}"), "scout=B.+Reed")
        .await;
    assert_eq!(hers.status, StatusCode::OK);
}
