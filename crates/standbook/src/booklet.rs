//! `standbook booklet KEYDIR`: the key on paper, as one HTML file that stands alone.

use std::fs::{self, File};
use std::io::{Error, ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use standbook_identify::{Table, couplets};
use standbook_web::booklet::{Contents, Paper, file};
use standbook_web::words::today;

use crate::embedded;
use crate::text;
use crate::trouble::Trouble;

/// What `--paper` takes.
pub const PAPERS: [&str; Paper::ALL.len()] = [Paper::ALL[0].0, Paper::ALL[1].0];

/// Writes the booklet; nothing is written when the key has a fault.
pub fn booklet(folder: &Path, paper: &str, out: &Path) -> Result<(), Trouble> {
    let paper = Paper::from_id(paper).ok_or_else(|| Trouble::CommandLine {
        message: format!("there is no paper `{paper}`"),
        hint: format!("choose one of {}", PAPERS.join(", ")),
    })?;
    let key = embedded::key(Some(folder))?;
    let standards = embedded::standards(None, &key)?;
    let table = Table::compile(&key);
    let authored = key.couplets.is_some();
    let couplets = key.couplets.clone().unwrap_or_else(|| couplets::grow(&key));
    let html = file(
        &Contents {
            key: &key,
            table: &table,
            couplets: &couplets,
            authored,
            standards: &standards,
            on: &today(),
        },
        paper,
    )
    .map_err(|e| Trouble::yours(format!("the booklet can't be written: {e}"), ""))?;
    if out == Path::new("-") {
        return text::print(&html);
    }
    replace(out, format!("{html}\n").as_bytes()).map_err(|error| {
        Trouble::yours(
            format!("{} can't be written: {error}", out.display()),
            "name a file in a folder that you may write to, with `--out`",
        )
    })?;
    text::print(&format!(
        "{}: open it in a browser and print it on {}",
        out.display(),
        paper.name()
    ))
}

/// Puts `bytes` in the place of `out` in one step: whoever reads it finds the old file or the
/// whole new one.
fn replace(out: &Path, bytes: &[u8]) -> std::io::Result<()> {
    // What a link leads to is replaced, not the link.
    let out = fs::canonicalize(out).unwrap_or_else(|_| out.to_owned());
    if fs::metadata(&out).is_ok_and(|there| !there.is_file()) {
        return Err(Error::new(
            ErrorKind::InvalidInput,
            "a folder or a device has this name",
        ));
    }
    let mut beside = out.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = PathBuf::from(beside);
    let written = File::create_new(&beside)
        .and_then(|mut part| {
            part.write_all(bytes)?;
            part.sync_all()
        })
        .and_then(|()| fs::rename(&beside, &out));
    if written.is_err() {
        // What is left of it is of no use to anybody.
        let _ = fs::remove_file(&beside);
    }
    written
}
