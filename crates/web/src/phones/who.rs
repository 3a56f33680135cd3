//! Who is asking, as every request carries it.

use axum::http::Extensions;

use super::roster::Phone;

/// Who is asking. A request without one comes through the laptop's own door.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Who {
    /// Whoever sits at the laptop.
    #[default]
    Laptop,
    /// A phone that was let in.
    Phone(Phone),
    /// Somebody at the phones' door.
    Stranger,
}

impl Who {
    /// Who sent a request.
    pub fn of(extensions: &Extensions) -> Who {
        extensions.get::<Who>().cloned().unwrap_or_default()
    }

    /// Whether the Desk is theirs.
    pub fn may_use_desk(&self) -> bool {
        match self {
            Who::Laptop => true,
            Who::Phone(phone) => phone.desk,
            Who::Stranger => false,
        }
    }
}
