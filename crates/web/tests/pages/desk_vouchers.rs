//! Specimens and their labels, asked for in this process, on a real book.

use crate::desk_support::{Answer, Sample, camera, record};
use axum::http::StatusCode;
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Entry, RecordId};

const FIELDS: [(&str, &str); 12] = [
    ("scout", "A. Fenn"),
    ("collector", "A. Fenn"),
    ("number", "7"),
    ("collected_on", "2026-07-14"),
    ("preparation", "pressed"),
    ("parts", "two plants\r\nwith roots"),
    ("kept_at", "office press"),
    ("habitat", "Drilled field, silt loam"),
    ("associates", "Setaria viridis"),
    ("habit", "single tiller, 12 cm"),
    ("abundance", "common"),
    ("fading", "base red-purple"),
];

fn with<'a>(id: &'a str, changed: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut fields = vec![("id", id)];
    fields.extend(FIELDS.iter().map(|(name, value)| {
        let other = changed.iter().find(|(n, _)| n == name);
        (*name, other.map_or(*value, |(_, v)| *v))
    }));
    let more = changed
        .iter()
        .filter(|(name, _)| !FIELDS.iter().any(|(n, _)| n == name));
    fields.extend(more);
    fields
}

fn plant(sample: &Sample) -> String {
    format!("/determinations/{}", sample.determination)
}

#[track_caller]
fn only(sample: &Sample) -> Entry<Voucher> {
    let mut all = sample.app.book.vouchers_all().unwrap();
    assert_eq!(all.len(), 1);
    all.remove(0)
}

async fn keep(sample: &Sample, to: &str, changed: &[(&str, &str)]) -> RecordId {
    let id = RecordId::new();
    let answer = sample
        .post(&format!("{to}/voucher"), &with(&id.to_string(), changed))
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    id
}

/// A form as it stands on a page: what a browser would send of it.
fn value<'a>(page: &'a str, name: &str) -> &'a str {
    let mark = format!("name=\"{name}\" value=\"");
    let rest = page.split(mark.as_str()).nth(1);
    rest.unwrap_or_else(|| panic!("no {name} in:\n{page}"))
        .split('"')
        .next()
        .unwrap()
}

async fn open(sample: &Sample, address: &str) -> Answer {
    let to = sample.get(address).await;
    assert_eq!(to.status, StatusCode::SEE_OTHER, "{}", to.text());
    let page = sample.get(&to.location).await;
    assert_eq!(page.status, StatusCode::OK);
    page
}

