//! One photo large: sizes without a script, lengths by a known one, and nothing of it in the book.

use axum::http::StatusCode;

use crate::desk_support::Sample;
use crate::photos::support::{Announced, HEIC, PLAIN, TURNED, hash, photos, send};

async fn keep(sample: &Sample, bytes: &[u8]) -> String {
    let photo = Announced::new(sample.determination, bytes);
    assert_eq!(send(sample, &photo, bytes).await["state"], "kept");
    format!("/photos/{}/look", photo.sha256)
}

/// Presses the picture as a browser does: the hidden fields of its form, and where.
async fn press(sample: &Sample, page: &str, x: f64, y: f64) -> String {
    let form = page.split("class=\"look-photo\"").nth(1).unwrap();
    let form = form.split("</form>").next().unwrap();
    let mut query = form_urlencoded::Serializer::new(String::new());
    for name in ["zoom", "at", "mm"] {
        let mark = format!("type=\"hidden\" name=\"{name}\" value=\"");
        if let Some(rest) = form.split(mark.as_str()).nth(1) {
            query.append_pair(name, rest.split('"').next().unwrap());
        }
    }
    query.append_pair("p.x", &x.to_string());
    query.append_pair("p.y", &y.to_string());
    let address = page
        .split("action=\"")
        .find(|a| a.contains("/look\""))
        .unwrap();
    let address = address.split('"').next().unwrap();
    let answer = sample.get(&format!("{address}?{}", query.finish())).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    answer.location
}

/// A picture of 32 by 48 pixels lying on its side in the file, shown upright: at once its size 780 points
/// high, 520 wide, so a pixel has 16.25 points.
#[tokio::test]
async fn a_length_is_measured_by_four_presses_and_a_known_length() {
    let sample = Sample::counted(false);
    let look = keep(&sample, TURNED).await;
    let records = sample.app.book.count().unwrap();
    let plant = format!("/determinations/{}", sample.determination);
    sample.get(&plant).await.holds(&format!("href=\"{look}\""));
    let whole = sample.get(&look).await;
    whole
        .holds("<h1>base</h1>")
        .holds(&format!("href=\"{plant}\""));
    whole
        .holds("width=\"32\" height=\"48\"")
        .lacks("type=\"image\"");

    let at = format!("{look}?zoom=1");
    let mut page = sample.get(&at).await.text();
    assert!(
        page.contains("type=\"image\" name=\"p\"") && page.contains("width=\"520\" height=\"780\""),
        "{page}"
    );
    for (x, y, next) in [
        (0.0, 16.25, "the other end"),
        (325.0, 16.25, "How long is it?"),
    ] {
        let to = press(&sample, &page, x, y).await;
        page = sample.get(&to).await.text();
        assert!(page.contains(next), "{page}");
    }
    // 20 pixels are an inch.
    let to = sample
        .get(&format!(
            "{look}?zoom=1&at=0.0x1.0-20.0x1.0&length=1&unit=in"
        ))
        .await;
    assert_eq!(
        to.location,
        format!("{look}?zoom=1&at=0.0x1.0-20.0x1.0&mm=25.4#step")
    );
    page = sample.get(&to.location).await.text();
    assert!(page.contains("Press one end</strong> of what"), "{page}");
    for (x, y) in [(162.5, 162.5), (162.5, 487.5)] {
        let to = press(&sample, &page, x, y).await;
        page = sample.get(&to).await.text();
    }
    // As many pixels: an inch. 4.24 points of 325 on each of two lengths: 1.85 %, 0.47 mm.
    assert!(page.contains("25.4 mm, give or take 0.47 mm"), "{page}");
    assert!(page.contains(">10 mm</text>"), "{page}");
    // At twice the size the same places, and presses twice as good.
    let twice = sample
        .get(&format!(
            "{look}?zoom=2&at=0.0x1.0-20.0x1.0-10.0x10.0-10.0x30.0&mm=25.4"
        ))
        .await;
    twice
        .holds("25.4 mm, give or take 0.23 mm")
        .holds("width=\"1040\" height=\"1560\"");
    // A fifth press begins anew by the same known length.
    let to = press(&sample, &page, 0.0, 780.0).await;
    assert!(to.contains("at=0.0x1.0-20.0x1.0-0.0x48.0&mm=25.4"), "{to}");
    // Pressed by keyboard it has no place, and the page stays.
    let page = sample.get(&format!("{look}?zoom=1&p.x=0&p.y=0")).await;
    page.holds("press one end of a length you know");
    assert_eq!(sample.app.book.count().unwrap(), records);
}

#[tokio::test]
async fn what_is_no_place_or_length_is_refused_in_words() {
    let sample = Sample::counted(false);
    let look = keep(&sample, PLAIN).await;
    for wrong in [
        "zoom=3",
        "zoom=1&at=x",
        "zoom=1&at=49x1",
        "zoom=1&at=1x1-2x2&mm=-1",
        "at=%FF",
    ] {
        let page = sample.get(&format!("{look}?{wrong}")).await;
        assert_eq!(page.status, StatusCode::BAD_REQUEST, "{wrong}");
    }
    for (length, said) in [
        ("0", "out of range"),
        ("seven", "is not a number"),
        ("1e9", "out of range"),
    ] {
        let page = sample
            .get(&format!(
                "{look}?zoom=1&at=1x1-20x20&length={length}&unit=cm"
            ))
            .await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{length}");
        page.holds(said).holds("Use it");
    }
    sample
        .get(&format!("{look}?zoom=1&at=1.0x1.0-1.0x1.0"))
        .await
        .holds("too near each other")
        .lacks("Use it");
    let none = format!("/photos/{}/look", "ab".repeat(32));
    for address in [none.as_str(), "/photos/x/look", "/photos/..%2f..%2fa/look"] {
        assert_eq!(
            sample.get(address).await.status,
            StatusCode::NOT_FOUND,
            "{address}"
        );
    }
}

#[tokio::test]
async fn a_photo_that_cannot_be_shown_says_so_and_gives_its_file() {
    let sample = Sample::counted(false);
    let look = keep(&sample, HEIC).await;
    let page = sample.get(&look).await;
    page.holds("can’t be shown here")
        .holds(&format!("href=\"/photos/{}\" download", hash(HEIC)));
    // Once its phone has sent a picture of it, that is looked at.
    let view = Announced {
        view: true,
        ..Announced::new(photos(&sample).remove(0).id, PLAIN)
    };
    assert_eq!(send(&sample, &view, PLAIN).await["state"], "kept");
    let page = sample.get(&format!("{look}?zoom=1")).await;
    page.holds(&format!("src=\"/photos/{}/view\"", hash(HEIC)));
}
