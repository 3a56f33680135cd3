//! Whether two people are one, as far as their names tell: the book knows no accounts.

/// Whether two names are one person's: apart from capitals and the spaces around.
pub(crate) fn is_same_person(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}
