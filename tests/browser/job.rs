//! The main job with a thumb: an unknown seedling to a determination, a frame, the stand.

use fantoccini::{Client, Locator};

use crate::program::Program;
use crate::screen::{Browser, Screen};

/// Presses the first element that fits.
async fn press(client: &Client, css: &str) {
    let element = client
        .find(Locator::Css(css))
        .await
        .unwrap_or_else(|e| panic!("nothing to press: {css}: {e}"));
    // A thumb scrolls what it wants to press away from the bar; the press fails if it is covered.
    let here = serde_json::to_value(&element).unwrap();
    client
        .execute("arguments[0].scrollIntoView({block: 'center'})", vec![here])
        .await
        .unwrap();
    element
        .click()
        .await
        .unwrap_or_else(|e| panic!("can't press {css}: {e}"));
}

/// Presses what leads to another page and waits until that page is there.
async fn go(client: &Client, css: &str) {
    client
        .execute("document.body.dataset.before = 'yes'", Vec::new())
        .await
        .unwrap();
    press(client, css).await;
    for _ in 0..200 {
        let there = "return document.readyState == 'complete' && !document.body.dataset.before";
        if client
            .execute(there, Vec::new())
            .await
            .is_ok_and(|there| there == true)
        {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    panic!("no page came after pressing {css}");
}

async fn text(client: &Client, css: &str) -> String {
    client
        .find(Locator::Css(css))
        .await
        .unwrap_or_else(|e| panic!("not on the page: {css}: {e}"))
        .text()
        .await
        .unwrap()
}

/// From the start page to a point of the demo, by links alone.
async fn go_to_a_point(client: &Client, program: &Program) {
    client.goto(&format!("{}/", program.address)).await.unwrap();
    go(client, "a[href^='/plantings/']").await;
    go(client, "a[href^='/visits/']").await;
    go(client, "main a[href^='/at/']").await;
    assert!(
        client
            .current_url()
            .await
            .unwrap()
            .path()
            .starts_with("/at/")
    );
}

#[tokio::test]
async fn a_seedling_is_walked_saved_and_found_at_the_desk() {
    let program = Program::demo();
    let browser = Browser::open(Screen::Phone).await;
    let client = &browser.client;
    go_to_a_point(client, &program).await;

    go(client, "main a[href$='/plant']").await;
    go(client, "button[name=stage][value=tillering]").await;
    // A switchgrass seedling: round base, new leaf rolled, ligule of hairs, a patch of hairs
    // behind it (published facts: see crates/identify/tests/facts/published.csv).
    for (look, state) in [
        ("ligule_type", "hairs"),
        ("vernation", "rolled"),
        ("collar_hairs", "patch"),
        ("tiller_base", "round"),
    ] {
        let answer = format!("button[name=a][value='{look}:{state}']");
        if client.find(Locator::Css(&answer)).await.is_err() {
            press(client, ".looks > details > summary").await;
            go(client, &format!("button[name=ask][value='{look}']")).await;
        }
        go(client, &answer).await;
    }
    let seen = text(client, ".given").await;
    assert!(seen.contains("rolled"), "{seen}");
    let names = client
        .find(Locator::Css(".save"))
        .await
        .unwrap()
        .html(true)
        .await
        .unwrap();
    assert!(
        names.contains("switchgrass"),
        "switchgrass is not among the likeliest names"
    );

    // Changing over to couplets and back keeps what was seen.
    go(client, "button[name=way][value=couplets]").await;
    assert!(text(client, ".given").await.contains("rolled"));
    client.back().await.unwrap();

    press(client, ".save input[name=taxon][value=panicum_virgatum]").await;
    let scout = client
        .find(Locator::Css(".save input[name=scout]"))
        .await
        .unwrap();
    scout.clear().await.unwrap();
    scout.send_keys("Thea Marsh").await.unwrap();
    go(client, ".save .buttons button").await;
    assert!(text(client, ".done").await.contains("switchgrass"));

    go(client, "a[href^='/determinations/']").await;
    let page = text(client, "main").await;
    assert!(page.contains("Thea Marsh"), "{page}");
    assert!(page.contains("switchgrass"), "{page}");

    // The name is remembered: the next save needs no typing.
    client.back().await.unwrap();
    go(client, "a.button[href$='/plant']").await;
    go(client, "button[name=stage][value=few_leaves]").await;
    go(client, "button.answer").await;
    let scout = client
        .find(Locator::Css(".save input[name=scout]"))
        .await
        .unwrap();
    assert_eq!(
        scout.prop("value").await.unwrap().as_deref(),
        Some("Thea Marsh")
    );
    browser.close().await;
}

#[tokio::test]
async fn a_frame_is_tapped_saved_and_moves_the_stand() {
    let program = Program::demo();
    let browser = Browser::open(Screen::Phone).await;
    let client = &browser.client;
    go_to_a_point(client, &program).await;
    go(client, "a[href='/stand'], a[href^='/stand']").await;
    let before = text(client, "main").await;

    go_to_a_point(client, &program).await;
    go(client, "main a[href$='/count']").await;
    // All 25 cells of the first planted species, each as a thumb would.
    for cell in 1..=25 {
        press(
            client,
            &format!(".taxon:first-child .cells label:nth-child({cell})"),
        )
        .await;
    }
    let scout = client
        .find(Locator::Css("input[name=scout]"))
        .await
        .unwrap();
    scout.clear().await.unwrap();
    scout.send_keys("Thea Marsh").await.unwrap();
    go(client, "button[name=do][value=save]").await;
    let saved = text(client, "main").await;
    assert!(saved.contains("25"), "{saved}");

    client
        .goto(&format!("{}/stand", program.address))
        .await
        .unwrap();
    let after = text(client, "main").await;
    assert_ne!(before, after, "the stand did not take the new frame in");
    assert!(after.contains("29 frames"), "{after}");
    browser.close().await;
}

/// A form that says too little comes back as it was filled in.
#[tokio::test]
async fn an_empty_frame_without_looked_none_comes_back() {
    let program = Program::demo();
    let browser = Browser::open(Screen::Phone).await;
    let client = &browser.client;
    go_to_a_point(client, &program).await;
    go(client, "main a[href$='/count']").await;
    let scout = client
        .find(Locator::Css("input[name=scout]"))
        .await
        .unwrap();
    scout.clear().await.unwrap();
    scout.send_keys("Thea Marsh").await.unwrap();
    go(client, "button[name=do][value=save]").await;
    let alert = text(client, "[role=alert]").await;
    assert!(alert.to_lowercase().contains("looked, none"), "{alert}");
    let scout = client
        .find(Locator::Css("input[name=scout]"))
        .await
        .unwrap();
    assert_eq!(
        scout.prop("value").await.unwrap().as_deref(),
        Some("Thea Marsh")
    );
    browser.close().await;
}
