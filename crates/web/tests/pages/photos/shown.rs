//! What pages show of photos: thumbnails upright and of known size, words where there is none.

use std::time::Duration;

use axum::http::StatusCode;
use standbook_fieldbook::Made;

use crate::desk_support::Sample;
use crate::photos::support::{Announced, HEIC, PLAIN, TURNED, hash, photos, send};

async fn keep(sample: &Sample, bytes: &[u8]) -> String {
    let photo = Announced::new(sample.determination, bytes);
    assert_eq!(send(sample, &photo, bytes).await["state"], "kept");
    photo.sha256
}

fn pixel(image: &image::RgbImage, x: u32, y: u32) -> &'static str {
    let [red, _, blue] = image.get_pixel(x, y).0;
    if red > blue { "red" } else { "blue" }
}

#[tokio::test]
async fn a_thumbnail_is_upright_and_made_anew_when_missing() {
    let sample = Sample::counted(false);
    let sha256 = keep(&sample, TURNED).await;
    let address = format!("/determinations/{}", sample.determination);
    let size = format!("src=\"/photos/{sha256}/small\" width=\"32\" height=\"48\" alt=\"base\"");
    sample.get(&address).await.holds(&size);
    // Made by itself, after the phone had its answer.
    let made = || sample.app.book.made_path(&sha256, Made::Small);
    for _ in 0..1000 {
        if made().is_some() {
            break;
        }
        tokio::time::sleep(Duration::from_millis(10)).await;
    }
    for _ in 0..2 {
        std::fs::remove_file(made().unwrap()).unwrap();
        let small = sample.get(&format!("/photos/{sha256}/small")).await;
        assert_eq!(small.content_type, "image/jpeg");
        let small = image::load_from_memory(&small.bytes).unwrap().to_rgb8();
        assert_eq!((small.width(), small.height()), (32, 48));
        assert_eq!(
            (pixel(&small, 16, 10), pixel(&small, 16, 38)),
            ("red", "blue")
        );
    }
    // The original is what it was, to the byte.
    assert_eq!(sample.get(&format!("/photos/{sha256}")).await.bytes, TURNED);
    // The size stands on the page whether the thumbnail is there or not.
    std::fs::remove_file(made().unwrap()).unwrap();
    sample.get(&address).await.holds(&size);
    sample.get("/desk").await.holds(&size);
}

#[tokio::test]
async fn a_photo_that_cannot_be_unpacked_has_words_in_its_place() {
    let sample = Sample::counted(false);
    // Its head can be read, and nothing after it.
    let torn = &PLAIN[..PLAIN.len() - 300];
    let sha256 = keep(&sample, torn).await;
    let small = sample.get(&format!("/photos/{sha256}/small")).await;
    assert_eq!(small.status, StatusCode::OK);
    if small.content_type != "image/jpeg" {
        small.holds("This photo can't be shown here.");
    }
    // A head that can't be read either.
    let sha256 = keep(&sample, b"\xFF\xD8\xFF\xE0 no more than this").await;
    let small = sample.get(&format!("/photos/{sha256}/small")).await;
    assert_eq!(small.content_type, "image/svg+xml");
    small.holds("This photo can't be shown here.");
    let page = sample
        .get(&format!("/determinations/{}", sample.determination))
        .await;
    page.holds("This photo can’t be shown here")
        .holds(&format!("href=\"/photos/{sha256}\""));
    let none = "ab".repeat(32);
    for end in ["small", "view"] {
        let answer = sample.get(&format!("/photos/{none}/{end}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND);
    }
}

#[tokio::test]
async fn a_heic_is_kept_as_it_came_and_shown_by_the_view_its_phone_made() {
    let sample = Sample::counted(false);
    let sha256 = keep(&sample, HEIC).await;
    let address = format!("/determinations/{}", sample.determination);
    let page = sample.get(&address).await;
    page.holds("this browser may not be able to show it")
        .holds(&format!("href=\"/photos/{sha256}\" download"));
    let original = photos(&sample).remove(0);
    let view = Announced {
        view: true,
        ..Announced::new(original.id, PLAIN)
    };
    for _ in 0..2 {
        assert_eq!(send(&sample, &view, PLAIN).await["state"], "kept");
    }
    let page = sample.get(&address).await;
    page.holds(&format!("href=\"/photos/{sha256}/look\""))
        .holds("width=\"48\" height=\"32\"");
    assert_eq!(
        sample.get(&format!("/photos/{sha256}/view")).await.bytes,
        PLAIN
    );
    let answer = sample.get(&format!("/photos/{sha256}")).await;
    assert_eq!(
        (answer.content_type.as_str(), answer.bytes.as_slice()),
        ("image/heic", HEIC)
    );
    // A view is no record of its own.
    assert_eq!(photos(&sample).len(), 1);
    assert_eq!(original.body.sha256, hash(HEIC));
}
