//! A whole visit with the laptop out of reach, on the one page that a phone carries.

use fantoccini::Locator;
use serde_json::{Value, json};

use crate::outbox::{Field, STRIP, until};
use crate::photos;
use crate::program::Program;
use crate::screen::{Browser, Screen};

const READY: &str = "document.documentElement.dataset.away == 'ready' \
    && document.documentElement.dataset.keeps == 'yes'";

/// A new visit of the demo's planting that has a plan; the page to carry along.
async fn carry(browser: &Browser, program: &Program) -> String {
    let client = &browser.client;
    client.goto(&program.address).await.unwrap();
    let link = client.find(Locator::Css("a[href^='/plantings/']")).await;
    let planting = link.unwrap().attr("href").await.unwrap().unwrap();
    let planting = planting.rsplit('/').next().unwrap();
    let new = format!("{}/visits/new?planting={planting}", program.address);
    client.goto(&new).await.unwrap();
    let fill = "for (const name of ['scouts', 'scout']) for (const field of document.querySelectorAll('main [name=' + name + ']')) \
        field.value = 'Thea Marsh'; document.querySelector('main form button').click();";
    browser.ask(fill).await;
    until(
        browser,
        "Boolean(document.querySelector('a[href$=\"/pocket\"]'))",
    )
    .await;
    let visit = client.current_url().await.unwrap().to_string();
    client.goto(&format!("{visit}/pocket")).await.unwrap();
    until(browser, READY).await;
    sign(browser).await;
    visit
}

/// Types her name wherever it is asked for.
async fn sign(browser: &Browser) {
    browser
        .ask("for (const field of document.querySelectorAll('[name=scout]')) field.value = 'Thea Marsh'")
        .await;
}

/// Presses what a thumb could press.
async fn press(browser: &Browser, what: &str) {
    let script = format!(
        "const all = [...document.querySelectorAll(`{what}`)].filter(e => e.offsetParent); all[0].click(); return all.length"
    );
    let found = browser.client.execute(&script, Vec::new()).await;
    assert!(found.is_ok(), "nothing to press: {what}");
}

async fn text(browser: &Browser, what: &str) -> String {
    let script = format!("return document.querySelector(`{what}`).innerText");
    let words = browser.ask(&script).await;
    words.as_str().unwrap().trim().to_owned()
}

/// "I am here", in the plot that is asked for.
async fn arrive(browser: &Browser) {
    browser
        .ask("const plot = document.querySelector('#arrive select'); if (plot && !plot.value) plot.selectedIndex = 1")
        .await;
    press(browser, "#arrive .buttons.big button").await;
    until(browser, "location.hash.startsWith('#v=count')").await;
    // The step after is taken at once; the page has drawn it when the form goes to this point.
    until(
        browser,
        "document.querySelector('.count').getAttribute('action').includes(new URLSearchParams(location.hash.slice(1)).get('at'))",
    )
    .await;
}

async fn save_frame(browser: &Browser) {
    press(browser, ".count button[name=do][value=save]").await;
    until(
        browser,
        "document.querySelector('#news').innerText.includes('is saved on this phone')",
    )
    .await;
}

async fn unsent(browser: &Browser, n: usize) {
    until(
        browser,
        &format!("{STRIP}.innerText.startsWith('{n} unsent')"),
    )
    .await;
}

/// Rows of the book that one statement gives.
fn ask(field: &Field, sql: &str) -> Vec<String> {
    let book = rusqlite::Connection::open(field.book()).unwrap();
    let mut asked = book.prepare(sql).unwrap();
    let rows = asked.query_map([], |row| row.get(0));
    rows.unwrap().map(Result::unwrap).collect()
}

