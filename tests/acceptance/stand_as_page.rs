//! The Stand page and `standbook stand` say the same of the same frames: the demo's visit is taken
//! out of the page as CSV and judged on the command line.

use std::fs;
use std::process::Command;

use serde_json::Value;

use crate::form::{decode, link};
use crate::http::Browser;
use crate::program::{PROGRAM, Server, run};

/// Numbers may differ in their last digits: points go by other names, and sums by their order.
fn alike(page: &Value, command: &Value, at: &str) {
    match (page, command) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            assert!((a - b).abs() <= 1e-9 * a.abs().max(1.0), "{at}: {a}, {b}");
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{at}");
            for (index, (a, b)) in a.iter().zip(b).enumerate() {
                alike(a, b, &format!("{at}[{index}]"));
            }
        }
        (Value::Object(a), Value::Object(b)) => {
            assert!(a.keys().eq(b.keys()), "{at}");
            for (key, value) in a {
                // An unknown goes by its record in the book, by its number in a file.
                if key != "unknown" {
                    alike(value, &b[key], &format!("{at}/{key}"));
                }
            }
        }
        _ => assert_eq!(page, command, "{at}"),
    }
}

#[test]
fn the_page_and_the_command_agree() {
    let folder = tempfile::tempdir().unwrap();
    let mut demo = Command::new(PROGRAM);
    demo.args(["demo", "--port", "0", "--folder"])
        .arg(folder.path());
    let server = Server::start(&mut demo);
    let mut browser = Browser::new(server.port);
    let stand = browser.open("/stand");
    let address = |ending: &str| decode(&link(&stand.body, "/stand/", ending));
    let visit = address("").split_once("?visit=").unwrap().1.to_owned();
    let csv = browser.open(&address(&format!("/frames.csv?visit={visit}")));
    let json = browser.open(&address(&format!(".json?visit={visit}")));
    let page: Value = serde_json::from_str(&json.body).unwrap();
    let page = &page["judgement"];
    let file = folder.path().join("frames.csv");
    fs::write(&file, &csv.body).unwrap();

    let text = |field: &str| page["facts"][field].as_str().unwrap();
    let mix: Vec<&str> = page["facts"]["mix"]
        .as_array()
        .unwrap()
        .iter()
        .map(|sown| sown["taxon"].as_str().unwrap())
        .collect();
    // The day of the visit stands in the file.
    let said = run(&[
        "stand",
        file.to_str().unwrap(),
        "--json",
        "--planted",
        &mix.join(","),
        "--purpose",
        text("purpose"),
        "--seeded",
        text("seeded_on"),
        "--state",
        text("state"),
    ]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    let command: Value = serde_json::from_str(&said.out).unwrap();
    let command = &command["judgement"];
    assert_eq!(command["facts"]["visited_on"], page["facts"]["visited_on"]);
    // What was done to the field, seed rates, parts and a plan do not stand in a file of frames.
    for part in [
        "season",
        "fairness",
        "verdict",
        "compared",
        "not_compared",
        "summary",
        "weeds",
        "unsettled",
        "seen_twice",
        "look_again",
    ] {
        alike(&page[part], &command[part], part);
    }
    assert!(page["summary"]["grids"][0]["frames"].as_u64() > Some(10));
}
