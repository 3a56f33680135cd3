//! What a page gives away before the answer: the strokes of the drawing and nothing else.

use super::*;

/// A page without what differs from page to page: strokes, the veiled question, ids, the hour.
fn bare(page: &Answer) -> String {
    let text = page.text();
    let mut bare = text.clone();
    for name in ["q", "id", "issued"] {
        bare = bare.replace(&hidden(&text, name), &format!("[{name}]"));
    }
    let mut parts = bare.split("</desc>");
    let mut kept = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        kept.push_str("</desc>");
        kept.push_str(part.split_once("</svg>").unwrap().1);
    }
    kept
}

/// The page of a plant to be named on which no part is missing.
async fn whole(sample: &Sample, taxon: &str) -> Answer {
    for seed in 0..20 {
        let page = ask(sample, &format!("name.{taxon}.tillering.{seed}"), "book=0").await;
        if !page.text().contains("Not to be seen") {
            return page;
        }
    }
    panic!("every {taxon} misses a part");
}

#[tokio::test]
async fn before_the_answer_only_the_strokes_tell() {
    let sample = Sample::empty();
    let app = &sample.app;
    let stage = LeafStage::Tillering;
    let shows = |taxon: &str, seed: u32| {
        let plant = Specimen::grown(&app.key, &app.table, taxon, stage, seed).unwrap();
        plant.shows_of("vernation").map(str::to_owned)
    };
    // One trait, two states.
    let taxon = "dactylis_glomerata";
    let folded = ["poa_pratensis", "dactylis_glomerata", "eleusine_indica"]
        .into_iter()
        .flat_map(|taxon| (0..20).map(move |seed| (taxon, seed)))
        .find(|(taxon, seed)| shows(taxon, *seed).as_deref() == Some("folded"))
        .unwrap();
    let rolled = ["panicum_virgatum", "bromus_inermis"]
        .into_iter()
        .flat_map(|taxon| (0..20).map(move |seed| (taxon, seed)))
        .find(|(taxon, seed)| shows(taxon, *seed).as_deref() == Some("rolled"))
        .unwrap();
    for book in ["book=0", "book=1"] {
        let question =
            |(taxon, seed): (&str, u32)| format!("see.vernation.{taxon}.tillering.{seed}");
        let one = ask(&sample, &question(folded), book).await;
        let other = ask(&sample, &question(rolled), book).await;
        assert_eq!(bare(&one), bare(&other), "see, {book}");
        assert_ne!(one.text(), other.text());
        for said in [folded.0, rolled.0, taxon, "switchgrass", "see.vernation"] {
            one.lacks(said);
            other.lacks(said);
        }
    }
    // Names: as many views, other strokes.
    let one = whole(&sample, "andropogon_gerardi").await;
    let other = whole(&sample, "panicum_virgatum").await;
    assert_eq!(bare(&one), bare(&other), "name");
    assert_ne!(one.text(), other.text());
    one.lacks("name.andropogon");
    // A pair: left or right.
    let pair = |seed: u32| format!("pair.panicum_virgatum.setaria_faberi.tillering.{seed}");
    let mut sides = std::collections::BTreeMap::new();
    for seed in 0..12 {
        let page = ask(&sample, &pair(seed), "book=0").await;
        let by = hidden(&radios(&page.text()), "by");
        let (answer, _) = through(&sample, &pair(seed), &[("which", "left"), ("by", &by)]).await;
        let head = page
            .text()
            .split("<h1>")
            .nth(1)
            .unwrap()
            .split('<')
            .next()
            .unwrap()
            .to_owned();
        let bare = bare(&page).split("By what?").next().unwrap().to_owned();
        let is_left = answer.named == answer.taxon;
        if let Some((left, page)) = sides.insert(head, (is_left, bare.clone()))
            && left != is_left
        {
            assert_eq!(page, bare, "pair {seed}");
            return;
        }
    }
    panic!("no two pairs with the same question and another answer");
}
