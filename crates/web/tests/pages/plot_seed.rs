//! Seed lots and the page that turns pounds into seeds.

use std::path::Path;
use std::sync::Arc;

use crate::desk_support::{Sample, hidden, record};
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{MixItem, SeedLot};
use standbook_key::Role;
use standbook_key::standards::StandardFiles;

/// A sample with the standards that come with the program.
fn sample(mix: &[&str]) -> Sample {
    let mut sample = Sample::with_mix(mix);
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/standards");
    let files = StandardFiles::read_folder(&folder).unwrap();
    let loaded = standbook_key::standards::load(&[files], Some(&sample.app.key));
    Arc::get_mut(&mut sample.app).unwrap().standards = loaded.standards.unwrap();
    sample
}

/// Gives the species of the mix these planned and applied rates, pounds PLS per acre.
fn rate(sample: &Sample, rates: &[(Option<f64>, Option<f64>)]) {
    let current = sample.app.book.planting(sample.planting).unwrap().unwrap();
    let mut planting = current.body;
    for (item, (planned, applied)) in planting.mix.iter_mut().zip(rates) {
        *item = MixItem {
            taxon: item.taxon.clone(),
            pls_lb_per_acre: *applied,
            planned_pls_lb_per_acre: *planned,
        };
    }
    planting.stated_area_m2 = Some(40.0 * 4_046.856_422_4);
    let mut record = record(planting);
    record.supersedes = Some(current.id);
    sample.keep_record(record);
}

/// The tag of the published example W2 (EC3, Wisconsin): switchgrass, purity 98 %, germination
/// 92 %, hard 5 %; at 3.00 lb PLS the bulk rate is printed as 3.16 lb.
const TAG: [(&str, &str); 15] = [
    ("taxon", "panicum_virgatum"),
    ("lot", "SW-5"),
    ("variety", "variety not stated"),
    ("origin", "Marl County"),
    ("purity_percent", "98"),
    ("germination_percent", "92"),
    ("dormant_percent", "5"),
    ("other_crop_percent", ""),
    ("inert_percent", "1.9"),
    ("weed_percent", "0.05"),
    ("noxious", "giant foxtail 18\r\nfield bindweed, 2"),
    ("tested", "02/2026"),
    ("seeds_per_lb", "370,000"),
    ("bulk_lb", "130"),
    ("scout", "Thea Marsh"),
];

fn tag<'a>(
    id: &'a str,
    planting: &'a str,
    changed: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let mut fields = vec![("id", id), ("planting", planting)];
    fields.extend(
        TAG.iter()
            .filter(|(name, _)| !changed.iter().any(|(n, _)| n == name)),
    );
    fields.extend_from_slice(changed);
    fields
}

#[tokio::test]
async fn a_lot_is_kept_as_its_tag_says_and_once_however_often_it_is_sent() {
    let sample = sample(&["panicum_virgatum"]);
    let (id, planting) = (RecordId::new().to_string(), sample.planting.to_string());
    for _ in 0..2 {
        let answer = sample.post("/lots", &tag(&id, &planting, &[])).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        assert_eq!(answer.location, format!("/plantings/{planting}#sown"));
    }
    let lots = sample.app.book.seed_lots(sample.planting).unwrap();
    assert_eq!(lots.len(), 1);
    let lot = &lots[0].body;
    assert_eq!(lot.tested.as_deref(), Some("2026-02"));
    assert_eq!(lot.seeds_per_lb, Some(370_000.0));
    assert_eq!(lot.other_crop_percent, None);
    let noxious: Vec<_> = lot
        .noxious
        .iter()
        .map(|k| (k.name.as_str(), k.per_lb))
        .collect();
    assert_eq!(noxious, [("giant foxtail", 18.0), ("field bindweed", 2.0)]);
    sample
        .get(&format!("/plantings/{planting}"))
        .await
        .holds("1 seed lot")
        .holds("lot SW-5")
        .holds("PLS 90.16 % without dormant seed, 95.06 % with dormant seed")
        .holds("giant foxtail 18 per lb");
    // Going back to the form after saving leads to what was saved.
    let form = format!("/lots/new?planting={planting}&id={id}");
    assert_eq!(
        sample.get(&form).await.location,
        format!("/plantings/{planting}#sown")
    );
}

