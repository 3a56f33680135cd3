//! Every message of the book, word for word: what is wrong, and how to mend it.

use std::path::PathBuf;

use crate::safe::differ::Differing;
use crate::safe::merge::Clash;
use crate::{BookError, LineFault, Problem, RecordId};

#[test]
fn every_message() {
    let path = || PathBuf::from("season.book");
    let id: RecordId = "0197f3a2-7c1e-7abc-8def-0123456789ab".parse().unwrap();
    let detail = || "DETAIL".to_owned();
    let problem = |field: &str| Problem {
        record: id,
        kind: "frame",
        field: field.into(),
        problem: "cell 26 is not in a grid of 25 cells".into(),
        mend: "Use a cell from 1 to 25.".into(),
    };
    let line = |line| LineFault {
        line,
        problem: "expected value at column 1".into(),
        mend: "Correct this line so that it is one whole record in JSON.".into(),
    };
    let errors = [
        BookError::Missing { path: path() },
        BookError::Exists { path: path() },
        BookError::NoFolder { path: path() },
        BookError::NotABook {
            path: path(),
            why: "it is a folder".into(),
        },
        BookError::NewerVersion {
            path: path(),
            found: 3,
            known: 2,
        },
        BookError::ReadOnly {
            path: path(),
            why: "its file may not be written".into(),
        },
        BookError::WalUnreadable { path: path() },
        BookError::NoWal { path: path() },
        BookError::Full { path: path() },
        BookError::Busy {
            path: path(),
            waited_s: 5,
        },
        BookError::Damaged {
            path: path(),
            detail: detail(),
        },
        BookError::File {
            path: path(),
            detail: detail(),
        },
        BookError::Conflict { id },
        BookError::Invalid(vec![problem("tallies[0].cell")]),
        BookError::Import(vec![line(2), line(7)]),
        BookError::Clashes {
            from: PathBuf::from("other.book"),
            clashes: vec![Clash {
                record: id,
                kind: "plot".into(),
                author: "A. Fenn".into(),
                fields: vec![Differing {
                    field: "name".into(),
                    one: "1".into(),
                    other: "one".into(),
                }],
            }],
        },
        BookError::Backup {
            path: PathBuf::from("stick"),
            problem: "the folder for backups is not there".into(),
            mend: "Plug in the stick, or make the folder, and try again".into(),
        },
        BookError::PhotoType {
            start: "474946383961".into(),
        },
        BookError::PhotoTooLarge {
            bytes: 30_000_000,
            limit: 25_000_000,
        },
        BookError::Exchange {
            what: "import",
            detail: detail(),
        },
        BookError::Closed { path: path() },
        BookError::Sqlite {
            path: path(),
            detail: detail(),
        },
    ];
    // The compiler complains here when a variant is added; add it above as well.
    for error in &errors {
        match error {
            BookError::Missing { .. } | BookError::Exists { .. } | BookError::NoFolder { .. } => {}
            BookError::NotABook { .. }
            | BookError::NewerVersion { .. }
            | BookError::ReadOnly { .. } => {}
            BookError::WalUnreadable { .. } | BookError::NoWal { .. } | BookError::Full { .. } => {}
            BookError::Busy { .. } | BookError::Damaged { .. } | BookError::File { .. } => {}
            BookError::Conflict { .. } | BookError::Invalid(_) | BookError::Import(_) => {}
            BookError::Clashes { .. } | BookError::Backup { .. } => {}
            BookError::PhotoType { .. }
            | BookError::PhotoTooLarge { .. }
            | BookError::Exchange { .. } => {}
            BookError::Closed { .. } | BookError::Sqlite { .. } => {}
        }
    }
    let said: String = errors.iter().map(|error| format!("{error}\n\n")).collect();
    let expected = include_str!("messages.txt");
    assert_eq!(
        said.trim_end(),
        expected.trim_end(),
        "\n--- said ---\n{said}"
    );
}

#[test]
fn long_lists_are_cut_in_the_message_only() {
    let faults: Vec<LineFault> = (1..=25)
        .map(|line| LineFault {
            line,
            problem: "bad".into(),
            mend: "Mend it.".into(),
        })
        .collect();
    let said = BookError::Import(faults).to_string();
    assert!(
        said.starts_with("nothing was imported, 25 problems:\n- line 1: bad. Mend it.\n"),
        "{said}"
    );
    assert!(
        said.ends_with("- line 20: bad. Mend it.\n- and 5 more"),
        "{said}"
    );
}
