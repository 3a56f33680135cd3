//! Plants to come back to, asked for in this process, on a real book.

use crate::desk_support::{Sample, record};
use axum::http::StatusCode;
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Entry, RecordId};

fn plant(sample: &Sample) -> String {
    format!("/determinations/{}", sample.determination)
}

async fn flag(sample: &Sample, to: &str, fields: &[(&str, &str)]) -> RecordId {
    let id = RecordId::new();
    let text = id.to_string();
    let mut all = vec![("id", text.as_str()), ("scout", "A. Fenn")];
    all.extend(fields);
    let answer = sample.post(&format!("{to}/come-back"), &all).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    assert_eq!(answer.location, format!("{to}#come-back"));
    id
}

#[track_caller]
fn get(sample: &Sample, id: RecordId) -> Entry<ComeBack> {
    sample.app.book.come_back(id).unwrap().unwrap()
}

/// What a page says between two of its headings.
fn part<'a>(page: &'a str, from: &str, to: &str) -> &'a str {
    let start = page
        .find(from)
        .unwrap_or_else(|| panic!("no {from} in {page}"));
    let end = page[start..]
        .find(to)
        .unwrap_or_else(|| panic!("no {to} after {from}"));
    &page[start..start + end]
}

#[tokio::test]
async fn a_day_is_offered_for_heading_and_green_up_and_another_may_be_given() {
    let sample = Sample::counted(false);
    let to = plant(&sample);
    let blank = sample.get(&format!("{to}/come-back")).await;
    let page = sample.get(&blank.location).await;
    // The form is opened today, after the visit: the next fifteenth of August from now.
    page.holds("when it heads: <strong>15 August 20")
        .holds("after it greens up in spring: <strong>1 June 20")
        .holds("common practice for warm-season grasses")
        .holds("North Dakota")
        .holds("Its point has no position")
        .holds("data-keep=\"id\"");
    let heading = flag(
        &sample,
        &to,
        &[("reason", "heading"), ("pin", "orange flag")],
    )
    .await;
    let kept = get(&sample, heading).body;
    assert!(kept.due_on.ends_with("-08-15"), "{kept:?}");
    assert!(kept.due_on.as_str() > standbook_web::words::today().as_str());
    assert_eq!(
        (kept.reason, kept.pin.as_str()),
        (ComeBackReason::Heading, "orange flag")
    );
    let green = flag(&sample, &to, &[("reason", "green_up"), ("due_on", "")]).await;
    assert!(get(&sample, green).body.due_on.ends_with("-06-01"));
    let own = [
        ("reason", "heading"),
        ("due_on", "2026-09-02"),
        ("latitude", "40.25"),
        ("longitude", "-96.5"),
    ];
    let own = get(&sample, flag(&sample, &to, &own).await).body;
    assert_eq!(own.due_on, "2026-09-02");
    assert!((own.position.unwrap().latitude - 40.25).abs() < 1e-12);

    let before = sample.app.book.count().unwrap();
    for (fields, said) in [
        (
            &[("reason", "other")][..],
            "The day from which it is worth going is missing",
        ),
        (&[("reason", "soon")], "What is waited for is missing"),
        (&[], "What is waited for is missing"),
        (
            &[("reason", "heading"), ("due_on", "2026-13-01")],
            "is no date",
        ),
        (
            &[
                ("reason", "heading"),
                ("latitude", "91"),
                ("longitude", "0"),
            ],
            "out of range",
        ),
        (
            &[("reason", "heading"), ("latitude", "9")],
            "longitude is missing",
        ),
    ] {
        let id = RecordId::new().to_string();
        let mut all = vec![
            ("id", id.as_str()),
            ("scout", "A. Fenn"),
            ("pin", "by the post"),
        ];
        all.extend(fields);
        let page = sample.post(&format!("{to}/come-back"), &all).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{fields:?}");
        page.holds(said).holds("by the post");
    }
    assert_eq!(sample.app.book.count().unwrap(), before);
}

fn place(sample: &Sample, at: usize, latitude: f64, longitude: f64) {
    let point = sample.app.book.point(sample.points[at]).unwrap().unwrap();
    let mut corrected = record(Point {
        position: Some(Position {
            latitude,
            longitude,
            uncertainty_m: None,
        }),
        ..point.body
    });
    corrected.supersedes = Some(point.id);
    sample.keep_record(corrected);
}

