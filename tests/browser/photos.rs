//! Photos of a plant from the field: kept on the phone first, resumed where the link was cut, the
//! same bytes in the end.

use std::path::{Path, PathBuf};
use std::process::Command;

use fantoccini::Locator;
use serde_json::json;
use tempfile::TempDir;

use crate::cut::Link;
use crate::outbox::{Field, STRIP, TURNS, until};
use crate::screen::{Browser, Screen};

/// A file as a camera writes it, of so many bytes: what is in it is not looked at here.
pub fn camera(folder: &Path, bytes: usize) -> PathBuf {
    let path = folder.join("IMG_0001.jpg");
    let mut picture = b"\xFF\xD8\xFF\xE0".to_vec();
    let mut random = fastrand::Rng::with_seed(18);
    picture.resize_with(bytes, || random.u8(..));
    std::fs::write(&path, picture).unwrap();
    path
}

/// Its hash by another program than ours.
fn sha256sum(path: &Path) -> String {
    let said = Command::new("sha256sum").arg(path).output().unwrap();
    String::from_utf8(said.stdout).unwrap()[..64].to_owned()
}

/// Photos in the book: hash, what they show, and who took them.
pub fn photos(field: &Field) -> Vec<(String, String, String)> {
    let book = rusqlite::Connection::open(field.book()).unwrap();
    let sql = "SELECT sha256, shows, author FROM photo JOIN record USING (id) ORDER BY id";
    let mut all = book.prepare(sql).unwrap();
    let rows = all.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)));
    rows.unwrap().map(Result::unwrap).collect()
}

/// The file of a photo in the book is the file of the camera.
#[track_caller]
pub fn same_bytes(field: &Field, sha256: &str, file: &Path) {
    let folder = field.book().with_extension("standbook.photos");
    let kept = folder.join(&sha256[..2]).join(format!("{sha256}.jpg"));
    assert!(std::fs::read(&kept).unwrap() == std::fs::read(file).unwrap());
    assert_eq!(sha256sum(&kept), sha256);
}

/// A walk with an answer at the first point of the demo, ready to be saved.
async fn walk(browser: &Browser, address: &str) {
    let client = &browser.client;
    client.goto(address).await.unwrap();
    for link in [
        "a[href^='/plantings/']",
        "a[href^='/visits/']",
        "main a[href^='/at/']",
    ] {
        let link = client.find(Locator::Css(link)).await.unwrap();
        let to = link.prop("href").await.unwrap().unwrap();
        client.goto(&to).await.unwrap();
    }
    let at = browser.ask("return location.pathname.split('/')[2]").await;
    let at = at.as_str().unwrap();
    let walk = format!("{address}/at/{at}/plant?stage=tillering&a=ligule_type:hairs");
    client.goto(&walk).await.unwrap();
    browser
        .ask("document.querySelector('[name=scout]').value = 'Thea Marsh'")
        .await;
    ready(browser).await;
}

/// The page of the plant that stands first at the Desk.
pub async fn open_a_plant(browser: &Browser, address: &str) {
    let desk = format!("{address}/desk");
    browser.client.goto(&desk).await.unwrap();
    let plant = browser
        .ask("return document.querySelector('a[href^=\"/determinations/\"]').href")
        .await;
    let plant = plant.as_str().unwrap();
    browser.client.goto(plant).await.unwrap();
    ready(browser).await;
}

/// The script has found its store, and the form for photos is there.
async fn ready(browser: &Browser) {
    until(browser, "document.documentElement.dataset.keeps == 'yes'").await;
    until(
        browser,
        "document.querySelector('form[data-photos]').hidden == false && document.querySelector('form[data-photos] .buttons').hidden",
    )
    .await;
    browser
        .ask("document.querySelector('form[data-photos]').parentElement.open = true")
        .await;
}

pub async fn choose(browser: &Browser, shows: &str, file: &Path) {
    browser
        .ask(&format!(
            "document.querySelector('form[data-photos] [value=\"{shows}\"]').click()"
        ))
        .await;
    let input = Locator::Css("form[data-photos] input[type=file][multiple]");
    let input = browser.client.find(input).await.unwrap();
    input.send_keys(&file.display().to_string()).await.unwrap();
}

