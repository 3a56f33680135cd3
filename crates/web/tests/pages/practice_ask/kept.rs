//! Forms sent twice, half filled in or by nobody, addresses of nothing, and questions of a set.

use super::*;

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