#[tokio::test]
async fn a_whole_visit_is_walked_counted_and_looked_at_out_of_reach() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Phone).await;
    let visit = carry(&browser, &program).await;
    let id = visit.rsplit('/').next().unwrap().to_owned();
    drop(program);

    // The first stop can't be reached; the others are, and the spare stands in for it.
    let first = text(&browser, "#stop h2").await;
    assert!(first.contains("of 14"), "{first}");
    browser
        .ask("const plot = document.querySelector('#arrive select'); if (plot && !plot.value) plot.selectedIndex = 1")
        .await;
    press(&browser, "#stop details:last-of-type summary").await;
    press(&browser, "#cannot .reasons button").await;
    unsent(&browser, 1).await;
    until(
        &browser,
        "document.querySelector('#stop .why').innerText.includes('stands in for point')",
    )
    .await;
    for stop in 1..=14 {
        arrive(&browser).await;
        press(
            &browser,
            &format!(".taxon:first-child .cells label:nth-child({stop}) input"),
        )
        .await;
        if stop == 1 {
            // Overlooked at first, and seen on the second look.
            press(&browser, ".count button[value=look]").await;
            press(
                &browser,
                ".taxon:first-child .cells label:nth-child(25) input",
            )
            .await;
        }
        if stop == 2 {
            browser
                .ask("document.querySelector('.count [name=describe]').value = 'hairy, flat base'")
                .await;
            press(&browser, ".count details.more summary").await;
            press(&browser, ".count button[value=unknown]").await;
            press(&browser, ".count .cells label:nth-child(13) input").await;
        }
        save_frame(&browser).await;
        unsent(&browser, 1 + 2 * stop).await;
    }
    assert!(
        text(&browser, "#progress")
            .await
            .contains("All points of the plan are done")
    );
    // Once more where she stands: number 2.
    press(&browser, "#at [data-go=count]").await;
    until(
        &browser,
        "document.querySelector('[data-view=count] h1').innerText.includes('Frame 2')",
    )
    .await;
    press(&browser, ".count button[value=none]").await;
    unsent(&browser, 30).await;
    // A plant, walked to what the book says of it.
    press(&browser, "nav [data-go=plant]").await;
    press(&browser, ".stage button[value=tillering]").await;
    for _ in 0..5 {
        press(&browser, "[data-trait]:not([hidden]) button[name=a]").await;
    }
    assert!(!text(&browser, "[data-say=outcome]").await.is_empty());
    press(&browser, ".photos-now summary").await;
    let folder = tempfile::tempdir().unwrap();
    let file = photos::camera(folder.path(), 300_000);
    photos::choose(&browser, "collar with ligule", &file).await;
    unsent(&browser, 31).await;
    press(&browser, ".save .buttons button").await;
    unsent(&browser, 32).await;
    // Nothing of it is at the laptop, and the way back there is not offered.
    assert!(
        ask(
            &field,
            &format!(
                "SELECT count(*) || '' FROM point WHERE lower(hex(visit)) = replace('{id}', '-', '')"
            )
        ) == ["0"]
    );
    press(&browser, "#leave").await;
    until(
        &browser,
        "document.querySelector('#news').innerText.includes('Stay on this page')",
    )
    .await;

    let _program = field.serve();
    browser.ask("dispatchEvent(new Event('online'))").await;
    until(&browser, &format!("{STRIP}.hidden")).await;
    let page = fetched(&format!("{visit}/walk"));
    assert!(
        page.contains("July walk: 14 points seen, 14 planned, 1 not reached"),
        "{page}"
    );
    let frames = ask(
        &field,
        "SELECT scout || number FROM frame WHERE scout = 'Thea Marsh' ORDER BY number, scout",
    );
    assert_eq!(frames.len(), 15);
    assert_eq!(frames[14], "Thea Marsh2");
    let twice = ask(
        &field,
        "SELECT count(*) || '' FROM frame WHERE scout = 'Thea Marsh' AND looked_twice",
    );
    assert_eq!(twice, ["1"]);
    let unknown = ask(
        &field,
        "SELECT description FROM unknown WHERE description = 'hairy, flat base'",
    );
    assert_eq!(unknown.len(), 1);
    let pictures = photos::photos(&field);
    assert_eq!(pictures.len(), 1);
    photos::same_bytes(&field, &pictures[0].0, &file);
    // Fetched anew, it knows what the laptop knows, and nothing twice.
    browser
        .client
        .goto(&format!("{visit}/pocket"))
        .await
        .unwrap();
    until(&browser, READY).await;
    let rows = text(&browser, "#points").await;
    assert_eq!(rows.matches("1 frame").count(), 13, "{rows}");
    assert_eq!(rows.matches("2 frames, 1 plant").count(), 1, "{rows}");
    assert!(!rows.contains("unsent"), "{rows}");
    browser.close().await;
}

