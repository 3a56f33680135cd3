//! `standbook booklet KEYDIR`: the key on paper, as one HTML file that stands alone.

use std::fs::File;
use std::io::Write as _;
use std::path::Path;

use standbook_export::whole;
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
    whole(out, |part| {
        Ok(File::create_new(part)?.write_all(format!("{html}\n").as_bytes())?)
    })
    .map_err(|e| Trouble::yours(e, "the file is what `--out` names"))?;
    text::print(&format!(
        "{}: open it in a browser and print it on {}",
        out.display(),
        paper.name()
    ))
}
