//! What is no photo, or not the one that was announced, never becomes one.

use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use standbook_fieldbook::RecordId;

use crate::desk_support::Sample;
use crate::photos::support::{
    Announced, PLAIN, TURNED, VAST, ask, halves, large, photos, put, send,
};

#[tokio::test]
async fn what_is_not_what_was_announced_is_sent_anew() {
    let sample = Sample::counted(false);
    let bytes = large(1);
    let photo = Announced::new(sample.determination, &bytes);
    // One bit, far from both ends: it would unpack as ever.
    let mut flipped = bytes.clone();
    flipped[300_000] ^= 1;
    let standing = send(&sample, &photo, &flipped).await;
    assert_eq!(standing["state"], "damaged");
    assert!(photos(&sample).is_empty() && !sample.app.book.photo_folder().exists());
    assert_eq!(halves(&sample), 0);
    // More than was announced.
    let shorter = Announced {
        bytes: 100,
        ..photo.clone()
    };
    assert_eq!(
        put(&sample, &shorter, 0, &bytes[..200]).await["state"],
        "damaged"
    );
    // Cut in half, and announced as if that were all of it.
    let cut = Announced {
        bytes: 300_000,
        ..photo.clone()
    };
    let standing = send(&sample, &cut, &bytes[..300_000]).await;
    assert_eq!(standing["state"], "damaged");
    assert!(photos(&sample).is_empty());
    assert_eq!(send(&sample, &photo, &bytes).await["state"], "kept");
}

#[tokio::test]
async fn other_bytes_under_a_taken_id_are_refused_in_words() {
    let sample = Sample::counted(false);
    let first = Announced::new(sample.determination, PLAIN);
    assert_eq!(send(&sample, &first, PLAIN).await["state"], "kept");
    let other = Announced {
        id: first.id,
        ..Announced::new(sample.determination, TURNED)
    };
    let standing = send(&sample, &other, TURNED).await;
    assert_eq!(standing["state"], "refused");
    let why = standing["why"][0].as_str().unwrap();
    assert!(why.contains("Another photo is in the book"), "{why}");
    let kept = photos(&sample);
    assert_eq!((kept.len(), &kept[0].body.sha256), (1, &first.sha256));
    // Nor does it take the id of a record of another kind.
    let plant = Announced {
        id: sample.determination,
        ..other
    };
    assert_eq!(send(&sample, &plant, TURNED).await["state"], "refused");
}

#[tokio::test]
async fn what_is_no_photo_is_refused_as_early_as_can_be() {
    let sample = Sample::counted(false);
    let page = b"<html><script>alert(1)</script></html>";
    let photo = Announced::new(sample.determination, page);
    let standing = put(&sample, &photo, 0, page).await;
    assert_eq!(standing["state"], "refused");
    assert!(standing["why"][0].as_str().unwrap().contains("not a JPEG"));
    // Not only when all of it has come.
    let long = Announced {
        bytes: 600_000,
        ..photo.clone()
    };
    assert_eq!(
        put(&sample, &long, 0, &page[..30]).await["state"],
        "refused"
    );
    // With its first piece too short to tell by.
    put(&sample, &photo, 0, &page[..5]).await;
    assert_eq!(
        put(&sample, &photo, 5, &page[5..]).await["state"],
        "refused"
    );
    // 900 million pixels in 69 bytes, refused from its head alone.
    let standing = send(&sample, &Announced::new(sample.determination, VAST), VAST).await;
    assert_eq!(standing["state"], "refused");
    let why = standing["why"][0].as_str().unwrap();
    assert!(
        why.contains("30000 by 30000 pixels, and the limit is 120 million"),
        "{why}"
    );
    assert!(photos(&sample).is_empty() && !sample.app.book.photo_folder().exists());
    assert_eq!(halves(&sample), 0);
}

#[tokio::test]
async fn bad_announcements_are_refused_in_words() {
    let sample = Sample::counted(false);
    let good = Announced::new(sample.determination, PLAIN);
    let point = sample.points[0];
    for (bad, words) in [
        (
            Announced {
                sha256: "../../x".to_owned(),
                ..good.clone()
            },
            "SHA-256",
        ),
        (
            Announced {
                bytes: 0,
                ..good.clone()
            },
            "without a length",
        ),
        (
            Announced {
                bytes: 25_000_001,
                ..good.clone()
            },
            "the limit is 25000000 bytes",
        ),
        (
            Announced {
                shows: "the moon",
                ..good.clone()
            },
            "which part",
        ),
        (
            Announced {
                made: "yesterday",
                ..good.clone()
            },
            "2026-07-14T15:02:07.250Z",
        ),
        (
            Announced {
                of: point,
                ..good.clone()
            },
            "belongs to a plant",
        ),
        (
            Announced {
                view: true,
                ..good.clone()
            },
            "A view belongs to a photo",
        ),
    ] {
        let standing = ask(&sample, &bad).await;
        assert_eq!(standing["state"], "refused", "{words}");
        let why = standing["why"][0].as_str().unwrap();
        assert!(why.contains(words), "{why}");
    }
    let answer = sample.get("/outbox/photos/..%2f..%2fx?of=y").await;
    answer.holds("\"refused\"");
    // A piece larger than pieces are; nothing of it is taken.
    let to = format!("/outbox/photos/{}?from=0", RecordId::new());
    let request = Request::put(to).header("host", "127.0.0.1:8420");
    let request = request.body(HttpBody::from(vec![0; 300_000])).unwrap();
    assert_eq!(
        sample.ask(request).await.status,
        StatusCode::PAYLOAD_TOO_LARGE
    );
}
