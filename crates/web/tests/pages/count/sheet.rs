//! Frames of cells in process: marking, adding, saving.

use crate::count::support::*;
use crate::desk_support::{self, Sample, key};
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

#[tokio::test]
async fn the_page_offers_the_mix_and_prompts_for_the_second_look() {
    let sample = Sample::empty();
    let page = open(&sample, &format!("/at/{}/count", sample.points[5])).await;
    page.holds("big bluestem")
        .holds("indiangrass")
        .holds("Looked, none")
        .holds("about 19 % against 1 to 2 %")
        .holds("Look again, then save");
    assert!(page.bytes.len() < 30_000, "{} bytes", page.bytes.len());
}

#[tokio::test]
async fn cells_of_several_taxa_are_kept_as_marked_and_sent_twice_once() {
    let sample = Sample::empty();
    let id = RecordId::new();
    let fields = grid(
        id,
        &with(&[("c", "0.7"), ("c", "1.7"), ("c", "0.25"), ("twice", "on")]),
    );
    for _ in 0..2 {
        let answer = send(&sample, &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        sample
            .get(&answer.location)
            .await
            .holds("<svg")
            .holds("Thea Marsh")
            .holds("Flip it over here");
    }
    let kept = frames(&sample);
    assert_eq!(kept.len(), 1);
    assert!(kept[0].looked_twice);
    let mut cells: Vec<(u32, &str)> = kept[0]
        .tallies
        .iter()
        .map(|t| match &t.what {
            Counted::Taxon(id) => (t.cell.unwrap(), id.as_str()),
            Counted::Unknown(_) => panic!(),
        })
        .collect();
    cells.sort_unstable();
    assert_eq!(
        cells,
        [
            (7, "andropogon_gerardi"),
            (7, "sorghastrum_nutans"),
            (25, "andropogon_gerardi")
        ]
    );
}

#[tokio::test]
async fn looked_none_is_an_entry_and_must_be_said() {
    let sample = Sample::empty();
    let silent = send(&sample, &grid(RecordId::new(), &with(&[]))).await;
    assert_eq!(silent.status, StatusCode::UNPROCESSABLE_ENTITY);
    silent.holds("role=\"alert\"").holds("value=\"Thea Marsh\"");
    let both = send(
        &sample,
        &grid(RecordId::new(), &with(&[("c", "0.1"), ("none", "on")])),
    )
    .await;
    assert_eq!(both.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(frames(&sample).is_empty());
    let said = send(&sample, &grid(RecordId::new(), &with(&[("none", "on")]))).await;
    assert_eq!(said.status, StatusCode::SEE_OTHER, "{}", said.text());
    assert!(frames(&sample)[0].tallies.is_empty());
}

#[tokio::test]
async fn a_new_unknown_is_kept_together_with_the_frame() {
    let sample = Sample::empty();
    // Adding does not save: the form comes back with a column more.
    let id = RecordId::new();
    let added = send(
        &sample,
        &grid(
            id,
            &[
                ("do", "unknown"),
                ("scout", "Thea Marsh"),
                ("c", "0.3"),
                ("describe", "hairy, flat base"),
            ],
        ),
    )
    .await;
    assert_eq!(added.status, StatusCode::OK, "{}", added.text());
    added.holds("hairy, flat base");
    assert!(frames(&sample).is_empty());
    let page = added.text();
    let code = page
        .split("name=\"col\" value=\"n.")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap()
        .to_owned();
    let number = sample
        .app
        .book
        .next_unknown_number(sample.visit)
        .unwrap()
        .to_string();
    let col = format!("n.{code}");
    let (num, new) = (format!("num.{code}"), format!("new.{code}"));
    let fields = grid(
        id,
        &with(&[
            ("c", "0.3"),
            ("c", "2.9"),
            ("col", &col),
            (&num, &number),
            (&new, "hairy, flat base"),
        ]),
    );
    let answer = send(&sample, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let unknown = sample
        .app
        .book
        .unknown(code.parse().unwrap())
        .unwrap()
        .unwrap();
    assert_eq!(unknown.body.description, "hairy, flat base");
    assert!(
        frames(&sample)[0]
            .tallies
            .iter()
            .any(|t| t.what == Counted::Unknown(unknown.id) && t.cell == Some(9))
    );
}

#[tokio::test]
async fn an_unknown_number_taken_meanwhile_is_replaced_and_said() {
    let sample = Sample::empty();
    // Unknown 3 is in the sample; this form was opened before it was.
    let code = RecordId::new().to_string();
    let fields = |number: &'static str| {
        grid(
            RecordId::new(),
            &with(&[
                ("col", &format!("n.{code}")),
                (&format!("num.{code}"), number),
                (&format!("new.{code}"), "smooth, round base"),
                ("c", "2.4"),
            ]),
        )
    };
    let page = send(&sample, &fields("3")).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("now unknown 4").holds("smooth, round base");
    assert!(frames(&sample).is_empty());
    assert_eq!(
        send(&sample, &fields("4")).await.status,
        StatusCode::SEE_OTHER
    );
    let numbers: Vec<u32> = sample
        .app
        .book
        .unknowns(sample.visit)
        .unwrap()
        .iter()
        .map(|u| u.body.number)
        .collect();
    assert_eq!(numbers, [3, 4]);
}

#[tokio::test]
async fn an_unknown_without_words_or_marks_is_not_half_made() {
    let sample = Sample::empty();
    let code = RecordId::new().to_string();
    let long = "x".repeat(2001);
    for (words, marks, said) in [
        ("", "2.4", "no description"),
        ("hairy", "0.1", "marked nowhere"),
        (long.as_str(), "2.4", "2001 characters"),
    ] {
        let fields = grid(
            RecordId::new(),
            &with(&[
                ("col", &format!("n.{code}")),
                (&format!("num.{code}"), "4"),
                (&format!("new.{code}"), words),
                ("c", marks),
            ]),
        );
        let page = send(&sample, &fields).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        page.holds(said).holds(&format!("value=\"{words}\""));
        assert_eq!(sample.app.book.unknowns(sample.visit).unwrap().len(), 1);
        assert!(frames(&sample).is_empty());
    }
    // Taken out again, the marks of the others keep their place.
    let fields = grid(
        RecordId::new(),
        &[
            ("col", &format!("n.{code}")),
            (&format!("num.{code}"), "4"),
            (&format!("new.{code}"), "hairy"),
            ("c", "1.9"),
            ("c", "2.4"),
            ("do", "drop.2"),
        ],
    );
    let page = send(&sample, &fields).await;
    assert_eq!(page.status, StatusCode::OK);
    page.lacks(&code).holds("value=1.9 class=c9 checked");
}

#[tokio::test]
async fn what_was_chosen_but_not_added_is_not_forgotten_on_saving() {
    let sample = Sample::empty();
    let fields = grid(
        RecordId::new(),
        &with(&[("c", "0.1"), ("more", "t.setaria_faberi")]),
    );
    let page = send(&sample, &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("You chose giant foxtail without adding it")
        .holds("name=\"col\" value=\"t.setaria_faberi\"")
        .holds("value=0.1 class=c1 checked");
    assert!(frames(&sample).is_empty());
}

#[tokio::test]
async fn the_page_stays_small_after_a_rich_visit() {
    let mix: Vec<String> = key()
        .taxa
        .iter()
        .filter(|t| t.role == standbook_key::Role::Planted)
        .take(8)
        .map(|t| t.id.as_str().to_owned())
        .collect();
    let mix: Vec<&str> = mix.iter().map(String::as_str).collect();
    let sample = Sample::with_mix(&mix);
    let mut tallies = Vec::new();
    for taxon in &key().taxa {
        tallies.extend(desk_support::cells(
            &Counted::Taxon(taxon.id.as_str().to_owned()),
            [1],
        ));
    }
    sample.keep(desk_support::frame(sample.points[0], 1, tallies));
    let page = open(&sample, &format!("/at/{}/count", sample.points[5])).await;
    assert!(page.bytes.len() < 30_000, "{} bytes", page.bytes.len());
}
