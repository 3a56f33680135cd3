//! A crew on the same frames: the set, what is told and when, agreement, tables.
//!
//! Outside check: kappa of a crew as statsmodels gives it, on a published table (see beside the numbers).

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;
use standbook_practice::frame::{CELLS, Role};

use super::{form, full, laid, marks, question, send};
use crate::desk_support::*;

fn set_of(frames: u32) -> PracticeSet {
    PracticeSet {
        title: "crew of June".into(),
        purpose: SetPurpose::SameFrames,
        planting: None,
        visit: None,
        minutes: None,
        questions: (0..frames)
            .map(|at| SetQuestion {
                question: question(full() + at),
                with_book: false,
            })
            .collect(),
    }
}

#[tokio::test]
async fn of_same_frames_nothing_is_told_before_the_last() {
    let sample = Sample::empty();
    let set = sample.keep(set_of(2));
    let mark = |item: u32| {
        let mut fields = form(&RecordId::new().to_string(), "save", &marks(&[1], &[]));
        fields[0].1 = question(full() + item - 1);
        fields.push(("set", set.to_string()));
        fields.push(("item", item.to_string()));
        fields
    };
    let first = mark(1);
    let kept = send(&sample, &first).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER);
    assert!(
        kept.location.starts_with("/practice/frame?q=frame"),
        "{}",
        kept.location
    );
    assert!(kept.location.ends_with("item=2"), "{}", kept.location);
    let feedback = format!("/practice/frame/answers/{}", first[2].1);
    let page = sample.get(&feedback).await;
    assert_eq!(page.status, StatusCode::FORBIDDEN);
    page.lacks("overlooked,")
        .holds("every frame of the set is marked");
    // She goes back to the first: it leads on to the second.
    let again = format!(
        "/practice/frame?q={}&book=0&set={set}&item=1",
        question(full())
    );
    let back = sample.get_with_cookie(&again, "scout=A.+Fenn").await;
    assert_eq!(back.location, kept.location);
    // The frame of another place of the set is not taken.
    let mut mixed = mark(1);
    mixed.pop();
    mixed.push(("item", "2".to_owned()));
    assert_eq!(send(&sample, &mixed).await.status, StatusCode::BAD_REQUEST);
    let kept = send(&sample, &mark(2)).await;
    assert_eq!(kept.location, format!("/practice/sets/{set}"));
    let page = sample.get(&feedback).await;
    assert_eq!(page.status, StatusCode::OK);
    page.holds(&format!("href=\"/practice/sets/{set}\""));
}

