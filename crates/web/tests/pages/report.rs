//! The report, the packet, JSON and CSV, asked in this process, on real books with the real key.
//!
//! Expected numbers of the twelve frames were worked out apart from this program, in Python with
//! SciPy 1.17 (ratio estimator over spots, t with 5 degrees of freedom; see `stand.rs`): 0.29667
//! of cells, by t 0.0728 to 0.5205.

use crate::desk_support::*;
use crate::report_support::*;
use axum::http::StatusCode;
use serde_json::Value;
use standbook_fieldbook::record::*;

fn rows(answer: &Answer) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(answer.bytes.as_slice());
    let head = reader.headers().unwrap().clone();
    let row = |record: csv::StringRecord| {
        let pairs = head.iter().zip(record.iter());
        pairs.map(|(k, v)| (k.to_owned(), v.to_owned())).collect()
    };
    reader
        .records()
        .map(|record| row(record.unwrap()))
        .collect()
}

async fn ok(sample: &Sample, what: &str) -> Answer {
    let answer = sample
        .get(&format!("/stand/{}{what}", sample.planting))
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{what}: {}", answer.text());
    answer
}

const ALL: [&str; 5] = ["/report", "/packet", ".json", ".csv", "/frames.csv"];

#[tokio::test]
async fn every_address_answers_for_every_kind_of_book() {
    for (kind, sample) in [
        ("nothing laid", judged(Sample::empty())),
        (
            "no outline, lots or positions",
            judged(Sample::counted(false)),
        ),
        ("unknowns", judged(Sample::counted(true))),
        ("everything", full()),
        ("counts only", counts_only()),
        ("odd names", odd_names()),
    ] {
        for what in ALL {
            let answer = ok(&sample, what).await;
            let text = answer.text();
            assert!(!text.contains("style="), "{kind} {what}");
            assert!(!text.contains("<script>"), "{kind} {what}");
            let is_page = what == "/report" || what == "/packet";
            // "not known" is what a number that is none is called.
            assert!(!is_page || !text.contains("not known"), "{kind} {what}");
            assert!(!text.contains("NaN"), "{kind} {what}");
            // The report is made for paper and carries its sources; the packet grows by the frame.
            let most = if what == "/report" { 48_000 } else { 30_000 };
            if what == "/report" || what == "/packet" {
                assert!(
                    answer.bytes.len() < most,
                    "{kind} {what}: {}",
                    answer.bytes.len()
                );
            }
        }
    }
}