#[tokio::test]
async fn a_tag_that_cannot_be_comes_back_filled_in() {
    let sample = sample(&["panicum_virgatum"]);
    let planting = sample.planting.to_string();
    for (changed, said) in [
        (("taxon", ""), "The species is missing"),
        (("lot", ""), "The lot number is missing"),
        (("purity_percent", "120"), "120"),
        (("purity_percent", "pure"), "is not a number"),
        // 99 + 1.9 + 0.05 = 100.95, more than rounding explains.
        (("purity_percent", "99"), "100.95"),
        (("germination_percent", "96"), "101"),
        (("dormant_percent", "-1"), "-1"),
        (("tested", "2026-13"), "2026-13"),
        (("tested", "last spring"), "last spring"),
        (("seeds_per_lb", "0"), "0"),
        (("bulk_lb", "1,250"), "can be read as 1250 or as 1.250"),
        (("noxious", "giant foxtail"), "is not a name and a number"),
        (
            ("noxious", "giant foxtail 18\nGiant foxtail 18\n18"),
            "\u{201c}18\u{201d}",
        ),
        (("scout", ""), "Your name is missing"),
    ] {
        let id = RecordId::new().to_string();
        let page = sample.post("/lots", &tag(&id, &planting, &[changed])).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{changed:?}");
        page.holds("role=\"alert\"").holds(said);
        if changed.0 != "lot" {
            page.holds("name=\"lot\" value=\"SW-5\"");
        }
        page.holds("aria-invalid=\"true\"");
        // What is wrong is never inside something folded.
        if ["noxious", "seeds_per_lb", "bulk_lb"].contains(&changed.0) {
            page.holds("<details open><summary>The rest of the tag");
        }
    }
    assert!(
        sample
            .app
            .book
            .seed_lots(sample.planting)
            .unwrap()
            .is_empty()
    );
}

