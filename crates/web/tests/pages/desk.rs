//! The Desk, asked in this process, on a real book with the real key.

use crate::desk_support::*;
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

const PNG: &[u8] = b"\x89PNG\r\n\x1a\nnot much of a picture";

fn address(sample: &Sample) -> String {
    format!("/determinations/{}", sample.determination)
}

fn opinion<'a>(id: &'a str, scout: &'a str, taxon: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![
        ("id", id),
        ("scout", scout),
        ("taxon", taxon),
        ("name_as_written", ""),
        ("reasons", ""),
    ]
}

#[tokio::test]
async fn replaying_gives_the_same_result() {
    let sample = Sample::counted(false);
    let page = sample.get(&address(&sample)).await;
    assert_eq!(page.status, StatusCode::OK);
    page.holds("The same answers, weighed again just now, give the same result.");
    page.holds("Is the tiller round or flat at its base?")
        .holds("sparse or dense");
    page.holds("looked, could not tell")
        .holds("decibans")
        .holds("North, point 1, cell 7");
    page.lacks("style=").lacks("role=\"alert\"");
    assert!(page.bytes.len() < 30_000);
}

#[tokio::test]
async fn a_result_that_differs_under_the_same_key_is_an_alert() {
    let sample = Sample::counted(false);
    let mut wrong = sample.determine(None, &[("ligule_type", states(&["hairs"]))]);
    // A millionth is far above rounding and far below what anybody would see.
    wrong.evidence.ranking[0].probability -= 1e-6;
    wrong.evidence.ranking[1].probability += 1e-6;
    wrong
        .evidence
        .ranking
        .sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let id = sample.keep(wrong);
    let page = sample.get(&format!("/determinations/{id}")).await;
    page.holds("role=\"alert\"").holds("another result today");
}

#[tokio::test]
async fn another_key_shows_then_and_today() {
    let sample = Sample::counted(false);
    let mut old = sample.determine(
        Some("panicum_virgatum"),
        &[("ligule_type", states(&["hairs"]))],
    );
    old.evidence.table_fingerprint = "0123abcd".into();
    for (id, state) in [("glume_colour", "red"), ("ligule_type", "velvet")] {
        old.evidence.answers.push(AnswerGiven {
            r#trait: id.into(),
            value: states(&[state]),
        });
    }
    let id = sample.keep(old);
    let page = sample.get(&format!("/determinations/{id}")).await;
    assert_eq!(page.status, StatusCode::OK);
    page.holds("The key has changed since.")
        .holds("<h3>Then</h3>")
        .holds("<h3>Today</h3>");
    page.holds("glume_colour: red")
        .holds("velvet")
        .lacks("role=\"alert\"");
}

