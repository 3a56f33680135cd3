//! A photo arrives in pieces: resumed wherever it was cut, kept once, never half.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::Body;

use crate::desk_support::Sample;
use crate::photos::support::{
    Announced, MADE, PLAIN, ask, halves, hash, large, photos, put, restarted, send,
};

#[tokio::test]
async fn a_photo_resumed_after_a_restart_is_kept_whole_and_once() {
    let sample = Sample::counted(false);
    let bytes = large(7);
    let photo = Announced::new(sample.determination, &bytes);
    assert_eq!(ask(&sample, &photo).await["state"], "more");
    let first = put(&sample, &photo, 0, &bytes[..200_000]).await;
    assert_eq!(
        (&first["state"], first["have"].as_u64()),
        (&"more".into(), Some(200_000))
    );
    // Nothing of it is in the book before all of it is here.
    assert!(photos(&sample).is_empty() && !sample.app.book.photo_folder().exists());

    let sample = restarted(sample);
    assert_eq!(ask(&sample, &photo).await["have"], 200_000);
    for _ in 0..2 {
        let standing = send(&sample, &photo, &bytes).await;
        assert_eq!(standing["state"], "kept");
        let to = format!("/determinations/{}#photos", sample.determination);
        assert_eq!(standing["to"], to.as_str());
    }
    let kept = photos(&sample);
    assert_eq!(kept.len(), 1);
    assert_eq!((kept[0].id, kept[0].born_at.as_str()), (photo.id, MADE));
    assert_eq!(
        (kept[0].author.as_str(), kept[0].body.shows.as_str()),
        ("A. Fenn", "base")
    );
    let file = sample.app.book.photo_path(&hash(&bytes)).unwrap();
    assert_eq!(std::fs::read(file).unwrap(), bytes);
    assert_eq!(halves(&sample), 0);
}

#[tokio::test]
async fn cut_at_any_byte_it_goes_on_there() {
    let sample = Sample::counted(false);
    let cuts = (1..PLAIN.len()).step_by(29).chain([11, 12, 13]);
    for (n, cut) in cuts.enumerate() {
        // Another picture each time: the same one would be here already.
        let mut bytes = PLAIN.to_vec();
        bytes.extend_from_slice(&n.to_le_bytes());
        let photo = Announced::new(sample.determination, &bytes);
        put(&sample, &photo, 0, &bytes[..cut]).await;
        // The answer was lost, so the phone sends the same again; or it is ahead of the laptop.
        for from in [0, cut - 1, cut + 1] {
            let standing = put(&sample, &photo, from, &bytes[from..]).await;
            let here = standing["have"].as_u64().unwrap();
            assert_eq!(
                here,
                u64::try_from(cut).unwrap(),
                "cut at {cut}, from {from}"
            );
        }
        assert_eq!(
            put(&sample, &photo, cut, &bytes[cut..]).await["state"],
            "kept"
        );
        assert_eq!(photos(&sample).last().unwrap().body.sha256, hash(&bytes));
    }
    assert_eq!(halves(&sample), 0);
}

/// The last piece was written down, then the power went.
#[tokio::test]
async fn whole_but_not_kept_it_needs_no_byte_more() {
    let sample = Sample::counted(false);
    let photo = Announced::new(sample.determination, PLAIN);
    put(&sample, &photo, 0, &PLAIN[..9]).await;
    let folder = sample.app.book.upload_folder();
    let half = std::fs::read_dir(&folder).unwrap().next().unwrap().unwrap();
    std::fs::write(half.path(), PLAIN).unwrap();
    let standing = put(&sample, &photo, PLAIN.len(), b"").await;
    assert_eq!(standing["state"], "kept");
}

