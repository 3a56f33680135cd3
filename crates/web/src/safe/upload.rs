//! A file that may be larger than memory, on its way in: to disk as it arrives.

use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};

use axum::extract::multipart::{Multipart, MultipartError};
use standbook_fieldbook::safe::{Scratch, room_for};

use crate::failure::Failure;
use crate::form::Form;

/// Longest text field of such a form, bytes.
const LONGEST_FIELD_BYTES: usize = 4 * 1024;

/// Chunks are gathered to so many bytes before they are written.
const BLOCK_BYTES: usize = 1024 * 1024;

/// What arrived.
pub(super) struct Upload {
    /// The text fields.
    pub form: Form,
    /// The file, and what it was called; `None` when none was chosen.
    pub file: Option<(PathBuf, String)>,
    /// Goes away with the file.
    _scratch: Scratch,
}

/// Reads a form with one file, which goes into a folder beside the book.
pub(super) async fn read(mut form: Multipart, book: &Path) -> Result<Upload, Failure> {
    let scratch = Scratch::beside(book)?;
    let mut upload = Upload {
        form: Form::default(),
        file: None,
        _scratch: scratch,
    };
    while let Some(mut field) = form.next_field().await.map_err(|e| broken(&e))? {
        let name = field.name().unwrap_or_default().to_owned();
        let Some(called) = field.file_name().map(str::to_owned) else {
            let text = field.bytes().await.map_err(|e| broken(&e))?;
            let text = text.get(..LONGEST_FIELD_BYTES).unwrap_or(&text);
            let text = String::from_utf8_lossy(text).into_owned();
            upload.form.0.push((name, text));
            continue;
        };
        let path = upload._scratch.path().join("upload");
        let mut target = Some(File::create(&path).map_err(|e| full(&e))?);
        let (mut block, mut all) = (Vec::new(), 0_usize);
        loop {
            let chunk = field.chunk().await.map_err(|e| broken(&e))?;
            let ended = chunk.is_none();
            block.extend_from_slice(chunk.as_deref().unwrap_or_default());
            if ended || block.len() >= BLOCK_BYTES {
                all += block.len();
                target = write(target, std::mem::take(&mut block), book).await?;
            }
            if ended {
                break;
            }
        }
        if all > 0 {
            upload.file = Some((path, called));
        }
    }
    Ok(upload)
}

/// Writes a block off the async threads; saving must have room meanwhile.
async fn write(file: Option<File>, block: Vec<u8>, book: &Path) -> Result<Option<File>, Failure> {
    let book = book.to_owned();
    let written = tokio::task::spawn_blocking(move || {
        room_for(&book, block.len())?;
        if let Some(mut file) = file.as_ref() {
            file.write_all(&block).map_err(|e| full(&e))?;
        }
        Ok(file)
    });
    written.await.unwrap_or(Err(Failure::Ours))
}

fn full(error: &std::io::Error) -> Failure {
    Failure::Surroundings(format!(
        "The file could not be put down beside the book: {error}. Nothing was merged. Make room, or merge on the command line: standbook merge."
    ))
}

fn broken(_: &MultipartError) -> Failure {
    Failure::BadRequest(
        "The upload broke off. Nothing was merged. Go back and send the file again.".to_owned(),
    )
}