#[tokio::test]
async fn an_opinion_adds_and_the_latest_counts() {
    let sample = Sample::counted(false);
    let to = format!("{}/opinions", address(&sample));
    let id = RecordId::new().to_string();
    let mut fields = opinion(&id, "C. Wold", "sorghastrum_nutans");
    fields[4].1 = "notched ligule\r\nseen <b>twice</b>";
    let answer = sample.post(&to, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    assert!(
        answer.cookies.contains("scout=C.+Wold"),
        "{}",
        answer.cookies
    );
    let page = sample.get(&address(&sample)).await;
    page.holds("<h1>indiangrass")
        .holds("The latest opinion names this plant: C. Wold")
        .holds("Disputed:");
    page.holds("notched ligule\nseen &#60;b&#62;twice&#60;/b&#62;")
        .lacks("<b>twice");
    // The scout's own name is still there.
    page.holds("<strong>big bluestem</strong>");
    sample
        .get("/desk")
        .await
        .holds("disputed, last word by C. Wold");
    // The same form again changes nothing.
    let again = sample.post(&to, &fields).await;
    assert_eq!(again.status, StatusCode::SEE_OTHER);
    assert_eq!(
        sample
            .app
            .book
            .opinions(sample.determination)
            .unwrap()
            .len(),
        1
    );
}

#[tokio::test]
async fn a_form_sent_and_changed_becomes_a_correction_of_ones_own() {
    let sample = Sample::counted(false);
    let to = format!("{}/opinions", address(&sample));
    let id = RecordId::new().to_string();
    sample
        .post(&to, &opinion(&id, "C. Wold", "sorghastrum_nutans"))
        .await;
    let changed = opinion(&id, "C. Wold", "panicum_virgatum");
    let page = sample.post(&to, &changed).await;
    assert_eq!(page.status, StatusCode::CONFLICT);
    page.holds("saved already as \u{201c}indiangrass\u{201d} by C. Wold");
    page.holds("value=\"panicum_virgatum\" selected");
    let (new, old) = (
        hidden(&page.text(), "id"),
        hidden(&page.text(), "supersedes"),
    );
    assert_eq!(old, id);
    let mut correction = opinion(&new, "C. Wold", "panicum_virgatum");
    correction.push(("supersedes", &old));
    for _ in 0..2 {
        let answer = sample.post(&to, &correction).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    }
    let opinions = sample.app.book.opinions(sample.determination).unwrap();
    assert_eq!(opinions.len(), 1);
    let page = sample.get(&address(&sample)).await;
    page.holds("<h1>switchgrass")
        .holds("Corrected; before: indiangrass, C. Wold");
    // Somebody else cannot correct it: hers is an opinion of its own.
    let other = RecordId::new().to_string();
    let mut theirs = opinion(&other, "D. Ames", "panicum_virgatum");
    theirs.push(("supersedes", &new));
    assert_eq!(
        sample.post(&to, &theirs).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        sample
            .app
            .book
            .opinions(sample.determination)
            .unwrap()
            .len(),
        2
    );
}

#[tokio::test]
async fn a_bad_opinion_comes_back_filled_in() {
    let sample = Sample::counted(false);
    let to = format!("{}/opinions", address(&sample));
    let id = RecordId::new().to_string();
    let long = "x".repeat(3000);
    for (scout, taxon, reasons, said) in [
        (
            "C. Wold",
            "made_up",
            "kept words",
            "is not a name of this key",
        ),
        ("C. Wold", "", "kept words", "No name is chosen"),
        ("", "panicum_virgatum", "kept words", "Your name is missing"),
        ("C. Wold", "none", "", "says nothing"),
        (
            "C. Wold",
            "panicum_virgatum",
            long.as_str(),
            "3000 characters",
        ),
        (
            "C. Wold",
            "\"><script>",
            "kept words",
            "is not a name of this key",
        ),
    ] {
        let mut fields = opinion(&id, scout, taxon);
        fields[4].1 = reasons;
        let page = sample.post(&to, &fields).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        page.holds("role=\"alert\"")
            .holds(said)
            .holds("aria-invalid")
            .holds(reasons)
            .holds(&id);
        page.lacks("<script>");
    }
    assert!(
        sample
            .app
            .book
            .opinions(sample.determination)
            .unwrap()
            .is_empty()
    );
}

#[tokio::test]
async fn unknown_ids_are_not_found() {
    let sample = Sample::counted(false);
    let nobody = RecordId::new();
    for address in [
        format!("/determinations/{nobody}"),
        format!("/determinations/{}", sample.visit),
        "/determinations/7".to_owned(),
        format!("/unknowns/{nobody}"),
        format!("/unknowns/{}", sample.determination),
        format!("/desk?visit={nobody}"),
        "/desk?visit=x".to_owned(),
    ] {
        assert_eq!(
            sample.get(&address).await.status,
            StatusCode::NOT_FOUND,
            "{address}"
        );
    }
    let id = RecordId::new().to_string();
    for place in ["determinations", "unknowns"] {
        let to = format!("/{place}/{nobody}/opinions");
        let answer = sample
            .post(&to, &opinion(&id, "C. Wold", "panicum_virgatum"))
            .await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND);
    }
    assert!(sample.app.book.opinions_all().unwrap().is_empty());
}

#[tokio::test]
async fn settling_an_unknown_says_how_the_stand_changed() {
    let sample = Sample::counted(true);
    let mut walk = sample.determine(None, &[("tiller_base", states(&["round"]))]);
    walk.unknown = Some(sample.unknown);
    let walk = sample.keep(walk);
    let address = format!("/unknowns/{}", sample.unknown);
    let page = sample.get(&address).await;
    page.holds("Not settled")
        .holds("cells 20, 21")
        .holds("3 tallies")
        .holds("Determination: no name");
    page.lacks("What settling it changed");
    sample
        .get("/desk")
        .await
        .holds("Unknowns to settle")
        .holds("in 3 tallies");

    let id = RecordId::new().to_string();
    let to = format!("{address}/opinions");
    let answer = sample
        .post(&to, &opinion(&id, "C. Wold", "sorghastrum_nutans"))
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let page = sample.get(&address).await;
    page.holds("Settled as indiangrass")
        .holds("What settling it changed");
    // The numbers are those of `stand.rs`.
    page.holds("between 30 % of cells if none of the unknowns is planted and 31 % if all are");
    page.holds("31 % of cells (95 % interval 10 to 59 %)");
    // The determination made for it is settled too.
    let page = sample.get(&format!("/determinations/{walk}")).await;
    page.holds("<h1>indiangrass")
        .holds("recorded as unknown 3, on which C. Wold gave the latest opinion");
    sample
        .get("/desk")
        .await
        .holds("named by C. Wold")
        .lacks("Unknowns to settle");
}

#[tokio::test]
async fn a_photo_is_kept_and_shown_as_what_it_is() {
    let sample = Sample::counted(false);
    let to = format!("{}/photos", address(&sample));
    let id = RecordId::new().to_string();
    let fields = [
        ("id", id.as_str()),
        ("scout", "C. Wold"),
        ("shows", "collar with ligule"),
    ];
    for _ in 0..2 {
        let answer = sample.send_photo(&to, &fields, PNG).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    }
    let photos = sample.app.book.photos(sample.determination).unwrap();
    assert_eq!(photos.len(), 1);
    let sha256 = &photos[0].body.sha256;
    sample
        .get(&address(&sample))
        .await
        .holds(&format!("href=\"/photos/{sha256}\""))
        .holds("This photo can’t be shown here");
    let picture = sample.get(&format!("/photos/{sha256}")).await;
    assert_eq!(
        (picture.status, picture.content_type.as_str()),
        (StatusCode::OK, "image/png")
    );
    assert_eq!(picture.bytes, PNG);
}

