//! Without the script: several pictures in one form, all of them or the form with what is wrong.

use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::Determination;

use crate::desk_support::{Answer, Sample, states};
use crate::photos::support::{PLAIN, TURNED, VAST, WEBP, hash, photos};

async fn send(sample: &Sample, to: &str, id: RecordId, files: &[&[u8]]) -> Answer {
    let mut body = Vec::new();
    let id = id.to_string();
    for (name, value) in [("id", id.as_str()), ("scout", "C. Wold"), ("shows", "base")] {
        let part =
            format!("--cut\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n");
        body.extend_from_slice(part.as_bytes());
    }
    for file in files {
        body.extend_from_slice(b"--cut\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\nContent-Type: image/jpeg\r\n\r\n");
        body.extend_from_slice(file);
        body.extend_from_slice(b"\r\n");
    }
    body.extend_from_slice(b"--cut--\r\n");
    let request = Request::post(to)
        .header("host", "127.0.0.1")
        .header("content-type", "multipart/form-data; boundary=cut");
    sample
        .ask(request.body(HttpBody::from(body)).unwrap())
        .await
}

#[tokio::test]
async fn several_photos_of_one_form_are_kept_once_each() {
    let sample = Sample::counted(false);
    let to = format!("/determinations/{}/photos", sample.determination);
    let id = RecordId::new();
    // An input in which nothing was chosen is sent as an empty file.
    let files = [b"".as_slice(), PLAIN, TURNED, WEBP];
    for _ in 0..2 {
        let answer = send(&sample, &to, id, &files).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    }
    let kept: Vec<String> = photos(&sample).into_iter().map(|p| p.body.sha256).collect();
    assert_eq!(kept, [hash(PLAIN), hash(TURNED), hash(WEBP)]);
}

#[tokio::test]
async fn one_bad_photo_keeps_none_of_them() {
    let sample = Sample::counted(false);
    let to = format!("/determinations/{}/photos", sample.determination);
    for bad in [VAST, b"<html>"] {
        let answer = send(&sample, &to, RecordId::new(), &[PLAIN, bad]).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        answer.holds("a.jpg: ").holds("C. Wold");
        answer.holds("value=\"base\" checked");
    }
    assert!(photos(&sample).is_empty());
}

#[tokio::test]
async fn an_unknown_has_photos_of_its_own_and_says_what_is_missing() {
    let sample = Sample::counted(true);
    let address = format!("/unknowns/{}", sample.unknown);
    let page = sample.get(&address).await;
    page.holds("For a second opinion from afar 8 photos are missing: plant in its setting,");
    let answer = send(
        &sample,
        &format!("{address}/photos"),
        RecordId::new(),
        &[PLAIN],
    )
    .await;
    assert_eq!(answer.location, format!("{address}#photos"));
    assert_eq!(sample.app.book.photos(sample.unknown).unwrap().len(), 1);
    let page = sample.get(&address).await;
    page.holds("7 photos are missing").holds("1 here");
    assert!(!page.text().contains("opinion from afar 8"));
    // What was walked as this unknown shows there as well.
    let walked = Determination {
        unknown: Some(sample.unknown),
        ..sample.determine(None, &[("ligule_type", states(&["hairs"]))])
    };
    let walked = sample.keep(walked);
    let to = format!("/determinations/{walked}/photos");
    send(&sample, &to, RecordId::new(), &[TURNED]).await;
    let small = format!("src=\"/photos/{}/small\"", hash(TURNED));
    sample.get(&address).await.holds(&small);
    // In the list the first one stands for it.
    let small = format!("src=\"/photos/{}/small\"", hash(PLAIN));
    sample.get("/desk").await.holds(&small);
}