#[tokio::test]
async fn a_planting_nobody_has_been_to_is_no_dead_end() {
    let sample = judged(Sample::empty());
    let mut other = sample
        .app
        .book
        .planting(sample.planting)
        .unwrap()
        .unwrap()
        .body;
    other.name = "creek bottom".into();
    let other = sample.keep(other);
    for what in ["report", "packet"] {
        let page = sample.get(&format!("/stand/{other}/{what}")).await;
        assert_eq!(page.status, StatusCode::OK);
        page.holds("Nobody has been to this planting yet")
            .holds("href=\"/plot\"");
    }
    for what in [".json", ".csv", "/frames.csv"] {
        let answer = sample.get(&format!("/stand/{other}{what}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{what}");
    }
    for what in ["/report", ".json", ".csv", ".txt", "/frames.csv"] {
        let answer = sample.get(&format!("/stand/nothing{what}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{what}");
    }
    // A visit to another planting is none of this one.
    let foreign = sample
        .get(&format!("/stand/{other}/report?visit={}", sample.visit))
        .await;
    assert_eq!(foreign.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn page_json_and_csv_say_the_same() {
    let sample = judged(Sample::counted(false));
    let json: Value = serde_json::from_slice(&ok(&sample, ".json").await.bytes).unwrap();
    let grid = &json["judgement"]["summary"]["grids"][0];
    let planted = grid["groups"]
        .as_array()
        .unwrap()
        .iter()
        .find(|group| group["name"] == "planted")
        .unwrap();
    let estimate = &planted["low"]["estimate"];
    let number = |value: &Value| value.as_f64().unwrap();
    let share = number(&estimate["value"]);
    let limits = &estimate["limits"]["ok"]["interval"];
    let (lower, upper) = (number(&limits["lower"]), number(&limits["upper"]));
    assert!((share - 0.296_67).abs() < 1e-4, "{share}");
    let by_t = &estimate["by_t"];
    assert!((number(&by_t["lower"]) - 0.072_8).abs() < 1e-3, "{by_t}");
    assert!((number(&by_t["upper"]) - 0.520_5).abs() < 1e-3, "{by_t}");
    assert!(lower < share && share < upper);

    let table = rows(&ok(&sample, ".csv").await);
    let row = table
        .iter()
        .find(|row| row["group_or_taxon"] == "planted" && row["unit"] == "share of 1")
        .unwrap();
    assert_eq!(row["value"].parse::<f64>().unwrap(), share);
    assert_eq!(row["lower"].parse::<f64>().unwrap(), lower);
    assert_eq!(row["upper"].parse::<f64>().unwrap(), upper);
    assert_eq!(row["found"], "89");
    assert_eq!(row["out_of"], "300");
    assert_eq!(row["confidence"], "0.95");
    assert!(
        !row["source"].is_empty() && !row["method"].is_empty(),
        "{row:?}"
    );

    let page = ok(&sample, "/report").await;
    page.holds(&format!(
        "Between {:.0} and {:.0} of every 100 squares of 6 inches had a planted grass (we found 30).",
        lower * 100.0,
        upper * 100.0
    ));
    page.holds("Seen in 89 of 300");
    // 0.4 x 29.667 = 11.87 a m2; -ln(1 - 0.29667) / 0.0225 = 15.64 a m2 (by hand).
    page.holds("on a square foot (12 to 16 per m²)");
    let by_rule: Vec<f64> = table
        .iter()
        .filter(|row| {
            row["group_or_taxon"] == "planted"
                && row["unit"] == "plants per m2"
                && row["measure"].starts_with("density from cells")
        })
        .map(|row| row["value"].parse().unwrap())
        .collect();
    assert_eq!(by_rule.len(), 3);
    assert!((by_rule[0] - 11.866_7).abs() < 1e-3 && (by_rule[2] - 15.64).abs() < 1e-2);
}

#[tokio::test]
async fn the_first_page_has_no_word_of_statistics() {
    for sample in [judged(Sample::counted(true)), full(), counts_only()] {
        let page = ok(&sample, "/report").await.text();
        let first = page.split("report-first").nth(1).unwrap();
        // Titles of sources in the small print are not ours to choose.
        let first = first
            .split("What is enough:")
            .next()
            .unwrap()
            .to_lowercase();
        for word in [
            "95 % interval",
            "confidence",
            "straddle",
            "estimate",
            "threshold",
            "frequency",
            "95 %",
            "cluster",
        ] {
            assert!(
                !first.contains(word),
                "\u{201c}{word}\u{201d} on page one:\n{first}"
            );
        }
        assert!(first.contains("next: "), "{first}");
    }
}

#[tokio::test]
async fn an_early_shortage_is_never_called_a_failure() {
    // Nine weeks after a spring seeding, one cell in 300.
    let sample = judged(Sample::empty());
    for (at, point) in sample.points.iter().enumerate() {
        for number in 1..=2 {
            let n = u32::from(at == 0 && number == 1);
            let tallies = cells(&taxon("andropogon_gerardi"), 1..=n);
            sample.keep(frame(*point, number, tallies));
        }
    }
    let page = ok(&sample, "/report").await;
    page.holds("too early").lacks("No: there are fewer");
    let first = page.text();
    assert!(first.contains("Days since seeding"), "{first}");
    page.holds("<p class=\"report-value\">63</p>");
}

/// One visit with so many of 25 cells planted in every frame, two frames at each of six spots.
fn evenly(on: &str, planted: &[u32]) -> Sample {
    let mut sample = judged(Sample::empty());
    let mut planting = sample
        .app
        .book
        .planting(sample.planting)
        .unwrap()
        .unwrap()
        .body;
    planting.purpose = Purpose::Conservation;
    sample.planting = correct(&sample, sample.planting, planting);
    let mut visit = sample.app.book.visit(sample.visit).unwrap().unwrap().body;
    visit.on = on.into();
    sample.visit = correct(&sample, sample.visit, visit);
    for (at, point) in sample.points.iter().enumerate() {
        for number in 1..=2 {
            let n = planted[at % planted.len()];
            sample.keep(frame(
                *point,
                number,
                cells(&taxon("andropogon_gerardi"), 1..=n),
            ));
        }
    }
    sample
}

/// 25 of 100 cells are taken as enough for conservation cover (Schmer and others 2006, abstract).
#[tokio::test]
async fn the_headline_is_as_firm_as_the_verdict() {
    let many = [18, 20, 19, 17, 21, 18];
    let few = [1, 0, 2, 1, 0, 1];
    for (on, planted, says) in [
        (
            "2026-10-01",
            &many,
            "Yes: enough planted grasses have come up for conservation cover.",
        ),
        (
            "2026-07-14",
            &many,
            "So far, yes: there are enough planted grasses for conservation cover.",
        ),
        (
            "2026-10-01",
            &few,
            "No: there are fewer planted grasses than conservation cover asks for.",
        ),
        (
            "2026-07-14",
            &few,
            "Few planted grasses so far, and it is too early to call that a failure.",
        ),
        (
            "2026-05-20",
            &[0; 6],
            "Too early to look: seedlings of these grasses show from about 9 June 2026.",
        ),
    ] {
        ok(&evenly(on, planted), "/report").await.holds(says);
    }
    let zero = ok(&evenly("2026-10-01", &[0; 6]), "/report").await;
    zero.holds("No planted grass was found; at most");
    // Weeds take the third place once the day is fair.
    zero.holds("Weeds that stay (perennial)")
        .lacks("<h2>Days since seeding</h2>");
}

#[tokio::test]
async fn json_names_its_parts_and_its_keys_are_alike() {
    let sample = full();
    let answer = ok(&sample, ".json").await;
    assert_eq!(answer.content_type, "application/json");
    let json: Value = serde_json::from_slice(&answer.bytes).unwrap();
    let about = json["about"].as_object().unwrap();
    for key in json.as_object().unwrap().keys() {
        assert!(
            key == "about" || key == "written_on" || about.contains_key(key),
            "{key} is not explained"
        );
    }
    fn check(value: &Value) {
        match value {
            Value::Object(map) => {
                for (key, inner) in map {
                    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
                    assert!(key.chars().all(plain), "{key}");
                    check(inner);
                }
            }
            Value::Array(items) => items.iter().for_each(check),
            _ => {}
        }
    }
    check(&json);
    assert_eq!(json["site"]["owner"], "R. Hale");
    assert_eq!(json["program"]["name"], "standbook");
    assert_eq!(json["key"]["fingerprint"].as_str().unwrap().len(), 64);
    let outline = &json["outlines"][0];
    assert_eq!(outline["of"], "field");
    assert_eq!(outline["geometry"]["type"], "MultiPolygon");
    let first = &outline["geometry"]["coordinates"][0][0];
    // Longitude first, and the ring is closed (RFC 7946).
    assert!(first[0][0].as_f64().unwrap() < -90.0);
    assert_eq!(first[0], first[first.as_array().unwrap().len() - 1]);
    let frames = json["frames"].as_array().unwrap();
    assert!(frames.iter().any(|f| f["repeats_frame"].is_u64()));
    assert!(
        frames
            .iter()
            .any(|f| f["entries"].as_array().unwrap().is_empty())
    );
}

#[tokio::test]
async fn frames_come_out_cell_by_cell() {
    let sample = full();
    let answer = ok(&sample, "/frames.csv").await;
    assert_eq!(answer.content_type, "text/csv; charset=utf-8");
    let text = answer.text();
    assert!(text.starts_with(
        "point,frame,scout,date,latitude,longitude,cell,taxon,count,looked_twice,repeats,"
    ));
    let table = rows(&answer);
    let of = |point: &str, frame: &str| -> Vec<_> {
        table
            .iter()
            .filter(|r| r["point"] == point && r["frame"] == frame && r["repeats"].is_empty())
            .collect()
    };
    // Looked, none: one row without a taxon.
    let none = of("4", "1");
    assert_eq!(none.len(), 1);
    assert_eq!(
        (none[0]["taxon"].as_str(), none[0]["cell"].as_str()),
        ("", "")
    );
    assert_eq!(none[0]["cells"], "25");
    let first = of("1", "1");
    let big = first
        .iter()
        .filter(|r| r["taxon"] == "andropogon_gerardi")
        .count();
    assert_eq!(big, 12);
    assert_eq!(first[0]["date"], "2026-07-14");
    assert!(first[0]["longitude"].starts_with("-96."));
    assert!(first.iter().any(|r| r["taxon"] == "unknown 3"));
    let again: Vec<_> = table.iter().filter(|r| !r["repeats"].is_empty()).collect();
    assert!(!again.is_empty());
    assert!(
        again
            .iter()
            .all(|r| r["repeats"] == "1" && r["scout"] == "B. Reed")
    );
}

#[tokio::test]
async fn a_settled_unknown_goes_by_its_name_and_is_one_entry_of_a_cell() {
    let sample = full();
    // Unknown 3 stands in cell 12 of the first frame, where big bluestem was ticked too.
    sample.keep(Opinion {
        taxon: Some("andropogon_gerardi".into()),
        reasons: String::new(),
        ..Opinion::on(sample.unknown)
    });
    let table = rows(&ok(&sample, "/frames.csv").await);
    let cell = |r: &&std::collections::BTreeMap<String, String>| {
        r["point"] == "1"
            && r["frame"] == "1"
            && r["repeats"].is_empty()
            && r["cell"] == "12"
            && r["taxon"] == "andropogon_gerardi"
    };
    assert_eq!(table.iter().filter(cell).count(), 1);
    assert!(table.iter().all(|r| !r["taxon"].starts_with("unknown")));
}

#[tokio::test]
async fn blind_repeats_are_not_ground() {
    let sample = full();
    let json: Value = serde_json::from_slice(&ok(&sample, ".json").await.bytes).unwrap();
    assert_eq!(json["judgement"]["facts"]["frames"], 12);
    assert_eq!(json["frames"].as_array().unwrap().len(), 13);
    let points = json["points"].as_array().unwrap();
    let frames: u64 = points.iter().map(|p| p["frames"].as_u64().unwrap()).sum();
    assert_eq!(frames, 12);
    ok(&sample, "/report")
        .await
        .holds("1 frame was read again by a second scout");
}

#[tokio::test]
async fn names_cannot_break_a_file_or_run_in_a_spreadsheet() {
    let sample = odd_names();
    let table = rows(&ok(&sample, "/frames.csv").await);
    // Quotes and commas come back as they were; a formula does not run. The book takes no line
    // break in a name; notes may have some, and stand in the JSON only.
    assert!(
        table.iter().any(|r| r["scout"] == "O'Dell, \"Pat\" Jr."),
        "{table:?}"
    );
    assert!(table.iter().any(|r| r["point"] == "'=1+1"));
    assert!(table.iter().all(|r| !r["point"].starts_with('=')));
    let page = ok(&sample, "/report").await;
    page.holds("&#34;north&#34;").lacks("<b>");
    let json: Value = serde_json::from_slice(&ok(&sample, ".json").await.bytes).unwrap();
    assert_eq!(json["visit"]["note"], "hot,\nwindy; \"hazy\"");
    for what in [".json", ".csv", "/frames.csv"] {
        let answer = sample
            .head(&format!("/stand/{}{what}", sample.planting))
            .await;
        let name = answer.strip_prefix("attachment; filename=\"").unwrap();
        let name = name.strip_suffix('"').unwrap();
        let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '.';
        assert!(name.chars().all(plain), "{name}");
        assert!(name.contains("2026-07-14"), "{name}");
    }
}

#[tokio::test]
async fn the_packet_holds_what_a_form_asks_and_lists_what_is_missing() {
    let sample = full();
    let page = ok(&sample, "/packet").await;
    for text in [
        "R. Hale",
        "Marl",
        "KS",
        "<dd>4412</dd>",
        "<dd>907</dd>",
        "<dd>3</dd>",
        "40 acres (16.19 ha)",
        "drilled, rows 7.5 in (19.1 cm) apart",
        "Seed tags",
        "K-771",
        "57 %",
        "80.75 % with dormant seed",
        "Signature",
        "for the agency to decide",
        "looked, none",
    ] {
        page.holds(text);
    }
    // By the outline: 400 m by 400 m is 16 ha or 39.5 acres; its corners are rounded to about 1 m.
    page.holds("39.6 acres (16.01 ha)");
    page.holds("Missing in the book")
        .holds("Seed tag of sideoats grama");
    let bare = ok(&judged(Sample::counted(false)), "/packet").await;
    for text in [
        "Farm number",
        "Acres by the outline",
        "Applied rate of big bluestem",
        "aria-label=\"to fill in\"",
    ] {
        bare.holds(text);
    }
}

#[tokio::test]
async fn positions_give_a_map_and_none_give_a_strip() {
    let map = ok(&full(), "/report").await;
    map.holds("class=\"line-field\"")
        .holds("class=\"spot-ring\"")
        .holds("class=\"spot-cross\"");
    map.holds("200 m").holds("500 ft");
    map.lacks("class=\"column\"");
    let strip = ok(&judged(Sample::counted(false)), "/report").await;
    strip
        .holds("class=\"column\"")
        .holds("there is no map")
        .lacks("class=\"spot-ring\"");
}

#[tokio::test]
async fn counts_are_said_on_a_square_foot() {
    let sample = counts_only();
    let page = ok(&sample, "/report").await;
    page.holds("planted plants stand on a square foot");
    page.holds("Counted on 6 m²");
    page.lacks("of every 100 squares");
    // 36 plants on 6 m2: 6 a m2, 0.557 a ft2 (by hand).
    page.holds("<p class=\"report-value\">0.56</p>");
    let table = rows(&ok(&sample, ".csv").await);
    let row = table
        .iter()
        .find(|r| r["group_or_taxon"] == "planted" && r["unit"] == "plants per m2")
        .unwrap();
    assert_eq!(row["value"], "6");
}

#[tokio::test]
async fn other_visits_are_a_choice() {
    let sample = full();
    sample.keep(Visit {
        planting: sample.planting,
        on: "2026-09-20".into(),
        scouts: vec!["A. Fenn".into()],
        note: String::new(),
    });
    ok(&sample, "/report")
        .await
        .holds("20 September 2026")
        .holds("Nothing was counted");
    let first = sample
        .get(&format!(
            "/stand/{}/report?visit={}",
            sample.planting, sample.visit
        ))
        .await;
    first.holds("14 July 2026 by A. Fenn, B. Reed");
    first.holds(&format!(
        "/stand/{}.json?visit={}",
        sample.planting, sample.visit
    ));
}
