//! The form that adds photos to a plant: as a page shows it, and as it arrives.
//!
//! In: a form with one or more pictures of one part. Out: all of them in the book, or the form
//! with what is wrong. Every picture is looked at before the first is kept. With the script the
//! form is not sent at all: `static/pocket/photo_form.js` keeps each picture on the phone first.

use askama::Template;
use axum::extract::multipart::{Multipart, MultipartError, MultipartRejection};
use axum::http::StatusCode;
use standbook_fieldbook::{BookError, NewPhoto, PHOTO_MAX_BYTES, RecordId, photo_type};

use super::parts::{PARTS, Part, is_part, missing};
use super::small;
use crate::app::App;
use crate::failure::Failure;
use crate::form::Form;
use crate::here::Here;
use crate::plot::filled::Filled;
use crate::pocket;

/// Largest form read at all, bytes. Above the book's limit for a picture, so that a picture
/// that is somewhat too large is read to its end and refused with words; a browser whose
/// upload is cut off shows only that the connection was lost.
pub(crate) const LARGEST_UPLOAD_BYTES: usize = 64 * 1024 * 1024;

/// Longest text field of the form, bytes; names have 120 characters at most.
const LONGEST_FIELD_BYTES: usize = 4 * 1024;

/// Most pictures of one form: each has an id of its own, counted from the form's.
const MOST_FILES: usize = 40;

/// The form on a page.
#[derive(Template)]
#[template(path = "photos/_form.html")]
pub(crate) struct PhotoForm {
    /// Where it goes without the script.
    action: String,
    /// The plant: a determination or an unknown, which may not be saved yet.
    of: RecordId,
    /// What a photo may show, each with how many show it already.
    parts: Vec<(Part, usize)>,
    /// The part that is chosen: the first that is missing, unless the form says another.
    chosen: String,
    /// What a second opinion from afar asks for and no photo shows, in words.
    pub missing: String,
    /// What is filled in, and what is wrong.
    pub filled: Filled,
    /// Address of the script.
    script: String,
    /// Whether the plant is not saved yet: then only the script can keep photos.
    unsaved: bool,
}

impl PhotoForm {
    /// For a plant of which photos show these parts already.
    pub fn new<'a>(
        action: String,
        of: RecordId,
        shown: impl Iterator<Item = &'a str> + Clone,
        filled: Filled,
    ) -> PhotoForm {
        let parts = PARTS.map(|part| (part, shown.clone().filter(|s| *s == part.name).count()));
        let chosen = match filled.get("shows") {
            "" => parts.iter().find(|(part, n)| part.asked && *n == 0),
            name => parts.iter().find(|(part, _)| part.name == name),
        };
        PhotoForm {
            chosen: chosen.map_or("other", |(part, _)| part.name).to_owned(),
            parts: parts.to_vec(),
            missing: missing(shown),
            action,
            of,
            filled,
            script: pocket::address("photo_form.js"),
            unsaved: false,
        }
    }

    /// For a plant that is being walked and has no photo yet.
    pub fn before_saving(of: RecordId) -> PhotoForm {
        let action = format!("/determinations/{of}/photos");
        PhotoForm {
            unsaved: true,
            ..PhotoForm::new(action, of, [].into_iter(), Filled::new())
        }
    }

    /// A form nobody has filled in.
    pub fn blank(here: &Here) -> Filled {
        let mut filled = Filled::new();
        filled.begin(here);
        filled
    }
}

/// A picture as it arrived.
struct File {
    /// Its name on the machine that sent it; only to tell it from others.
    name: String,
    /// Its bytes; empty when it was larger than the book takes.
    bytes: Vec<u8>,
    /// Its size as it was sent, bytes.
    sent: u64,
}

/// A form as it arrived.
pub(crate) struct Upload {
    form: Form,
    files: Vec<File>,
}