#[tokio::test]
async fn a_photo_taken_out_of_reach_survives_the_phone_and_comes_with_its_plant() {
    let field = Field::new();
    let program = field.serve();
    let (profile, camera_folder) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    let file = camera(camera_folder.path(), 900_000);
    let browser = Browser::open_in(Screen::Phone, profile.path()).await;
    walk(&browser, &program.address).await;
    let address = program.address.clone();
    drop(program);
    browser
        .ask("document.querySelector('form.save button:not([type])').click()")
        .await;
    until(
        &browser,
        &format!("{STRIP}.innerText.startsWith('1 unsent')"),
    )
    .await;
    choose(&browser, "collar with ligule", &file).await;
    // Once it says so, it is so.
    until(
        &browser,
        "document.querySelector('.photo-said').innerText.includes('1 photo is safe on this phone')",
    )
    .await;
    browser.kill();
    assert!(photos(&field).is_empty());

    let _program = field.serve();
    let browser = Browser::open_in(Screen::Phone, profile.path()).await;
    // Any page will do: what waits goes by itself.
    let plot = format!("{address}/plot");
    browser.client.goto(&plot).await.unwrap();
    for _ in 0..TURNS {
        if !photos(&field).is_empty() {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    let sha256 = sha256sum(&file);
    let expected = (
        sha256.clone(),
        "collar with ligule".to_owned(),
        "Thea Marsh".to_owned(),
    );
    assert_eq!(photos(&field), [expected]);
    same_bytes(&field, &sha256, &file);
    until(&browser, &format!("{STRIP}.hidden")).await;
    browser.close().await;
}

#[tokio::test]
async fn a_link_that_is_cut_resumes_where_it_broke() {
    const BYTES: usize = 2_000_000;
    let field = Field::new();
    let program = field.serve();
    let port = program.address.rsplit(':').next().unwrap().parse().unwrap();
    let link = Link::to(port);
    let camera_folder = TempDir::new().unwrap();
    let file = camera(camera_folder.path(), BYTES);
    let browser = Browser::open(Screen::Phone).await;
    open_a_plant(&browser, &link.address).await;
    // As on a phone in the field, where plain http has no hash of the browser's own.
    browser
        .ask("Object.defineProperty(crypto, 'subtle', { value: undefined })")
        .await;
    link.breaks_after(900_000);
    choose(&browser, "base", &file).await;
    until(
        &browser,
        &format!("{STRIP}.innerText.includes('does not answer')"),
    )
    .await;
    assert!(photos(&field).is_empty());
    let halves = field.book().with_extension("standbook.uploads");
    let half = std::fs::read_dir(halves).unwrap().next().unwrap().unwrap();
    let there = half.metadata().unwrap().len();
    assert!((262_144..900_000).contains(&there), "{there}");

    let before = link.mended();
    browser.ask("dispatchEvent(new Event('online'))").await;
    until(&browser, &format!("{STRIP}.hidden")).await;
    let again = link.sent() - before;
    let rest = u64::try_from(BYTES).unwrap() - there;
    assert!(
        (rest..rest + 100_000).contains(&again),
        "{again} bytes for {rest}"
    );
    let sha256 = sha256sum(&file);
    assert_eq!(photos(&field)[0].0, sha256);
    same_bytes(&field, &sha256, &file);
    until(
        &browser,
        "document.querySelector('[value=base] ~ [data-here]').innerText.startsWith('1 here')",
    )
    .await;
    browser.close().await;
}

#[tokio::test]
async fn the_page_of_the_outbox_shows_what_waits_for_its_plant() {
    let field = Field::new();
    let program = field.serve();
    let camera_folder = TempDir::new().unwrap();
    let file = camera(camera_folder.path(), 300_000);
    let browser = Browser::open(Screen::Phone).await;
    walk(&browser, &program.address).await;
    choose(&browser, "base", &file).await;
    until(
        &browser,
        &format!("{STRIP}.innerText.startsWith('1 unsent (1 photo)')"),
    )
    .await;
    // The same one again is not two.
    choose(&browser, "base", &file).await;
    until(
        &browser,
        "document.querySelector('.photo-said').innerText.includes('waits here already')",
    )
    .await;
    browser
        .client
        .goto(&format!("{}/outbox", program.address))
        .await
        .unwrap();
    let list = "document.querySelector('#unsent-photos .photo-list')";
    until(
        &browser,
        &format!("{list}?.innerText.includes('It waits for its plant')"),
    )
    .await;
    // Its file, as the button writes it, is read by the laptop, which waits for the plant as well.
    let module = browser
        .ask("return document.querySelector('script[type=module]').src.replace('save.js', '')")
        .await;
    let taken_in = "const [folder, done] = arguments; (async () => {
        const { open } = await import(folder + 'outbox.js'), { all, file } = await import(folder + 'photos.js');
        const db = await open(), form = new FormData();
        form.append('file', await file(db, (await all(db))[0]), 'unsent.json');
        return (await fetch('/outbox/file', { method: 'POST', body: form })).text();
    })().then(done, e => done('' + e));";
    let page = browser
        .client
        .execute_async(taken_in, vec![module.clone()])
        .await;
    let page = page.unwrap().as_str().unwrap().to_owned();
    assert!(page.contains("1 not taken yet"), "{page}");
    // Thrown away, taken back.
    let press = format!("{list}.querySelector('button:last-child').click()");
    browser.ask(&press).await;
    until(
        &browser,
        &format!("{list}.innerText.includes('Take it back')"),
    )
    .await;
    assert_eq!(waiting(&browser, &module).await, json!([]));
    browser.ask(&press).await;
    until(
        &browser,
        &format!("!{list}.innerText.includes('Take it back')"),
    )
    .await;
    assert_eq!(waiting(&browser, &module).await, json!([300_000]));
    browser.close().await;
}

