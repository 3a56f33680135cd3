//! The Stand, asked in this process, on a real book with the real key.
//!
//! The expected numbers were worked out apart from this program, in Python with SciPy 1.17:
//! ratio estimator over spots, Korn-Graubard limits with t of 5 degrees of freedom.
//!     y = [22, 8, 29, 0, 20, 10]; M = 50; n = 6; r = sum(y)/300 = 0.29667
//!     v = sum((y - r M)^2) / (n (n-1) M^2); d = v / (r (1 - r) / 300) = 10.905, raised to
//!     d (1 + (d - 1) / 89) = 12.118; N = 300 / d (norm.ppf(.975) / t.ppf(.975, 5))^2; x = r N
//!     beta.ppf(.025, x, N - x + 1), beta.ppf(.975, x + 1, N - x) = 0.0923, 0.5874
//! With the three cells of the unknown: y = [24, 8, 29, 1, 20, 10]; r = 0.30667; 0.0998, 0.5941.

use crate::desk_support::*;
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

async fn stand(sample: &Sample) -> Answer {
    let page = sample.get(&format!("/stand/{}", sample.planting)).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    page
}

/// How it was worked out.
async fn worked(sample: &Sample) -> Answer {
    let page = sample
        .get(&format!("/stand/{}/worked", sample.planting))
        .await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    page
}

#[tokio::test]
async fn one_planting_goes_to_its_stand_at_once() {
    let sample = Sample::counted(false);
    let answer = sample.get("/stand").await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert_eq!(answer.location, format!("/stand/{}", sample.planting));
}

#[tokio::test]
async fn two_plantings_are_a_choice() {
    let sample = Sample::counted(false);
    let mut other = sample
        .app
        .book
        .planting(sample.planting)
        .unwrap()
        .unwrap()
        .body;
    other.name = "creek bottom <b>".into();
    sample.keep(other);
    let page = sample.get("/stand").await;
    page.holds("north forty")
        .holds("creek bottom &#60;b&#62;")
        .holds("Visit of 14 July 2026");
}

#[tokio::test]
async fn the_answer_comes_first_with_its_interval() {
    let page = stand(&Sample::counted(false)).await;
    page.holds("All planted species together: 30 % of cells (95 % interval 9 to 59 %), from 12 frames at 6 spots.");
    let more = worked(&Sample::counted(false)).await;
    more.holds("spread between spots")
        .holds("Penn State STAT 506");
    // 0.4 x 29.667 = 11.87; 29.667 / 2.25 = 13.19; -ln(1 - 0.29667) / 0.0225 = 15.64 a m2.
    for per_m2 in ["12<br>", "13<br>", "16<br>"] {
        more.holds(per_m2);
    }
    more.holds("At 1 of 6 spots no planted species was found.");
    page.holds("No planted grass at 1 of 6 spots.");
    page.holds(
        "<strong>Looked, none:</strong> indiangrass, sideoats grama were found in no frame.",
    );
    page.lacks("\u{b1}").lacks("style=").lacks("unknown 3");
    assert!(page.bytes.len() < 30_000, "{} bytes", page.bytes.len());
}

#[tokio::test]
async fn unknowns_give_a_lowest_and_a_highest_answer() {
    let sample = Sample::counted(true);
    let page = stand(&sample).await;
    page.holds(
        "All planted species together: between 30 % of cells if none of the unknowns is planted and 31 % if all are (95 % interval over both: 9 to 59 %), from 12 frames at 6 spots.",
    );
    page.holds(&format!("href=\"/unknowns/{}\"", sample.unknown));
}

#[tokio::test]
async fn settling_an_unknown_settles_every_tally() {
    let sample = Sample::counted(true);
    let settle = |taxon: Option<&str>| Opinion {
        taxon: taxon.map(str::to_owned),
        name_as_written: "Setaria sp.".into(),
        reasons: String::new(),
        ..Opinion::on(sample.unknown)
    };
    let early = record(settle(Some("sorghastrum_nutans")));
    let late = Record {
        born_at: "2026-12-01T00:00:00.000Z".into(),
        ..record(settle(None))
    };
    let early = Record {
        born_at: "2026-11-01T00:00:00.000Z".into(),
        ..early
    };
    sample.keep_record(early);
    let page = stand(&sample).await;
    page.holds("together: 31 % of cells (95 % interval 10 to 59 %)")
        .lacks("unknown 3");
    // The latest by `born_at` counts, whichever came into the book first; no name of the key is
    // not planted.
    sample.keep_record(late);
    let page = stand(&sample).await;
    page.holds("together: 30 % of cells (95 % interval 9 to 59 %)")
        .holds("not in this key");
    page.lacks("Unknowns not settled");
}

#[tokio::test]
async fn settling_reaches_tallies_that_name_an_earlier_version() {
    let sample = Sample::counted(true);
    let mut unknown = sample
        .app
        .book
        .unknown(sample.unknown)
        .unwrap()
        .unwrap()
        .body;
    unknown.description = "hairy, flat base, blue-green".into();
    let corrected = sample.keep_record(Record {
        supersedes: Some(sample.unknown),
        ..record(unknown)
    });
    stand(&sample).await.holds("blue-green");
    sample.keep(Opinion {
        taxon: Some("sorghastrum_nutans".into()),
        reasons: String::new(),
        ..Opinion::on(corrected)
    });
    stand(&sample).await.holds("together: 31 % of cells");
}

