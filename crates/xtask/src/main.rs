//! What a contributor or CI runs: `cargo xtask test`, `ci`, `beside`, `exports`, `learners`, `contract`, `axe`,
//! `evaluate`, `baselines`, `sizes`, `demo-data`.

mod baselines;
mod beside;
mod browser;
mod contract;
mod debian;
mod demo;
mod evaluate;
mod sizes;
mod steps;

use std::path::PathBuf;
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
    /// Hold the JSON addresses against their OpenAPI document by a fuzzer (installs it in a venv)
    Contract {
        /// Ask by another seed than CI
        #[arg(long)]
        seed: Option<u32>,
    },
    /// Measure how well plants are named, against the kept table (build with --release)
    Evaluate {
        /// Keep the table in tests/evaluation.txt
        #[arg(long)]
        keep: bool,
    },
    /// Measure acknowledged records and pages as a share of a plain writer's and a fixed page's
    Baselines,
    /// Measure the office's pages on a large book (build with --release)
    Sizes {
        /// The book; made where there is none
        book: PathBuf,
        /// Plants named, for a book to be made
        #[arg(long, default_value_t = 1_000_000)]
        determinations: usize,
        /// Cells with something in them, for a book to be made
        #[arg(long, default_value_t = 5_000_000)]
        cells: usize,
    },
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
        Task::Contract { seed } => contract::run(seed),
        Task::Axe => steps::axe(),
        Task::Baselines => baselines::run(),
        Task::Sizes {
            book,
            determinations,
            cells,
        } => sizes::run(
            &book,
            sizes::Size {
                determinations,
                cells,
            },
        ),
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
