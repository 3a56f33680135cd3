//! A scout takes a set on her phone.

use axum::http::StatusCode;
use standbook_fieldbook::{Record, RecordId};

use super::support::*;
use crate::desk_support::*;

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
    // Nor is anything told to whoever types the address of her answer.
    let first = sample.app.book.practice_of("A. Fenn").unwrap()[0].id;
    let told = sample.get(&format!("/practice/answers/{first}")).await;
    assert_eq!(told.status, StatusCode::NOT_FOUND);
    told.holds("once every question of this set is answered");
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
        (again.status, again.location.as_str()),
        (StatusCode::SEE_OTHER, home.as_str())
    );
    let told = sample.get(&format!("/practice/answers/{first}")).await;
    assert_eq!(told.status, StatusCode::OK, "{}", told.text());
    assert_eq!(sample.app.book.practice_of("A. Fenn").unwrap().len(), 3);
}

#[tokio::test]
async fn after_a_correction_a_scout_goes_on_with_what_is_new() {
    let sample = Sample::empty();
    let set = tested(&sample, "2", "0", "").await;
    keep(&sample, answer(&set, 1, "A. Fenn", None));
    // The two change places: what stands first now has the number of what she answered.
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
    let page = question(&sample, &link(&home, "Go on with question 1")).await;
    // A page that was opened before the correction still asks what it asked, of the version it names.
    let old = format!(
        "/practice/ask?q={}&set={}&item=2",
        set.body.questions[1].question, set.id
    );
    let before = question(&sample, &old).await;
    assert_eq!(hidden(&before, "set"), set.id.to_string());
    assert_eq!(hidden(&before, "item"), "2");
    assert_eq!(hidden(&page, "set"), id.to_string());
    answered(&sample, &before, "cannot_tell").await;
    let kept = sample.app.book.practice_of("A. Fenn").unwrap();
    let of = kept[1].body.of_set.unwrap();
    assert_eq!((of.set, of.item), (set.id, 2));
    sample
        .get_with_cookie(&format!("/practice/sets/{id}"), HERS)
        .await
        .holds("How it went");
    assert!(
        page.contains("What is this plant?") && page.contains("1 of 2"),
        "{page}"
    );
}
