//! The walk computed in a page beside the walk computed by the engine.
//!
//! Both start from the very text that a phone gets. The page is one of this test: those of the
//! program load no script, and their content policy forbids it.

mod beside;
mod cases;
mod serving;

use std::collections::BTreeMap;

use serde_json::{Value, json};
use standbook_identify::{Table, phone};

use crate::program::Program;
use crate::screen::{Browser, Screen};
use beside::Compared;
use cases::Case;
use serving::Serving;

/// Seed of the cases; another one by `STANDBOOK_SEED`.
const SEED: u64 = 6_003;

/// Two numbers of the same meaning may differ by less than this (probabilities, bits, decibans).
const WITHIN: f64 = 1e-6;

/// The program, a page with the engine in it, and the table that the engine's Rust side reads.
struct Pocket {
    _program: Program,
    _serving: Serving,
    browser: Browser,
    text: String,
    table: Table,
}

impl Pocket {
    async fn open() -> Pocket {
        let program = Program::demo();
        let serving = Serving::before(&program.address);
        let text = serving::fetch(&program.address, standbook_web::pocket::TABLE);
        let table = phone::read(&text).expect("the text that the program sends is a table");
        let browser = Browser::open(Screen::Phone).await;
        browser.client.goto(&serving.address).await.unwrap();
        let pocket = Pocket {
            _program: program,
            _serving: serving,
            browser,
            text,
            table,
        };
        for _ in 0..200 {
            if pocket
                .ask("return Boolean(window.pocket || window.failed)")
                .await
                == true
            {
                break;
            }
            tokio::time::sleep(std::time::Duration::from_millis(25)).await;
        }
        let failed = pocket.ask("return String(window.failed ?? '')").await;
        assert_eq!(failed, "", "the modules did not load");
        pocket
    }

    async fn ask(&self, script: &str) -> Value {
        self.browser.ask(script).await
    }

    /// Makes the page's processor so many times slower.
    async fn slow_down(&self, times: u32) {
        let rate = json!({"rate": times});
        self.browser
            .cdp("Emulation.setCPUThrottlingRate", rate)
            .await;
    }

