//! Drills on a phone, from the question to what is told of the answer, by pressing alone.

use fantoccini::Locator;
use serde_json::json;

use crate::looks::COMPLAINTS;
use crate::outbox::until;
use crate::program::Program;
use crate::screen::{Browser, Screen};

/// The question, and what is pressed.
const DRILLS: [(&str, &[&str]); 4] = [
    (
        "see.ligule_type.panicum_virgatum.tillering.7&book=0",
        &["button[value=membrane]"],
    ),
    (
        "see.vernation.panicum_virgatum.tillering.7&book=1",
        &["button[value=cannot_tell]"],
    ),
    (
        "pair.panicum_virgatum.setaria_faberi.tillering.5&book=0",
        &[
            "input[value=left]",
            "input[name=by]",
            "main .buttons button",
        ],
    ),
    (
        "name.andropogon_gerardi.tillering.3&book=0",
        &["button[value=sorghastrum_nutans]"],
    ),
];

#[tokio::test]
async fn a_drill_goes_from_the_question_to_the_very_place_on_a_phone() {
    let program = Program::demo();
    let browser = Browser::open(Screen::Phone).await;
    let client = &browser.client;
    let at = |path: &str| format!("{}{path}", program.address);
    client.goto(&at("/practice")).await.unwrap();
    // Whoever practises is asked for once.
    let first = at("/practice/ask?q=see.vernation.panicum_virgatum.tillering.1");
    client.goto(&first).await.unwrap();
    let name = client
        .find(Locator::Css("input[name=scout]"))
        .await
        .unwrap();
    name.send_keys("R. Adder").await.unwrap();
    press(&browser, "button[value=rolled]").await;
    until(
        &browser,
        "location.pathname.startsWith('/practice/answers/')",
    )
    .await;
    for (question, pressed) in DRILLS {
        client
            .goto(&at(&format!("/practice/ask?q={question}")))
            .await
            .unwrap();
        let url = client.current_url().await.unwrap();
        let taxon = question.split('.').nth(1).unwrap();
        assert!(!url.as_str().contains(taxon), "the address tells: {url}");
        let said = browser.ask(COMPLAINTS).await;
        assert_eq!(said, json!([]), "{question}");
        for place in pressed {
            press(&browser, place).await;
        }
        until(
            &browser,
            "location.pathname.startsWith('/practice/answers/')",
        )
        .await;
        assert_eq!(browser.ask(COMPLAINTS).await, json!([]), "{question}, told");
        // What is marked is drawn, broken, within the screen, and Next is there to be pressed.
        let marked = "[...document.querySelectorAll('main svg path.b')].map(path => {
            const box = path.getBoundingClientRect();
            return getComputedStyle(path).strokeDasharray !== 'none' && box.width > 10
                && box.left >= 0 && box.right <= innerWidth; })";
        let all = browser.ask(&format!("return {marked}")).await;
        let all = all.as_array().unwrap();
        assert!(
            !all.is_empty() && all.iter().all(|one| *one == json!(true)),
            "{question}: {all:?}"
        );
        let next = "document.querySelector('main .buttons a').innerText";
        assert_eq!(browser.ask(&format!("return {next}")).await, json!("Next"));
    }
    press(&browser, "main .buttons a").await;
    until(
        &browser,
        "/^.practice.(ask|frame)$/.test(location.pathname)",
    )
    .await;
    browser.close().await;
}

/// Presses what a selector finds first, in sight.
async fn press(browser: &Browser, place: &str) {
    browser
        .ask(&format!(
            "document.querySelector('{place}').scrollIntoView({{block: 'center'}})"
        ))
        .await;
    let found = browser.client.find(Locator::Css(place)).await;
    found.unwrap().click().await.unwrap();
}
