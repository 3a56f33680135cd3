//! The demo: an invented first summer of an invented planting, drawn from the key itself.
//!
//! In: the key in `keys/`, the scenario in `scenario`, a fixed seed. Out: `demo-data/demo.jsonl`,
//! one record a line. The plants' traits are drawn from the compiled table (what a scout would
//! report of that taxon, misreadings included), and every walk follows *Look next at*, so the
//! demo says of each plant exactly what the program says. A test run compares the file with
//! what this program makes today.

mod draw;
mod kept;
mod office;
mod practice;
mod review;
mod scenario;

use std::path::{Path, PathBuf};

use serde_json::Value;
use standbook_fieldbook::Record;
use standbook_identify::Table;
use standbook_key::{KeyFiles, load};

/// Probabilities may differ by this much between machines, whose logarithms differ in the last
/// digits.
const CLOSE: f64 = 1e-9;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Makes the file, or compares it with the one that is there.
pub fn run(check: bool) -> Result<(), String> {
    let folder = root().join("keys/tallgrass-first-year");
    let files = KeyFiles::read_folder(&folder).map_err(|e| e.to_string())?;
    let key = load(&files)
        .key
        .ok_or("the key has faults: run `standbook check` on it first")?;
    let table = Table::compile(&key);
    let mut records: Vec<Record> = draw::records(&key, &table);
    records.sort_by_key(|r| r.id);
    let lines: Vec<String> = records
        .iter()
        .map(serde_json::to_string)
        .collect::<Result<_, _>>()
        .map_err(|e| e.to_string())?;
    let path = root().join("demo-data/demo.jsonl");
    if check {
        let kept =
            std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        return compare(&kept, &lines);
    }
    let text = lines.join("\n") + "\n";
    std::fs::write(&path, text).map_err(|e| format!("{}: {e}", path.display()))?;
    println!("{} records in demo-data/demo.jsonl", lines.len());
    Ok(())
}

fn compare(kept: &str, made: &[String]) -> Result<(), String> {
    let again =
        "the key or the engine has changed: run `cargo xtask demo-data` and look at what changed";
    let kept: Vec<&str> = kept.lines().collect();
    if kept.len() != made.len() {
        return Err(format!(
            "demo-data/demo.jsonl has {} records, today's program makes {}; {again}",
            kept.len(),
            made.len()
        ));
    }
    for (at, (kept, made)) in kept.iter().zip(made).enumerate() {
        let read = |text: &str| serde_json::from_str::<Value>(text).map_err(|e| e.to_string());
        if !alike(&read(kept)?, &read(made)?) {
            return Err(format!("demo-data/demo.jsonl:{} differs; {again}", at + 1));
        }
    }
    Ok(())
}

fn alike(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => match (a.as_f64(), b.as_f64()) {
            (Some(a), Some(b)) => (a - b).abs() <= CLOSE,
            _ => false,
        },
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| alike(a, b))
        }
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len()
                && a.iter()
                    .all(|(name, a)| b.get(name).is_some_and(|b| alike(a, b)))
        }
        _ => a == b,
    }
}