#[tokio::test]
async fn what_is_due_comes_first_and_what_was_seen_last() {
    let sample = Sample::counted(true);
    let (known, unknown) = (plant(&sample), format!("/unknowns/{}", sample.unknown));
    let planting = format!("/plantings/{}", sample.planting);
    let visit = format!("/visits/{}", sample.visit);
    sample.get(&planting).await.lacks("to come back to");
    let due = flag(
        &sample,
        &known,
        &[
            ("reason", "other"),
            ("due_on", "2026-07-20"),
            ("pin", "red peg"),
        ],
    )
    .await;
    flag(
        &sample,
        &unknown,
        &[("reason", "other"), ("due_on", "2190-06-01")],
    )
    .await;
    for page in [&planting, &visit] {
        sample
            .get(page)
            .await
            .holds("2 plants to come back to on this planting, 1 of them due now")
            .holds(&format!("/desk/come-back?planting={}", sample.planting));
    }
    let page = sample.get("/desk/come-back").await.text();
    let now = part(&page, "<h2>Due now", "<h2>Later");
    assert!(
        now.contains("<h3>Quill Farm</h3>") && now.contains("big bluestem"),
        "{now}"
    );
    assert!(now.contains("to look again, from 20 July 2026") && now.contains("Marked: red peg."));
    assert!(
        now.contains("North, point 1, cell 7; north forty") && now.contains("Photos: no photo")
    );
    assert!(!now.contains("unknown 3"));
    let later = part(&page, "<h2>Later", "<h2>Done of late");
    assert!(later.contains("unknown 3: hairy, flat base"), "{later}");
    assert!(page.ends_with("</html>\n") || page.contains("<p>None.</p>"));

    // Nobody went yet.
    let form = sample.get(&format!("/come-back/{due}/seen")).await;
    form.holds("red peg").holds("give it on the plant’s page");
    let id = RecordId::new().to_string();
    let old = due.to_string();
    let seen = [
        ("id", id.as_str()),
        ("supersedes", old.as_str()),
        ("scout", "B. Reed"),
        ("seen_on", "2026-07-21"),
        ("found", "three spikes, <i>spread</i>"),
    ];
    let empty: Vec<_> = seen
        .iter()
        .map(|(n, v)| (*n, if *n == "found" { " " } else { v }))
        .collect();
    let page = sample.post(&format!("/come-back/{due}/seen"), &empty).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("What was found is missing");
    assert_eq!(get(&sample, due).body.seen_on, None);
    for _ in 0..2 {
        let answer = sample.post(&format!("/come-back/{due}/seen"), &seen).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        assert_eq!(answer.location, format!("{known}#come-back"));
    }
    let kept = get(&sample, due);
    assert_eq!(
        (kept.supersedes, kept.author.as_str()),
        (Some(due), "B. Reed")
    );
    assert_eq!(
        (kept.body.pin.as_str(), kept.body.due_on.as_str()),
        ("red peg", "2026-07-20")
    );
    let page = sample.get("/desk/come-back").await.text();
    let done = &page[page.find("<h2>Done of late").unwrap()..];
    assert!(
        done.contains("seen 21 July 2026: three spikes, &#60;i&#62;spread"),
        "{done}"
    );
    assert!(!part(&page, "<h2>Due now", "<h2>Later").contains("big bluestem"));
    sample
        .get(&planting)
        .await
        .holds("1 plant to come back to on this planting, none of them due yet");
    sample
        .get(&known)
        .await
        .holds("<strong>Seen 21 July 2026: three spikes");

    // The rest of the flag corrected later leaves what was found alone.
    let now = kept.id.to_string();
    let fields = [
        ("supersedes", now.as_str()),
        ("reason", "other"),
        ("due_on", "2026-07-19"),
    ];
    flag(&sample, &known, &fields).await;
    let kept = get(&sample, due).body;
    assert_eq!(
        (kept.due_on.as_str(), kept.seen_on.as_deref()),
        ("2026-07-19", Some("2026-07-21"))
    );
    assert!(kept.found.starts_with("three spikes"));
    assert_eq!(
        sample
            .get(&format!("/come-back/{}/seen", RecordId::new()))
            .await
            .status,
        StatusCode::NOT_FOUND
    );
}

