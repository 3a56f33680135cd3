//! Sites, plantings, plots, visits, points in process: making, correcting, bad input.

use crate::desk_support::{Sample, hidden, key};
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::SeedingMethod;

const PLANTING: [(&str, &str); 11] = [
    ("do", "save"),
    ("name", "North forty"),
    ("site", "new"),
    ("site_name", "Teal Hollow"),
    ("site_locality", "Marl County"),
    ("seeded_on", "2026-05-12"),
    ("purpose", "conservation"),
    ("method", "drilled"),
    ("row_spacing_cm", "7.5"),
    ("unit", "in"),
    ("scout", "Thea Marsh"),
];

/// The planting form with fresh ids, some fields replaced.
fn planting<'a>(ids: &'a [String; 2], changed: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut fields = vec![
        ("id", ids[0].as_str()),
        ("site_id", ids[1].as_str()),
        ("mix", "andropogon_gerardi"),
        ("mix", "panicum_virgatum"),
        ("pls.andropogon_gerardi", "2.5"),
    ];
    fields.extend(
        PLANTING
            .iter()
            .filter(|(name, _)| !changed.iter().any(|(n, _)| n == name)),
    );
    fields.extend_from_slice(changed);
    fields
}

fn ids() -> [String; 2] {
    [RecordId::new().to_string(), RecordId::new().to_string()]
}

#[tokio::test]
async fn site_and_planting_are_made_in_one_form_and_once_however_often_it_is_sent() {
    let sample = Sample::empty();
    let before = sample.app.book.plantings().unwrap().len();
    let ids = ids();
    for _ in 0..2 {
        let answer = sample.post("/plantings", &planting(&ids, &[])).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        assert!(answer.cookies.contains("scout="), "{}", answer.cookies);
        sample
            .get(&answer.location)
            .await
            .holds("North forty")
            .holds("big bluestem");
    }
    assert_eq!(sample.app.book.plantings().unwrap().len(), before + 1);
    let kept = sample
        .app
        .book
        .planting(ids[0].parse().unwrap())
        .unwrap()
        .unwrap();
    // 7.5 in = 19.05 cm, exact (1 in = 2.54 cm).
    assert_eq!(
        kept.body.method,
        SeedingMethod::Drilled {
            row_spacing_cm: 19.05
        }
    );
    assert_eq!(kept.body.mix.len(), 2);
    assert_eq!(kept.body.mix[0].pls_lb_per_acre, Some(2.5));
    let site = sample.app.book.site(kept.body.site).unwrap().unwrap();
    assert_eq!(site.body.name, "Teal Hollow");
}

#[tokio::test]
async fn a_planting_that_cannot_be_comes_back_filled_in() {
    let sample = Sample::empty();
    let before = sample.app.book.plantings().unwrap().len();
    for (changed, said) in [
        (("name", ""), "name"),
        (("seeded_on", "2026-02-30"), "2026-02-30"),
        (("seeded_on", "yesterday"), "yesterday"),
        (("row_spacing_cm", "-3"), "-3"),
        (("row_spacing_cm", "wide"), "wide"),
        (("purpose", "fun"), "purpose"),
        (("method", "thrown"), "method"),
        (("site", "nowhere"), "site"),
        (("scout", ""), "name"),
    ] {
        let ids = ids();
        let page = sample.post("/plantings", &planting(&ids, &[changed])).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{changed:?}");
        page.holds("role=\"alert\"").holds(said);
        if changed.0 != "name" {
            page.holds("value=\"North forty\"");
        }
    }
    assert_eq!(
        sample.app.book.plantings().unwrap().len(),
        before,
        "half-written"
    );
}

