//! Which layer a phone is in, in a real Chromium: plain http, https trusted and not, the cable. The
//! certificate is trusted as a person's own is, through the store in her home; the laptop is really
//! gone (its program killed) when a page is loaded again.

use std::path::Path;
use std::process::Command;

use fantoccini::Locator;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::looks::COMPLAINTS;
use crate::outbox::{TURNS, until};
use crate::program::Program;
use crate::screen::{Browser, Screen};

/// A laptop that shares, and a phone's owner with a home of her own.
struct Field {
    folder: TempDir,
    home: TempDir,
    program: Program,
    /// The laptop's name in the local network.
    name: String,
}

impl Field {
    async fn new() -> Field {
        let (folder, home) = (TempDir::new().unwrap(), TempDir::new().unwrap());
        let program = Program::sharing_in(folder.path());
        let mut field = Field {
            folder,
            home,
            program,
            name: "laptop.local".to_owned(),
        };
        // The laptop says its own name.
        let browser = field.browser().await;
        let phones = format!("{}/phones", field.program.address);
        browser.client.goto(&phones).await.unwrap();
        let names = "return [...document.querySelectorAll('.doors b')].map(b => new URL(b.textContent).hostname).filter(h => h.endsWith('.local'))";
        let names = browser.ask(names).await;
        field.name = names[0]
            .as_str()
            .expect("a name that ends in .local")
            .to_owned();
        browser.close().await;
        field
    }

    fn plain(&self) -> String {
        format!("http://{}:{}", self.name, self.program.phones.unwrap().0)
    }

    fn secure(&self) -> String {
        format!("https://{}:{}", self.name, self.program.phones.unwrap().1)
    }

    /// The phone, which finds the laptop by its name.
    async fn browser(&self) -> Browser {
        let rule = format!("--host-resolver-rules=MAP {} 127.0.0.1", self.name);
        let profile = self.home.path().join("profile");
        Browser::open_at(Screen::Phone, &profile, self.home.path(), &[rule]).await
    }

    /// Installs the laptop's certificate as the page says, but for a desk's store.
    fn trust(&self) {
        let store = self.home.path().join(".pki/nssdb");
        std::fs::create_dir_all(&store).unwrap();
        let all = std::fs::read_to_string(self.folder.path().join("authority.pem")).unwrap();
        let at = all.find("-----BEGIN CERTIFICATE").unwrap();
        let file = self.home.path().join("ca.pem");
        std::fs::write(&file, &all[at..]).unwrap();
        certutil(&store, &["-N", "--empty-password"]);
        let file = file.display().to_string();
        certutil(&store, &["-A", "-n", "laptop", "-t", "C,,", "-i", &file]);
    }

    /// A code for the phone, asked for at the laptop.
    async fn code(&self, browser: &Browser) -> String {
        let client = &browser.client;
        let phones = format!("{}/phones", self.program.address);
        client.goto(&phones).await.unwrap();
        let make = "document.querySelector('[name=name]').value = 'Ana Wren'; \
            document.querySelector('form[action=\"/phones/code\"] button').click()";
        browser.ask(make).await;
        until(browser, "!!document.querySelector('.digits')").await;
        let code = client.find(Locator::Css(".digits")).await.unwrap();
        code.text().await.unwrap().replace(' ', "")
    }

    /// Lets the phone in at a door.
    async fn let_in(&self, browser: &Browser, door: &str) {
        let code = self.code(browser).await;
        let pair = format!("{door}/pair?code={code}");
        browser.client.goto(&pair).await.unwrap();
        browser
            .ask("document.querySelector('form[action=\"/pair\"] button').click()")
            .await;
        until(browser, "location.pathname == '/plot'").await;
    }
}

fn certutil(store: &Path, arguments: &[&str]) {
    let done = Command::new("certutil")
        .arg("-d")
        .arg(format!("sql:{}", store.display()))
        .args(arguments)
        .status()
        .expect("certutil starts: `cargo xtask test` installs it");
    assert!(done.success(), "certutil {arguments:?}");
}

/// The layer that is said, once it is, and the words that are seen.
async fn layer(browser: &Browser, layer: &str, words: &str) {
    until(
        browser,
        &format!("document.documentElement.dataset.layer == '{layer}'"),
    )
    .await;
    let seen = browser
        .ask("return document.getElementById('layer').innerText")
        .await;
    let seen = seen.as_str().unwrap();
    assert!(seen.contains(words), "{seen}");
    // The others are not.
    let all = [
        "Plain http.",
        "Https, trusted.",
        "Https, not trusted.",
        "By cable",
        "Without a script",
    ];
    let said = all.iter().filter(|one| seen.contains(**one)).count();
    assert_eq!(said, 1, "{seen}");
}