/// The receiver's file: a waypoint each, at the flag's own fix or at its point, and nothing of plants that
/// have no position. `STANDBOOK_PYTHON` names a Python with gpxpy, which then reads it as well.
#[tokio::test]
async fn what_is_due_goes_to_a_receiver() {
    let sample = Sample::counted(true);
    let (known, unknown) = (plant(&sample), format!("/unknowns/{}", sample.unknown));
    let past = [("reason", "other"), ("due_on", "2026-07-20")];
    flag(&sample, &known, &past).await;
    // Nobody has said where.
    let none = sample.get("/desk/come-back.gpx").await;
    assert!(waypoints(&none.text()).is_empty());
    sample.get("/desk/come-back").await.lacks("come-back.gpx");
    place(&sample, 0, 40.201_25, -96.5);
    let own = [
        ("reason", "heading"),
        ("due_on", "2026-08-01"),
        ("pin", "flag & peg \u{2192} \"north\" <side>"),
        ("latitude", "40.2"),
        ("longitude", "-96.498765"),
    ];
    flag(&sample, &unknown, &own).await;
    flag(
        &sample,
        &known,
        &[("reason", "other"), ("due_on", "2190-01-01")],
    )
    .await;
    let file = sample.get("/desk/come-back.gpx").await;
    assert_eq!(file.content_type, "application/gpx+xml");
    let all = [
        [
            "40.20125",
            "-96.5",
            "big bluestem, North, point 1, cell 7",
            "to look again, from 20 July 2026; north forty",
        ],
        [
            "40.2",
            "-96.498765",
            "unknown 3: hairy, flat base, North, point 1",
            "when it heads, from 1 August 2026; north forty; flag & peg \u{2192} \"north\" <side>",
        ],
    ];
    assert_eq!(waypoints(&file.text()), all);
    by_gpxpy(&file.bytes, &all);
    let later = sample.get("/desk/come-back.gpx?later=yes").await.text();
    assert_eq!(waypoints(&later).len(), 3);
    let other = sample
        .get(&format!("/desk/come-back.gpx?planting={}", RecordId::new()))
        .await;
    assert_eq!(other.status, StatusCode::NOT_FOUND);
    // From where one stands: by GeographicLib 2.1 (Python) the two are 174.13 m apart.
    let last = format!("point={}", sample.points[0]);
    let page = sample.get_with_cookie("/desk/come-back", &last).await;
    page.holds("Distances are from North, point 1")
        .holds("174 m (0.1 miles) away");
}

/// Waypoints by the elements that the schema of GPX 1.1 asks for (topografix.com/GPX/1/1, from memory): `wpt`
/// with `lat` and `lon`, in it `name` before `desc`.
fn waypoints(text: &str) -> Vec<[String; 4]> {
    let plain = |text: &str| {
        text.replace("&lt;", "<")
            .replace("&gt;", ">")
            .replace("&quot;", "\"")
            .replace("&apos;", "'")
            .replace("&amp;", "&")
    };
    let between = |text: &str, from: &str, to: &str| {
        let rest = text
            .split(from)
            .nth(1)
            .unwrap_or_else(|| panic!("no {from} in {text}"));
        plain(rest.split(to).next().unwrap())
    };
    assert!(text.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"Standbook\" xmlns=\"http://www.topografix.com/GPX/1/1\">"));
    assert!(text.ends_with("</gpx>\n"));
    text.split("<wpt ")
        .skip(1)
        .map(|one| {
            assert!(one.find("<name>") < one.find("<desc>"), "{one}");
            [
                between(one, "lat=\"", "\""),
                between(one, "lon=\"", "\""),
                between(one, "<name>", "</name>"),
                between(one, "<desc>", "</desc>"),
            ]
        })
        .collect()
}

fn by_gpxpy(bytes: &[u8], all: &[[&str; 4]]) {
    let Some(python) = std::env::var_os("STANDBOOK_PYTHON") else {
        return;
    };
    const SCRIPT: &str = "import gpxpy, json, sys
gpx = gpxpy.parse(open(sys.argv[1], encoding='utf-8'))
print(json.dumps([[w.latitude, w.longitude, w.name, w.description] for w in gpx.waypoints]))";
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), bytes).unwrap();
    let out = std::process::Command::new(python)
        .args(["-c", SCRIPT])
        .arg(file.path())
        .output()
        .unwrap();
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    let read: Vec<(f64, f64, String, String)> = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(read.len(), all.len());
    for (read, ours) in read.iter().zip(all) {
        assert_eq!(
            (read.0.to_string(), read.1.to_string()),
            (ours[0].to_owned(), ours[1].to_owned())
        );
        assert_eq!((read.2.as_str(), read.3.as_str()), (ours[2], ours[3]));
    }
}
