//! A second scout reads a frame again without seeing the first reading; what both say together.

use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

use crate::count::support::*;
use crate::desk_support::{self, Sample, cells, taxon};

/// Frame 1 at the last point: big bluestem in seven cells, a weed nobody met elsewhere, and an
/// unknown first met in it.
fn first(sample: &Sample) -> RecordId {
    let unknown = sample.keep(Unknown {
        visit: sample.visit,
        number: 9,
        description: "silvery, creeping".to_owned(),
        first_seen: sample.points[5],
    });
    let mut tallies = cells(&taxon("andropogon_gerardi"), [1, 2, 3, 9, 10, 17, 22]);
    tallies.extend(cells(&taxon("setaria_faberi"), [5]));
    tallies.extend(cells(&Counted::Unknown(unknown), [6]));
    sample.keep(desk_support::frame(sample.points[5], 1, tallies))
}

#[tokio::test]
async fn the_second_scout_sees_nothing_of_the_first_reading() {
    let sample = Sample::empty();
    let first = first(&sample);
    let page = sample.get(&format!("/frames/{first}")).await;
    page.holds("Read again by another scout, without seeing this");
    let page = open(&sample, &format!("/frames/{first}/repeat")).await;
    assert_eq!(page.status, StatusCode::OK);
    // Neither marks, nor what was met here only, nor the unknown, not even in the list.
    page.lacks(" checked>1<")
        .lacks("name=\"col\" value=\"t.setaria_faberi\"")
        .lacks("silvery")
        .lacks("unknown 9")
        .lacks("A. Fenn")
        .holds("Frame 1, read again")
        .holds("name=\"col\" value=\"t.andropogon_gerardi\"");
    assert_eq!(page.text().matches(" checked>").count(), 1, "the chip only");
    // Met elsewhere too, it is offered: that tells nothing.
    let weed = cells(&taxon("setaria_faberi"), [5]);
    sample.keep(desk_support::frame(sample.points[0], 1, weed));
    open(&sample, &format!("/frames/{first}/repeat"))
        .await
        .holds("name=\"col\" value=\"t.setaria_faberi\"");
}

#[tokio::test]
async fn a_repeat_names_the_frame_it_repeats_and_both_pages_show_the_agreement() {
    let sample = Sample::empty();
    let first = first(&sample);
    let page = open(&sample, &format!("/frames/{first}/repeat"))
        .await
        .text();
    let to = format!("/at/{}/count", sample.points[5]);
    let mut fields = form_with(&page, "class=c1");
    fields.retain(|(name, _)| name != "col");
    fields.push(("col".to_owned(), "t.andropogon_gerardi".to_owned()));
    for cell in [1, 2, 3, 9, 10, 11, 17, 18] {
        fields.push(("c".to_owned(), format!("0.{cell}")));
    }

    // By the first scout it is refused, with everything marked.
    let own = [("scout", " a. fenn "), ("do", "save")];
    let refused = press(&sample, &to, fields.clone(), &own).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    refused
        .holds("A. Fenn read this frame first")
        .holds("Hand the phone over")
        .holds("value=0.18 class=c18 checked");
    assert_eq!(entries(&sample).len(), 1);

    let other = [("scout", "B. Reed"), ("do", "save")];
    let saved = press(&sample, &to, fields, &other).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text());
    let kept = entries(&sample);
    assert_eq!(kept.len(), 2);
    assert_eq!(kept[1].body.repeats, Some(first));
    assert_eq!(kept[1].body.number, 1);

    // By hand: both 1 2 3 9 10 17 = 6, only first 22 = 1, only second 11 18 = 2, neither 16.
    // po = 22 / 25 = 0.88; pe = (7 x 8 + 18 x 17) / 625 = 0.5792;
    // kappa = (0.88 - 0.5792) / (1 - 0.5792) = 0.7148.
    for address in [saved.location, format!("/frames/{first}")] {
        let page = sample.get(&address).await;
        page.holds("6 both")
            .holds("1 only first")
            .holds("2 only second")
            .holds("16 neither")
            .holds("Raw agreement po: 88 % (22 of 25 cells); by chance pe: 58 %.")
            .holds("Kappa 0.71")
            // 2 x 6 / (7 + 8) = 0.80 found by one look.
            .holds("one look overlooks at least 20 %")
            .holds("1 frame, 25 cells")
            .holds("take it as a hint");
    }
    let page = sample.get(&format!("/frames/{first}/repeat")).await;
    assert_eq!(page.status, StatusCode::SEE_OTHER, "a third scout may");
}

#[tokio::test]
async fn the_same_scout_cannot_repeat_twice_and_a_repeat_is_not_repeated() {
    let sample = Sample::empty();
    let first = first(&sample);
    let mut second = desk_support::frame(sample.points[5], 1, Vec::new());
    second.scout = "B. Reed".to_owned();
    second.repeats = Some(first);
    let second = sample.keep(second);
    let answer = sample.get(&format!("/frames/{second}/repeat")).await;
    assert_eq!(answer.location, format!("/frames/{first}/repeat"));
    let again = [
        ("do", "none"),
        ("scout", "B. Reed"),
        ("repeats", &first.to_string()),
    ];
    let page = send(&sample, &grid(RecordId::new(), &again)).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("B. Reed has read frame 1 at this point already");
    // A frame of another point, or of no book, is no frame to repeat here.
    let elsewhere = sample.keep(desk_support::frame(sample.points[0], 1, Vec::new()));
    for (wrong, said) in [
        (elsewhere, "lies at another point"),
        (RecordId::new(), "is not in this book"),
    ] {
        let wrong = wrong.to_string();
        let fields = with(&[("repeats", &wrong), ("none", "yes")]);
        let page = send(&sample, &grid(RecordId::new(), &fields)).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        page.holds(said);
    }
    assert_eq!(entries(&sample).len(), 2);
}

/// Nothing found by either: agreement is complete and kappa has no value.
#[tokio::test]
async fn two_empty_readings_say_nothing_of_overlooking() {
    let sample = Sample::empty();
    let first = sample.keep(desk_support::frame(sample.points[5], 1, Vec::new()));
    let mut second = desk_support::frame(sample.points[5], 1, Vec::new());
    second.scout = "B. Reed".to_owned();
    second.repeats = Some(first);
    sample.keep(second);
    let page = sample.get(&format!("/frames/{first}")).await;
    page.holds("25 neither")
        .holds("kappa has no value")
        .holds("neither reader found any");
}

#[tokio::test]
async fn plants_counted_twice_stand_side_by_side() {
    let sample = Sample::empty();
    let read = |scout: &str, plants, repeats| Frame {
        scout: scout.to_owned(),
        shape: FrameShape::Quadrat { area_m2: 0.25 },
        repeats,
        ..desk_support::frame(
            sample.points[5],
            1,
            vec![Tally {
                cell: None,
                what: taxon("andropogon_gerardi"),
                plants: Some(plants),
            }],
        )
    };
    let first = sample.keep(read("A. Fenn", 12, None));
    // The sheet of the repeat lays the same quadrat, and shows no number.
    open(&sample, &format!("/frames/{first}/repeat"))
        .await
        .holds("The same quadrat: 0.25 m²")
        .lacks("value=\"12\"");
    sample.keep(read("B. Reed", 15, Some(first)));
    sample
        .get(&format!("/frames/{first}"))
        .await
        .holds("<td class=\"n\">12</td><td class=\"n\">15</td>")
        .lacks("What this says about overlooking");
}