/// Reads the form; of a file only so much is held as the book would take.
pub(crate) async fn read(
    multipart: Result<Multipart, MultipartRejection>,
) -> Result<Upload, Failure> {
    let mut multipart = multipart.map_err(|_| {
        Failure::BadRequest("This is not a form with a picture. Nothing was saved. Add the picture on the page of the plant.".to_owned())
    })?;
    let limit = usize::try_from(PHOTO_MAX_BYTES).unwrap_or(usize::MAX);
    let mut upload = Upload {
        form: Form::default(),
        files: Vec::new(),
    };
    while let Some(mut field) = multipart.next_field().await.map_err(broken)? {
        let name = field.name().unwrap_or_default().to_owned();
        let is_photo = name == "photo";
        let file_name = field.file_name().unwrap_or_default();
        let file_name: String = file_name.chars().take(60).collect();
        let most = if is_photo { limit } else { LONGEST_FIELD_BYTES };
        let (mut bytes, mut sent) = (Vec::new(), 0_u64);
        while let Some(chunk) = field.chunk().await.map_err(broken)? {
            let room = most.saturating_sub(bytes.len());
            bytes.extend_from_slice(&chunk[..chunk.len().min(room)]);
            sent += u64::try_from(chunk.len()).unwrap_or(u64::MAX);
        }
        if !is_photo {
            let text = String::from_utf8(bytes).map_err(|_| {
                Failure::BadRequest("A field holds bytes that are not text (UTF-8). Nothing was saved; go back and type it again.".to_owned())
            })?;
            upload.form.0.push((name, text));
        } else if sent > 0 {
            if sent > PHOTO_MAX_BYTES {
                bytes = Vec::new();
            }
            upload.files.push(File {
                name: file_name,
                bytes,
                sent,
            });
        }
    }
    Ok(upload)
}

fn broken(error: MultipartError) -> Failure {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return Failure::TooLarge(format!(
            "This is more than {} million bytes at once, and one picture may have {}. Nothing was saved. Add fewer at a time. Make a smaller copy of one that is larger.",
            LARGEST_UPLOAD_BYTES / 1_000_000,
            PHOTO_MAX_BYTES / 1_000_000
        ));
    }
    Failure::BadRequest(
        "The upload broke off. Nothing was saved; go back and send it again.".to_owned(),
    )
}

/// Keeps the pictures of a form. `Ok` with the name of who added them, or the form with what is wrong.
pub(crate) fn take(app: &App, here: &Here, of: RecordId, upload: Upload) -> Result<String, Filled> {
    let mut filled = Filled::sent(upload.form);
    let first = filled.id();
    filled.set("id", first.to_string());
    let scout = filled.read_name("scout", "Your name");
    let shows = filled.get("shows").to_owned();
    if !is_part(&shows) {
        let words = "Choose what the picture shows.";
        filled.troubles.add("shows", words);
    }
    if upload.files.is_empty() {
        let words = "No picture was chosen. Choose a file.";
        filled.troubles.add("photo", words);
    }
    if upload.files.len() > MOST_FILES {
        let words = format!("More than {MOST_FILES} pictures at once. Add fewer at a time.");
        filled.troubles.add("photo", words);
    }
    for file in &upload.files {
        check(file, &mut filled);
    }
    if !filled.troubles.none() {
        return Err(filled);
    }
    for (n, file) in (0..).zip(&upload.files) {
        let new = NewPhoto {
            id: first.following(n),
            of,
            shows: &shows,
            author: &scout,
            device: &here.device(app),
            born_at: here.now(),
        };
        match app.book.keep_photo(&file.bytes, &new) {
            Ok(record) => small::make_later(&app.book, &record),
            Err(BookError::Conflict { .. }) => {
                // The back button, with another picture: that is another record.
                filled.set("id", RecordId::new().to_string());
                filled.troubles.conflict(
                    "A picture was saved from this form already. Choose this one again and send it, and it is added beside the first.",
                );
                return Err(filled);
            }
            Err(error) => {
                let field = |_: &str, field: &str| field.to_owned();
                filled.troubles.refused(&error, field);
                return Err(filled);
            }
        }
    }
    Ok(scout)
}

/// What the book would refuse, before the first picture of a form is kept.
fn check(file: &File, filled: &mut Filled) {
    let limit = PHOTO_MAX_BYTES;
    let wrong = if file.sent > limit {
        let bytes = file.sent;
        Some(BookError::PhotoTooLarge { bytes, limit })
    } else {
        photo_type(&file.bytes).err()
    };
    if let Some(error) = wrong {
        let field = |_: &str, field: &str| field.to_owned();
        filled.troubles.refused(&error, field);
    } else if let Err(words) = small::check_pixels(&file.bytes) {
        filled.troubles.add("photo", words);
    } else {
        return;
    }
    if let Some(trouble) = filled.troubles.list.last_mut() {
        trouble.message = format!("{}: {}", file.name, trouble.message);
    }
}
