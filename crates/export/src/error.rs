//! Why a book can't be taken out, said so that a person can mend it.

use std::path::{Path, PathBuf};

use standbook_fieldbook::BookError;

/// What went wrong. After any of these no file is left behind, and what lay there is as it was.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// The book can't be read.
    #[error(transparent)]
    Book(#[from] BookError),
    /// What was asked for makes no sense.
    #[error("{field}: {problem}. {mend}")]
    Request {
        /// The option, as on the command line.
        field: &'static str,
        /// What is wrong with it.
        problem: String,
        /// How to mend it.
        mend: String,
    },
    /// The file can't be written.
    #[error("{} can't be written: {detail}. What lay there is as it was; name a file in a folder that you may write to, on a disk with room", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        detail: String,
    },
    /// Writing stopped, wherever to.
    #[error("writing stopped: {0}")]
    Writing(String),
    /// A fault of this program.
    #[error("the export broke, which is a fault of this program: {0}. Report this message")]
    Ours(String),
}

impl ExportError {
    /// The same with the file named, for what went wrong while writing it.
    pub(crate) fn at(self, path: &Path) -> ExportError {
        match self {
            ExportError::Writing(detail) => ExportError::File {
                path: path.to_owned(),
                detail,
            },
            other => other,
        }
    }
}

impl From<std::io::Error> for ExportError {
    fn from(error: std::io::Error) -> Self {
        ExportError::Writing(error.to_string())
    }
}

impl From<csv::Error> for ExportError {
    fn from(error: csv::Error) -> Self {
        ExportError::Writing(error.to_string())
    }
}

impl From<zip::result::ZipError> for ExportError {
    fn from(error: zip::result::ZipError) -> Self {
        ExportError::Writing(error.to_string())
    }
}

impl From<rusqlite::Error> for ExportError {
    fn from(error: rusqlite::Error) -> Self {
        ExportError::Writing(error.to_string())
    }
}

/// What the functions of this crate give.
pub(crate) type Done<T = ()> = Result<T, ExportError>;