/// A page of the laptop, without a browser.
fn fetched(address: &str) -> String {
    let (base, path) = address.split_at(address.find("/visits").unwrap());
    crate::pocket::serving::fetch(base, path)
}

/// What both pages say of a plant, without what only one of them can: links, spaces.
const SAID: &str = "for (const d of document.querySelectorAll('.verdict details, .looks details')) d.open = true; \
    const part = s => (document.querySelector(s)?.offsetParent ? document.querySelector(s).innerText : '').replace(/\\s+/g, ' ').trim(); \
    const names = [...document.querySelectorAll('.save fieldset label')].filter(e => e.offsetParent).map(e => e.innerText.trim() + e.querySelector('input').checked); \
    const look = [...document.querySelectorAll('section.look')].find(e => e.offsetParent); \
    return [part('.verdict').replace('The two likeliest side by side ', '').replace(/; [0-9]+ of [0-9]+ names of the key are sown here, so a count of names begins low/, '') \
        .replace(/(decibans\\) ?)?What (sources say parts the two|the next look would settle).*?(?=Every name)/, '$1').replace(/\\) Every/, ') Every'), \
        look.querySelector('h2').innerText, part('ul.given'), [...document.querySelectorAll('.picks button')].map(e => e.innerText).join(), names.join()]";

#[tokio::test]
async fn it_says_of_a_plant_what_the_laptop_says() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Phone).await;
    let visit = carry(&browser, &program).await;
    arrive(&browser).await;
    let here = browser
        .ask("return new URLSearchParams(location.hash.slice(1)).get('at')")
        .await;
    let here = here.as_str().unwrap().to_owned();
    until(&browser, &format!("{STRIP}.hidden")).await;
    let walks = [
        "stage=few_leaves&tool=lens&tool=trowel",
        "stage=tillering&tool=lens&a=ligule_type:cannot_tell",
        "stage=tillering&tool=lens&a=ligule_type:hairs",
        "stage=tillering&tool=lens&tool=trowel&a=ligule_type:membrane&a=vernation:folded&a=tiller_base:flat",
        "stage=heading&tool=trowel&a=ligule_type:hairs|fringed_membrane&a=vernation:rolled&a=blade_width:4",
        "stage=few_leaves&a=ligule_type:absent&a=auricles:none",
        "stage=tillering&tool=lens&tool=trowel&tool=backlight&tool=torn_shoot&a=sheath_colour:red&a=blade_colour:blue_green",
    ];
    let mut said_any = 0;
    for walk in walks {
        let go = format!("{visit}/pocket#v=plant&at={here}&walk={here}&{walk}");
        browser.client.goto(&go).await.unwrap();
        until(&browser, READY).await;
        until(
            &browser,
            "Boolean(document.querySelector('[data-part=walk]')?.offsetParent)",
        )
        .await;
        let away: Value = browser.ask(SAID).await;
        let go = format!("{}/at/{here}/plant?{walk}", program.address);
        browser.client.goto(&go).await.unwrap();
        let laptop: Value = browser.ask(SAID).await;
        assert_eq!(away, laptop, "{walk}");
        said_any += usize::from(!away[0].as_str().unwrap().is_empty());
    }
    assert!(said_any >= 4);
    browser.close().await;
}

