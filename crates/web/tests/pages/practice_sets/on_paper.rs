//! A set on paper, and what comes back from it.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

use super::support::*;
use crate::desk_support::*;

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
