//! What a contributor or CI runs: `cargo xtask test`, `ci`, `beside`, `exports`, `learners`, `axe`, `evaluate`,
//! `baselines`, `demo-data`.

mod baselines;
mod beside;
mod browser;
mod debian;
mod demo;
mod evaluate;
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
    /// Compare with SciPy, statsmodels and others on random fields (installs them in a venv)
    Beside {
        /// Repeat the run of this seed
        #[arg(long)]
        seed: Option<u64>,
        /// Write the answers that are kept in tests/beside
        #[arg(long, conflicts_with = "seed")]
        keep: bool,
    },
    /// Read what leaves a book by other people's libraries (installs them in a venv)
    Exports,
    /// Compare the engine with scikit-learn's learners on open data (installs them in a venv)
    Learners {
        /// Repeat the run of this seed
        #[arg(long)]
        seed: Option<u64>,
        /// Write the answers that are kept in tests/beside
        #[arg(long, conflicts_with = "seed")]
        keep: bool,
        /// Repeats of ten folds
        #[arg(long, default_value_t = 10)]
        repeats: u32,
    },
    /// Measure how well plants are named, against the kept table (build with --release)
    Evaluate {
        /// Keep the table in tests/evaluation.txt
        #[arg(long)]
        keep: bool,
    },
    /// Measure acknowledged records and pages as a share of a plain writer's and a fixed page's
    Baselines,
    /// The fixed page of `baselines`
    #[command(hide = true)]
    Hello,
    /// Judge every page of the demo by axe-core (installs it beside the venv)
    Axe,
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
        Task::Beside { seed, keep } => steps::beside(seed, keep),
        Task::Exports => steps::exports(),
        Task::Learners {
            seed,
            keep,
            repeats,
        } => steps::learners(seed, keep, repeats),
        Task::Axe => steps::axe(),
        Task::Baselines => baselines::run(),
        Task::Hello => baselines::hello(),
        Task::Evaluate { keep } => evaluate::run(keep),
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
