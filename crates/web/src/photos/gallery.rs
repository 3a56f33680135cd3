//! The photos that are there, as pages show them.

use askama::Template;
use standbook_fieldbook::record::Photo;
use standbook_fieldbook::{BookError, Entry, Made, RecordId};

use super::small;
use crate::app::App;
use crate::words::instant_words;

/// A photo on a page.
pub(crate) struct Picture {
    /// Hash of its bytes, which is its address.
    pub sha256: String,
    /// What it shows.
    pub shows: String,
    /// Who added it and when.
    pub by: String,
    /// Width and height of its thumbnail, pixels; none when it can't be shown.
    pub size: Option<(u32, u32)>,
    /// Whether a JPEG stands in for an original that few browsers show.
    pub view: bool,
    /// Whether the original is of a type that few browsers show.
    pub rare: bool,
}

/// The photos of a plant.
#[derive(Template)]
#[template(path = "photos/_gallery.html")]
pub(crate) struct Gallery {
    /// In the order in which they were taken.
    pub pictures: Vec<Picture>,
}

impl Gallery {
    /// Of a determination, of any version of it.
    pub fn of(app: &App, id: RecordId) -> Result<Gallery, BookError> {
        Ok(Gallery::showing(app, app.book.photos(id)?))
    }

    /// Of an unknown, and of the plants that were walked as this unknown.
    pub fn of_unknown(app: &App, id: RecordId) -> Result<Gallery, BookError> {
        Ok(Gallery::showing(app, photos_of_unknown(app, id)?))
    }

    fn showing(app: &App, photos: Vec<Entry<Photo>>) -> Gallery {
        let pictures = photos.into_iter().map(|photo| picture(app, photo));
        Gallery {
            pictures: pictures.collect(),
        }
    }

    /// What they show.
    pub fn shows(&self) -> impl Iterator<Item = &str> + Clone {
        self.pictures.iter().map(|picture| picture.shows.as_str())
    }
}

/// The photos of an unknown, and of the plants that were walked as this unknown.
pub(crate) fn photos_of_unknown(app: &App, id: RecordId) -> Result<Vec<Entry<Photo>>, BookError> {
    let mut photos = app.book.photos(id)?;
    for plant in app.book.determinations_of(id)? {
        photos.extend(app.book.photos(plant.id)?);
    }
    Ok(photos)
}

fn picture(app: &App, photo: Entry<Photo>) -> Picture {
    let body = photo.body;
    Picture {
        by: format!("{}, {}", photo.author, instant_words(&photo.born_at)),
        size: small::size(&app.book, &body.sha256),
        view: app.book.made_path(&body.sha256, Made::View).is_some(),
        rare: matches!(body.media_type.as_str(), "image/heic" | "image/heif"),
        sha256: body.sha256,
        shows: body.shows,
    }
}

/// The photo that stands for a plant in a list.
pub(crate) struct Leading {
    /// Hash of its bytes.
    pub sha256: String,
    /// What it shows.
    pub shows: String,
    /// Width and height of its thumbnail, pixels.
    pub size: (u32, u32),
}

/// The one that shows the whole plant, or the first; `None` where none can be shown.
pub(crate) fn leading(app: &App, photos: &[Entry<Photo>]) -> Option<Leading> {
    let whole = photos.iter().find(|p| p.body.shows == "whole plant");
    let body = &whole.or_else(|| photos.first())?.body;
    Some(Leading {
        size: small::size(&app.book, &body.sha256)?,
        sha256: body.sha256.clone(),
        shows: body.shows.clone(),
    })
}
