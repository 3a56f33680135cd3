//! The program: commands, settings, start-up. Everything that it says to a terminal is said
//! from this folder; everything that it knows lives in the other crates.
//!
//! Exit codes: 0 done; 1 the person's data or surroundings (a faulty key, a bad line, a port
//! in use); 2 the command line; 70 a fault of this program.

mod backup;
mod booklet;
mod bring_in;
mod check;
mod doctor;
mod embedded;
mod export;
mod https;
mod identify;
mod laid;
mod merge;
mod serve;
mod stand;
mod standards;
mod text;
mod trouble;
mod why;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use standbook_fieldbook::safe::backup::folder_beside;

use crate::trouble::Trouble;

/// Says whether a first-summer planting of native grasses has come up.
#[derive(Debug, Parser)]
#[command(name = "standbook", version, about, long_about = None)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Open a copy of the demo book and serve it on this machine
    Demo {
        /// Port on 127.0.0.1; without it 8420, or any free one
        #[arg(long)]
        port: Option<u16>,
        /// Folder for the copy; without it a new one in the system's temporary folder
        #[arg(long)]
        folder: Option<PathBuf>,
        #[command(flatten)]
        share: serve::Share,
    },
    /// Serve a book on this machine; a new book is made where there is none
    Serve {
        /// The book's file
        #[arg(long)]
        book: PathBuf,
        /// Key folder; without it the key inside the program
        #[arg(long)]
        key: Option<PathBuf>,
        /// Port on 127.0.0.1
        #[arg(long, default_value_t = serve::PORT)]
        port: u16,
        #[command(flatten)]
        share: serve::Share,
        /// Folder for backups, on a stick for instance; without it one beside the book
        ///
        /// A backup is made on start and every 500 records. While the folder is not there every
        /// page says so, and everything else goes on.
        #[arg(long, value_name = "FOLDER")]
        backups: Option<PathBuf>,
        /// Make no backups
        #[arg(long, conflicts_with = "backups")]
        no_backups: bool,
    },
    /// Add everything that another book holds to a book: all of it or nothing
    ///
    /// A record that is in both is not added twice. The other book may be of an older version, and
    /// is never written to; its pictures lie in the folder beside it. Exit code 1: nothing came.
    Merge(merge::Options),
    /// Bring points, frames or determinations from a file into a visit: all of it or nothing
    ///
    /// Points come as GeoJSON, KML, GPX or CSV, the others as CSV; the page Bring it in and README
    /// list the columns. The same file twice adds nothing. Exit code 1: nothing came.
    BringIn(Box<bring_in::Options>),
    /// Make a whole copy of a book with its pictures, verified; the book may be in use
    Backup(backup::BackupOptions),
    /// Make a book from a backup, verified; what lies there is never overwritten
    Restore(backup::RestoreOptions),
    /// Examine a book: file, pictures, records, clocks; what each finding means and what to do
    ///
    /// Writes nothing. Exit code 0: sound. 1: there are findings, or the file can't be read.
    Doctor(doctor::Options),
    /// Take a book out in an open format, for other programs and other people
    ///
    /// Nothing leaves but what is asked for: what places are blurred to, whether people are named, whether
    /// notes and pictures go along. A file that is there is replaced, by a whole one only.
    Export(export::Options),
    /// Check a key folder: every fault at once, with file, line, column and how to mend it
    ///
    /// Exit code 0: the key can be used (notes may be shown). 1: it has faults or can't be
    /// read. 2: the command line is wrong.
    Check {
        /// The folder that holds key.yaml
        keydir: PathBuf,
        /// Print the findings as JSON
        #[arg(long)]
        json: bool,
    },
    /// Write a key as a booklet to print: one HTML file that stands alone
    ///
    /// Open it in a browser and print it. A file that is there already is replaced, by a whole
    /// one only.
    Booklet {
        /// The folder that holds key.yaml
        keydir: PathBuf,
        /// What it is printed on
        #[arg(long, default_value = "a5", value_parser = booklet::PAPERS)]
        paper: String,
        /// The file to write; `-` writes to standard output
        #[arg(long, default_value = "booklet.html")]
        out: PathBuf,
    },
    /// Name plants from a file of observations: long CSV with the columns case, trait, value
    ///
    /// A value is a state, several joined by `|`, a number in the trait's unit, or
    /// `cannot_tell`.
    Identify {
        /// Key folder; without it the key inside the program
        #[arg(long)]
        key: Option<PathBuf>,
        /// Print one JSON array instead of a table
        #[arg(long)]
        json: bool,
        /// Leaf stage of the plants, for the look proposed next: one_leaf, few_leaves,
        /// tillering or heading
        #[arg(long, default_value = "tillering")]
        leaf_stage: String,
        /// The observations
        observations: PathBuf,
    },
    /// Trace the book's numbers for one grass and one trait back to sources and misreading
    ///
    /// Both may be given by id or by name: `standbook why "big bluestem" ligule_type`.
    Why {
        /// Key folder; without it the key inside the program
        #[arg(long)]
        key: Option<PathBuf>,
        /// Print JSON
        #[arg(long)]
        json: bool,
        /// The grass
        taxon: String,
        /// The trait
        r#trait: String,
    },
    /// Judge a stand from a file of frames: frequency, density, thresholds, what next
    ///
    /// A verdict of any kind, or none, is exit code 0; 1 is a fault in the file.
    Stand(Box<stand::Options>),
    /// Show the thresholds that stands are compared with; check a folder of your own
    ///
    /// Exit code 0: the standards can be used. 1: the folder has faults or can't be read.
    Standards(standards::Options),
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    // A panic is a fault of ours: its message is on the terminal already.
    let done = std::panic::catch_unwind(|| run(arguments.command));
    match done {
        Ok(Ok(())) => ExitCode::SUCCESS,
        Ok(Err(trouble)) => {
            trouble.print();
            ExitCode::from(trouble.exit_code())
        }
        Err(_) => ExitCode::from(trouble::OURS),
    }
}

fn run(command: Command) -> Result<(), Trouble> {
    match command {
        Command::Demo {
            port,
            folder,
            share,
        } => serve::demo(port, folder, share),
        Command::Serve {
            book,
            key,
            port,
            share,
            backups,
            no_backups,
        } => {
            let backups = (!no_backups).then(|| backups.unwrap_or_else(|| folder_beside(&book)));
            serve::serve(&book, key.as_deref(), port, share, backups)
        }
        Command::Merge(options) => merge::merge(&options),
        Command::BringIn(options) => bring_in::bring_in(&options),
        Command::Backup(options) => backup::back_up(&options),
        Command::Restore(options) => backup::restore(&options),
        Command::Doctor(options) => doctor::doctor(&options),
        Command::Export(options) => export::export(&options),
        Command::Check { keydir, json } => check::check(&keydir, json),
        Command::Booklet { keydir, paper, out } => booklet::booklet(&keydir, &paper, &out),
        Command::Identify {
            key,
            json,
            leaf_stage,
            observations,
        } => identify::identify(key.as_deref(), &observations, &leaf_stage, json),
        Command::Why {
            key,
            json,
            taxon,
            r#trait,
        } => why::print(key.as_deref(), &taxon, &r#trait, json),
        Command::Stand(options) => stand::stand(&options),
        Command::Standards(options) => standards::standards(&options),
    }
}
