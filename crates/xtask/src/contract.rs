//! `cargo xtask contract`: a fuzzer asks the built program everything its OpenAPI document allows, and
//! much that it does not, and holds every answer against the document.
//!
//! In: the program on a fresh copy of the demo book, the versions in `tests/contract/requirements.txt`,
//! a seed. Out: nothing, or an error; what was found is on the terminal. No answer may be a fault
//! of the program (5xx), of a status or type of content that is not in the document, or of another
//! form than it says; what is malformed must be refused.

use std::path::Path;
use std::process::Command;

use crate::baselines::program::Running;
use crate::beside::python;
use crate::sizes::ask;
use crate::steps;

/// The seed of CI: what failed once fails again.
const SEED: u32 = 20_260_714;

/// Seconds for one run, its end and start left out.
const MOST_S: u32 = 75;

/// Runs the fuzzer once.
pub fn run(seed: Option<u32>) -> Result<(), String> {
    steps::cargo(&["build", "--locked", "--package", "standbook"])?;
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let here = root.join("tests/contract");
    let python = python(
        &root.join("target/contract-venv"),
        &here.join("requirements.txt"),
    )?;
    let folder = std::env::temp_dir().join(format!("standbook-contract-{}", std::process::id()));
    let server = Running::demo(&folder)?;
    let planting = planting(server.port)?;
    let seed = seed.unwrap_or(SEED).to_string();
    println!("xtask: schemathesis, seed {seed} (`--seed {seed}` repeats it)");
    let document = format!("http://127.0.0.1:{}/api/openapi.json", server.port);
    let status = Command::new(python)
        .args(["-m", "schemathesis.cli", "--config-file"])
        .arg(here.join("schemathesis.toml"))
        .args(["run", &document, "--checks", "all", "--seed", &seed])
        .args(["--max-time", &MOST_S.to_string()])
        // Nothing is remembered from one run to the next, nor written into the tree.
        .args(["--generation-database", "none"])
        .args(["--request-timeout", "10", "--no-color"])
        .env("STANDBOOK_PLANTING", planting)
        // It leaves a folder of its own where it runs.
        .current_dir(root.join("target"))
        .status();
    drop(server);
    // The copy is worth nothing any more; should it stay, it lies where such files are cleared away.
    let _ = std::fs::remove_dir_all(&folder);
    match status {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!(
            "the addresses do not keep to their document ({status})"
        )),
        Err(error) => Err(format!("schemathesis could not be started: {error}")),
    }
}

/// A planting that is there: by chance nobody finds one.
fn planting(port: u16) -> Result<String, String> {
    let answer = ask(port, "GET", "/api/plantings?limit=1", "")?;
    let (_, body) = answer.text.split_once("\r\n\r\n").unwrap_or_default();
    let page: serde_json::Value = serde_json::from_str(body).map_err(|e| e.to_string())?;
    let first = page["items"][0]["first"].as_str();
    first
        .map(str::to_owned)
        .ok_or_else(|| "the demo has no planting".to_owned())
}
