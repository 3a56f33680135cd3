//! A photo of an outbox on its way into the book, piece by piece.
//!
//! Out: with every answer how much of it is here. It is acknowledged when its file and its record
//! are on disk, never before; a JPEG that is cut in half unpacks without an error, so length and
//! hash decide whether it is whole. Whatever is asked twice is answered twice.

use std::sync::{Mutex, MutexGuard, PoisonError};

use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use standbook_fieldbook::record::{Body, Photo};
use standbook_fieldbook::{
    BookError, Made, NewPhoto, PHOTO_MAX_BYTES, Record, RecordId, photo_type, time,
};

use super::halves::{Halves, NotTaken};
use super::page::said;
use super::take::waits;
use super::wire::{Announced, Answer, Kept, PhotoState, Refused, Standing, WrittenPhoto};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::{Form, Query};
use crate::here::Here;
use crate::photos::parts::is_part;
use crate::photos::small;
use crate::plot::filled::sentence;

/// Largest piece, bytes: a second or two on a weak link, so little is lost when it breaks.
pub(super) const LARGEST_PIECE_BYTES: usize = 256 * 1024;

/// First bytes that say what type a picture is.
const HEAD_BYTES: usize = 12;

/// Two tabs of one phone, or two phones, may send the same photo.
static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());

fn take_turn() -> MutexGuard<'static, ()> {
    // What is on disk is looked at anew each time: a panic elsewhere spoils nothing.
    ONE_AT_A_TIME.lock().unwrap_or_else(PoisonError::into_inner)
}

/// `GET /outbox/photos/{id}`: how much of an announced photo is here.
pub(super) async fn ask(
    State(app): State<Shared>,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let standing = match read(&id, &query) {
            Ok(photo) => {
                let _turn = take_turn();
                look(app, &photo).unwrap_or_else(|| more(Halves::of(&app.book).have(&photo)))
            }
            Err(why) => refused(why),
        };
        said(StatusCode::OK, &standing)
    })
    .await
}

/// `PUT /outbox/photos/{id}`: its bytes from the offset `from` on.
pub(super) async fn piece(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
    piece: Result<Bytes, BytesRejection>,
) -> Result<Response, Failure> {
    let piece = piece.map_err(|_| {
        Failure::TooLarge(format!(
            "The piece of a photo did not arrive whole, or has more than {LARGEST_PIECE_BYTES} bytes. Nothing was taken; send it again."
        ))
    })?;
    run(app, move |app| {
        let standing = match read(&id, &query) {
            Ok(photo) => {
                let from = query.get("from").parse().ok();
                let _turn = take_turn();
                look(app, &photo).unwrap_or_else(|| add(app, &here, &photo, from, &piece))
            }
            Err(why) => refused(why),
        };
        said(StatusCode::OK, &standing)
    })
    .await
}

/// Photos out of a file, whole.
pub(super) fn take_written(app: &App, here: &Here, photos: Vec<WrittenPhoto>, answer: &mut Answer) {
    for WrittenPhoto { announced, content } in photos {
        let _turn = take_turn();
        let standing = match (check(&announced), STANDARD.decode(content)) {
            (Err(why), _) => refused(why),
            (_, Err(_)) => damaged(),
            (Ok(()), Ok(bytes)) => {
                look(app, &announced).unwrap_or_else(|| finish(app, here, &announced, &bytes))
            }
        };
        let (id, mut why) = (announced.id.to_string(), standing.why);
        if standing.state == PhotoState::Damaged {
            why = vec!["The photo in the file is not the one that the phone wrote: its length or its checksum differs. Write the file on the phone anew.".to_owned()];
        }
        match standing.state {
            PhotoState::Kept => answer.kept.push(Kept {
                id,
                to: standing.to,
            }),
            PhotoState::Refused | PhotoState::Damaged => answer.refused.push(Refused { id, why }),
            PhotoState::More | PhotoState::Plant | PhotoState::Waiting => {
                answer.waiting.push(Refused { id, why });
            }
        }
    }
}

