//! A phone whose clock is set back while it is out of the laptop's reach: what was saved first still
//! goes first, since a frame may count an unknown that an earlier form makes.

use serde_json::json;
use tempfile::TempDir;

use crate::outbox::{STRIP, mark_and_save, number, open_a_frame, until};
use crate::program::Program;
use crate::screen::{Browser, Screen};

/// From now on the page's clock is an hour behind.
const SET_BACK: &str = "const real = Date, behind = () => real.now() - 3600000; \
    Date = class extends real { \
        constructor(...at) { super(...(at.length ? at : [behind()])); } \
        static now() { return behind(); } \
    };";

#[tokio::test]
async fn what_was_saved_first_goes_first_whatever_the_clock_says() {
    let folder = TempDir::new().unwrap();
    let program = Program::demo_in(folder.path());
    let browser = Browser::open(Screen::Phone).await;
    open_a_frame(&browser, &program).await;
    let first = number(&browser).await;
    drop(program);
    mark_and_save(&browser, 1..=2).await;
    until(
        &browser,
        &format!("{STRIP}.innerText.startsWith('1 unsent')"),
    )
    .await;
    until(
        &browser,
        &format!("+document.querySelector('[name=number]').value == {first} + 1"),
    )
    .await;
    browser.ask(SET_BACK).await;
    mark_and_save(&browser, 3..=4).await;
    until(
        &browser,
        &format!("{STRIP}.innerText.startsWith('2 unsent')"),
    )
    .await;
    let items = browser.client.execute_async(
        "const [done] = arguments; const o = indexedDB.open('standbook'); \
            o.onsuccess = () => { const a = o.result.transaction('outbox').objectStore('outbox').getAll(); \
            a.onsuccess = () => done(a.result.map(it => it.made)); };",
        Vec::new(),
    );
    let mut made: Vec<String> = serde_json::from_value(items.await.unwrap()).unwrap();
    made.sort();
    let as_sent = browser.client.execute_async(
        "const done = arguments[0], module = document.querySelector('script[type=module]').src.replace('save.js', 'outbox.js'); \
            import(module).then(async ({ all, open, text }) => JSON.parse(text(await all(await open())))).then(done, e => done('' + e));",
        Vec::new(),
    );
    let as_sent = as_sent.await.unwrap();
    // The clock did stand an hour back for the second.
    assert_eq!(as_sent["items"][1]["made"], json!(made[0]), "{as_sent}");
    for (at, number) in [first, first + 1].iter().enumerate() {
        let fields = as_sent["items"][at]["fields"].as_str().unwrap();
        assert!(fields.contains(&format!("number={number}&")), "{as_sent}");
    }
    browser.close().await;
}
