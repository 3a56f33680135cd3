//! A phone's side of sending a photo, and the pictures.

use std::sync::Arc;

use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use serde_json::Value;
use sha2::{Digest, Sha256};
use standbook_fieldbook::record::Photo;
use standbook_fieldbook::{Book, Entry, RecordId};
use standbook_web::App;

use crate::desk_support::{Sample, key};

// How they were made stands in files/README.md.
pub const TURNED: &[u8] = include_bytes!("files/turned.jpg");
pub const PLAIN: &[u8] = include_bytes!("files/plain.jpg");
pub const WEBP: &[u8] = include_bytes!("files/plain.webp");
pub const VAST: &[u8] = include_bytes!("files/vast.png");

/// No picture of it can be made here.
pub const HEIC: &[u8] = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic as a phone wrote it";

/// Before anybody looks at these tests.
pub const MADE: &str = "2026-07-14T15:02:07.250Z";

pub fn hash(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    digest.iter().map(|b| format!("{b:02x}")).collect()
}

/// A picture that is too large for one piece: what follows its end is no part of what is seen.
pub fn large(mark: u8) -> Vec<u8> {
    let mut bytes = PLAIN.to_vec();
    bytes.resize(600_000, mark);
    bytes
}

/// What a phone announces.
#[derive(Clone)]
pub struct Announced {
    pub id: RecordId,
    pub of: RecordId,
    pub sha256: String,
    pub bytes: usize,
    pub shows: &'static str,
    pub author: &'static str,
    pub made: &'static str,
    pub view: bool,
}

impl Announced {
    pub fn new(of: RecordId, bytes: &[u8]) -> Announced {
        Announced {
            id: RecordId::new(),
            of,
            sha256: hash(bytes),
            bytes: bytes.len(),
            shows: "base",
            author: "A. Fenn",
            made: MADE,
            view: false,
        }
    }

    fn address(&self) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query
            .append_pair("of", &self.of.to_string())
            .append_pair("sha256", &self.sha256)
            .append_pair("bytes", &self.bytes.to_string())
            .append_pair("shows", self.shows)
            .append_pair("author", self.author)
            .append_pair("made", self.made);
        if self.view {
            query.append_pair("view", "1");
        }
        format!("/outbox/photos/{}?{}", self.id, query.finish())
    }
}

async fn answer(sample: &Sample, request: Request<HttpBody>) -> Value {
    let answer = sample.ask(request).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    serde_json::from_slice(&answer.bytes).unwrap()
}

/// Where a photo stands.
pub async fn ask(sample: &Sample, photo: &Announced) -> Value {
    let request = Request::get(photo.address()).header("host", "127.0.0.1:8420");
    answer(sample, request.body(HttpBody::empty()).unwrap()).await
}

/// Where it stands after a piece.
pub async fn put(sample: &Sample, photo: &Announced, from: usize, piece: &[u8]) -> Value {
    let request = Request::put(format!("{}&from={from}", photo.address()))
        .header("host", "127.0.0.1:8420")
        .header("origin", "http://127.0.0.1:8420");
    let body = HttpBody::from(piece.to_vec());
    answer(sample, request.body(body).unwrap()).await
}

/// Sends it as a phone does, from where the laptop says.
pub async fn send(sample: &Sample, photo: &Announced, bytes: &[u8]) -> Value {
    let mut standing = ask(sample, photo).await;
    for _ in 0..20 {
        if standing["state"] != "more" {
            break;
        }
        let from = usize::try_from(standing["have"].as_u64().unwrap()).unwrap();
        let to = bytes.len().min(from + 256 * 1024);
        standing = put(sample, photo, from, &bytes[from..to]).await;
    }
    standing
}

pub fn photos(sample: &Sample) -> Vec<Entry<Photo>> {
    sample.app.book.photos(sample.determination).unwrap()
}

/// Files of halves.
pub fn halves(sample: &Sample) -> usize {
    std::fs::read_dir(sample.app.book.upload_folder()).map_or(0, Iterator::count)
}

/// The program ends and starts again.
pub fn restarted(sample: Sample) -> Sample {
    let path = sample.app.book.path().to_owned();
    let old = Arc::clone(&sample.app);
    let sample = Sample {
        app: Arc::new(App::new(Book::open(path).unwrap(), key(), false)),
        ..sample
    };
    drop(old);
    sample
}