#[tokio::test]
async fn names_are_text_not_markup() {
    let sample = Sample::empty();
    let ids = ids();
    let fields = planting(&ids, &[("name", "<script>alert(1)</script>")]);
    let answer = sample.post("/plantings", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    for address in [answer.location.as_str(), "/plot"] {
        sample
            .get(address)
            .await
            .holds("&#60;script&#62;")
            .lacks("<script>");
    }
}

#[tokio::test]
async fn plot_visit_and_point_lead_to_the_place_of_work() {
    let sample = Sample::empty();
    let planting = sample.planting.to_string();
    let (plot, visit, point) = (
        RecordId::new().to_string(),
        RecordId::new().to_string(),
        RecordId::new().to_string(),
    );
    let made = sample
        .post(
            "/plots",
            &[
                ("id", &plot),
                ("planting", &planting),
                ("name", "Lee side"),
                ("note", ""),
                ("scout", "Thea Marsh"),
            ],
        )
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text());
    let again = RecordId::new().to_string();
    let twice = sample
        .post(
            "/plots",
            &[
                ("id", &again),
                ("planting", &planting),
                ("name", "Lee side"),
                ("note", ""),
                ("scout", "Thea Marsh"),
            ],
        )
        .await;
    assert_eq!(
        twice.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "a plot name twice in a planting"
    );
    twice.holds("value=\"Lee side\"");
    let made = sample
        .post(
            "/visits",
            &[
                ("id", &visit),
                ("planting", &planting),
                ("on", "2026-07-20"),
                ("scouts", "Thea Marsh"),
                ("note", ""),
                ("scout", "Thea Marsh"),
            ],
        )
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text());
    let early = RecordId::new().to_string();
    let before = sample
        .post(
            "/visits",
            &[
                ("id", &early),
                ("planting", &planting),
                ("on", "1999-07-20"),
                ("scouts", "Thea Marsh"),
                ("scout", "Thea Marsh"),
            ],
        )
        .await;
    assert_eq!(
        before.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "a visit before the seeding"
    );
    before.holds("1999-07-20");
    let made = sample
        .post(
            "/points",
            &[
                ("id", &point),
                ("plot", &plot),
                ("visit", &visit),
                ("label", "1"),
                ("latitude", "40.2"),
                ("longitude", "-96.5"),
                ("uncertainty_m", "6"),
                ("scout", "Thea Marsh"),
            ],
        )
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text());
    assert_eq!(made.location, format!("/at/{point}"));
    sample
        .get(&made.location)
        .await
        .holds("Lee side")
        .holds("What is this?")
        .holds("Lay the frame");
    for (field, value) in [
        ("latitude", "91"),
        ("longitude", "north"),
        ("uncertainty_m", "0"),
    ] {
        let id = RecordId::new().to_string();
        let mut fields = vec![
            ("id", id.as_str()),
            ("plot", &plot),
            ("visit", &visit),
            ("label", "2"),
            ("scout", "Thea Marsh"),
        ];
        for (name, usual) in [
            ("latitude", "40.2"),
            ("longitude", "-96.5"),
            ("uncertainty_m", "6"),
        ] {
            fields.push((name, if name == field { value } else { usual }));
        }
        let page = sample.post("/points", &fields).await;
        assert_eq!(
            page.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{field} {value}"
        );
        page.holds(&format!("value=\"{value}\""));
    }
}

#[tokio::test]
async fn a_correction_is_a_new_version_and_keeps_what_hangs_on_the_old_one() {
    let sample = Sample::counted(false);
    let page = sample.get(&format!("/plots/{}/correct", sample.plot)).await;
    page.holds("name=\"supersedes\"");
    let id = RecordId::new().to_string();
    let (old, planting) = (sample.plot.to_string(), sample.planting.to_string());
    let answer = sample
        .post(
            "/plots",
            &[
                ("id", &id),
                ("supersedes", &old),
                ("planting", &planting),
                ("name", "Renamed"),
                ("note", ""),
                ("scout", "Thea Marsh"),
            ],
        )
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    sample
        .get(&format!("/at/{}", sample.points[0]))
        .await
        .holds("Renamed");
    assert_eq!(sample.app.book.history(sample.plot).unwrap().len(), 2);
}

#[tokio::test]
async fn who_is_walking_is_remembered_and_leads_back_here_only() {
    let sample = Sample::empty();
    let answer = sample
        .post("/scout", &[("scout", "Thea Marsh"), ("back", "/desk")])
        .await;
    assert_eq!(answer.location, "/desk", "{}", answer.text());
    assert!(
        answer.cookies.contains("scout=Thea+Marsh"),
        "{}",
        answer.cookies
    );
    for back in [
        "https://evil.example/",
        "//evil.example/",
        "/\\evil.example",
        "javascript:alert(1)",
    ] {
        let answer = sample
            .post("/scout", &[("scout", "Thea Marsh"), ("back", back)])
            .await;
        assert!(
            answer.location.starts_with('/') && !answer.location.contains("evil"),
            "{back} led to {}",
            answer.location
        );
    }
}

#[tokio::test]
async fn ids_that_are_not_there_and_ids_that_are_none() {
    let sample = Sample::empty();
    for kind in ["plantings", "visits", "at"] {
        for id in [
            "x".to_owned(),
            RecordId::new().to_string(),
            "%00".to_owned(),
            "..%2f..".to_owned(),
        ] {
            let page = sample.get(&format!("/{kind}/{id}")).await;
            assert_eq!(page.status, StatusCode::NOT_FOUND, "/{kind}/{id}");
        }
    }
}

