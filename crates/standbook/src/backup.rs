//! `standbook backup` and `standbook restore`: a whole copy of a book, and the way back.

use std::path::PathBuf;

use standbook_fieldbook::Book;
use standbook_fieldbook::safe::backup::{self, Care, Rotation, folder_beside};
use standbook_web::words::number_of;

use crate::text::print;
use crate::trouble::Trouble;

/// What the command line of `backup` says.
#[derive(Debug, clap::Args)]
pub struct BackupOptions {
    /// The book; it may be in use
    book: PathBuf,
    /// Folder for backups, which must be there; without it one beside the book
    #[arg(long, value_name = "FOLDER")]
    to: Option<PathBuf>,
    /// How many of the last ones stay; the last of each of 14 days and 12 months stay as well
    #[arg(long, value_name = "N", default_value_t = Rotation::default().last)]
    keep: usize,
}

/// What the command line of `restore` says.
#[derive(Debug, clap::Args)]
pub struct RestoreOptions {
    /// The backup's folder, the one that holds manifest.json
    backup: PathBuf,
    /// Where the book shall lie
    #[arg(long, value_name = "BOOK")]
    to: PathBuf,
    /// Put what lies there aside under another name first; it is never deleted
    #[arg(long)]
    aside: bool,
    /// Restore even though pictures of the backup are lost: every record, and the pictures left
    #[arg(long)]
    without_pictures: bool,
}

/// Makes a backup and says what is in it.
pub fn back_up(options: &BackupOptions) -> Result<(), Trouble> {
    let book = Book::open_read_only(&options.book).map_err(|e| Trouble::yours(e, ""))?;
    let to = match &options.to {
        Some(folder) => folder.clone(),
        None => folder_beside(&options.book),
    };
    let rotation = Rotation {
        last: options.keep,
        ..Rotation::default()
    };
    let made = book
        .back_up(&to, &rotation, Care::Thorough)
        .map_err(|e| Trouble::yours(e, ""))?;
    let mut said = format!(
        "Backup: {}\n  {}, {} ({} copied now), verified, {:.1} s",
        made.folder.display(),
        number_of(made.manifest.records, "record"),
        number_of(made.manifest.photos.len(), "picture"),
        made.copied,
        made.took.as_secs_f64()
    );
    for gone in &made.removed {
        said += &format!("\n  removed, no longer kept: {}", gone.display());
    }
    for sha256 in &made.manifest.lacking {
        said += &format!(
            "\n  lacking: a picture whose file is lost or changed, {sha256}; `standbook doctor` says which record"
        );
    }
    print(&said)
}

/// Restores a book and says where everything is.
pub fn restore(options: &RestoreOptions) -> Result<(), Trouble> {
    let restored = backup::restore(
        &options.backup,
        &options.to,
        options.aside,
        options.without_pictures,
    )
    .map_err(|e| Trouble::yours(e, ""))?;
    let mut said = format!(
        "Restored: {}\n  {}, {}, as of {}",
        options.to.display(),
        number_of(restored.manifest.records, "record"),
        number_of(
            restored.manifest.photos.len() - restored.lacking.len(),
            "picture"
        ),
        restored.manifest.made_at
    );
    if let Some(aside) = &restored.aside {
        said += &format!(
            "\n  what lay there is now {}\n  Records that came after the backup are in it: `standbook merge` brings them, if it can be read",
            aside.display()
        );
    }
    for sha256 in &restored.lacking {
        said += &format!("\n  lacking: picture {sha256}");
    }
    print(&said)
}
