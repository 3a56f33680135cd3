//! What is kept with a plant beside opinions and photos: specimens, and flags to come back to it.

use askama::Template;
use standbook_fieldbook::{BookError, RecordId};

use super::subject::Kind;
use super::{come_back, voucher};
use crate::app::App;

/// A part of the plant's page.
#[derive(Template)]
#[template(path = "desk/_with_plant.html")]
pub(super) struct WithPlant {
    /// The plant's page.
    address: String,
    specimens: Vec<voucher::kept::Line>,
    flags: Vec<come_back::flag::Line>,
    /// Whether the labels, which are the office's, may be asked for.
    desk: bool,
}

impl WithPlant {
    /// Of a plant, of any version of it.
    pub fn of(app: &App, kind: Kind, id: RecordId, desk: bool) -> Result<WithPlant, BookError> {
        Ok(WithPlant {
            address: format!("/{}/{id}", kind.folder()),
            specimens: voucher::kept::lines(app, id)?,
            flags: come_back::flag::lines(app, id)?,
            desk,
        })
    }
}
