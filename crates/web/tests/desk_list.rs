//! The Desk's list: what stands first, what is asked for, page by page.
#![allow(clippy::unwrap_used)]

mod desk_support;

use desk_support::*;

#[tokio::test]
async fn the_list_begins_with_what_would_change_most_and_is_filtered_and_paged() {
    let sample = Sample::counted(false);
    for n in 0..200 {
        let hairs = if n % 2 == 0 { "none" } else { "dense" };
        sample.keep(sample.determine(
            Some("andropogon_gerardi"),
            &[
                ("ligule_type", states(&["hairs"])),
                ("sheath_hairs", states(&[hairs])),
            ],
        ));
    }
    let mut sure = sample.determine(
        Some("andropogon_gerardi"),
        &[("ligule_type", states(&["hairs"]))],
    );
    sure.evidence.outcome = "settled".into();
    let sure = sample.keep(sure);
    let mut unsure = sample.determine(None, &[]);
    unsure.evidence.outcome = "not_in_this_key".into();
    let unsure = sample.keep(unsure);
    let started = std::time::Instant::now();
    let first = sample.get("/desk").await;
    let took = started.elapsed();
    first.holds("203 determinations, page 1 of 6");
    let text = first.text();
    assert_eq!(text.matches("href=\"/determinations/").count(), 40);
    // On a plant without a name no cell rests, however unsure it is.
    assert!(text.contains("cells rest on it"), "{text}");
    let wrong = |row: &str| -> u32 {
        let words = row.split("on the wrong side in ").nth(1);
        let words = words.unwrap_or_else(|| panic!("{row}"));
        words.split(' ').next().unwrap().parse().unwrap()
    };
    let rows: Vec<u32> = text
        .split("<li><a href=\"/determinations/")
        .skip(1)
        .map(wrong)
        .collect();
    assert_eq!(rows.len(), 40);
    assert!(rows.is_sorted_by(|a, b| a >= b), "{rows:?}");
    assert!(!text.contains(&unsure.to_string()));
    sample
        .get("/desk?outcome=not_in_this_key")
        .await
        .holds("1 determination.")
        .holds(&unsure.to_string())
        .lacks("cells rest on it");
    sample
        .get("/desk?outcome=settled&taxon=andropogon_gerardi")
        .await
        .holds(&sure.to_string())
        .lacks(&unsure.to_string());
    sample
        .get("/desk?scout=Nobody")
        .await
        .holds("There is none to show here.");
    sample
        .get("/desk?taxon=andropogon_gerardi&page=2")
        .await
        .holds("page 2 of")
        .holds("taxon=andropogon_gerardi&#38;page=3");
    assert!(first.bytes.len() < 30_000, "{} bytes", first.bytes.len());
    // Generous, since tests run unoptimised beside others; one question a row would take longer.
    assert!(took.as_secs_f64() < 5.0, "{took:?}");
    sample
        .get("/desk?page=6")
        .await
        .holds(&unsure.to_string())
        .holds("page=5");
    sample.get("/desk?page=999").await.holds("page 6 of 6");
    sample.get("/desk?page=-1").await.holds("page 1 of 6");
    let address = format!("/desk?visit={}&which=disputed", sample.visit);
    sample
        .get(&address)
        .await
        .holds("There is none to show here.");
    let address = format!("/desk?visit={}&which=open&page=2", sample.visit);
    sample
        .get(&address)
        .await
        .holds("page 2 of 6")
        .holds("which=open&#38;page=3");
}