#[tokio::test]
async fn a_lot_is_corrected_by_a_new_version_and_a_changed_second_sending_becomes_one() {
    let sample = sample(&["panicum_virgatum"]);
    let (id, planting) = (RecordId::new().to_string(), sample.planting.to_string());
    sample.post("/lots", &tag(&id, &planting, &[])).await;
    let form = sample.get(&format!("/lots/{id}/correct")).await;
    form.holds(&format!("name=\"supersedes\" value=\"{id}\""))
        .holds("value=\"panicum_virgatum\" selected")
        .holds("giant foxtail 18\nfield bindweed 2</textarea>")
        .holds("name=\"tested\" value=\"2026-02\"")
        .holds("name=\"seeds_per_lb\" value=\"370000\"");
    // The back button after saving, one field changed: nothing is overwritten.
    let page = sample
        .post(
            "/lots",
            &tag(&id, &planting, &[("germination_percent", "80")]),
        )
        .await;
    assert_eq!(page.status, StatusCode::CONFLICT, "{}", page.text());
    let new = hidden(&page.text(), "id");
    let changed = [("germination_percent", "80"), ("supersedes", id.as_str())];
    let answer = sample.post("/lots", &tag(&new, &planting, &changed)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let lots = sample.app.book.seed_lots(sample.planting).unwrap();
    assert_eq!(lots.len(), 1);
    assert_eq!(lots[0].body.germination_percent, Some(80.0));
    assert_eq!(
        sample.app.book.history(id.parse().unwrap()).unwrap().len(),
        2
    );
}

#[tokio::test]
async fn an_old_test_is_said_with_who_asks_for_a_fresh_one() {
    let sample = sample(&["panicum_virgatum"]);
    let planting = sample.planting.to_string();
    // Sown on 12 May 2026: August 2025 is nine months before, July ten.
    for (tested, said) in [("2025-08", false), ("2025-07", true)] {
        let id = RecordId::new().to_string();
        let lot = format!("T{tested}");
        let fields = tag(&id, &planting, &[("tested", tested), ("lot", &lot)]);
        sample.post("/lots", &fields).await;
        let page = sample.get(&format!("/plantings/{planting}")).await;
        assert_eq!(page.text().contains("an old test"), said, "{tested}");
    }
    sample
        .get(&format!("/planting/{planting}/seeding"))
        .await
        .holds("Tested July 2025, 10 months before seeding")
        .holds("9 months: Texas")
        .holds("Bamert Seed: How to read a native seed tag");
}

/// The figures are those of the published example W2, and by hand from exact units:
/// 3 x 370,000 / 43,560 = 25.48 per ft2, / 0.09290304 = 274.3 per m2.
#[tokio::test]
async fn pounds_become_seeds_and_seedlings() {
    let sample = sample(&["panicum_virgatum", "bouteloua_curtipendula"]);
    let planting = sample.planting.to_string();
    rate(&sample, &[(Some(3.5), Some(3.0)), (None, Some(3.0))]);
    for (lot, taxon, seeds) in [
        ("SW-5", "panicum_virgatum", "370,000"),
        ("SO-1", "bouteloua_curtipendula", "165000"),
    ] {
        let id = RecordId::new().to_string();
        let changed = [("lot", lot), ("taxon", taxon), ("seeds_per_lb", seeds)];
        sample.post("/lots", &tag(&id, &planting, &changed)).await;
    }
    let page = sample.get(&format!("/planting/{planting}/seeding")).await;
    let text = page.text();
    let row = |label: &str, cells: &[&str]| {
        let cells: String = cells.iter().map(|c| format!("<td>{c}</td>")).collect();
        let row = format!("<th>{label}</th>{cells}");
        assert!(text.contains(&row), "no {row} in\n{text}");
    };
    row(
        "bulk lb per acre, lot SW-5, with dormant seed",
        &["3.68", "3.16"],
    );
    row(
        "bulk lb per acre, lot SW-5, without dormant seed",
        &["3.88", "3.33"],
    );
    row("kg PLS per ha", &["3.92", "3.36"]);
    row("live seeds per ft²", &["30", "25"]);
    row("live seeds per m²", &["320", "274"]);
    // 370 of 535 thousand; half of six pounds.
    row("share of the mix by seeds", &["not known", "69 %"]);
    row("share of the mix by weight", &["not known", "50 %"]);
    row("share of the mix by seeds", &["not known", "31 %"]);
    row("2.5 %", &["0.64", "6.9"]);
    row("30 %", &["7.6", "82"]);
    // The mix: 6 lb, 36.85 seeds per ft2.
    row("lb PLS per acre", &["not known", "6"]);
    row("live seeds per ft²", &["not known", "37"]);
    row("10 %", &["3.7", "40"]);
    page.holds("Colorado Division of Reclamation")
        .holds("memory; no source found")
        // 130 lb on 40 acres: 3.25 a acre; x 0.9016 and x 0.9506.
        .holds("130 lb over 40 acres, if all was sown, is 3.25 bulk lb per acre; lb PLS per acre: 2.93 without dormant seed, 3.09 with dormant seed")
        .lacks("is missing");
}

#[tokio::test]
async fn what_is_missing_is_said_and_published_counts_that_differ_are_a_range() {
    let sample = sample(&[
        "panicum_virgatum",
        "sorghastrum_nutans",
        "bouteloua_dactyloides",
    ]);
    let planting = sample.planting.to_string();
    rate(
        &sample,
        &[(None, Some(3.0)), (None, Some(2.0)), (None, None)],
    );
    let page = sample.get(&format!("/planting/{planting}/seeding")).await;
    // 370,000 (a farm magazine) and 390,000 (Bismarck): 25.5 to 26.9 per ft2.
    page.holds("No tag for indiangrass: enter its lot.")
        .holds("&#38;taxon=sorghastrum_nutans\">Enter the lot")
        .holds("370,000 to 390,000 seeds per lb as published")
        .holds("<td>25 to 27</td>")
        .holds("Bismarck Plant Materials Center")
        .holds("No seeds per pound for indiangrass: none on a tag, none published here")
        .holds("No rate for buffalograss, planned or applied")
        .holds("only burs were counted")
        .holds("38,000 burs per lb")
        .holds("Seeds of the whole mix are not known without those of indiangrass, buffalograss");
    let form = sample
        .get(&format!(
            "/lots/new?planting={planting}&taxon=sorghastrum_nutans&id={}",
            RecordId::new()
        ))
        .await;
    form.holds("value=\"sorghastrum_nutans\" selected");
}

#[tokio::test]
async fn a_lot_that_is_not_in_the_mix_is_kept_and_said() {
    let sample = sample(&["panicum_virgatum"]);
    let (id, planting) = (RecordId::new().to_string(), sample.planting.to_string());
    let fields = tag(&id, &planting, &[("taxon", "elymus_canadensis")]);
    let answer = sample.post("/lots", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    sample
        .get(&format!("/plantings/{planting}"))
        .await
        .holds("Canada wildrye</strong> (not in the mix)");
}

/// Every planted species of the key, or the first so many, each with a whole tag.
fn long_mix(most: usize) -> Sample {
    let key = crate::desk_support::key();
    let planted: Vec<String> = key
        .taxa
        .iter()
        .filter(|taxon| taxon.role == Role::Planted)
        .map(|taxon| taxon.id.to_string())
        .take(most)
        .collect();
    let ids: Vec<&str> = planted.iter().map(String::as_str).collect();
    let sample = sample(&ids);
    rate(&sample, &vec![(Some(3.5), Some(3.0)); ids.len()]);
    for taxon in &ids {
        sample.keep(SeedLot {
            planting: sample.planting,
            taxon: (*taxon).to_owned(),
            lot: "TH-2026-114".into(),
            variety: "variety not stated".into(),
            origin: "Marl County".into(),
            purity_percent: Some(88.5),
            germination_percent: Some(62.0),
            dormant_percent: Some(21.0),
            other_crop_percent: None,
            inert_percent: None,
            weed_percent: None,
            noxious: Vec::new(),
            tested: Some("2025-02".into()),
            seeds_per_lb: Some(227_000.0),
            bulk_lb: Some(120.0),
            note: String::new(),
        });
    }
    sample
}

#[tokio::test]
async fn long_mixes_still_fit_a_slow_phone() {
    for most in [10, 100] {
        let sample = long_mix(most);
        let planting = sample.planting;
        for address in [
            format!("/planting/{planting}/seeding"),
            format!("/planting/{planting}/seeding?species=panicum_virgatum"),
            format!("/plantings/{planting}"),
            format!("/plantings/{planting}/correct"),
            format!("/lots/new?planting={planting}&id={}", RecordId::new()),
        ] {
            let page = sample.get(&address).await;
            assert_eq!(page.status, StatusCode::OK, "{address}");
            let bytes = page.bytes.len();
            assert!(
                bytes <= 30_000,
                "{address} has {bytes} bytes for a mix of {most}"
            );
        }
    }
}

#[tokio::test]
async fn a_long_mix_leads_to_each_species() {
    let sample = long_mix(100);
    let all = sample
        .get(&format!("/planting/{}/seeding", sample.planting))
        .await;
    // 3 x 227,000 / 43,560 = 15.6.
    all.holds(
        "switchgrass</strong> <span class=\"quiet small\">3 lb PLS per acre, 16 live seeds per ft²",
    )
    .lacks("<section");
    let address = "/seeding?species=panicum_virgatum#chosen";
    all.holds(address);
    let one = format!(
        "/planting/{}/seeding?species=panicum_virgatum",
        sample.planting
    );
    let one = sample.get(&one).await;
    one.holds("<section id=\"chosen\">")
        .holds("PLS 54.87 % without dormant seed");
    assert_eq!(one.text().matches("<section").count(), 1);
}

#[tokio::test]
async fn a_tag_is_text_not_markup_and_ids_that_are_none_lead_nowhere() {
    let sample = sample(&["panicum_virgatum"]);
    let (id, planting) = (RecordId::new().to_string(), sample.planting.to_string());
    let fields = tag(
        &id,
        &planting,
        &[("lot", "<b>5"), ("noxious", "<i>foxtail 3")],
    );
    let answer = sample.post("/lots", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    for address in [
        format!("/plantings/{planting}"),
        format!("/planting/{planting}/seeding"),
        format!("/lots/{id}/correct"),
    ] {
        sample
            .get(&address)
            .await
            .holds("&#60;b&#62;5")
            .lacks("<b>5")
            .lacks("<i>foxtail");
    }
    for address in [
        format!("/planting/{}/seeding", RecordId::new()),
        "/planting/x/seeding".to_owned(),
        format!("/lots/{}/correct", RecordId::new()),
        format!("/lots/{planting}/correct"),
        "/lots/new?planting=x".to_owned(),
    ] {
        assert_eq!(
            sample.get(&address).await.status,
            StatusCode::NOT_FOUND,
            "{address}"
        );
    }
}