#[tokio::test]
async fn the_office_makes_a_set_of_frames_of_a_planting() {
    let sample = Sample::empty();
    let blank = sample.get("/desk/practice/same-frames").await;
    let page = sample.get(&blank.location).await;
    page.holds("north forty")
        .holds("name=\"frames\" value=\"6\"");
    let id = hidden(&page.text(), "id");
    let planting = sample.planting.to_string();
    let fields = |frames: &'static str, seed: &'static str| {
        vec![
            ("id", id.as_str()),
            ("title", "crew of June"),
            ("planting", planting.as_str()),
            ("frames", frames),
            ("stage", "few_leaves"),
            ("seed", seed),
            ("scout", "C. Wold"),
        ]
    };
    for (frames, seed, said) in [
        ("0", "1", "from 1 to 30"),
        ("31", "1", "from 1 to 30"),
        ("six", "1", "from 1 to 30"),
        ("6", "-1", "from 0 to 4294967295"),
    ] {
        let page = sample
            .post("/desk/practice/same-frames", &fields(frames, seed))
            .await;
        assert_eq!(
            page.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{frames} {seed}"
        );
        page.holds(said).holds("crew of June");
    }
    let nowhere: Vec<(&str, &str)> = fields("6", "1")
        .into_iter()
        .filter(|(name, _)| *name != "planting")
        .collect();
    sample
        .post("/desk/practice/same-frames", &nowhere)
        .await
        .holds("No planting is chosen");
    assert!(sample.app.book.practice_sets().unwrap().is_empty());
    let kept = sample
        .post("/desk/practice/same-frames", &fields("6", "4294967294"))
        .await;
    assert_eq!(kept.location, format!("/desk/practice/sets/{id}/agreement"));
    let set = sample
        .app
        .book
        .practice_set(id.parse().unwrap())
        .unwrap()
        .unwrap()
        .body;
    assert_eq!(
        (set.purpose, set.planting),
        (SetPurpose::SameFrames, Some(sample.planting))
    );
    let seeds: Vec<&str> = set
        .questions
        .iter()
        .map(|one| one.question.rsplit('.').next().unwrap())
        .collect();
    assert_eq!(seeds, ["4294967294", "4294967295", "0", "1", "2", "3"]);
    let first = &set.questions[0].question;
    assert!(
        first.starts_with("frame.andropogon_gerardi,bouteloua_curtipendula,sorghastrum_nutans."),
        "{first}"
    );
    // Every one of them can be drawn.
    for one in &set.questions {
        let page = sample
            .get(&format!("/practice/frame/ground.svg?q={}", one.question))
            .await;
        assert_eq!(
            (page.status, page.content_type.as_str()),
            (StatusCode::OK, "image/svg+xml; charset=utf-8")
        );
    }
    sample
        .get(&kept.location)
        .await
        .holds("Nobody has marked a frame yet");
}

/// One scout's marks of a frame of the set: planted in these cells.
fn marked(set: RecordId, item: u32, scout: &str, planted: &[u32]) -> Record {
    let truth = laid(full() + item - 1);
    let cells = (1..=CELLS).map(|cell| PracticeCell {
        cell,
        planted: truth.holds(cell, Role::Planted),
        other: truth.holds(cell, Role::Other),
        marked_planted: planted.contains(&cell),
        marked_other: false,
    });
    let any = |one: &PracticeCell| one.planted || one.other || one.marked_planted;
    Record {
        author: scout.into(),
        ..record(Practice {
            scout: scout.into(),
            drill: Drill::CountFrame,
            question: question(full() + item - 1),
            with_book: false,
            key_id: "tallgrass-first-year".into(),
            table_fingerprint: "0".repeat(64),
            taxon: None,
            against: None,
            named: None,
            by: None,
            readings: vec![],
            cells: cells.filter(any).collect(),
            seconds: None,
            of_set: Some(SetItem { set, item }),
        })
    }
}

