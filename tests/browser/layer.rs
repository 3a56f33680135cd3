//! Which layer a phone is in, in a real Chromium: plain http, https trusted and not, the cable. The
//! certificate is trusted as a person's own is, through the store in her home; the laptop is really
//! gone (its program killed) when a page is loaded again.

use std::path::Path;
use std::process::Command;

use fantoccini::Locator;
use tempfile::TempDir;

use crate::looks::COMPLAINTS;
use crate::outbox::until;
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
        Browser::open_at(Screen::Phone, &profile, Some(self.home.path()), &[rule]).await
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

#[tokio::test]
async fn a_phone_that_trusts_the_laptop_opens_its_pages_without_it() {
    let mut field = Field::new().await;
    field.trust();
    let browser = field.browser().await;
    let client = &browser.client;
    field.let_in(&browser, &field.secure()).await;
    client
        .goto(&format!("{}/outbox", field.secure()))
        .await
        .unwrap();
    layer(&browser, "trusted", "Https, trusted.").await;
    // To a page that is meant for out of reach, and one that is not.
    client
        .goto(&format!("{}/plot", field.secure()))
        .await
        .unwrap();
    for link in ["a[href^='/plantings/']", "a[href^='/visits/']"] {
        let address = client.find(Locator::Css(link)).await.unwrap();
        let address = address.prop("href").await.unwrap().unwrap();
        client.goto(&address).await.unwrap();
    }
    let visit = client.current_url().await.unwrap();
    let heading = browser
        .ask("return document.querySelector('h1').innerText")
        .await;
    let kept = "const [path, done] = arguments; caches.match(path).then(found => done(!!found), e => done('' + e));";
    let is_kept = async |path: &str| {
        let path = serde_json::Value::from(path);
        client.execute_async(kept, vec![path]).await.unwrap() == true
    };
    let mut turns = 0;
    while !is_kept(visit.path()).await {
        turns += 1;
        assert!(turns < 400, "{visit} is not kept");
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    let errors = browser
        .cdp("Page.getInstallabilityErrors", serde_json::json!({}))
        .await;
    assert_eq!(errors["installabilityErrors"], serde_json::json!([]));
    for other in ["/plot", "/outbox", "/pair"] {
        assert!(!is_kept(other).await, "{other} is kept");
    }
    assert!(is_kept("/away").await);

    // The laptop takes the connection and says nothing: three seconds' patience, with room for a
    // machine that is busy.
    field.program.fall_silent();
    let from = std::time::Instant::now();
    client.refresh().await.unwrap();
    until(&browser, "document.readyState == 'complete'").await;
    let waited = from.elapsed().as_secs_f64();
    let again = browser
        .ask("return document.querySelector('h1').innerText")
        .await;
    assert_eq!(again, heading);
    assert!((2.9..20.0).contains(&waited), "{waited} s");
    // The battery of the laptop is empty.
    field.program.kill();
    client.refresh().await.unwrap();
    until(&browser, "document.readyState == 'complete'").await;
    let again = browser
        .ask("return document.querySelector('h1').innerText")
        .await;
    assert_eq!(again, heading);
    // With its style: assets are kept too.
    let styled = browser
        .ask("return getComputedStyle(document.querySelector('.bar')).position")
        .await;
    assert_eq!(styled, "fixed");
    // A page that is not kept: ours instead, with the way to the one that is.
    client
        .goto(&format!("{}/plot", field.secure()))
        .await
        .unwrap();
    until(
        &browser,
        "document.querySelector('h1')?.innerText == 'The laptop does not answer'",
    )
    .await;
    browser
        .ask("document.querySelector('.rows a').click()")
        .await;
    until(
        &browser,
        &format!("location.pathname == '{}'", visit.path()),
    )
    .await;
    until(&browser, "document.readyState == 'complete'").await;
    let again = browser
        .ask("return document.querySelector('h1').innerText")
        .await;
    assert_eq!(again, heading);
    browser.close().await;
}

#[tokio::test]
async fn let_in_once_by_plain_http_and_signed_out_without_a_trace() {
    let field = Field::new().await;
    field.trust();
    let browser = field.browser().await;
    let client = &browser.client;
    field.let_in(&browser, &field.plain()).await;
    client
        .goto(&format!("{}/outbox", field.plain()))
        .await
        .unwrap();
    layer(&browser, "plain", "Plain http.").await;
    // As a person goes: from the plain page to the https one, and on.
    client
        .goto(&format!("{}/trust", field.plain()))
        .await
        .unwrap();
    browser
        .ask("document.querySelector('a[href^=\"https\"]').click()")
        .await;
    until(
        &browser,
        "location.protocol == 'https:' && document.readyState == 'complete'",
    )
    .await;
    layer(&browser, "trusted", "Https, trusted.").await;
    browser
        .ask("document.querySelector('a.button[href=\"/plot\"]').click()")
        .await;
    until(&browser, "location.pathname == '/plot'").await;
    let cookies = client.get_all_cookies().await.unwrap();
    let own = cookies.iter().find(|one| one.name() == "__Host-phone");
    assert_eq!(own.expect("a key of https").secure(), Some(true));
    // Signing out takes the kept pages along.
    let visit = client
        .find(Locator::Css("a[href^='/plantings/']"))
        .await
        .unwrap();
    let address = visit.prop("href").await.unwrap().unwrap();
    client.goto(&address).await.unwrap();
    let visit = client
        .find(Locator::Css("a[href^='/visits/']"))
        .await
        .unwrap();
    let address = visit.prop("href").await.unwrap().unwrap();
    client.goto(&address).await.unwrap();
    let pages = "const [done] = arguments; (async () => { let n = 0; for (const name of await caches.keys()) \
        for (const one of await (await caches.open(name)).keys()) n += /visits/.test(one.url); return n; })().then(done);";
    let mut turns = 0;
    while client.execute_async(pages, Vec::new()).await.unwrap() != 1 {
        turns += 1;
        assert!(turns < 400, "the visit is not kept");
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    client
        .goto(&format!("{}/pair", field.secure()))
        .await
        .unwrap();
    browser
        .ask("document.querySelector('form[action=\"/pair/leave\"] button').click()")
        .await;
    until(&browser, "!!document.querySelector('#code')").await;
    let mut turns = 0;
    while client.execute_async(pages, Vec::new()).await.unwrap() != 0 {
        turns += 1;
        assert!(turns < 400, "the visit is kept still");
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
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
        assert_eq!(
            browser.ask(COMPLAINTS).await,
            serde_json::json!([]),
            "{page}"
        );
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