#[tokio::test]
async fn a_planting_changed_after_saving_becomes_a_correction_on_the_same_site() {
    let sample = Sample::empty();
    let ids = ids();
    sample.post("/plantings", &planting(&ids, &[])).await;
    let sites = sample.app.book.sites().unwrap().len();
    let changed = [("name", "South forty"), ("site_name", "Teal Hollow farm")];
    let page = sample.post("/plantings", &planting(&ids, &changed)).await;
    assert_eq!(page.status, StatusCode::CONFLICT, "{}", page.text());
    page.holds("South forty")
        .holds(&format!("name=\"site\" value=\"{}\" checked", ids[1]));
    let text = page.text();
    let again = [hidden(&text, "id"), ids[1].clone()];
    let fields = planting(
        &again,
        &[
            ("name", "South forty"),
            ("supersedes", &ids[0]),
            ("site", &ids[1]),
        ],
    );
    let answer = sample.post("/plantings", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    assert_eq!(
        sample.app.book.sites().unwrap().len(),
        sites,
        "no second site"
    );
    let first: RecordId = ids[0].parse().unwrap();
    assert_eq!(
        sample.app.book.planting(first).unwrap().unwrap().body.name,
        "South forty"
    );
}

#[tokio::test]
async fn a_rate_without_a_tick_is_asked_about_not_dropped() {
    let sample = Sample::empty();
    let ids = ids();
    let fields = planting(&ids, &[("pls.sorghastrum_nutans", "2")]);
    let page = sample.post("/plantings", &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("You typed the applied rate of indiangrass but did not tick it")
        .holds("name=\"pls.sorghastrum_nutans\" value=\"2\"");
}

#[tokio::test]
async fn a_second_point_of_the_same_label_has_to_be_meant() {
    let sample = Sample::empty();
    let (id, plot, visit) = (
        RecordId::new().to_string(),
        sample.plot.to_string(),
        sample.visit.to_string(),
    );
    let mut fields = vec![
        ("id", id.as_str()),
        ("plot", &plot),
        ("visit", &visit),
        ("label", "1"),
        ("scout", "Thea Marsh"),
    ];
    let page = sample.post("/points", &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("name=\"same_label\"");
    fields.push(("same_label", "yes"));
    let answer = sample.post("/points", &fields).await;
    assert_eq!(answer.location, format!("/at/{id}"));
}

#[tokio::test]
async fn a_book_for_viewing_only_gives_the_form_back() {
    let sample = Sample::empty();
    let book = standbook_fieldbook::Book::open_read_only(sample.app.book.path()).unwrap();
    let viewing = Sample {
        app: std::sync::Arc::new(standbook_web::App::new(book, key(), false)),
        ..sample
    };
    let (id, of) = (RecordId::new().to_string(), viewing.planting.to_string());
    let page = viewing
        .post(
            "/visits",
            &[
                ("id", &id),
                ("planting", &of),
                ("on", "2026-07-20"),
                ("scouts", "Thea Marsh, B. Reed"),
                ("note", "mown last week"),
                ("scout", "Thea Marsh"),
            ],
        )
        .await;
    assert_eq!(page.status, StatusCode::FORBIDDEN, "{}", page.text());
    page.holds("viewing only")
        .holds("mown last week")
        .holds("value=\"Thea Marsh, B. Reed\"");
}

#[tokio::test]
async fn a_note_too_long_comes_back_whole() {
    let sample = Sample::empty();
    let (id, of) = (RecordId::new().to_string(), sample.planting.to_string());
    let long = format!("{}end", "wet ".repeat(600));
    let page = sample
        .post(
            "/plots",
            &[
                ("id", &id),
                ("planting", &of),
                ("name", "East"),
                ("note", &long),
                ("scout", "Thea Marsh"),
            ],
        )
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("The note has 2403 characters. Shorten it to 2000")
        .holds(&long);
}

#[tokio::test]
async fn an_empty_book_says_what_to_do_first() {
    let sample = Sample::empty();
    let book = standbook_fieldbook::Book::create(sample.folder.path().join("empty.book")).unwrap();
    let empty = Sample {
        app: std::sync::Arc::new(standbook_web::App::new(book, key(), false)),
        ..sample
    };
    let page = empty.get("/plot?for=count").await;
    assert_eq!(page.status, StatusCode::OK);
    page.holds("Enter the first planting")
        .holds("Choose a point first")
        .holds("Before you walk");
}

/// Browsers fill a form in again when somebody goes back after saving: that must lead to what
/// was saved, not to a second record.
#[tokio::test]
async fn going_back_after_saving_leads_to_what_was_saved() {
    let sample = Sample::empty();
    let first = sample.get("/plantings/new").await;
    assert_eq!(first.status, StatusCode::SEE_OTHER);
    let id = first.location.split("id=").nth(1).unwrap().to_owned();
    let form = sample.get(&first.location).await;
    form.holds(&format!("name=\"id\" value=\"{id}\""));
    let ids = [id.clone(), RecordId::new().to_string()];
    let saved = sample.post("/plantings", &planting(&ids, &[])).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text());
    let back = sample.get(&first.location).await;
    assert_eq!(back.location, format!("/plantings/{id}"));
    // The other forms name their record too, and keep what they were opened with.
    for address in [
        "/sites/new".to_owned(),
        format!("/plots/new?planting={}", sample.planting),
        format!("/visits/new?planting={}", sample.planting),
        format!("/points/new?plot={}&visit={}", sample.plot, sample.visit),
    ] {
        let to = sample.get(&address).await.location;
        assert!(to.contains("id="), "{address} led to {to}");
        let form = sample.get(&to).await;
        assert_eq!(form.status, StatusCode::OK, "{to}\n{}", form.text());
    }
}

#[tokio::test]
async fn numbers_area_watering_and_both_rates_are_kept_and_come_back_to_be_corrected() {
    let sample = Sample::empty();
    let ids = ids();
    let rare = [
        ("site_county", "Marl"),
        ("site_state", "KS"),
        ("site_owner", "R. Hale"),
        ("site_permission", "gate on the east side"),
        ("farm_number", "1204"),
        ("tract_number", "88"),
        ("field_number", "3"),
        ("area", "40"),
        ("area_unit", "acres"),
        ("irrigated", "no"),
        ("note", "oats as cover"),
        ("plan.andropogon_gerardi", "3"),
        ("plan.panicum_virgatum", "1.5"),
    ];
    for _ in 0..2 {
        let answer = sample.post("/plantings", &planting(&ids, &rare)).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    }
    let id: RecordId = ids[0].parse().unwrap();
    let kept = sample.app.book.planting(id).unwrap().unwrap().body;
    // 40 acres of 4046.8564224 m2.
    assert_eq!(kept.stated_area_m2, Some(161_874.256_896));
    assert_eq!(kept.irrigated, Some(false));
    let rates: Vec<_> = kept
        .mix
        .iter()
        .map(|item| (item.planned_pls_lb_per_acre, item.pls_lb_per_acre))
        .collect();
    assert_eq!(rates, [(Some(3.0), Some(2.5)), (Some(1.5), None)]);
    let site = sample.app.book.site(kept.site).unwrap().unwrap();
    assert_eq!(
        (
            site.body.owner.as_str(),
            site.body.county.as_str(),
            site.body.state.as_str()
        ),
        ("R. Hale", "Marl", "KS")
    );
    sample
        .get(&format!("/plantings/{id}"))
        .await
        .holds("Teal Hollow, Marl County, Marl, KS")
        .holds("40 acres (16.19 ha) as stated, not irrigated, farm 1204, tract 88, field 3")
        .holds("2.5 lb PLS/acre applied, 3 planned")
        .holds("1.5 lb PLS/acre planned, applied rate not known")
        .holds("oats as cover")
        .holds("gate on the east side")
        .holds(&format!(
            "href=\"/planting/{id}/outline\"><strong>Field outline"
        ))
        .holds(&format!(
            "href=\"/planting/{id}/plan\"><strong>Where to look"
        ))
        .holds(&format!("href=\"/planting/{id}/seeding\""));
    let form = sample.get(&format!("/plantings/{id}/correct")).await;
    form.holds("name=\"area\" value=\"40\"")
        .holds("value=\"acres\" selected")
        .holds("name=\"farm_number\" value=\"1204\"")
        .holds("value=\"no\" selected")
        .holds("name=\"plan.panicum_virgatum\" value=\"1.5\"")
        .holds("<details open><summary>Area, farm numbers");
    let form = sample.get(&format!("/sites/{}/correct", site.id)).await;
    form.holds("name=\"county\" value=\"Marl\"")
        .holds("name=\"state\" value=\"KS\"")
        .holds("name=\"owner\" value=\"R. Hale\"");
}

#[tokio::test]
async fn an_area_in_hectares_comes_back_in_hectares_and_one_out_of_range_is_refused() {
    let sample = Sample::empty();
    for (typed, m2, unit) in [("16", 160_000.0, "ha"), ("0.3", 3_000.0, "ha")] {
        let ids = ids();
        let fields = planting(&ids, &[("area", typed), ("area_unit", "ha")]);
        sample.post("/plantings", &fields).await;
        let id: RecordId = ids[0].parse().unwrap();
        let kept = sample.app.book.planting(id).unwrap().unwrap().body;
        assert_eq!(kept.stated_area_m2, Some(m2));
        sample
            .get(&format!("/plantings/{id}/correct"))
            .await
            .holds(&format!("name=\"area\" value=\"{typed}\""))
            .holds(&format!("value=\"{unit}\" selected"));
    }
    for (area, said) in [
        ("-1", "-1 acres is out of range"),
        ("0", "out of range"),
        ("forty", "is not a number"),
        ("1,000", "1000 or as 1.000"),
    ] {
        let ids = ids();
        let page = sample
            .post("/plantings", &planting(&ids, &[("area", area)]))
            .await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{area}");
        page.holds(said)
            .holds(&format!("name=\"area\" value=\"{area}\""))
            .holds("<details open><summary>Area, farm numbers");
    }
}

#[tokio::test]
async fn a_site_is_taken_refused_corrected_and_kept_once() {
    let sample = Sample::empty();
    let before = sample.app.book.sites().unwrap().len();
    let id = RecordId::new().to_string();
    let long = "x".repeat(121);
    let site = |id: &str, name: &str, owner: &str| {
        [
            ("id", id),
            ("name", name),
            ("owner", owner),
            ("county", "Marl"),
            ("state", "KS"),
            ("locality", ""),
            ("permission", "ask first"),
            ("scout", "Thea Marsh"),
        ]
        .map(|(n, v)| (n.to_owned(), v.to_owned()))
    };
    let post = async |fields: &[(String, String)]| {
        let fields: Vec<_> = fields
            .iter()
            .map(|(n, v)| (n.as_str(), v.as_str()))
            .collect();
        sample.post("/sites", &fields).await
    };
    for (name, owner, said) in [
        ("", "R. Hale", "The name of the site is missing"),
        ("Teal Hollow", long.as_str(), "The owner has 121 characters"),
    ] {
        let page = post(&site(&id, name, owner)).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
        page.holds(said)
            .holds("ask first")
            .holds("name=\"county\" value=\"Marl\"");
    }
    for _ in 0..2 {
        let answer = post(&site(&id, "Teal Hollow", "R. Hale")).await;
        assert_eq!(
            answer.location,
            format!("/plantings/new?site={id}"),
            "{}",
            answer.text()
        );
    }
    assert_eq!(sample.app.book.sites().unwrap().len(), before + 1);
    let mut fields = site(&RecordId::new().to_string(), "Teal Hollow", "S. Hale").to_vec();
    fields.push(("supersedes".to_owned(), id.clone()));
    assert_eq!(post(&fields).await.location, "/plot");
    let kept = sample.app.book.site(id.parse().unwrap()).unwrap().unwrap();
    assert_eq!(kept.body.owner, "S. Hale");
}

#[tokio::test]
async fn an_odd_date_of_seeding_is_asked_about_and_taken_with_a_tick() {
    let sample = Sample::empty();
    let new_ids = ids();
    let fields = planting(&new_ids, &[("seeded_on", "2190-05-12")]);
    let page = sample.post("/plantings", &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("in the future")
        .holds("name=\"right.seeded_on\" value=\"2190-05-12\">Yes, this date is right")
        .holds("value=\"North forty\"");
    let ticked = [
        ("seeded_on", "2190-05-12"),
        ("right.seeded_on", "2190-05-12"),
    ];
    let answer = sample
        .post("/plantings", &planting(&new_ids, &ticked))
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    sample
        .get(&answer.location)
        .await
        .holds("Seeded on 12 May 2190?");
    // Correcting the seeding to a date after a visit (14 July 2026) asks as well.
    let (ids, old, site) = (ids(), sample.planting.to_string(), sample.site.to_string());
    let late = [
        ("supersedes", old.as_str()),
        ("site", &site),
        ("seeded_on", "2026-07-15"),
    ];
    let page = sample.post("/plantings", &planting(&ids, &late)).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("a visit of 14 July 2026 already");
    let mut fields = planting(&ids, &late);
    fields.push(("right.seeded_on", "2026-07-15"));
    let answer = sample.post("/plantings", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    sample
        .get(&answer.location)
        .await
        .holds("which date is right?");
}

#[tokio::test]
async fn a_planned_rate_without_a_tick_is_asked_about_too() {
    let sample = Sample::empty();
    let ids = ids();
    let page = sample
        .post(
            "/plantings",
            &planting(&ids, &[("plan.sorghastrum_nutans", "2")]),
        )
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("You typed the planned rate of indiangrass but did not tick it")
        .holds("name=\"plan.sorghastrum_nutans\" value=\"2\"");
}
