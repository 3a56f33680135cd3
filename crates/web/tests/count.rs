//! Frames and quadrats in process: marking, adding, saving, bad input, sending twice.
#![allow(missing_docs, clippy::unwrap_used)]

mod desk_support;

use axum::http::StatusCode;
use desk_support::{Answer, Sample, hidden, key};
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Counted, Frame, FrameShape};

type Fields = Vec<(String, String)>;

/// A frame form with two planted species, as the page would send it.
fn grid(id: RecordId, more: &[(&str, &str)]) -> Fields {
    let mut fields: Fields = [
        ("id", id.to_string().as_str()),
        ("device", "grid"),
        ("cells", "25"),
        ("side", "15"),
        ("number", "1"),
        ("col", "t.andropogon_gerardi"),
        ("col", "t.sorghastrum_nutans"),
    ]
    .iter()
    .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()))
    .collect();
    fields.extend(more.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned())));
    fields
}

fn quadrat(id: RecordId, area: &str, unit: &str, more: &[(&str, &str)]) -> Fields {
    let mut fields = grid(id, more);
    fields.retain(|(n, _)| !["device", "cells", "side"].contains(&n.as_str()));
    for (name, value) in [("device", "quadrat"), ("area", area), ("unit", unit)] {
        fields.push((name.to_owned(), value.to_owned()));
    }
    fields
}

async fn send(sample: &Sample, fields: &Fields) -> Answer {
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    // The last point of the sample: nothing is counted there.
    let point = sample.points[5];
    sample.post(&format!("/at/{point}/count"), &fields).await
}

/// Opens an address, through one redirect.
async fn open(sample: &Sample, address: &str) -> Answer {
    let answer = sample.get(address).await;
    if answer.status != StatusCode::SEE_OTHER {
        return answer;
    }
    sample.get(&answer.location).await
}

fn frames(sample: &Sample) -> Vec<Frame> {
    let frames = sample.app.book.frames_at(sample.points[5]).unwrap();
    frames.into_iter().map(|f| f.body).collect()
}

const SAVE: [(&str, &str); 2] = [("do", "save"), ("scout", "Thea Marsh")];

fn with<'a>(more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    [&SAVE[..], more].concat()
}

