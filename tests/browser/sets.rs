//! A field test as Chromium prints it, on both papers.

use crate::booklet::{IN, MM, pages, print};
use crate::program::Program;
use crate::screen::{Browser, Screen};

/// Ten plants without the book and twenty with it: four a page, so three sheets and five; without pictures one
/// and two; what is right on a single one.
#[tokio::test]
async fn a_field_test_prints_on_both_papers_four_plants_a_page() {
    let program = Program::demo();
    let browser = Browser::open(Screen::Desk).await;
    let new = format!("{}/desk/practice/tests/new", program.address);
    browser.client.goto(&new).await.unwrap();
    let filled = browser
        .ask(
            "document.querySelector('[name=planting]').selectedIndex = 1;
            document.querySelector('[name=scout]').value = 'T. Alder';
            document.querySelector('[name=seed]').value = '4711';
            return document.querySelector('[name=without]').value + ' '
                + document.querySelector('[name=with]').value;",
        )
        .await;
    assert_eq!(filled, "10 20");
    // Above the bar, where a hand would press it.
    browser
        .ask("document.querySelector('form[method=post] .buttons button').scrollIntoView({block: 'center'}); return 1;")
        .await;
    let button = fantoccini::Locator::Css("form[method=post] .buttons button");
    let button = browser.client.find(button).await.unwrap();
    button.click().await.unwrap();
    let set = browser.client.current_url().await.unwrap().to_string();
    assert!(set.contains("/desk/practice/sets/"), "{set}");
    browser.close().await;

    let folder = tempfile::tempdir().unwrap();
    // Letter: 8.5 x 11 in (ANSI/ASME Y14.1); A4: 210 x 297 mm (ISO 216). From memory.
    for (paper, width, height) in [
        ("letter", 8.5 * IN, 11.0 * IN),
        ("a4", 210.0 * MM, 297.0 * MM),
    ] {
        for (what, many) in [
            (format!("paper?paper={paper}"), 8),
            (format!("paper/answers?paper={paper}"), 1),
            (format!("paper?paper={paper}&pictures=no"), 3),
        ] {
            let printed = pages(&print(&format!("{set}/{what}"), folder.path()));
            assert_eq!(printed.len(), many, "{what}");
            for (w, h) in printed {
                // Chromium rounds to whole pixels of 3/4 point.
                assert!(
                    (w - width).abs() < 1.0 && (h - height).abs() < 1.0,
                    "{what}: {w} x {h} points"
                );
            }
        }
    }
}
