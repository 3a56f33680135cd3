//! Saved on the phone while the laptop does not answer: the link is really cut (the program is
//! killed), the browser too, and everything is in the book afterwards, once.

use std::path::PathBuf;

use fantoccini::Locator;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::program::Program;
use crate::screen::{Browser, Screen};

/// Looks a browser is given, 25 ms apart: a minute. Its store writes through to the disk, and the
/// disk of a machine that has just built everything may stand still for seconds.
pub const TURNS: u32 = 2400;

/// Waits until a script answers with true.
#[track_caller]
pub fn until<'a>(browser: &'a Browser, what: &'a str) -> impl Future<Output = ()> + 'a {
    let from = std::panic::Location::caller();
    async move {
        for _ in 0..TURNS {
            let asked = format!("return {what}");
            let said = browser.client.execute(&asked, Vec::new());
            if said.await.is_ok_and(|said| said == true) {
                return;
            }
            tokio::time::sleep(std::time::Duration::from_millis(25)).await;
        }
        let page = browser
            .ask("return [document.readyState, document.documentElement.dataset.keeps, document.body.innerText]")
            .await;
        panic!("{from}: never true: {what}\n{page}");
    }
}

/// What waits on the phone.
pub const STRIP: &str = "document.getElementById('unsent-strip')";

/// A book of the demo that outlives its server.
pub struct Field {
    folder: TempDir,
    port: u16,
}

impl Field {
    /// A demo, stopped again: its book and its port.
    pub fn new() -> Field {
        let folder = TempDir::new().unwrap();
        let program = Program::demo_in(folder.path());
        let port = program.address.rsplit(':').next().unwrap().parse().unwrap();
        Field { folder, port }
    }

    pub fn book(&self) -> PathBuf {
        self.folder.path().join("demo.standbook")
    }

    /// The laptop is in reach again, under the address that it had.
    pub fn serve(&self) -> Program {
        Program::serve(&self.book(), self.port)
    }

    fn frames(&self) -> Vec<(String, u32)> {
        let book = rusqlite::Connection::open(self.book()).unwrap();
        let mut all = book
            .prepare("SELECT scout, number FROM frame WHERE scout = 'Thea Marsh' ORDER BY number")
            .unwrap();
        let rows = all.query_map([], |row| Ok((row.get(0)?, row.get(1)?)));
        rows.unwrap().map(Result::unwrap).collect()
    }
}

/// To the form of a frame, by its links.
async fn open_a_frame(browser: &Browser, program: &Program) {
    let client = &browser.client;
    client.goto(&program.address).await.unwrap();
    for link in [
        "a[href^='/plantings/']",
        "a[href^='/visits/']",
        "main a[href^='/at/']",
        "main a[href$='/count']",
    ] {
        let address = client.find(Locator::Css(link)).await.unwrap();
        let address = address.prop("href").await.unwrap().unwrap();
        client.goto(&address).await.unwrap();
    }
    browser
        .ask("document.querySelector('[name=scout]').value = 'Thea Marsh'")
        .await;
    // The script has found its store.
    until(browser, "document.documentElement.dataset.keeps == 'yes'").await;
}

async fn mark_and_save(browser: &Browser, cells: std::ops::RangeInclusive<u32>) {
    for cell in cells {
        let press = format!(
            "document.querySelector('.taxon:first-child .cells label:nth-child({cell}) input').click()"
        );
        browser.ask(&press).await;
    }
    browser
        .ask("document.querySelector('button[name=do][value=save]').click()")
        .await;
}

async fn number(browser: &Browser) -> u32 {
    let number = browser
        .ask("return +document.querySelector('[name=number]').value")
        .await;
    u32::try_from(number.as_u64().unwrap()).unwrap()
}

#[tokio::test]
async fn frames_saved_out_of_reach_reach_the_book_by_themselves() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Phone).await;
    open_a_frame(&browser, &program).await;
    let first = number(&browser).await;
    drop(program);

    mark_and_save(&browser, 1..=3).await;
    until(
        &browser,
        &format!("{STRIP}.innerText.startsWith('1 unsent')"),
    )
    .await;
    until(
        &browser,
        "document.querySelector('.kept').innerText.includes('not on the laptop yet')",
    )
    .await;
    // The next frame can be counted although no page can be fetched.
    assert_eq!(number(&browser).await, first + 1);
    let left = browser
        .ask("return document.querySelectorAll('[name=c]:checked').length")
        .await;
    assert_eq!(left, 0);
    mark_and_save(&browser, 4..=4).await;
    until(
        &browser,
        &format!("{STRIP}.innerText.startsWith('2 unsent')"),
    )
    .await;
    assert!(field.frames().is_empty());

    let _program = field.serve();
    browser.ask("dispatchEvent(new Event('online'))").await;
    until(&browser, &format!("{STRIP}.hidden")).await;
    let by = "Thea Marsh".to_owned();
    assert_eq!(field.frames(), [(by.clone(), first), (by, first + 1)]);
    browser.close().await;
}