#[tokio::test]
async fn a_crew_agrees_as_a_reference_library_says() {
    let sample = Sample::empty();
    let set = sample.keep(set_of(4));
    let address = format!("/desk/practice/sets/{set}/agreement");
    // 100 cells: both 80, only the first 10, only the second 5, neither 5.
    let cells = |wanted: std::ops::Range<u32>, item: u32| -> Vec<u32> {
        let all = wanted.filter(|at| at / 25 == item - 1);
        all.map(|at| at % 25 + 1).collect()
    };
    for item in 1..=4 {
        let fenn = cells(0..90, item);
        let reed = [cells(0..80, item), cells(90..95, item)].concat();
        sample.keep_record(marked(set, item, "A. Fenn", &fenn));
        sample.keep_record(marked(set, item, "B. Reed", &reed));
        // Marked a second time, by the same person written otherwise: the first time counts.
        sample.keep_record(marked(set, item, "a. fenn ", &[1]));
    }
    sample.keep_record(marked(set, 1, "C. Wold", &[]));
    let page = sample.get(&address).await;
    page.holds("<li>A. Fenn: 4 of 4 marked</li>")
        .holds("<li>C. Wold: 1 of 4 marked</li>");
    // Feinstein & Cicchetti 1990, as printed in Gerstman, Epidemiology Kept Simple, table 10.6: 0.85 alike,
    // kappa 0.32; statsmodels 0.15.0: cohens_kappa([[80, 10], [5, 5]]) 0.3182, limits 0.0566 and 0.5798,
    // proportion_confint(85, 100, method="wilson") 0.7672 and 0.9069; scikit-learn 1.9.1: f1_score 0.9143,
    // of the other answer 0.4.
    page.holds("A. Fenn and B. Reed <span class=\"quiet small cells-of\">4 frames: both 80, only first 10, only second 5, neither 5</span></th><td>85 of 100 (85 %; 95 % interval 77 to 91 %)</td><td>kappa 0.32 (0.06 to 0.58)</td><td>91 %</td><td>40 %</td>");
    page.holds("A. Fenn and C. Wold <span class=\"quiet small cells-of\">1 frame: ");
    // With what stands there: the same sums by hand.
    let (mut hit, mut beyond, mut missed) = (0, 0, 0);
    for item in 1..=4 {
        let (truth, fenn) = (laid(full() + item - 1), cells(0..90, item));
        for cell in 1..=CELLS {
            match (fenn.contains(&cell), truth.holds(cell, Role::Planted)) {
                (true, true) => hit += 1,
                (true, false) => beyond += 1,
                (false, true) => missed += 1,
                (false, false) => {}
            }
        }
    }
    page.holds(&format!(
        "A. Fenn and what stands there <span class=\"quiet small cells-of\">4 frames: both {hit}, only first {beyond}, only second {missed}, neither "
    ));
    page.holds("the paradox of kappa")
        .holds("Frame 4: ")
        .lacks("style=");
    // Where they differ: cells 81 to 95 are of frame 4, and C. Wold saw nothing in frame 1.
    let fourth = page
        .text()
        .split_once("Frame 4: 15 cells")
        .unwrap()
        .1
        .to_owned();
    assert!(
        fourth.contains("<td>planted</td><td>nothing</td><td>not marked yet</td>"),
        "{fourth}"
    );

    let table = sample.get(&format!("{address}.csv")).await;
    assert!(
        table.disposition.contains("crew-of-june-agreement.csv"),
        "{}",
        table.disposition
    );
    let text = table.text();
    let line = text
        .lines()
        .find(|line| line.contains("planted,A. Fenn,B. Reed"))
        .unwrap();
    let parts: Vec<&str> = line.split(',').collect();
    assert_eq!(parts[4..10], ["4", "100", "80", "10", "5", "5"]);
    let numbers: Vec<f64> = parts[10..]
        .iter()
        .map(|part| part.parse().unwrap())
        .collect();
    // The same sources.
    let wanted = [
        0.85,
        0.318_181_8,
        0.056_611_8,
        0.579_751_8,
        0.914_285_7,
        0.4,
    ];
    for (found, wanted) in numbers.iter().zip(wanted) {
        assert!((found - wanted).abs() < 1e-6, "{found} {wanted}");
    }
    let cells = sample
        .get(&format!("/desk/practice/sets/{set}/cells.csv"))
        .await
        .text();
    // A line for each cell of nine readings, and the head.
    assert_eq!(cells.lines().count(), 9 * 25 + 1);
    assert_eq!(
        cells
            .lines()
            .filter(|line| line.contains("A. Fenn,1,"))
            .count(),
        90
    );
}

#[tokio::test]
async fn what_is_no_set_of_same_frames_has_no_agreement() {
    let sample = Sample::empty();
    let drill = sample.keep(PracticeSet {
        purpose: SetPurpose::Drill,
        ..set_of(1)
    });
    for id in [
        drill.to_string(),
        RecordId::new().to_string(),
        "x".to_owned(),
    ] {
        for end in ["agreement", "agreement.csv", "cells.csv"] {
            let page = sample.get(&format!("/desk/practice/sets/{id}/{end}")).await;
            assert_eq!(page.status, StatusCode::NOT_FOUND, "{id} {end}");
        }
    }
}
