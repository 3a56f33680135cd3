//! With the book open, and plants of the book itself.

use super::*;

#[tokio::test]
async fn with_the_book_a_plant_is_walked_and_its_readings_are_kept() {
    let sample = Sample::empty();
    let app = &sample.app;
    let taxon = "panicum_virgatum";
    let stage = LeafStage::Tillering;
    // One about which nothing is odd.
    let plain = (0..50)
        .find(|seed| chance(*seed, taxon, "is odd") >= ODD)
        .unwrap();
    let grown = Specimen::grown(&app.key, &app.table, taxon, stage, plain).unwrap();
    let (vernation, ligule) = (
        grown.shows_of("vernation").unwrap(),
        grown.shows_of("ligule_type").unwrap(),
    );
    let question = format!("name.{taxon}.tillering.{plain}");
    let page = ask(&sample, &question, "book=1").await;
    page.holds("the book is open")
        .holds("Look next at")
        .holds("<option value=\"panicum_virgatum\">switchgrass")
        .lacks("How far has the plant grown?")
        .lacks("Save this plant")
        .lacks(&question);
    let (q, id) = (hidden(&page.text(), "q"), hidden(&page.text(), "id"));
    // A step of the walk keeps the question.
    let wrong = if ligule == "membrane" {
        "hairs"
    } else {
        "membrane"
    };
    let walked = sample
        .get(&format!(
            "/practice/ask?q={q}&book=1&id={id}&walk={id}&a=vernation:{vernation}&a=ligule_type:{wrong}&a=auricles:cannot_tell"
        ))
        .await;
    assert_eq!(walked.status, StatusCode::OK, "{}", walked.text());
    walked.holds("Seen so far").holds(&q);
    markup::ids_are_sound(&walked.text());
    let dropped = sample
        .get(&format!(
            "/practice/ask?q={q}&book=1&id={id}&a=vernation:{vernation}&drop=vernation"
        ))
        .await;
    assert_eq!(dropped.status, StatusCode::SEE_OTHER);
    assert!(dropped.location.contains(&q), "{}", dropped.location);
    let bad = sample
        .get(&format!(
            "/practice/ask?q={q}&book=1&id={id}&a=vernation:curled"
        ))
        .await;
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);
    let first = format!("vernation:{vernation}");
    let second = format!("ligule_type:{wrong}");
    let answers = [
        ("a", first.as_str()),
        ("a", second.as_str()),
        ("a", "auricles:cannot_tell"),
        ("said", taxon),
    ];
    let sent = send(&sample, &walked, SCOUT, &answers).await;
    let told = sample.get(&sent.location).await;
    let answer = kept(&sample, &walked).body;
    assert!(answer.with_book);
    let read: Vec<(&str, &str, Option<&str>)> = answer
        .readings
        .iter()
        .map(|r| (r.trait_id.as_str(), r.shown.as_str(), r.reported.as_deref()))
        .collect();
    assert_eq!(read[0], ("vernation", vernation, Some(vernation)));
    assert_eq!(read[1], ("ligule_type", ligule, Some(wrong)));
    assert!(
        read[2..]
            .iter()
            .all(|(id, _, reported)| *id == "auricles" && reported.is_none())
    );
    told.holds("<h1>Right.").holds("You read ligule as");
    let refused = send(
        &sample,
        &walked,
        "C. Wold",
        &[("a", "vernation:curled"), ("said", taxon)],
    )
    .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}

/// A picture that can be shown.
fn picture() -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let image = image::RgbImage::from_pixel(12, 9, image::Rgb([40, 120, 60]));
    image.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

#[tokio::test]
async fn a_plant_of_the_book_is_asked_by_its_photo_once_it_is_settled() {
    let sample = Sample::counted(false);
    let plant = sample.determination;
    let photo = RecordId::new();
    let book = &sample.app.book;
    book.add_photo(&picture(), plant, "collar", SCOUT, "laptop", photo)
        .unwrap();
    let (see, name) = (
        format!("see_photo.vernation.{photo}.{plant}"),
        format!("name_photo.{photo}.{plant}"),
    );
    let refused = async |question: &str, why: &str| {
        let there = sample.get(&format!("/practice/ask?q={question}")).await;
        sample.get(&there.location).await.holds(why);
    };
    refused(&name, "No reviewer has settled what this plant is").await;
    let evidence = sample
        .determine(
            None,
            &[
                ("vernation", states(&["folded"])),
                ("ligule_type", states(&["hairs", "membrane"])),
            ],
        )
        .evidence;
    let mut opinion = Opinion::on(plant);
    opinion.taxon = Some("bouteloua_curtipendula".to_owned());
    opinion.evidence = Some(evidence);
    let mut by = record(opinion);
    by.author = "C. Wold".to_owned();
    // The scout had said big bluestem: two differ, and nobody ended it.
    sample.keep_record(by.clone());
    refused(&name, "or two differ").await;
    by.id = RecordId::new();
    by.author = "D. Marsh".to_owned();
    by.born_at = standbook_fieldbook::time::now();
    sample.keep_record(by);
    let page = ask(&sample, &see, "book=0").await;
    page.holds("<img src=\"/photos/")
        .lacks("bouteloua")
        .lacks("grama")
        .lacks("C. Wold");
    let (answer, told) = through(&sample, &see, &[("said", "rolled")]).await;
    assert_eq!(answer.readings[0].shown, "folded");
    told.holds("<h1>Not so.")
        .holds("D. Marsh settled what this plant is")
        .holds(&format!("/determinations/{plant}"));
    let (answer, told) = through(&sample, &name, &[("said", "bouteloua_curtipendula")]).await;
    assert_eq!(answer.taxon.as_deref(), Some("bouteloua_curtipendula"));
    told.holds("<h1>Right.");
    // Two states at once, a trait that nobody looked at, another plant's photo.
    refused(
        &see.replace("vernation", "ligule_type"),
        "No reviewer said of this plant",
    )
    .await;
    refused(
        &see.replace("vernation", "auricles"),
        "No reviewer said of this plant",
    )
    .await;
    let unknown = sample.unknown;
    let mut opinion = Opinion::on(unknown);
    opinion.taxon = Some("setaria_faberi".to_owned());
    sample.keep(opinion);
    refused(
        &format!("name_photo.{photo}.{unknown}"),
        "is not of its plant",
    )
    .await;
}
