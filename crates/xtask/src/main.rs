//! What a contributor or CI runs: `cargo xtask test`, `cargo xtask ci`, `cargo xtask demo-data`.

mod browser;
mod demo;
mod steps;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Tasks around the code.
#[derive(Debug, Parser)]
#[command(name = "cargo xtask", version)]
struct Arguments {
    #[command(subcommand)]
    task: Task,
}

#[derive(Debug, Subcommand)]
enum Task {
    /// Run every test, the browser's included (installs Debian's chromium if none is found)
    Test,
    /// What CI runs: format, clippy, docs, every test
    Ci,
    /// Make demo-data/demo.jsonl from the key and the invented scenario
    DemoData {
        /// Only compare with the file that is there
        #[arg(long)]
        check: bool,
    },
}

fn main() -> ExitCode {
    let done = match Arguments::parse().task {
        Task::Test => steps::test(),
        Task::Ci => steps::ci(),
        Task::DemoData { check } => demo::run(check),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("xtask: {message}");
            ExitCode::FAILURE
        }
    }
}