/// How many bytes each photo in the phone's store has.
async fn waiting(browser: &Browser, module: &serde_json::Value) -> serde_json::Value {
    let asked = "const [folder, done] = arguments; (async () => {
        const { open } = await import(folder + 'outbox.js'), { all, bytesOf } = await import(folder + 'photos.js');
        const db = await open();
        return Promise.all((await all(db)).map(async photo => (await bytesOf(db, photo.id)).byteLength));
    })().then(done, e => done('' + e));";
    let asked = browser.client.execute_async(asked, vec![module.clone()]);
    asked.await.unwrap()
}

/// Chromium can't unpack HEIC: a picture of its own stands in for what a phone's browser makes of one.
#[tokio::test]
async fn a_heic_brings_a_view_that_every_browser_shows() {
    let field = Field::new();
    let program = field.serve();
    let camera_folder = TempDir::new().unwrap();
    let file = camera_folder.path().join("IMG_0002.HEIC");
    std::fs::write(&file, b"\0\0\0\x18ftypheic as a phone wrote it").unwrap();
    let browser = Browser::open(Screen::Phone).await;
    open_a_plant(&browser, &program.address).await;
    browser
        .ask(
            "const drawn = document.createElement('canvas'), own = createImageBitmap;
            drawn.width = 2000; drawn.height = 1000; drawn.getContext('2d').fillRect(0, 0, 9, 9);
            globalThis.createImageBitmap = () => own(drawn);",
        )
        .await;
    choose(&browser, "base", &file).await;
    let said = "document.querySelector('.photo-said').innerText";
    until(
        &browser,
        &format!("{STRIP}.hidden && {said}.startsWith('On the laptop now')"),
    )
    .await;
    let sha256 = sha256sum(&file);
    let kept: Vec<String> = photos(&field).into_iter().map(|photo| photo.0).collect();
    assert_eq!(kept.join(" "), sha256);
    browser.client.refresh().await.unwrap();
    let picture = format!("document.querySelector('a[href=\"/photos/{sha256}/look\"] img')");
    until(
        &browser,
        &format!("{picture}?.width == 320 && {picture}.height == 160"),
    )
    .await;
    browser.close().await;
}

#[tokio::test]
async fn a_phone_without_room_sends_the_photo_by_its_form() {
    let field = Field::new();
    let program = field.serve();
    let camera_folder = TempDir::new().unwrap();
    let file = camera(camera_folder.path(), 300_000);
    let browser = Browser::open(Screen::Phone).await;
    open_a_plant(&browser, &program.address).await;
    let full = "IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };";
    browser.ask(full).await;
    choose(&browser, "base", &file).await;
    until(
        &browser,
        "document.querySelector('.photo-said').innerText.includes('by the button instead')",
    )
    .await;
    let send = "document.querySelector('.photo-form [name=scout]').value = 'Thea Marsh'; \
        document.querySelector('.photo-form .buttons button').click()";
    browser.ask(send).await;
    until(&browser, "location.hash == '#photos'").await;
    let sha256 = sha256sum(&file);
    assert_eq!(photos(&field)[0].0, sha256);
    same_bytes(&field, &sha256, &file);
    browser.close().await;
}

/// Source of the first four: NIST, "Cryptographic Standards and Guidelines: Examples with
/// Intermediate Values", SHA-256 (FIPS 180-4), and the empty message of NIST's CAVP.
#[tokio::test]
async fn the_hash_by_hand_is_sha_256() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Phone).await;
    browser.client.goto(&program.address).await.unwrap();
    let asked = "const [done] = arguments; (async () => {
        const folder = document.querySelector('script[type=module]').src.replace('save.js', '');
        const { byHand } = await import(folder + 'sha256.js');
        const long = 'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq';
        const given = ['', 'abc', long, 'a'.repeat(1000000)].map(text => byHand(new TextEncoder().encode(text)));
        let differ = 0;
        for (let length = 0; length < 200; length++) {
            const bytes = crypto.getRandomValues(new Uint8Array(length + 3)).subarray(3);
            const own = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
            if (byHand(bytes) !== Array.from(own, b => b.toString(16).padStart(2, '0')).join('')) differ++;
        }
        return [...given, differ];
    })().then(done, e => done('' + e));";
    let said = browser
        .client
        .execute_async(asked, Vec::new())
        .await
        .unwrap();
    let expected = json!([
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
        0
    ]);
    assert_eq!(said, expected);
    browser.close().await;
}