/// Reads an announcement; in words what is wrong with it.
fn read(id: &str, query: &Form) -> Result<Announced, String> {
    let id_of = |text: &str| {
        text.parse::<RecordId>().map_err(|_| {
            "Its id or that of its plant is none that this program makes; it can't be kept."
                .to_owned()
        })
    };
    let photo = Announced {
        id: id_of(id)?,
        of: id_of(query.get("of"))?,
        sha256: query.get("sha256").to_owned(),
        bytes: query.get("bytes").parse().unwrap_or(0),
        shows: query.get("shows").to_owned(),
        author: query.get("author").to_owned(),
        made: query.get("made").to_owned(),
        view: query.has("view"),
    };
    check(&photo)?;
    Ok(photo)
}

/// What is wrong with an announcement before a byte of the photo is here.
fn check(photo: &Announced) -> Result<(), String> {
    let hex = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
    if photo.sha256.len() != 64 || !photo.sha256.bytes().all(hex) {
        return Err("Its checksum is not a SHA-256 hash of 64 hex digits.".to_owned());
    }
    if photo.bytes == 0 {
        return Err("It is announced without a length, or is empty.".to_owned());
    }
    if photo.bytes > PHOTO_MAX_BYTES {
        let (bytes, limit) = (photo.bytes, PHOTO_MAX_BYTES);
        return Err(in_words(&BookError::PhotoTooLarge { bytes, limit }));
    }
    if !is_part(&photo.shows) {
        return Err("It does not say which part of the plant it shows.".to_owned());
    }
    if time::parse_stamp(&photo.made).is_none() {
        return Err("Its time is not written as 2026-07-14T15:02:07.250Z.".to_owned());
    }
    Ok(())
}

/// Where a photo stands whatever has arrived of it; `None` when its bytes are wanted.
fn look(app: &App, photo: &Announced) -> Option<Standing> {
    match try_look(app, photo) {
        Ok(standing) => standing,
        Err(error) => Some(not_kept(error)),
    }
}

fn try_look(app: &App, photo: &Announced) -> Result<Option<Standing>, BookError> {
    if let Some(why) = app.book.read_only() {
        return Err(BookError::ReadOnly {
            path: app.book.path().to_owned(),
            why: why.to_owned(),
        });
    }
    let Some(shown) = app.book.get(photo.of)? else {
        return Ok(Some(Standing {
            state: PhotoState::Plant,
            why: vec!["It waits for its plant, which is not in the book yet.".to_owned()],
            ..more(0)
        }));
    };
    if photo.view {
        return Ok(match shown.body {
            Body::Photo(original) => app
                .book
                .made_path(&original.sha256, Made::View)
                .map(|_| kept(app, photo)),
            _ => Some(refused("A view belongs to a photo.".to_owned())),
        });
    }
    // A record whose file was lost since: the phone's bytes are the last there are.
    let file_is_there = app.book.photo_path(&photo.sha256).is_some();
    let Some(record) = app.book.get(photo.id)? else {
        let plant = matches!(shown.body, Body::Determination(_) | Body::Unknown(_));
        if !plant {
            return Ok(Some(refused(
                "A photo of an outbox belongs to a plant: a determination or an unknown."
                    .to_owned(),
            )));
        }
        // Chosen twice on the phone, or brought by file and by link under two ids.
        let twice = app
            .book
            .photos(photo.of)?
            .into_iter()
            .any(|one| one.body.sha256 == photo.sha256 && one.body.shows == photo.shows);
        return Ok((twice && file_is_there).then(|| kept(app, photo)));
    };
    let same = matches!(&record.body, Body::Photo(held)
        if held.sha256 == photo.sha256 && held.of == photo.of && held.shows == photo.shows);
    if !same {
        return Ok(Some(refused(
            "Another photo is in the book under this one's id. Save this one to a file, throw it away here, and add it again on the page of the plant."
                .to_owned(),
        )));
    }
    Ok(file_is_there.then(|| kept(app, photo)))
}