/// Whatever sends a form first, its page goes where it always leads.
#[tokio::test]
async fn a_frame_sent_by_the_way_leads_to_its_page() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Phone).await;
    open_a_frame(&browser, &program).await;
    let first = number(&browser).await;
    let press = "document.querySelector('.taxon:first-child .cells input').click(); \
        document.querySelector('button[name=do][value=save]').click(); \
        dispatchEvent(new Event('online'));";
    browser.ask(press).await;
    until(&browser, "location.pathname.startsWith('/frames/')").await;
    assert_eq!(field.frames(), [("Thea Marsh".to_owned(), first)]);
    browser.close().await;
}

/// A phone whose store is full saves as without a script.
#[tokio::test]
async fn a_phone_without_room_sends_the_frame_by_its_page() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Phone).await;
    open_a_frame(&browser, &program).await;
    let first = number(&browser).await;
    let full = "IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };";
    browser.ask(full).await;
    mark_and_save(&browser, 1..=2).await;
    until(&browser, "location.pathname.startsWith('/frames/')").await;
    assert_eq!(field.frames(), [("Thea Marsh".to_owned(), first)]);
    browser.close().await;
}

#[tokio::test]
async fn a_browser_that_is_killed_forgets_nothing() {
    let field = Field::new();
    let program = field.serve();
    let profile = TempDir::new().unwrap();
    let browser = Browser::open_in(Screen::Phone, profile.path()).await;
    open_a_frame(&browser, &program).await;
    let first = number(&browser).await;
    let address = program.address.clone();
    drop(program);
    mark_and_save(&browser, 1..=2).await;
    until(
        &browser,
        &format!("{STRIP}.innerText.startsWith('1 unsent')"),
    )
    .await;
    browser.kill();

    let program = field.serve();
    let browser = Browser::open_in(Screen::Phone, profile.path()).await;
    browser
        .client
        .goto(&format!("{address}/plot"))
        .await
        .unwrap();
    for _ in 0..TURNS {
        if !field.frames().is_empty() {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    assert_eq!(field.frames(), [("Thea Marsh".to_owned(), first)]);
    until(&browser, &format!("{STRIP}.hidden")).await;
    drop(program);
    browser.close().await;
}

#[tokio::test]
async fn what_is_refused_stays_until_a_person_mends_it() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Phone).await;
    open_a_frame(&browser, &program).await;
    // A cell that this frame does not have, as an older page might have offered.
    browser
        .ask("document.querySelector('[name=c]').value = '0.26'")
        .await;
    mark_and_save(&browser, 1..=1).await;
    // The laptop's own page says what is wrong.
    until(
        &browser,
        "document.querySelector('[role=alert]')?.innerText.includes('cell 26')",
    )
    .await;
    until(
        &browser,
        &format!("{STRIP}.innerText.includes('1 to mend')"),
    )
    .await;
    let go = format!("{}/outbox", program.address);
    browser.client.goto(&go).await.unwrap();
    until(
        &browser,
        "document.getElementById('unsent').innerText.includes('cell 26 is not in this frame')",
    )
    .await;
    // The same as a file, for a laptop that this phone can't reach.
    let module = browser
        .ask("return document.querySelector('script[type=module]').src.replace('save.js', 'outbox.js')")
        .await;
    let taken_in = "const [module, done] = arguments; (async () => {
        const { all, open, text } = await import(module);
        const form = new FormData();
        form.append('file', new Blob([text(await all(await open()))]), 'unsent.json');
        return (await fetch('/outbox/file', { method: 'POST', body: form })).text();
    })().then(done, e => done('' + e));";
    let page = browser.client.execute_async(taken_in, vec![module]).await;
    let page = page.unwrap().as_str().unwrap().to_owned();
    assert!(page.contains("0 in the book now, 1 to mend"), "{page}");
    let link = browser
        .ask("return document.querySelector('a[download]').download")
        .await;
    assert!(link.as_str().unwrap().starts_with("unsent-20"), "{link}");
    // Thrown away, taken back.
    let throw = "document.querySelector('#unsent button.second').click()";
    browser.ask(throw).await;
    until(
        &browser,
        "document.querySelector('#unsent button.second').innerText.includes('Take it back')",
    )
    .await;
    assert_eq!(waiting(&browser).await, json!(0));
    browser.ask(throw).await;
    until(
        &browser,
        "document.querySelector('#unsent button.second').innerText == 'Throw away'",
    )
    .await;
    assert_eq!(waiting(&browser).await, json!(1));
    browser
        .ask("document.querySelector('#unsent form button').click()")
        .await;
    until(&browser, "location.pathname.endsWith('/count')").await;
    until(
        &browser,
        "document.querySelector('[role=alert]')?.innerText.includes('cell 26')",
    )
    .await;
    assert!(field.frames().is_empty());
    browser.close().await;
}

/// How many forms are in the phone's store.
async fn waiting(browser: &Browser) -> Value {
    let count = "const [done] = arguments; const o = indexedDB.open('standbook'); \
        o.onsuccess = () => { const c = o.result.transaction('outbox').objectStore('outbox').count(); \
        c.onsuccess = () => done(c.result); };";
    browser
        .client
        .execute_async(count, Vec::new())
        .await
        .unwrap()
}
