//! Photos in files that a phone wrote: the same way in, as often as they come.

use serde_json::json;

use crate::desk_support::{Answer, Sample};
use crate::photos::support::{Announced, PLAIN, photos, send};

/// `base64 -w0 files/plain.jpg` of GNU coreutils would say the same; here by the alphabet of RFC
/// 4648, table 1.
fn base64(bytes: &[u8]) -> String {
    const ALPHABET: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::new();
    for three in bytes.chunks(3) {
        let at = |n: usize| u32::from(*three.get(n).unwrap_or(&0));
        let bits = at(0) << 16 | at(1) << 8 | at(2);
        for n in 0..4 {
            let six = usize::try_from(bits >> (18 - 6 * n) & 63).unwrap();
            let filled = n > three.len();
            text.push(if filled {
                '='
            } else {
                char::from(ALPHABET[six])
            });
        }
    }
    text
}

fn written(photo: &Announced, bytes: &[u8]) -> String {
    let photo = json!({
        "id": photo.id, "of": photo.of, "sha256": photo.sha256, "bytes": photo.bytes,
        "shows": photo.shows, "author": "A. Fenn", "made": photo.made, "content": base64(bytes),
    });
    json!({"format": "standbook outbox 1", "items": [], "photos": [photo]}).to_string()
}

async fn take(sample: &Sample, files: &[String]) -> Answer {
    let mut body = String::new();
    for file in files {
        body += &format!(
            "--cut\r\nContent-Disposition: form-data; name=\"file\"; filename=\"u.json\"\r\n\r\n{file}\r\n"
        );
    }
    body += "--cut--\r\n";
    let kind = "multipart/form-data; boundary=cut";
    sample
        .post_as("/outbox/file", kind, body.into_bytes())
        .await
}

#[tokio::test]
async fn a_photo_in_a_file_is_kept_as_often_as_it_comes_and_once() {
    let sample = Sample::counted(false);
    let photo = Announced::new(sample.determination, PLAIN);
    let file = written(&photo, PLAIN);
    for files in [vec![file.clone()], vec![file.clone(), file.clone()]] {
        let n = files.len();
        take(&sample, &files)
            .await
            .holds(&format!("{n} in the book now"));
    }
    // The phone is in reach again and has not heard of it.
    assert_eq!(send(&sample, &photo, PLAIN).await["state"], "kept");
    let kept = photos(&sample);
    assert_eq!((kept.len(), &kept[0].body.sha256), (1, &photo.sha256));
}

#[tokio::test]
async fn a_file_that_was_damaged_or_is_something_else_is_refused_in_words() {
    let sample = Sample::counted(false);
    let photo = Announced::new(sample.determination, PLAIN);
    let cut = written(&photo, &PLAIN[..PLAIN.len() / 2]);
    take(&sample, &[cut])
        .await
        .holds("0 in the book now, 1 to mend")
        .holds("Write the file on the phone anew");
    let torn = written(&photo, PLAIN).replace("\"content\":\"", "\"content\":\"%");
    take(&sample, &[torn])
        .await
        .holds("0 in the book now, 1 to mend");
    let good = written(&photo, PLAIN);
    let page = take(&sample, &["no json".to_owned(), good]).await;
    page.holds("u.json: This is no file of unsent records")
        .holds("1 in the book now");
    let early = Announced::new(standbook_fieldbook::RecordId::new(), PLAIN);
    let page = take(&sample, &[written(&early, PLAIN)]).await;
    page.holds("1 not taken yet")
        .holds("It waits for its plant");
    assert_eq!(photos(&sample).len(), 1);
}