#[tokio::test]
async fn a_corrected_point_is_still_one_spot() {
    let sample = Sample::counted(false);
    let mut point = sample
        .app
        .book
        .point(sample.points[0])
        .unwrap()
        .unwrap()
        .body;
    point.label = "1a".into();
    let corrected = sample.keep_record(Record {
        supersedes: Some(sample.points[0]),
        ..record(point)
    });
    sample.keep(frame(corrected, 3, Vec::new()));
    stand(&sample).await.holds("from 13 frames at 6 spots");
    worked(&sample).await.holds("North, point 1a");
}

#[tokio::test]
async fn one_spot_has_no_interval_and_says_why() {
    let sample = Sample::empty();
    let tallies = cells(&taxon("andropogon_gerardi"), 1..=5);
    sample.keep(frame(sample.points[0], 1, tallies));
    let page = stand(&sample).await;
    page.holds("All planted species together: 20 % of cells, from 1 frame at one spot. There is no interval: one spot cannot show");
    page.holds("no interval");
}

#[tokio::test]
async fn none_found_is_not_none_there() {
    let sample = Sample::empty();
    for point in &sample.points {
        sample.keep(frame(*point, 1, Vec::new()));
    }
    let page = stand(&sample).await;
    // N = 150 / (1 + 24 * 0.1) * (1.959964 / 2.570582)^2 = 25.65; 1 - 0.025^(1/N) = 0.134 (SciPy 1.17).
    page.holds("found in none of 150 cells, from 6 frames at 6 spots. The true share of cells could still be up to 13 %");
}

#[tokio::test]
async fn no_frames_says_what_to_do() {
    let page = stand(&Sample::empty()).await;
    page.holds("No frame was laid on this visit")
        .holds("looked, none")
        .lacks("What next");
}

#[tokio::test]
async fn kinds_of_frame_stay_apart_and_full_cells_have_no_upper_limit() {
    let sample = Sample::counted(false);
    for point in &sample.points[..2] {
        let full = cells(&taxon("andropogon_gerardi"), 1..=100);
        let shape = FrameShape::Grid {
            cells: 100,
            cell_side_cm: 5.0,
        };
        sample.keep(Frame {
            shape,
            ..frame(*point, 3, full)
        });
        let shape = FrameShape::Quadrat { area_m2: 0.25 };
        let four = vec![Tally {
            cell: None,
            what: taxon("andropogon_gerardi"),
            plants: Some(4),
        }];
        sample.keep(Frame {
            shape,
            ..frame(*point, 4, four)
        });
    }
    let page = stand(&sample).await;
    page.holds("Grids of more than one kind were laid.");
    page.holds("Grid of 25 cells of 15 cm (5.9 in)")
        .holds("Grid of 100 cells of 5 cm (2.0 in)");
    page.holds("30 % of cells (95 % interval 9 to 59 %), from 12 frames at 6 spots");
    page.holds("100 % of cells");
    worked(&sample)
        .await
        .holds("at least ")
        .holds(", no upper limit");
    // 8 plants on 0.5 m2 are 16 a m2, 1.5 a ft2.
    page.holds("All planted species together: 1.5 plants per ft² (16 per m²)");
}

#[tokio::test]
async fn a_second_scout_adds_no_spot() {
    let sample = Sample::counted(false);
    let second = Frame {
        scout: "B. Reed".into(),
        looked_twice: false,
        ..frame(
            sample.points[1],
            1,
            cells(&taxon("andropogon_gerardi"), 1..=6),
        )
    };
    sample.keep(second);
    let page = stand(&sample).await;
    page.holds("from 13 frames at 6 spots");
    page.holds("Frame 1 at North, point 2: A. Fenn found planted species in 3 of 25 cells; B. Reed found planted species in 6 of 25 cells.");
    page.holds("1 of 13 frames was not looked over a second time.");
}

#[tokio::test]
async fn strangers_get_a_page_and_a_way_back() {
    let sample = Sample::counted(false);
    let planting = sample.planting;
    let elsewhere = {
        let other = sample.app.book.planting(planting).unwrap().unwrap().body;
        let other = sample.keep(other);
        sample.keep(Visit {
            planting: other,
            on: "2026-07-15".into(),
            scouts: vec!["A. Fenn".into()],
            note: String::new(),
        })
    };
    for address in [
        format!("/stand/{}", RecordId::new()),
        format!("/stand/{}", sample.visit),
        "/stand/north-forty".to_owned(),
        "/stand/..%2f..%2fetc".to_owned(),
        format!("/stand/{planting}?visit={}", RecordId::new()),
        format!("/stand/{planting}?visit={elsewhere}"),
        format!("/stand/{planting}?visit=%3Cscript%3E"),
    ] {
        let page = sample.get(&address).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{address}");
        page.holds("href=\"/plot\"").lacks("<script>");
    }
}

#[tokio::test]
async fn names_are_text_and_a_lost_taxon_is_its_id() {
    let sample = Sample::with_mix(&["andropogon_gerardi", "gone_from_key"]);
    let unknown = sample.keep(Unknown {
        visit: sample.visit,
        number: 4,
        description: "<script>alert(1)</script>".into(),
        first_seen: sample.points[0],
    });
    for point in &sample.points[..2] {
        let mut tallies = cells(&Counted::Unknown(unknown), [1]);
        tallies.extend(cells(&taxon("gone_from_key"), [2]));
        sample.keep(frame(*point, 1, tallies));
    }
    stand(&sample)
        .await
        .holds("gone_from_key")
        .lacks("<script>")
        .holds("&#60;script&#62;");
}