#[tokio::test]
async fn two_phones_with_the_same_photo_keep_it_once() {
    let sample = Sample::counted(false);
    let bytes = large(3);
    let phones = [0, 1].map(|_| Announced::new(sample.determination, &bytes));
    let (one, other) = tokio::join!(
        send(&sample, &phones[0], &bytes),
        send(&sample, &phones[1], &bytes)
    );
    assert_eq!(
        (&one["state"], &other["state"]),
        (&"kept".into(), &"kept".into())
    );
    assert_eq!(photos(&sample).len(), 1);
    // It may show something else as well: that is another record of the same file.
    let roots = Announced {
        shows: "roots and seed",
        ..Announced::new(sample.determination, &bytes)
    };
    assert_eq!(send(&sample, &roots, &bytes).await["state"], "kept");
    assert_eq!(photos(&sample).len(), 2);
    // One file and its thumbnail.
    let folder = sample.app.book.photo_folder().join(&hash(&bytes)[..2]);
    let is_original = |name: &str| !name.contains("small") && !name.contains("part");
    let files = std::fs::read_dir(folder).unwrap().flatten();
    let names = files.map(|file| file.file_name().into_string().unwrap());
    assert_eq!(names.filter(|name| is_original(name)).count(), 1);
}

/// Forms go first; a photo whose plant was refused, or comes by another way, waits.
#[tokio::test]
async fn a_photo_waits_for_its_plant() {
    let sample = Sample::counted(false);
    let plant = RecordId::new();
    let photo = Announced::new(plant, PLAIN);
    assert_eq!(send(&sample, &photo, PLAIN).await["state"], "plant");
    assert_eq!(put(&sample, &photo, 0, PLAIN).await["state"], "plant");
    assert_eq!(halves(&sample), 0);
    let fields =
        format!("walk={plant}&stage=tillering&a=ligule_type%3Ahairs&taxon=none&scout=A.+Fenn");
    let to = format!("/at/{}/plant", sample.points[0]);
    let saved = sample.post_text(&to, &fields).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text());
    assert_eq!(send(&sample, &photo, PLAIN).await["state"], "kept");
    let kept = sample.app.book.get(photo.id).unwrap().unwrap();
    let Body::Photo(kept) = kept.body else {
        panic!("{kept:?}")
    };
    assert_eq!(kept.of, plant);
}

#[tokio::test]
async fn a_book_for_viewing_only_has_it_wait() {
    let sample = Sample::counted(false);
    let path = sample.app.book.path().to_owned();
    let book = standbook_fieldbook::Book::open_read_only(path).unwrap();
    let viewing = Sample {
        app: std::sync::Arc::new(standbook_web::App::new(
            book,
            crate::desk_support::key(),
            false,
        )),
        ..sample
    };
    let photo = Announced::new(viewing.determination, PLAIN);
    let standing = send(&viewing, &photo, PLAIN).await;
    assert_eq!(standing["state"], "waiting");
    assert!(
        standing["why"][0]
            .as_str()
            .unwrap()
            .contains("viewing only")
    );
}

/// On a walk the name is written when the plant is saved, which may be after its photos.
#[tokio::test]
async fn a_photo_without_a_name_is_whose_the_plant_is() {
    let sample = Sample::counted(false);
    let photo = Announced {
        author: "",
        ..Announced::new(sample.determination, PLAIN)
    };
    assert_eq!(send(&sample, &photo, PLAIN).await["state"], "kept");
    let plant = sample.app.book.get(sample.determination).unwrap().unwrap();
    assert_eq!(photos(&sample)[0].author, plant.author);
}

/// The record says that it is here and the disk says that it is not: the phone must not forget it.
#[tokio::test]
async fn a_photo_whose_file_was_lost_is_asked_for_again() {
    let sample = Sample::counted(false);
    let photo = Announced::new(sample.determination, PLAIN);
    assert_eq!(send(&sample, &photo, PLAIN).await["state"], "kept");
    let path = sample.app.book.photo_path(&photo.sha256).unwrap();
    std::fs::remove_file(&path).unwrap();
    assert_eq!(ask(&sample, &photo).await["state"], "more");
    assert_eq!(send(&sample, &photo, PLAIN).await["state"], "kept");
    assert_eq!(std::fs::read(path).unwrap(), PLAIN);
    assert_eq!(photos(&sample).len(), 1);
}
