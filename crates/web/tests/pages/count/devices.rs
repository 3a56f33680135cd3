//! Quadrats, hoops and rows in process, and frames of many cells.

use crate::count::support::*;
use crate::desk_support::{self, Sample};
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

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
async fn plants_along_a_drilled_row() {
    let sample = Sample::empty();
    let device = [
        ("device", "row"),
        ("length", "10"),
        ("length_unit", "ft"),
        ("spacing", "7.5"),
        ("spacing_unit", "in"),
    ];
    let fields = laid(RecordId::new(), &device, &with(&[("p.0", "10")]));
    let answer = send(&sample, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    assert_eq!(
        frames(&sample)[0].shape,
        FrameShape::Row {
            length_m: 3.048,
            row_spacing_cm: 19.05
        }
    );
    // 1 plant a foot in 7.5-inch rows: 1 x 12 / 7.5 = 1.6 plants/ft2 (worked by hand), that is
    // 1.6 / 0.09290304 = 17.2 plants/m2.
    sample
        .get(&answer.location)
        .await
        .holds("10 plants, 1.0 per foot of row, 17 plants/m² (1.6 plants/ft²)")
        .lacks("<svg");
    // Corrected, it comes back in the units typed; and the next frame lays the same.
    let frame = entries(&sample)[0].id;
    let page = sample.get(&format!("/frames/{frame}/correct")).await;
    page.holds("name=\"length\" value=\"10\"")
        .holds("name=\"spacing\" value=\"7.5\"")
        .holds("name=\"p.0\" value=\"10\"");
}

#[tokio::test]
async fn a_row_takes_the_spacing_of_a_drilled_planting() {
    let sample = Sample::empty();
    let old = sample.app.book.planting(sample.planting).unwrap().unwrap();
    let mut drilled = desk_support::record(Planting {
        method: SeedingMethod::Drilled {
            row_spacing_cm: 25.4,
        },
        ..old.body
    });
    drilled.supersedes = Some(old.id);
    sample.keep_record(drilled);
    let address = format!("/at/{}/count?device=row", sample.points[5]);
    let page = open(&sample, &address).await;
    page.holds("name=\"spacing\" value=\"10\"")
        .holds("<option value=\"in\">in</option>")
        .holds("name=\"length\" value=\"\"");
    let choice = sample
        .get(&format!("/at/{}/count/other", sample.points[5]))
        .await;
    choice.lacks("recorded as broadcast").holds("value=\"10\"");
    let broadcast = Sample::empty();
    let choice = broadcast
        .get(&format!("/at/{}/count/other", broadcast.points[5]))
        .await;
    choice.holds("recorded as broadcast");
}

#[tokio::test]
async fn a_hoop_is_typed_by_its_width() {
    let sample = Sample::empty();
    let at = format!("/at/{}/count?device=quadrat", sample.points[5]);
    // 13.5 in across: pi / 4 x (13.5 / 12)^2 = 0.9940 ft2 (worked by hand).
    let page = open(&sample, &format!("{at}&hoop=13.5&hoop_unit=in")).await;
    page.holds("name=\"area\" value=\"0.994\"")
        .holds("<option value=\"ft2\" selected>");
    let page = sample.get(&format!("{at}&hoop=wide&hoop_unit=in")).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("is no width of a hoop").holds("value=\"wide\"");
}

/// 45 KB before: every grid of every species was on the page.
#[tokio::test]
async fn a_hundred_cells_fit_on_a_small_page() {
    let sample = Sample::counted(true);
    let address = format!(
        "/at/{}/count?device=grid&cells=100&side=10",
        sample.points[5]
    );
    let page = open(&sample, &address).await;
    assert!(page.bytes.len() < 30_000, "{} bytes", page.bytes.len());
    // Two grids are here, the others one press away.
    page.holds("value=0.100>")
        .holds("value=1.100>")
        .lacks("value=2.100>")
        .holds("value=\"show.2\"");
}

#[tokio::test]
async fn marks_of_grids_that_are_not_on_the_page_stay_marked() {
    let sample = Sample::empty();
    let device = [("device", "grid"), ("cells", "100"), ("side", "10")];
    let columns = [
        ("col", "t.bouteloua_curtipendula"),
        ("c", "0.7"),
        ("c", "1.99"),
        ("show", "0"),
        ("do", "show.2"),
    ];
    let id = RecordId::new();
    let page = send(&sample, &laid(id, &device, &columns)).await;
    assert_eq!(page.status, StatusCode::OK);
    // The third grid is shown; the second one gave way and carries its mark.
    page.holds("value=2.100>")
        .holds("value=0.7 class=c7 checked")
        .lacks("value=1.99")
        .holds("name=\"m.1\" value=\"99\"")
        .holds("class=\"chip held\"")
        // Its cell has a dot in the grids that are shown.
        .holds("<label class=o><input type=checkbox name=c value=2.99>");
    let save = with(&[
        ("col", "t.bouteloua_curtipendula"),
        ("c", "0.7"),
        ("m.1", "99"),
        ("c", "2.100"),
    ]);
    let answer = send(&sample, &laid(id, &device, &save)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let cells: Vec<Option<u32>> = frames(&sample)[0].tallies.iter().map(|t| t.cell).collect();
    assert_eq!(cells, [Some(7), Some(99), Some(100)]);
}
