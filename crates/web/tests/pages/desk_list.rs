//! The Desk's list: what stands first, what is asked for, page by page.

use crate::desk_support::*;

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

#[tokio::test]
async fn plants_stand_together_by_plot_or_by_unknown() {
    use standbook_fieldbook::record::{Plot, Point};
    let sample = Sample::counted(true);
    let plot = sample.keep(Plot {
        planting: sample.planting,
        name: "Wet end".into(),
        note: String::new(),
    });
    let point = sample.keep(Point {
        plot,
        visit: sample.visit,
        label: "9".into(),
        position: None,
        planned: None,
        unreachable: String::new(),
    });
    let hairs = [("ligule_type", states(&["hairs"]))];
    for n in 0..6 {
        let mut plant = sample.determine(None, &hairs);
        if n % 2 == 0 {
            plant.point = point;
        }
        if n % 3 == 0 {
            plant.unknown = Some(sample.unknown);
        }
        sample.keep(plant);
    }
    // Headings, and how many plants stand under each.
    let groups = |text: &str| -> Vec<(String, usize)> {
        let parts = text.split("<h3>").skip(1);
        parts
            .map(|part| {
                let (title, rows) = part.split_once("</h3>").unwrap();
                (
                    title.to_owned(),
                    rows.matches("<li><a href=\"/determinations/").count(),
                )
            })
            .collect()
    };
    let mut by_plot = groups(&sample.get("/desk?group=plot").await.text());
    by_plot.sort();
    assert_eq!(
        by_plot,
        [("North".to_owned(), 4), ("Wet end".to_owned(), 3)]
    );
    let by_unknown = groups(&sample.get("/desk?group=unknown").await.text());
    let counts: Vec<usize> = by_unknown.iter().map(|(_, n)| *n).collect();
    // The only named plant, on which cells rest, stands first, and its group with it.
    assert_eq!(by_unknown[0].0, "No unknown");
    assert!(by_unknown[1].0.starts_with("unknown 3: "), "{by_unknown:?}");
    assert_eq!(counts, [5, 2]);
    assert!(groups(&sample.get("/desk").await.text()).is_empty());
}
