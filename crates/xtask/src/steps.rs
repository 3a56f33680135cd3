//! The steps of a test run and of CI, each a command, stopping at the first that fails.

use std::process::Command;
use std::time::Instant;

use crate::beside::Script;
use crate::{beside, browser, contract, debian, demo};

type Done = Result<(), String>;

/// Every test.
pub fn test() -> Done {
    all(None)
}

/// Every test; with the script of axe-core the crawl of pages judges them by it as well.
fn all(axe: Option<std::path::PathBuf>) -> Done {
    browser::find_or_install()?;
    // What a server asks the system to do; networks of which a link goes down.
    debian::find_or_install(&[("strace", "strace"), ("ip", "iproute2")], "the tests")?;
    demo::run(true)?;
    // The program itself first: the acceptance tests start it.
    cargo(&["build", "--workspace", "--locked"])?;
    let mut tests = command(&["test", "--workspace", "--locked", "--no-fail-fast"]);
    if let Some(axe) = axe {
        tests.env("STANDBOOK_AXE", axe);
    }
    run(tests)
}

/// What CI runs.
pub fn ci() -> Done {
    // For somebody who may not make a network; a run that is relied on must not do without.
    if std::env::var_os("STANDBOOK_NO_NETNS").is_some() {
        return Err("STANDBOOK_NO_NETNS leaves a test out: unset it for CI".to_owned());
    }
    cargo(&["fmt", "--all", "--check"])?;
    cargo(&[
        "clippy",
        "--workspace",
        "--all-targets",
        "--locked",
        "--",
        "-D",
        "warnings",
    ])?;
    let mut docs = command(&["doc", "--workspace", "--no-deps", "--locked"]);
    docs.env("RUSTDOCFLAGS", "-D warnings");
    run(docs)?;
    // In one crawl, for it takes minutes.
    all(Some(beside::axe()?))?;
    contract::run(None)?;
    beside(None, false)?;
    exports()?;
    // Two repeats differed by more than the bounds of the comparison, by luck alone.
    learners(None, false, 10)
}

/// Every page of the demo by the rules of axe-core.
pub fn axe() -> Done {
    browser::find_or_install()?;
    let mut test = command(&["test", "--locked", "--test", "browser", "looks"]);
    test.env("STANDBOOK_AXE", beside::axe()?);
    run(test)
}

/// The reference libraries beside ours, on fields drawn anew.
pub fn beside(seed: Option<u64>, keep: bool) -> Done {
    let answers = beside::answers(Script::Reference, seed, keep)?;
    let mut test = command(&["test", "--locked", "--test", "beside"]);
    test.env("STANDBOOK_BESIDE", answers);
    run(test)?;
    // Files that pandas and others wrote, brought into a book.
    let files = beside::answers(Script::Elsewhere, seed, keep)?;
    let bring = ["test", "--locked", "--package", "standbook-import"];
    let mut test = command(&[&bring[..], &["--test", "bring", "elsewhere"]].concat());
    test.env("STANDBOOK_ELSEWHERE", files);
    run(test)
}

/// Other people's readers on what leaves a book.
pub fn exports() -> Done {
    let mut test = command(&["test", "--locked", "--test", "beside", "exports"]);
    test.args(["--", "--ignored"]);
    let python = beside::reference()?;
    test.env("STANDBOOK_PYTHON", &python);
    run(test)?;
    let mut test = command(&["test", "--locked", "--package", "standbook-web"]);
    test.args([
        "--test",
        "pages",
        "desk_come_back::what_is_due_goes_to_a_receiver",
    ]);
    test.env("STANDBOOK_PYTHON", python);
    run(test)
}

/// scikit-learn's learners beside the engine, on folds drawn anew.
pub fn learners(seed: Option<u64>, keep: bool, repeats: u32) -> Done {
    let answers = beside::answers(Script::Learners(repeats), seed, keep)?;
    let mut test = command(&[
        "test",
        "--locked",
        "--package",
        "standbook-identify",
        "--test",
        "learners",
        "--",
        "--nocapture",
    ]);
    test.env("STANDBOOK_LEARNERS", answers);
    run(test)
}

/// Runs cargo.
pub fn cargo(arguments: &[&str]) -> Done {
    run(command(arguments))
}

fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(arguments);
    command
}

fn run(mut command: Command) -> Done {
    let words: Vec<String> = std::iter::once(command.get_program())
        .chain(command.get_args())
        .map(|word| word.to_string_lossy().into_owned())
        .collect();
    let words = words.join(" ");
    println!("xtask: {words}");
    let began = Instant::now();
    match command.status() {
        Ok(status) if status.success() => {
            println!("xtask: done in {} s: {words}", began.elapsed().as_secs());
            Ok(())
        }
        Ok(status) => Err(format!("`{words}` failed ({status})")),
        Err(error) => Err(format!("`{words}` could not be started: {error}")),
    }
}
