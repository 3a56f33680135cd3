//! Ids and words of ours as values of SQLite, and back.

use std::str::FromStr;

use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};

use crate::id::RecordId;

impl ToSql for RecordId {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::from(self.to_string()))
    }
}

impl FromSql for RecordId {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        RecordId::from_str(value.as_str()?).map_err(FromSqlError::other)
    }
}

/// A word in the file that stands for nothing we know.
#[derive(Debug, thiserror::Error)]
#[error("`{word}` is no {what} this program knows")]
struct NoSuchWord {
    what: &'static str,
    word: String,
}

/// The error for a word that stands for nothing we know.
pub(crate) fn no_such_word(what: &'static str, word: String) -> rusqlite::Error {
    let cause = Box::new(NoSuchWord { what, word });
    rusqlite::Error::FromSqlConversionFailure(0, rusqlite::types::Type::Text, cause)
}

/// Position in a list as `ord`, from 1.
pub(crate) fn ord(index: usize) -> i64 {
    i64::try_from(index).unwrap_or(i64::MAX - 1) + 1
}
