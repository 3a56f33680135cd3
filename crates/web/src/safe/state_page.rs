//! The state of the book: its backups, and whether it is sound.

use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use standbook_fieldbook::safe::backup::Care;
use standbook_fieldbook::safe::doctor::{Figures, Finding};

use super::checkup;
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::words::{instant_words, number_of};

/// The backups of the book.
struct BackupView {
    folder: String,
    /// New records after which one is made.
    every: usize,
    /// The last one: when, how long ago, what is in it.
    last: Option<String>,
    /// Pictures that it lacks.
    lacking: Option<String>,
}

/// An examination.
struct CheckupView {
    when: String,
    findings: Vec<Finding>,
    /// What there is, name and number.
    figures: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "safe/state.html")]
struct StatePage {
    shell: Shell,
    /// The book's file.
    book: String,
    /// Records in the book.
    records: String,
    backups: Option<BackupView>,
    checkup: Option<CheckupView>,
}

fn backup_view(app: &App) -> Option<BackupView> {
    let backups = app.backups.as_ref()?;
    let last = backups.last(&app.book).map(|last| last.manifest);
    Some(BackupView {
        folder: backups.folder().display().to_string(),
        every: backups.every(),
        lacking: last
            .as_ref()
            .filter(|last| !last.lacking.is_empty())
            .map(|last| number_of(last.lacking.len(), "picture")),
        last: last.map(|last| {
            format!(
                "{} ({}): {}, {}",
                instant_words(&last.made_at),
                ago(&last.made_at),
                number_of(last.records, "record"),
                number_of(last.photos.len(), "picture")
            )
        }),
    })
}

/// How long ago an instant of the book was, in the largest unit that fits.
fn ago(stamp: &str) -> String {
    let Some(then) = standbook_fieldbook::time::parse_stamp(stamp) else {
        return "at an unknown time".to_owned();
    };
    let seconds = jiff::Timestamp::now().as_second() - then.as_second();
    let whole = |n: i64, unit: &str| {
        let n = usize::try_from(n).unwrap_or(0);
        format!("{} ago", number_of(n, unit))
    };
    match seconds {
        ..60 => "just now".to_owned(),
        60..3_600 => whole(seconds / 60, "minute"),
        3_600..86_400 => whole(seconds / 3_600, "hour"),
        _ => whole(seconds / 86_400, "day"),
    }
}

fn size(bytes: u64) -> String {
    match bytes {
        0..100_000 => format!("{} KB", bytes.div_ceil(1_000)),
        100_000..10_000_000 => format!("{:.1} MB", bytes as f64 / 1e6),
        10_000_000..10_000_000_000 => format!("{} MB", bytes / 1_000_000),
        _ => format!("{} GB", bytes / 1_000_000_000),
    }
}

fn figures(figures: &Figures) -> Vec<(String, String)> {
    let mut all = vec![
        ("Records".to_owned(), figures.records.to_string()),
        ("File".to_owned(), size(figures.bytes)),
    ];
    if let Some(bytes) = figures.wal_bytes {
        all.push(("Log with the newest records".to_owned(), size(bytes)));
    }
    let pictures = match figures.photo_files {
        0 => "none".to_owned(),
        files => format!("{files}, {}", size(figures.photo_bytes)),
    };
    all.push(("Pictures".to_owned(), pictures));
    if let Some(bytes) = figures.room_bytes {
        all.push(("Room left on the disk".to_owned(), size(bytes)));
    }
    all.push((
        "Version of the book".to_owned(),
        figures.version.to_string(),
    ));
    all
}

/// `GET /desk/book`.
pub(super) async fn show(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        let checkup = app.remembered.checkup().clone().map(|checkup| CheckupView {
            when: instant_words(&checkup.looked_at),
            figures: figures(&checkup.figures),
            findings: checkup.findings,
        });
        html(&StatePage {
            shell: Shell::new(app, &here, Tab::Desk, "State of the book"),
            book: app.book.path().display().to_string(),
            records: number_of(app.book.count()?, "record"),
            backups: backup_view(app),
            checkup,
        })
    })
    .await
}

/// `POST /desk/book/examine`.
pub(super) async fn examine(State(app): State<Shared>) -> Result<Response, Failure> {
    run(app, move |app| {
        let checkup = checkup::examine(app.book.path(), &app.key, &app.table)?;
        *app.remembered.checkup() = Some(checkup);
        Ok(Redirect::to("/desk/book#checkup").into_response())
    })
    .await
}

/// `POST /desk/book/backup`. One that fails is said on every page.
pub(super) async fn back_up(State(app): State<Shared>) -> Result<Response, Failure> {
    run(app, move |app| {
        let Some(backups) = &app.backups else {
            return Err(Failure::BadRequest(
                "This server makes no backups. Make one on the command line: standbook backup."
                    .to_owned(),
            ));
        };
        let _said_on_every_page = backups.make(&app.book, Care::Thorough);
        Ok(Redirect::to("/desk/book").into_response())
    })
    .await
}