const REGISTERED: &str = "const [done] = arguments; navigator.serviceWorker.getRegistrations().then(all => done(all.length), e => done('' + e));";

/// Paths of all that is kept.
const KEPT: &str = "const [done] = arguments; (async () => { const all = []; \
    for (const name of await caches.keys()) for (const one of await (await caches.open(name)).keys()) \
    all.push(new URL(one.url).pathname); return all; })().then(done, e => done(['' + e]));";

/// Waits until what is kept is as it should be.
async fn until_kept(browser: &Browser, what: &str, right: impl Fn(&[&str]) -> bool) {
    for _ in 0..TURNS {
        let all = browser
            .client
            .execute_async(KEPT, Vec::new())
            .await
            .unwrap();
        let paths = all.as_array().into_iter().flatten();
        let paths: Vec<&str> = paths.filter_map(Value::as_str).collect();
        if right(&paths) {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    panic!("never {what}");
}

/// To a visit's page from the plots, by its links; its path, once that is kept.
async fn open_a_visit(browser: &Browser, door: &str) -> String {
    let client = &browser.client;
    client.goto(&format!("{door}/plot")).await.unwrap();
    for link in [
        "a[href^='/plantings/']",
        "a[href^='/visits/']",
        "a[href$='/pocket']",
    ] {
        let address = client.find(Locator::Css(link)).await.unwrap();
        let address = address.prop("href").await.unwrap().unwrap();
        client.goto(&address).await.unwrap();
    }
    let path = client.current_url().await.unwrap().path().to_owned();
    until_kept(browser, "a visit", |all| all.contains(&path.as_str())).await;
    path
}

/// Loads the page again; its heading.
async fn heading_again(browser: &Browser) -> Value {
    browser.client.refresh().await.unwrap();
    heading(browser).await
}

async fn heading(browser: &Browser) -> Value {
    until(browser, "document.readyState == 'complete'").await;
    browser
        .ask("return document.querySelector('h1').innerText")
        .await
}

async fn press(browser: &Browser, what: &str) {
    let press = format!("document.querySelector('{what}').click()");
    browser.ask(&press).await;
}

#[tokio::test]
async fn a_phone_that_trusts_the_laptop_opens_its_pages_without_it() {
    let mut field = Field::new().await;
    field.trust();
    let browser = field.browser().await;
    let client = &browser.client;
    let door = field.secure();
    field.let_in(&browser, &door).await;
    client.goto(&format!("{door}/outbox")).await.unwrap();
    layer(&browser, "trusted", "Https, trusted.").await;
    let visit = open_a_visit(&browser, &door).await;
    let read = heading(&browser).await;
    until_kept(&browser, "only what is meant for out of reach", |all| {
        let meant = |path: &&str| {
            path.starts_with("/visits/") || path.starts_with("/assets/") || *path == "/away"
        };
        all.contains(&"/away") && all.iter().all(meant)
    })
    .await;
    let errors = browser.cdp("Page.getInstallabilityErrors", json!({})).await;
    assert_eq!(errors["installabilityErrors"], json!([]));
    // What an older program kept goes, unless a page of it is kept still.
    let older = "const [done] = arguments; (async () => { \
        await (await caches.open('empty')).put('/assets/old.css', new Response('')); \
        await (await caches.open('lived in')).put('/assets/older.css', new Response('')); \
        await (await caches.open('lived in')).put('/visits/old/pocket', new Response('')); \
        await fetch(location.href); })().then(done, e => done('' + e));";
    client.execute_async(older, Vec::new()).await.unwrap();
    until_kept(&browser, "tidy", |all| {
        !all.contains(&"/assets/old.css") && all.contains(&"/assets/older.css")
    })
    .await;

    // The laptop takes the connection and says nothing: three seconds' patience, with room for a
    // machine that is busy.
    field.program.fall_silent();
    let from = std::time::Instant::now();
    assert_eq!(heading_again(&browser).await, read);
    let waited = from.elapsed().as_secs_f64();
    assert!((2.9..20.0).contains(&waited), "{waited} s");
    // The battery of the laptop is empty.
    field.program.kill();
    assert_eq!(heading_again(&browser).await, read);
    // With its style: assets are kept too.
    let styled = browser
        .ask("return getComputedStyle(document.querySelector('.bar')).position")
        .await;
    assert_eq!(styled, "fixed");
    // What is saved without the laptop outlives a reload, and so does where she stands.
    let point = "const form = document.querySelector('.new-point'); \
        form.querySelector('[name=scout]').value = 'Thea Marsh'; form.requestSubmit();";
    browser.ask(point).await;
    until(
        &browser,
        "document.querySelector('#unsent-strip').innerText.startsWith('1 unsent')",
    )
    .await;
    let stands = heading(&browser).await;
    assert!(stands.as_str().unwrap().contains(", point "), "{stands}");
    assert_eq!(heading_again(&browser).await, stands);
    until(
        &browser,
        "document.querySelector('#points').innerText.includes('1 unsent')",
    )
    .await;
    // A page that is not kept: ours instead, with the way to the one that is.
    client.goto(&format!("{door}/plot")).await.unwrap();
    until(
        &browser,
        "document.querySelector('h1')?.innerText == 'The laptop does not answer'",
    )
    .await;
    press(&browser, &format!(".rows a[href=\"{visit}\"]")).await;
    until(&browser, &format!("location.pathname == '{visit}'")).await;
    assert_eq!(heading(&browser).await, read);
    browser.close().await;
}

#[tokio::test]
async fn let_in_once_by_plain_http_and_signed_out_without_a_trace() {
    let field = Field::new().await;
    field.trust();
    let browser = field.browser().await;
    let client = &browser.client;
    let (plain, door) = (field.plain(), field.secure());
    field.let_in(&browser, &plain).await;
    client.goto(&format!("{plain}/outbox")).await.unwrap();
    layer(&browser, "plain", "Plain http.").await;
    // As a person goes: from the plain page to the https one, and on.
    client.goto(&format!("{plain}/trust")).await.unwrap();
    press(&browser, "a[href^=\"https\"]").await;
    until(&browser, "location.protocol == 'https:'").await;
    layer(&browser, "trusted", "Https, trusted.").await;
    press(&browser, "a.button[href=\"/plot\"]").await;
    until(&browser, "location.pathname == '/plot'").await;
    let cookies = client.get_all_cookies().await.unwrap();
    let own = cookies.iter().find(|one| one.name() == "__Host-phone");
    assert_eq!(own.expect("a key of https").secure(), Some(true));

    let no_visit = |all: &[&str]| !all.iter().any(|path| path.starts_with("/visits/"));
    // Who leaves takes the kept pages along.
    open_a_visit(&browser, &door).await;
    client.goto(&format!("{door}/pair")).await.unwrap();
    press(&browser, "form[action=\"/pair/leave\"] button").await;
    until(&browser, "!!document.querySelector('#code')").await;
    until_kept(&browser, "left", no_visit).await;
    // And who is sent away, as soon as that phone asks for anything.
    field.let_in(&browser, &door).await;
    let visit = open_a_visit(&browser, &door).await;
    let phones = format!("{}/phones", field.program.address);
    client.goto(&phones).await.unwrap();
    press(&browser, "form[action=\"/phones/away\"] button").await;
    until(
        &browser,
        "!document.querySelector('form[action=\"/phones/away\"]')",
    )
    .await;
    client.goto(&format!("{door}{visit}")).await.unwrap();
    until(&browser, "location.pathname == '/pair'").await;
    until_kept(&browser, "sent away", no_visit).await;
    browser.close().await;
}

#[tokio::test]
async fn without_the_certificate_nothing_is_kept() {
    let field = Field::new().await;
    let browser = field.browser().await;
    let client = &browser.client;
    // The driver calls this page arrived, whatever the browser shows for it.
    let _ = client.goto(&format!("{}/pair", field.secure())).await;
    until(
        &browser,
        "document.body.innerText.includes('NET::ERR_CERT_AUTHORITY_INVALID')",
    )
    .await;
    // Past the warning, as impatient people go.
    browser
        .ask("document.getElementById('details-button').click(); document.getElementById('proceed-link').click()")
        .await;
    layer(&browser, "doubt", "Https, not trusted.").await;
    let workers = client.execute_async(REGISTERED, Vec::new()).await.unwrap();
    assert_eq!(workers, 0);
    client
        .goto(&format!("{}/pair", field.plain()))
        .await
        .unwrap();
    layer(&browser, "plain", "Plain http.").await;
    for page in ["pair", "trust"] {
        let page = format!("{}/{page}", field.plain());
        client.goto(&page).await.unwrap();
        browser
            .ask("document.querySelectorAll('details').forEach(one => one.open = true)")
            .await;
        assert_eq!(browser.ask(COMPLAINTS).await, json!([]), "{page}");
    }
    assert_eq!(
        browser.ask("return typeof navigator.serviceWorker").await,
        "undefined"
    );
    // By cable, with a forwarded port: a secure page without a certificate.
    let cable = format!("http://localhost:{}/pair", field.program.phones.unwrap().0);
    client.goto(&cable).await.unwrap();
    layer(&browser, "own", "By cable").await;
    let workers = client.execute_async(REGISTERED, Vec::new()).await.unwrap();
    assert_eq!(workers, 1);
    browser.close().await;
}
