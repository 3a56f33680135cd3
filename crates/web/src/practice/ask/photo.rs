//! A plant of the book by its photo: what a reviewer settled that it is, and what the reviewer saw.
//!
//! In: ids of a photo and of a determination or unknown. Out: the plant, or why it can't be asked about:
//! only what somebody settled after the scout, and nobody disputes, is a truth to learn from.

use standbook_fieldbook::{Made, RecordId};

use super::drawn::Figure;
use super::posed::Stop;
use crate::app::App;
use crate::desk::settled::{Settled, settled};
use crate::photos::gallery::photos_of_unknown;
use crate::photos::small;

/// A photographed plant.
#[derive(Debug)]
pub(super) struct Photographed {
    /// What it is, id of a taxon.
    pub taxon: String,
    /// How that is known, a sentence.
    pub why: String,
    /// The plant's page.
    pub address: String,
    settled: Settled,
    file: String,
    size: (u32, u32),
}

impl Photographed {
    /// Finds the plant and its photo.
    pub fn find(app: &App, photo: &str, plant: &str) -> Result<Photographed, Stop> {
        let gone = || Stop::cannot("The plant of this question is not in this book.");
        let id = |text: &str| text.parse::<RecordId>().map_err(|_| gone());
        let (photo, plant) = (id(photo)?, id(plant)?);
        let picture = app.book.photo(photo)?.ok_or_else(gone)?;
        let settled = settled(app, plant)?.ok_or_else(|| {
            Stop::cannot("No reviewer has settled what this plant is, or two differ.")
        })?;
        let photos = match settled.is_unknown {
            true => photos_of_unknown(app, settled.plant)?,
            false => app.book.photos(settled.plant)?,
        };
        if !photos.iter().any(|one| one.id == picture.id) {
            return Err(Stop::cannot(
                "The photo of this question is not of its plant.",
            ));
        }
        let sha256 = &picture.body.sha256;
        let (Some(size), Some(_)) = (
            small::size(&app.book, sha256),
            app.key.taxon(&settled.taxon),
        ) else {
            return Err(Stop::cannot(
                "The photo of this question can\u{2019}t be shown here.",
            ));
        };
        Ok(Photographed {
            taxon: settled.taxon.clone(),
            why: settled.why.clone(),
            address: settled.address.clone(),
            file: match app.book.made_path(sha256, Made::View) {
                Some(_) => format!("/photos/{sha256}/view"),
                None => format!("/photos/{sha256}"),
            },
            settled,
            size,
        })
    }

    /// The one state that the reviewer saw of a trait.
    pub fn state_of(&self, trait_id: &str) -> Option<String> {
        self.settled.state_of(trait_id)
    }

    /// The photo, without a word of what it shows.
    pub fn figure(&self) -> Figure {
        let (wide, high) = self.size;
        Figure {
            html: format!(
                r#"<a href="{0}"><img src="{0}" width="{wide}" height="{high}" alt="Photo of a plant. What it shows is what is asked."></a>"#,
                self.file
            ),
            caption: "Press it to see it as large as it is.".to_owned(),
        }
    }
}