    /// Runs a function of the page on something, both as JSON text: so no digit is lost on the way.
    async fn run(&self, function: &str, on: &Value) -> Value {
        let script = format!("return JSON.stringify({function}(JSON.parse(arguments[0])))");
        let told = self
            .browser
            .client
            .execute(&script, vec![on.to_string().into()])
            .await
            .unwrap();
        serde_json::from_str(told.as_str().unwrap()).unwrap()
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_thousand_walks_come_out_as_the_engine_says() {
    let seed = std::env::var("STANDBOOK_SEED").map_or(SEED, |seed| seed.parse().unwrap());
    println!("seed {seed}; another one by STANDBOOK_SEED");
    let pocket = Pocket::open().await;
    let table = &pocket.table;
    let mut random = fastrand::Rng::with_seed(seed);
    let cases: Vec<Case> = (0..1_000)
        .map(|n| Case::draw(table, &mut random, n))
        .collect();
    let mut compared = Compared::default();
    for hundred in cases.chunks(100) {
        let sent: Value = hundred.iter().map(|case| case.as_json()).collect();
        let told = pocket.run("pocket.walks", &sent).await;
        for (case, told) in hundred.iter().zip(told.as_array().unwrap()) {
            compared.add(table, case, told);
        }
    }
    println!("{compared}");
    assert!(compared.largest() < WITHIN, "{compared}");
    // Everything that can be said was said.
    let met = |ids: &[&str], seen: &BTreeMap<String, usize>| {
        for id in ids {
            assert!(seen.contains_key(*id), "{id} in {seen:?}");
        }
    };
    met(
        &[
            "settled",
            "leaning",
            "split_between",
            "not_in_this_key",
            "too_little_seen",
        ],
        &compared.outcomes,
    );
    met(
        &["planted", "something_else", "undecided"],
        &compared.counts_as,
    );
    met(
        &["slightly", "clearly", "strongly", "overwhelmingly"],
        &compared.strengths,
    );
    met(&["one", "group", "others"], &compared.rivals);
    assert!(
        compared.implied >= 50 && compared.changes >= 50,
        "{compared}"
    );
}

/// Every measure that a scout can type, to the tenth, falls into the same bin.
#[tokio::test(flavor = "multi_thread")]
async fn every_measure_falls_into_the_same_bin() {
    let pocket = Pocket::open().await;
    let mut n = 0;
    for one in &pocket.table.traits {
        let Some(bins) = one.bins else { continue };
        let tenths = (0..=(bins.highest * 11.0) as usize).map(|tenths| tenths as f64 / 10.0);
        let odd = [bins.lowest, bins.highest, 1e-300, 1e300, -3.0];
        let odd = odd
            .into_iter()
            .chain((0..bins.n).map(|bin| bins.middle_of(bin)));
        let values: Vec<f64> = tenths.chain(odd).collect();
        let asked = json!({"id": one.id, "values": values});
        let told = pocket.run("pocket.bins", &asked).await;
        for (value, bin) in values.iter().zip(told.as_array().unwrap()) {
            assert_eq!(*bin, bins.bin_of(*value), "{} of {}", value, one.id);
            n += 1;
        }
    }
    assert!(n > 1_000, "{n} values");
}

/// What both sides say of a text: nothing where they take it. What JSON's own reader says is its
/// own, and so is which field a text lacks.
fn plain(sentence: &str) -> String {
    match sentence.split_once(" (") {
        Some((before, rest)) => format!("{before}{}", rest.rsplit_once(')').unwrap().1),
        None => sentence.to_owned(),
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_broken_table_is_refused_in_the_same_words() {
    let pocket = Pocket::open().await;
    let text = &pocket.text;
    let first = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    };
    let mut broken = vec![
        String::new(),
        "null".to_owned(),
        "[1, 2]".to_owned(),
        text[..text.len() / 2].to_owned(),
        first("\"format\"", "\"from\""),
        first("phone table 2", "phone table 1"),
        first("\"columns\":\"", "\"columns\":\"!!"),
        first("\"columns\":\"!", "\"columns\":\"~"),
        first("\"effort_s\":", "\"effort_s\":-"),
        first("\"effort_s\":", "\"effort\":"),
        first("\"needs\":[", "\"needs\":[\"spade\","),
        first("\"needs\":[", "\"need\":["),
        first("\"from_stage\":\"one_leaf\"", "\"from_stage\":\"no_leaf\""),
        first("\"role\":\"planted\"", "\"role\":\"wanted\""),
        first("\"class\":\"ligule\"", "\"class\":\"league\""),
        first("\"step_nats\":0", "\"step_nats\":5"),
        first("\"log_prior\":[", "\"log_prior\":[0,"),
        first("\"both\":0", "\"both\":7"),
        first("\"agreement\":", "\"agreement\":-"),
        first("\"lowest\":", "\"lowest\":-"),
        first("\"applies_to\":[", "\"applies_to\":[99"),
        first("\"together\":[[[", "\"together\":[[[99,"),
        first("\"decides\":true", "\"decides\":1"),
        first("\"settled\":", "\"settle\":"),
    ];
    let whole = broken.len();
    // And what a bad wire does: one character is another.
    let mut random = fastrand::Rng::with_seed(7);
    broken.extend((0..300).map(|_| {
        let mut bytes = text.clone().into_bytes();
        let at = random.usize(..bytes.len());
        bytes[at] = random.u8(32..127);
        String::from_utf8(bytes).unwrap()
    }));
    broken.push(text.clone());
    let told = pocket.run("pocket.refusals", &json!(broken)).await;
    let mut refused = 0;
    for (at, (text, told)) in broken.iter().zip(told.as_array().unwrap()).enumerate() {
        let told = told.as_str().unwrap();
        let said = phone::read(text)
            .err()
            .map_or_else(String::new, |e| e.to_string());
        // Of two limits that differ only the program knows which are its own, and of a word that
        // stands in the list of words as well only the page.
        let one_sided =
            said.contains("other limits") || (said.is_empty() && told.contains("not a"));
        assert!(
            plain(told) == plain(&said) || (at >= whole && one_sided),
            "{at}: the page says {told:?}, the engine {said:?}"
        );
        refused += usize::from(!told.is_empty());
        assert!(at >= whole || !told.is_empty(), "{at} was taken");
    }
    println!("{refused} of {} refused", broken.len());
    assert_eq!(told[broken.len() - 1], "", "the whole table was refused");
}

/// How long an answer takes on a phone six times slower than this machine. Not a test: run it by
/// `cargo test --test browser how_long -- --ignored --nocapture`.
#[tokio::test(flavor = "multi_thread")]
#[ignore = "a measurement, not a test"]
async fn how_long_an_answer_takes() {
    let pocket = Pocket::open().await;
    let mut random = fastrand::Rng::with_seed(SEED);
    let cases: Vec<Case> = (0..100)
        .map(|n| Case::draw(&pocket.table, &mut random, n))
        .collect();
    let sent: Value = cases.iter().map(|case| case.as_json()).collect();
    // The slow one first: a phone meets its first plant with nothing made ready.
    for slower in [6, 1] {
        pocket.slow_down(slower).await;
        println!("{slower} times slower:");
        let told = pocket.run("pocket.times", &sent).await;
        for (what, ms) in told.as_object().unwrap() {
            println!("  {what}: {ms}");
        }
    }
}