/// Takes a piece, and the photo when that was the last.
fn add(app: &App, here: &Here, photo: &Announced, from: Option<u64>, piece: &[u8]) -> Standing {
    let halves = Halves::of(&app.book);
    let mut have = halves.have(photo);
    let length = u64::try_from(piece.len()).unwrap_or(u64::MAX);
    // Another tab was faster, or the half was dropped: the answer says where to go on.
    if from != Some(have) {
        return more(have);
    }
    if have.saturating_add(length) > photo.bytes {
        halves.drop(photo);
        return damaged();
    }
    if have == 0
        && piece.len() >= HEAD_BYTES
        && let Err(error) = photo_type(&piece[..HEAD_BYTES])
    {
        return refused(in_words(&error));
    }
    if !piece.is_empty() {
        match halves.add(photo, piece) {
            Ok(there) => have = there,
            Err(NotTaken::TooMany) => {
                return waiting(
                    "Too many photos are under way to the laptop at once; this one waits.",
                );
            }
            Err(NotTaken::Disk(error)) => return no_disk(&error),
        }
    }
    if have < photo.bytes {
        return more(have);
    }
    let standing = match halves.bytes(photo) {
        Ok(bytes) => finish(app, here, photo, &bytes),
        Err(error) => no_disk(&error),
    };
    // Whatever came of it: the phone has every byte until it is kept, and a disk that is full needs
    // the room for forms.
    halves.drop(photo);
    standing
}

/// Keeps a photo that has arrived whole.
fn finish(app: &App, here: &Here, photo: &Announced, bytes: &[u8]) -> Standing {
    let hash: String = Sha256::digest(bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    if u64::try_from(bytes.len()) != Ok(photo.bytes) || hash != photo.sha256 {
        return damaged();
    }
    if let Err(why) = small::check_pixels(bytes) {
        return refused(why);
    }
    match keep(app, here, photo, bytes) {
        Ok(()) => kept(app, photo),
        Err(error) => not_kept(error),
    }
}

fn keep(app: &App, here: &Here, photo: &Announced, bytes: &[u8]) -> Result<(), BookError> {
    let shown = app.book.get(photo.of)?;
    if photo.view {
        photo_type(bytes)?;
        if let Some(Body::Photo(Photo { sha256, .. })) = shown.map(|record| record.body) {
            app.book.keep_made(&sha256, Made::View, bytes)?;
        }
        return Ok(());
    }
    // Sent again to heal a lost file it is the record that it was, though the phone has another name now.
    let (author, device) = match app.book.get(photo.id)? {
        Some(held) => (held.author, held.device),
        None => (author(here, photo, shown.as_ref()), here.device(app)),
    };
    let new = NewPhoto {
        id: photo.id,
        of: photo.of,
        shows: &photo.shows,
        author: &author,
        device: &device,
        born_at: photo.made.clone(),
    };
    let record = app.book.keep_photo(bytes, &new)?;
    small::make_later(&app.book, &record);
    Ok(())
}

/// Who took a photo. Before a plant is saved nobody may have written a name; then it is whoever
/// holds the phone, or saved the plant.
fn author(here: &Here, photo: &Announced, shown: Option<&Record>) -> String {
    let known = [Some(photo.author.clone()), here.scout.clone()];
    let known = known.into_iter().flatten().find(|name| !name.is_empty());
    known.unwrap_or_else(|| {
        shown
            .map(|record| record.author.clone())
            .unwrap_or_default()
    })
}

fn more(have: u64) -> Standing {
    Standing {
        state: PhotoState::More,
        have,
        to: String::new(),
        why: Vec::new(),
    }
}

fn kept(app: &App, photo: &Announced) -> Standing {
    let to = match app.book.unknown(photo.of) {
        Ok(Some(_)) => format!("/unknowns/{}#photos", photo.of),
        _ => format!("/determinations/{}#photos", photo.of),
    };
    Standing {
        state: PhotoState::Kept,
        to,
        ..more(photo.bytes)
    }
}

fn refused(why: String) -> Standing {
    Standing {
        state: PhotoState::Refused,
        why: vec![why],
        ..more(0)
    }
}

fn waiting(why: &str) -> Standing {
    Standing {
        state: PhotoState::Waiting,
        why: vec![why.to_owned()],
        ..more(0)
    }
}

fn damaged() -> Standing {
    Standing {
        state: PhotoState::Damaged,
        why: vec!["A photo did not arrive as it was sent. It is sent again.".to_owned()],
        ..more(0)
    }
}

fn no_disk(error: &std::io::Error) -> Standing {
    waiting(&format!(
        "The laptop can't write the photo down ({error}). Make room on its disk; the photo is safe on this phone."
    ))
}

/// What the book refused: a fault of the photo, or of nothing that the photo can help.
fn not_kept(error: BookError) -> Standing {
    let words = in_words(&error);
    match waits(Failure::Book(error).status()) {
        true => waiting(&words),
        false => refused(words),
    }
}

fn in_words(error: &BookError) -> String {
    format!("{}.", sentence(&error.to_string()))
}