/// The way to the next stop, in the very words of the laptop's page.
#[tokio::test]
async fn it_shows_the_way_that_the_laptop_shows() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Phone).await;
    let visit = carry(&browser, &program).await;
    for stop in 0..6 {
        if stop == 3 {
            browser
                .ask("document.querySelector('#arrive [name=latitude]').value = '40.2031'; document.querySelector('#arrive [name=longitude]').value = '-96.4951'")
                .await;
        }
        arrive(&browser).await;
        until(&browser, &format!("{STRIP}.hidden")).await;
        press(&browser, "nav [data-go=walk]").await;
        until(
            &browser,
            "Boolean(document.querySelector('#stop')?.offsetParent)",
        )
        .await;
        let page = fetched(&format!("{visit}/walk"));
        for what in ["h2", ".way"] {
            let words = text(&browser, &format!("#stop {what}")).await;
            assert!(page.contains(&words), "{words}\n{page}");
        }
    }
    browser.close().await;
}

/// Where the browser gives a position, one press takes it, with how good it is.
#[tokio::test]
async fn a_fix_is_taken_from_the_phone_when_asked() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Phone).await;
    let grant = json!({"origin": program.address, "permissions": ["geolocation"]});
    browser.cdp("Browser.grantPermissions", grant).await;
    let place = json!({"latitude": 40.2031004, "longitude": -96.4951, "accuracy": 6.2});
    browser.cdp("Emulation.setGeolocationOverride", place).await;
    carry(&browser, &program).await;
    press(&browser, "[data-part=fix] summary").await;
    press(&browser, "[data-part=locate] button").await;
    until(
        &browser,
        "document.querySelector('#news').innerText == 'Fix taken, good to 7 m.'",
    )
    .await;
    arrive(&browser).await;
    until(&browser, &format!("{STRIP}.hidden")).await;
    let sql = "SELECT latitude || ' ' || longitude || ' ' || uncertainty_m FROM point \
        JOIN record USING (id) WHERE author = 'Thea Marsh'";
    assert_eq!(ask(&field, sql), ["40.2031 -96.4951 7.0"]);
    browser.close().await;
}

/// By hand, on a machine that is otherwise quiet:
/// `cargo test --release --test browser first_visit -- --ignored --nocapture`.
#[tokio::test]
#[ignore = "a measurement"]
async fn how_long_a_first_visit_and_an_answer_take() {
    let field = Field::new();
    let program = field.serve();
    let mut first = Vec::new();
    let mut visit = String::new();
    for n in 0..7 {
        // Nothing is cached, nothing compiled.
        let browser = Browser::open(Screen::Phone).await;
        if n == 0 {
            visit = carry(&browser, &program).await;
            browser.close().await;
            continue;
        }
        browser.slow_down(4).await;
        browser
            .client
            .goto(&format!("{visit}/pocket"))
            .await
            .unwrap();
        until(&browser, "document.documentElement.dataset.away == 'ready'").await;
        let ms = browser
            .ask("return performance.getEntriesByName('away ready')[0].startTime")
            .await;
        first.push(ms.as_f64().unwrap());
        if n == 6 {
            browser.slow_down(6).await;
            until(&browser, READY).await;
            sign(&browser).await;
            arrive(&browser).await;
            press(&browser, "nav [data-go=plant]").await;
            press(&browser, ".stage button[value=tillering]").await;
            let timed = "const [done] = arguments; const all = []; \
                const next = () => { const b = document.querySelector('[data-trait]:not([hidden]) button[name=a]'); \
                if (!b || all.length >= 12) return done(all); const from = performance.now(); b.click(); \
                document.body.offsetHeight; all.push(performance.now() - from); setTimeout(next, 100); }; next();";
            let all = browser
                .client
                .execute_async(timed, Vec::new())
                .await
                .unwrap();
            println!("press to a page laid out, ms at 6x: {all}");
        }
        browser.close().await;
    }
    first.sort_by(f64::total_cmp);
    println!("first visit to usable, ms at 4x: {first:.0?}");
}