#[tokio::test]
async fn a_specimen_is_kept_with_its_plant_and_the_next_number_is_offered() {
    let sample = Sample::counted(false);
    let to = format!("{}/voucher", plant(&sample));
    let page = open(&sample, &to).await.text();
    assert_eq!(value(&page, "collector"), "A. Fenn");
    assert_eq!(value(&page, "number"), "1");
    assert_eq!(value(&page, "collected_on"), "2026-07-14");
    assert!(page.contains("data-keep=\"id\""));
    // What the law of the place may ask stands above the form.
    assert!(page.contains("on public land"), "{page}");

    let id = value(&page, "id").to_owned();
    let fields = with(&id, &[("number", "AF-041")]);
    for _ in 0..2 {
        let answer = sample.post(&to, &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        assert_eq!(answer.location, format!("{}#specimens", plant(&sample)));
    }
    let kept = only(&sample);
    assert_eq!(kept.id.to_string(), id);
    assert_eq!(kept.body.about, sample.determination);
    assert_eq!(kept.body.parts, "two plants\nwith roots");
    assert_eq!(kept.body.preparation, Preparation::Pressed);
    sample
        .get(&plant(&sample))
        .await
        .holds(
            "<strong>A. Fenn AF-041</strong>, 14 July 2026, pressed flat: two plants\nwith roots",
        )
        .holds("at office press");
    let page = open(&sample, &to).await.text();
    assert_eq!(value(&page, "number"), "AF-042");
    // Going back in the browser leads to what was saved.
    let back = sample.get(&format!("{to}?id={id}")).await;
    assert_eq!(back.location, format!("{}#specimens", plant(&sample)));
}

#[tokio::test]
async fn moved_to_a_herbarium_is_a_correction() {
    let sample = Sample::counted(false);
    let first = keep(&sample, &plant(&sample), &[]).await;
    let page = sample
        .get(&format!("/vouchers/{first}/correct"))
        .await
        .text();
    assert!(
        page.contains(">two plants\nwith roots</textarea>"),
        "{page}"
    );
    assert_eq!(value(&page, "kept_at"), "office press");
    let (id, old) = (value(&page, "id").to_owned(), value(&page, "supersedes"));
    let action = page
        .split("<form method=\"post\" action=\"")
        .nth(1)
        .unwrap();
    let action = action.split('"').next().unwrap();
    let moved = with(&id, &[("kept_at", "county herbarium"), ("supersedes", old)]);
    let answer = sample.post(action, &moved).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let now = only(&sample);
    assert_eq!(
        (now.supersedes, now.body.kept_at.as_str()),
        (Some(first), "county herbarium")
    );
    assert_eq!(sample.app.book.history(first).unwrap().len(), 2);
    sample
        .get(&plant(&sample))
        .await
        .holds("at county herbarium; corrected");
}

#[tokio::test]
async fn what_cannot_be_kept_is_said_with_the_form_filled_in_and_nothing_is_written() {
    let sample = Sample::counted(false);
    keep(&sample, &plant(&sample), &[]).await;
    let to = format!("{}/voucher", plant(&sample));
    let long = "x".repeat(2001);
    for (field, wrong, said) in [
        (
            "number",
            "7",
            "A. Fenn has a specimen 7 already. Give it the next free number",
        ),
        (
            "number",
            "",
            "The collector’s number is missing"
                .replace('’', "'")
                .as_str(),
        ),
        ("collector", "a\u{7}b", "can't be seen"),
        ("collected_on", "2026-02-30", "is no date"),
        ("collected_on", "2190-01-01", "is in the future"),
        ("preparation", "frozen", "How it is kept is missing"),
        ("habitat", &long, "Shorten it to 2000"),
        ("scout", "", "Your name is missing"),
    ] {
        let id = RecordId::new().to_string();
        let changed: Vec<(&str, &str)> = match field {
            "number" => vec![(field, wrong)],
            _ => vec![("number", "8"), (field, wrong)],
        };
        let page = sample.post(&to, &with(&id, &changed)).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{field}");
        let text = page.text().replace("&#39;", "'");
        assert!(text.contains(said), "{field}: no {said} in\n{text}");
        assert!(text.contains("Drilled field, silt loam") || field == "habitat");
        assert_eq!(sample.app.book.vouchers_all().unwrap().len(), 1);
    }
    for to in [
        format!("/determinations/{}/voucher", sample.unknown),
        format!("/unknowns/{}/voucher", sample.determination),
        format!("/unknowns/{}/voucher", RecordId::new()),
        "/determinations/x/voucher".to_owned(),
    ] {
        let id = RecordId::new().to_string();
        let page = sample.post(&to, &with(&id, &[("number", "9")])).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{to}");
    }
    assert_eq!(sample.app.book.vouchers_all().unwrap().len(), 1);
}

#[tokio::test]
async fn the_list_is_narrowed_by_place_collector_visit_and_photos() {
    let sample = Sample::counted(false);
    let unknown = format!("/unknowns/{}", sample.unknown);
    keep(&sample, &plant(&sample), &[("number", "9")]).await;
    keep(
        &sample,
        &plant(&sample),
        &[("number", "10"), ("kept_at", "")],
    )
    .await;
    keep(
        &sample,
        &unknown,
        &[("collector", "B. Reed"), ("kept_at", "county herbarium")],
    )
    .await;
    sample.keep(Photo {
        of: sample.unknown,
        sha256: "ab".repeat(32),
        media_type: "image/png".into(),
        bytes: 5,
        shows: "base".into(),
    });
    let page = sample.get("/desk/vouchers").await;
    let text = page.text();
    let at = |what: &str| text.find(what).unwrap_or_else(|| panic!("no {what}"));
    // As people count: 9 before 10.
    assert!(at("A. Fenn 9</strong>") < at("A. Fenn 10</strong>"));
    assert!(at("A. Fenn 10</strong>") < at("B. Reed 7</strong>"));
    page.holds("unknown 3: hairy, flat base")
        .holds("Photos: no photo")
        .holds("1 photo; missing: plant in its setting, whole plant, collar with ligule");
    for (query, yes, no) in [
        (
            "kept_at=county+herbarium",
            &["B. Reed 7"][..],
            &["A. Fenn 9", "A. Fenn 10"][..],
        ),
        ("kept_at=%3F", &["A. Fenn 10"], &["A. Fenn 9", "B. Reed 7"]),
        ("collector=B.+Reed", &["B. Reed 7"], &["A. Fenn 9"]),
        ("photos=none", &["A. Fenn 9", "A. Fenn 10"], &["B. Reed 7"]),
        ("photos=lacking", &["A. Fenn 9", "B. Reed 7"], &[]),
        (
            &format!("visit={}", sample.visit),
            &["A. Fenn 9", "B. Reed 7"],
            &[],
        ),
        (
            &format!("visit={}", RecordId::new()),
            &[],
            &["A. Fenn 9", "B. Reed 7"],
        ),
        ("page=99", &["A. Fenn 9"], &[]),
    ] {
        let page = sample.get(&format!("/desk/vouchers?{query}")).await;
        assert_eq!(page.status, StatusCode::OK, "{query}");
        let row = |who: &str| format!("<strong>{who}</strong>");
        for who in yes {
            page.holds(&row(who));
        }
        for who in no {
            page.lacks(&row(who));
        }
    }
}

/// Gives the plant's point a position and its site a county; both are corrections.
fn place(sample: &Sample) {
    let book = &sample.app.book;
    let point = book.point(sample.points[0]).unwrap().unwrap();
    let mut corrected = record(Point {
        position: Some(Position {
            latitude: 40.201_338,
            longitude: -96.5,
            uncertainty_m: Some(4.0),
        }),
        ..point.body
    });
    corrected.supersedes = Some(sample.points[0]);
    let site = book.site(sample.site).unwrap().unwrap();
    let mut named = record(Site {
        county: "Hollis".into(),
        state: "NE".into(),
        ..site.body
    });
    named.supersedes = Some(sample.site);
    book.append(vec![corrected, named]).unwrap();
}

#[tokio::test]
async fn a_label_has_the_fields_of_a_herbarium_label_and_leads_back_to_its_record() {
    let sample = Sample::counted(false);
    let id = keep(&sample, &plant(&sample), &[]).await;
    let address = format!("/desk/vouchers/labels?voucher={id}");
    let page = sample.get(&address).await;
    page.holds("A. Fenn 7: state, county, coordinates");
    place(&sample);
    let page = sample.get(&address).await;
    page.lacks("Not filled in");
    for field in [
        "NE: Hollis",
        "<i>Andropogon gerardi</i>",
        "det. A. Fenn, ",
        "Quill Farm. Marl County. north forty. North, point 1, cell 7.",
        "40.20134° N, 96.50000° W (WGS 84, within 4 m)",
        "<b>Habitat:</b> Drilled field, silt loam",
        "<b>With:</b> Setaria viridis",
        "<b>Habit:</b> single tiller, 12 cm",
        "<b>Abundance:</b> common",
        "<b>Lost on drying:</b> base red-purple",
        "<b>Collected:</b> two plants\nwith roots, pressed flat",
        "A. Fenn <b>7</b>",
        "<p>14 July 2026</p>",
    ] {
        page.holds(field);
    }
    let text = page.text();
    let codes = camera::read_all(&text);
    assert_eq!(codes, [format!("http://127.0.0.1/r/{id}")]);
    let tail: String = id.to_string().chars().skip(24).collect();
    page.holds(&format!("<p class=\"label-code\">{tail}</p>"));
    // By the picture, by the digits, typed in capitals: the plant.
    for to in [
        codes[0].replace("http://127.0.0.1", ""),
        format!("/r/{tail}"),
        format!("/r?id=+{}", tail.to_uppercase()),
    ] {
        let found = sample.get(&to).await;
        assert_eq!(
            found.location,
            format!("{}#specimens", plant(&sample)),
            "{to}"
        );
    }
    for none in ["/r/x", "/r/%25", "/r", &format!("/r/{}", RecordId::new())] {
        assert_eq!(
            sample.get(none).await.status,
            StatusCode::NOT_FOUND,
            "{none}"
        );
    }
}

#[tokio::test]
async fn a_name_is_never_written_over_each_has_a_slip_of_its_own() {
    let sample = Sample::counted(false);
    let id = keep(&sample, &plant(&sample), &[]).await;
    for (author, opinion) in [
        (
            "B. Reed",
            Opinion {
                genus: Some("Andropogon".into()),
                ..Opinion::on(sample.determination)
            },
        ),
        (
            "C. Wold",
            Opinion {
                taxon: Some("sorghastrum_nutans".into()),
                qualifier: Some(Qualifier::Cf),
                ..Opinion::on(sample.determination)
            },
        ),
    ] {
        let mut one = record(opinion);
        one.author = author.to_owned();
        sample.keep_record(one);
    }
    let sheet = |which: &str| format!("/desk/vouchers/labels?voucher={id}&which={which}");
    let label = "<i>Sorghastrum</i> cf. <i>nutans</i>";
    let names = [
        ("<i>Andropogon gerardi</i>", "A. Fenn"),
        ("<i>Andropogon</i> sp.", "B. Reed"),
        (label, "C. Wold"),
    ];
    let text = sample.get(&sheet("both")).await.text();
    let (on_label, slips) = text.split_once("class=\"slip\"").unwrap();
    assert!(
        on_label.contains(label) && on_label.contains("det. C. Wold, "),
        "{text}"
    );
    assert_eq!(slips.matches("Determination slip").count(), 2);
    for (name, by) in &names[..2] {
        assert!(
            slips.contains(name) && slips.contains(&format!("det. {by}, ")),
            "{name}"
        );
        assert!(!on_label.contains(name), "{name}");
    }
    sample
        .get(&sheet("labels"))
        .await
        .holds(label)
        .lacks("class=\"slip\"");
    // For a sheet that has its label already.
    let text = sample.get(&sheet("slips")).await.text();
    assert_eq!(text.matches("class=\"slip\"").count(), 3);
    assert!(!text.contains("class=\"label\""));
    let last = text.rsplit("class=\"slip\"").next().unwrap();
    assert!(
        last.contains(label) && last.contains("of A. Fenn 7; "),
        "{last}"
    );
    for wrong in ["which=some", "paper=a5", "paper=letter&which=%00"] {
        let page = sample.get(&format!("/desk/vouchers/labels?{wrong}")).await;
        assert_eq!(page.status, StatusCode::BAD_REQUEST, "{wrong}");
    }
}

#[tokio::test]
async fn an_unknown_has_a_label_too_and_its_description_in_place_of_a_name() {
    let sample = Sample::counted(true);
    let to = format!("/unknowns/{}", sample.unknown);
    let id = keep(&sample, &to, &[("habitat", "<b>x</b>")]).await;
    sample.get(&to).await.holds("<strong>A. Fenn 7</strong>");
    let page = sample
        .get(&format!("/desk/vouchers/labels?voucher={id}"))
        .await;
    page.holds("<h2>not determined</h2><p>unknown 3: hairy, flat base</p>")
        .holds("&#60;b&#62;x&#60;/b&#62;")
        .lacks("<b>x</b>");
}

/// Of every kind that there is: what a code leads to is a page.
#[tokio::test]
async fn every_kind_of_record_is_found_by_its_id() {
    let sample = Sample::counted(true);
    let about = sample.determination;
    let book = &sample.app.book;
    let opinion = sample.keep(Opinion {
        taxon: Some("sorghastrum_nutans".into()),
        ..Opinion::on(sample.unknown)
    });
    let frame = book.frames(sample.visit).unwrap()[0].id;
    let event = sample.keep(Event {
        planting: sample.planting,
        on: "2026-06-01".into(),
        what: EventKind::Drought,
        note: String::new(),
    });
    let audit = sample.keep(Audit {
        visit: sample.visit,
        share: 0.5,
        draw_seed: 1,
        plants: 1,
        drawn: vec![about],
    });
    let flag = sample.keep(ComeBack {
        about,
        due_on: "2026-08-15".into(),
        reason: ComeBackReason::Heading,
        pin: String::new(),
        position: None,
        seen_on: None,
        found: String::new(),
    });
    let voucher = keep(&sample, &format!("/determinations/{about}"), &[]).await;
    for (id, to) in [
        (sample.site, format!("/sites/{}/correct", sample.site)),
        (sample.planting, format!("/plantings/{}", sample.planting)),
        (event, format!("/plantings/{}#since", sample.planting)),
        (sample.plot, format!("/plantings/{}", sample.planting)),
        (sample.visit, format!("/visits/{}", sample.visit)),
        (sample.points[0], format!("/at/{}", sample.points[0])),
        (frame, format!("/frames/{frame}")),
        (sample.unknown, format!("/unknowns/{}", sample.unknown)),
        (about, format!("/determinations/{about}")),
        (opinion, format!("/unknowns/{}#opinions", sample.unknown)),
        (voucher, format!("/determinations/{about}#specimens")),
        (flag, format!("/determinations/{about}#come-back")),
        (audit, format!("/desk/audits/{audit}")),
    ] {
        let found = sample.get(&format!("/r/{id}")).await;
        assert_eq!(
            (found.status, found.location.as_str()),
            (StatusCode::SEE_OTHER, to.as_str())
        );
        let page = to.split('#').next().unwrap();
        assert_eq!(sample.get(page).await.status, StatusCode::OK, "{page}");
    }
}
