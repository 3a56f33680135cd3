//! An outline from a file: GeoJSON, KML or GPX, found out from its content.
//!
//! In: a form with a file. Out: an outline in the book, or the page with what is wrong.
//! Not here: reading the formats (crate `plan`).

use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_plan::{MOST_BYTES, Polygon, read};

use super::outline::{keep, page, planting_of};
use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::form::WithFile;
use crate::here::Here;
use crate::plot::filled::Filled;

/// Largest upload read at all, bytes: above what crate `plan` takes, so that a file that is
/// somewhat too large is refused with words.
pub(super) const LARGEST_BYTES: usize = 16 * 1024 * 1024;

/// `POST /planting/{id}/outline/file`.
pub(super) async fn save(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    multipart: Result<Multipart, MultipartRejection>,
) -> Result<Response, Failure> {
    let too_large = format!(
        "The file is larger than {} million bytes. Nothing was saved. Save the field alone, without pictures, and send that.",
        LARGEST_BYTES / 1_000_000
    );
    let WithFile { form, file, bytes } = WithFile::read(multipart, &too_large).await?;
    run(app, move |app| {
        let planting = planting_of(app, &id)?;
        let mut filled = Filled::sent(form);
        if bytes.len() > MOST_BYTES || bytes.is_empty() {
            let message = match bytes.is_empty() {
                true => "No file was chosen, or it is empty. Choose a GeoJSON, KML or GPX file.".to_owned(),
                false => format!("The file has more than {} million bytes. Save the field alone, without pictures.", MOST_BYTES / 1_000_000),
            };
            filled.troubles.add("file", message);
            return page(app, &here, planting, filled);
        }
        let shapes = match read(&bytes) {
            Ok(shapes) => shapes,
            Err(error) => {
                filled.troubles.add("file", format!("{file}: {error}."));
                return page(app, &here, planting, filled);
            }
        };
        let closed: Vec<(&str, Vec<Polygon>)> = shapes
            .shapes
            .iter()
            .map(|shape| (shape.name.as_str(), shape.closed()))
            .filter(|(_, polygons)| !polygons.is_empty())
            .collect();
        if closed.is_empty() {
            filled.troubles.add("file", format!("{file} holds points or lines only, and no outline that closes. Save the field as a polygon, or walk its edge back to the start."));
            return page(app, &here, planting, filled);
        }
        let wanted = filled.get("shape").to_lowercase();
        let chosen: Vec<&(&str, Vec<Polygon>)> = closed
            .iter()
            .filter(|(name, _)| wanted.is_empty() || name.trim().to_lowercase() == wanted)
            .collect();
        // Several outlines with names are several things: taking all of them for one would be a guess.
        let named = chosen.iter().filter(|(name, _)| !name.trim().is_empty()).count();
        if chosen.is_empty() || (wanted.is_empty() && chosen.len() > 1 && named > 0) {
            let names: Vec<&str> = closed.iter().map(|(name, _)| name.trim()).filter(|n| !n.is_empty()).collect();
            filled.troubles.add("shape", format!("{file} holds several outlines: {}. Write the name of the one to take, and choose the file again.", names.join(", ")));
            return page(app, &here, planting, filled);
        }
        let polygons: Vec<Polygon> = chosen.into_iter().flat_map(|(_, polygons)| polygons.clone()).collect();
        let notes: String = shapes.notes.join(" ");
        let origin: String = format!("{file} ({}). {notes}", shapes.format)
            .trim_end_matches(". ")
            .chars()
            .take(300)
            .collect();
        keep(app, &here, planting, filled, "file", polygons, origin)
    })
    .await
}