#[tokio::test]
async fn the_page_offers_the_mix_and_prompts_for_the_second_look() {
    let sample = Sample::empty();
    let page = open(&sample, &format!("/at/{}/count", sample.points[5])).await;
    page.holds("big bluestem")
        .holds("indiangrass")
        .holds("Looked, none")
        .holds("about 19 % against 1 to 2 %")
        .holds("I went over it a second time");
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
            .holds("Flip at this spot");
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
async fn plants_in_a_quadrat_of_any_area() {
    let sample = Sample::empty();
    let fields = quadrat(
        RecordId::new(),
        "2.7",
        "ft2",
        &with(&[("p.0", "4"), ("p.1", "")]),
    );
    let answer = send(&sample, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = &frames(&sample)[0];
    // 1 ft2 = 0.09290304 m2 (NIST Special Publication 811, appendix B; memory).
    let FrameShape::Quadrat { area_m2 } = kept.shape else {
        panic!("{kept:?}")
    };
    assert!((area_m2 - 2.7 * 0.092_903_04).abs() < 1e-12);
    assert_eq!(kept.tallies.len(), 1);
    assert_eq!(kept.tallies[0].plants, Some(4));
}

#[tokio::test]
async fn impossible_entries_come_back_with_everything_typed() {
    let sample = Sample::empty();
    let long = "x".repeat(3000);
    let cases: Vec<(Fields, &str)> = vec![
        (grid(RecordId::new(), &with(&[("c", "0.26")])), "cell 26"),
        (
            grid(
                RecordId::new(),
                &with(&[("c", "0.1"), ("col", "t.unicorn_grass"), ("c", "2.1")]),
            ),
            "unicorn_grass",
        ),
        (
            grid(
                RecordId::new(),
                &[("do", "save"), ("c", "0.1"), ("scout", "")],
            ),
            "name",
        ),
        (
            grid(
                RecordId::new(),
                &[("do", "save"), ("c", "0.1"), ("scout", &long)],
            ),
            "scout",
        ),
        (
            quadrat(RecordId::new(), "-1", "m2", &with(&[("p.0", "4")])),
            "area",
        ),
        (
            quadrat(RecordId::new(), "NaN", "m2", &with(&[("p.0", "4")])),
            "area",
        ),
        (
            quadrat(RecordId::new(), "1", "m2", &with(&[("p.0", "-4")])),
            "-4",
        ),
        (
            quadrat(RecordId::new(), "1", "m2", &with(&[("p.0", "4.5")])),
            "4.5",
        ),
        (
            quadrat(RecordId::new(), "1", "m2", &with(&[("p.0", "99999999999")])),
            "99999999999",
        ),
    ];
    for (fields, said) in &cases {
        let page = send(&sample, fields).await;
        assert_eq!(
            page.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{fields:?}\n{}",
            page.text()
        );
        page.holds("role=\"alert\"").holds(said);
        assert!(frames(&sample).is_empty(), "half-written: {fields:?}");
    }
    // A mark stays a mark.
    let page = send(
        &sample,
        &grid(
            RecordId::new(),
            &[("do", "save"), ("c", "1.12"), ("scout", "")],
        ),
    )
    .await;
    page.holds("value=1.12 class=c12 checked");
}

#[tokio::test]
async fn coming_back_after_saving_and_changing_makes_a_correction() {
    let sample = Sample::empty();
    let id = RecordId::new();
    let first = grid(id, &with(&[("c", "0.1")]));
    assert_eq!(send(&sample, &first).await.status, StatusCode::SEE_OTHER);
    let page = send(&sample, &grid(id, &with(&[("c", "0.1"), ("c", "0.2")]))).await;
    assert_eq!(page.status, StatusCode::CONFLICT, "{}", page.text());
    page.holds("correction");
    let text = page.text();
    let value = |name: &str| {
        text.split(&format!("name=\"{name}\" value=\""))
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap()
            .to_owned()
    };
    let (again, old) = (value("id"), value("supersedes"));
    assert_eq!(old, id.to_string());
    let correction = grid(
        again.parse().unwrap(),
        &with(&[("c", "0.1"), ("c", "0.2"), ("supersedes", &old)]),
    );
    assert_eq!(
        send(&sample, &correction).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(frames(&sample).len(), 1, "a correction is no second frame");
    assert_eq!(frames(&sample)[0].tallies.len(), 2);
    assert_eq!(
        sample.app.book.history(id).unwrap().len(),
        2,
        "nothing is overwritten"
    );
}

/// Browsers load a page anew when somebody goes back to it, and put the marks back into the
/// form they find there. Were that form a new frame, saving it would count everything twice.
#[tokio::test]
async fn going_back_after_saving_leads_to_the_saved_frame() {
    let sample = Sample::empty();
    let begun = sample
        .get(&format!("/at/{}/count", sample.points[5]))
        .await
        .location;
    let first = sample.get(&begun).await.text();
    // Something new is met meanwhile: the columns of this form stay as they were.
    sample.keep(desk_support::frame(
        sample.points[0],
        1,
        desk_support::cells(&Counted::Taxon("setaria_faberi".to_owned()), [1]),
    ));
    assert_eq!(sample.get(&begun).await.text(), first);
    let id: RecordId = hidden(&first, "id").parse().unwrap();
    send(&sample, &grid(id, &with(&[("c", "0.1")]))).await;
    let back = sample.get(&begun).await;
    assert_eq!(back.status, StatusCode::SEE_OTHER);
    assert_eq!(back.location, format!("/frames/{id}"));
}

#[tokio::test]
async fn a_point_that_is_not_there() {
    let sample = Sample::empty();
    let page = sample.get(&format!("/at/{}/count", RecordId::new())).await;
    assert_eq!(page.status, StatusCode::NOT_FOUND);
    page.holds("href=\"/plot\"");
}

#[tokio::test]
async fn back_after_saving_may_also_mean_the_next_frame() {
    let sample = Sample::empty();
    let id = RecordId::new();
    send(&sample, &grid(id, &with(&[("c", "0.1")]))).await;
    let page = send(&sample, &grid(id, &with(&[("c", "0.2")]))).await;
    page.holds("Save as a new frame");
    let (again, old) = (hidden(&page.text(), "id"), id.to_string());
    let fields = grid(
        again.parse().unwrap(),
        &[
            ("c", "0.2"),
            ("supersedes", &old),
            ("scout", "Thea Marsh"),
            ("do", "save_new"),
        ],
    );
    assert_eq!(send(&sample, &fields).await.status, StatusCode::SEE_OTHER);
    let numbers: Vec<u32> = frames(&sample).iter().map(|f| f.number).collect();
    assert_eq!(numbers, [1, 2], "a frame of its own, with the next number");
}

#[tokio::test]
async fn a_frame_number_this_scout_has_used_is_replaced_and_said() {
    let sample = Sample::empty();
    send(&sample, &grid(RecordId::new(), &with(&[("c", "0.1")]))).await;
    let page = send(&sample, &grid(RecordId::new(), &with(&[("c", "0.2")]))).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("This one is now frame 2")
        .holds("name=\"number\" value=\"2\"")
        .holds("value=0.2 class=c2 checked");
    // Another scout may read the same frame.
    let other = grid(
        RecordId::new(),
        &[("do", "save"), ("scout", "A. Fenn"), ("c", "0.2")],
    );
    assert_eq!(send(&sample, &other).await.status, StatusCode::SEE_OTHER);
    assert_eq!(frames(&sample).len(), 2);
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
async fn a_book_for_viewing_only_gives_the_marks_back() {
    let sample = Sample::empty();
    let book = standbook_fieldbook::Book::open_read_only(sample.app.book.path()).unwrap();
    let viewing = Sample {
        app: std::sync::Arc::new(standbook_web::App::new(book, key(), false)),
        ..sample
    };
    let page = send(&viewing, &grid(RecordId::new(), &with(&[("c", "1.12")]))).await;
    assert_eq!(page.status, StatusCode::FORBIDDEN);
    page.holds("viewing only")
        .holds("value=1.12 class=c12 checked")
        .holds("value=\"Thea Marsh\"");
}

#[tokio::test]
async fn a_correction_shows_what_was_marked_and_keeps_a_taxon_the_key_no_longer_has() {
    let sample = Sample::empty();
    let old = sample.keep(desk_support::frame(
        sample.points[5],
        1,
        desk_support::cells(&Counted::Taxon("gramen_oblitum".to_owned()), [13]),
    ));
    let page = sample.get(&format!("/frames/{old}/correct")).await;
    page.holds("gramen_oblitum").holds("class=c13 checked");
    let old = old.to_string();
    let fields = grid(
        RecordId::new(),
        &with(&[
            ("col", "t.gramen_oblitum"),
            ("c", "2.13"),
            ("c", "0.1"),
            ("supersedes", &old),
        ]),
    );
    let answer = send(&sample, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    sample
        .get(&answer.location)
        .await
        .holds("Versions before this one: 1");
}

/// The page has to come through a weak signal: at most 30 KB, however much was met before.
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