#[tokio::test]
async fn bad_photos_are_refused_with_the_form_filled_in() {
    let sample = Sample::counted(false);
    let to = format!("{}/photos", address(&sample));
    let id = RecordId::new().to_string();
    let fields = [("id", id.as_str()), ("scout", "C. Wold"), ("shows", "base")];
    let page = sample
        .send_photo(&to, &fields, b"<svg onload=alert(1)>")
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("not a JPEG, PNG, WebP or HEIC picture")
        .holds("value=\"C. Wold\"")
        .holds("value=\"base\" checked");
    let page = sample.send_photo(&to, &fields, b"").await;
    page.holds("No picture was chosen");
    let page = sample
        .send_photo(&to, &[("scout", ""), ("shows", "the moon")], PNG)
        .await;
    page.holds("Your name is missing")
        .holds("Choose what the picture shows");

    // A few bytes above the limit of a picture: read to its end, refused with words.
    let mut large = PNG.to_vec();
    large.resize(25_000_007, 0);
    let page = sample.send_photo(&to, &fields, &large).await;
    assert_eq!(page.status, StatusCode::PAYLOAD_TOO_LARGE);
    page.holds("has 25000007 bytes, and the limit is 25000000 bytes")
        .holds("value=\"C. Wold\"");
    // Far above: not read at all.
    large.resize(70_000_000, 0);
    let page = sample.send_photo(&to, &fields, &large).await;
    assert_eq!(page.status, StatusCode::PAYLOAD_TOO_LARGE);
    page.holds("Make a smaller copy");
    // No form with a file at all.
    assert_eq!(
        sample.post(&to, &fields).await.status,
        StatusCode::BAD_REQUEST
    );
    assert!(
        sample
            .app
            .book
            .photos(sample.determination)
            .unwrap()
            .is_empty()
    );
    assert!(!sample.app.book.photo_folder().exists());

    // The greater limit is this address's own: elsewhere it stays small.
    let long = "x".repeat(300_000);
    let mut form = opinion(&id, "C. Wold", "panicum_virgatum");
    form[4].1 = &long;
    let answer = sample
        .post(&format!("{}/opinions", address(&sample)), &form)
        .await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
}

#[tokio::test]
async fn no_path_but_a_hash_leads_to_a_file() {
    let sample = Sample::counted(false);
    std::fs::write(sample.folder.path().join("secret.png"), "secret").unwrap();
    let upper = "A".repeat(64);
    let missing = "a".repeat(64);
    for name in [
        "..%2fsecret.png",
        "..%2f..%2fseason.book",
        "%2e%2e",
        ".",
        "secret.png",
        &upper,
        &missing,
        &"a".repeat(63),
        &"a".repeat(65),
        &format!("{}%00", "a".repeat(63)),
        &format!("{}%C3%A9", "a".repeat(62)),
    ] {
        let answer = sample.get(&format!("/photos/{name}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{name}");
        answer.lacks("secret");
    }
}

#[tokio::test]
async fn a_book_for_viewing_only_keeps_what_was_typed() {
    let sample = Sample::counted(false);
    let path = sample.app.book.path().to_owned();
    let book = standbook_fieldbook::Book::open_read_only(path).unwrap();
    let viewing = Sample {
        app: std::sync::Arc::new(standbook_web::App::new(book, key(), false)),
        ..sample
    };
    let id = RecordId::new().to_string();
    let mut fields = opinion(&id, "C. Wold", "sorghastrum_nutans");
    fields[4].1 = "notched ligule";
    let page = viewing
        .post(&format!("{}/opinions", address(&viewing)), &fields)
        .await;
    assert_eq!(page.status, StatusCode::FORBIDDEN);
    page.holds("viewing only")
        .holds("notched ligule")
        .holds("value=\"sorghastrum_nutans\" selected");
}

#[tokio::test]
async fn a_corrected_determination_keeps_its_opinions_and_its_past() {
    let sample = Sample::counted(false);
    let to = format!("{}/opinions", address(&sample));
    let id = RecordId::new().to_string();
    sample
        .post(&to, &opinion(&id, "C. Wold", "sorghastrum_nutans"))
        .await;
    let mut body = sample
        .app
        .book
        .determination(sample.determination)
        .unwrap()
        .unwrap()
        .body;
    body.taxon = Some("sorghastrum_nutans".into());
    sample.keep_record(Record {
        supersedes: Some(sample.determination),
        ..record(body)
    });
    // The old address shows the present state.
    let page = sample.get(&address(&sample)).await;
    page.holds("on an earlier version")
        .holds("Corrected by the scout")
        .holds("big bluestem, A. Fenn");
    page.lacks("Disputed:");
    sample
        .get("/desk")
        .await
        .holds("second opinion agrees (C. Wold)");
}
