//! The walk in process: answers, bad input, saving, sending twice, coming back after saving.

use crate::desk_support::Sample;
use axum::http::{Request, StatusCode};
use standbook_fieldbook::RecordId;

const WALK: &str = "stage=tillering&tool=lens&tool=trowel&tool=torn_shoot&tool=backlight";

fn at(sample: &Sample, more: &str) -> String {
    format!("/at/{}/plant?{WALK}{more}", sample.points[0])
}

/// The fields of a save form for a walk with these answers.
fn save<'a>(
    walk: &'a str,
    answers: &[&'a str],
    more: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let mut fields = vec![("walk", walk), ("stage", "tillering"), ("tool", "lens")];
    fields.extend(answers.iter().map(|a| ("a", *a)));
    fields.extend_from_slice(more);
    fields
}

async fn post(sample: &Sample, fields: &[(&str, &str)]) -> crate::desk_support::Answer {
    sample
        .post(&format!("/at/{}/plant", sample.points[0]), fields)
        .await
}

#[tokio::test]
async fn the_walk_begins_with_the_leaf_stage_and_proposes_a_look() {
    let sample = Sample::empty();
    let start = sample.get(&format!("/at/{}/plant", sample.points[0])).await;
    start
        .holds("How far has the plant grown?")
        .holds("tillering");
    assert!(start.cookies.contains("point="), "{}", start.cookies);
    sample
        .get(&at(&sample, ""))
        .await
        .holds("Look next at")
        .holds("Can't tell")
        .lacks("Save this plant");
}

/// Names that start alike would give "something else" nine chances in ten before any look.
#[tokio::test]
async fn one_weak_answer_decides_nothing() {
    let sample = Sample::empty();
    sample
        .get(&at(&sample, "&a=growth_habit:upright"))
        .await
        .holds("<h1>Undecided</h1>")
        .lacks("<h1>Something else</h1>");
}

#[tokio::test]
async fn good_evidence_names_the_planted_grass_and_says_why() {
    let sample = Sample::with_mix(&["panicum_virgatum", "andropogon_gerardi"]);
    // Switchgrass seedling by published marks: see crates/identify/tests/facts/published.csv.
    let answers = "&a=ligule_type:hairs&a=collar_hairs:patch&a=vernation:rolled&a=tiller_base:round\
                   &a=blade_hairs_upper:none&a=sheath_hairs:none&a=seed_attached:smooth_shiny";
    sample
        .get(&at(&sample, answers))
        .await
        .holds("switchgrass")
        .holds("decibans")
        .holds("What the next look would settle");
}

#[tokio::test]
async fn a_native_grass_outside_the_mix_is_not_called_planted_here() {
    let sample = Sample::with_mix(&["andropogon_gerardi"]);
    let answers = "&a=ligule_type:hairs&a=collar_hairs:patch&a=vernation:rolled&a=tiller_base:round\
                   &a=blade_hairs_upper:none&a=sheath_hairs:none&a=seed_attached:smooth_shiny";
    sample
        .get(&at(&sample, answers))
        .await
        .holds("not in this planting")
        .lacks("<h1>Planted here</h1>");
}

#[tokio::test]
async fn a_bad_answer_is_said_and_the_rest_stays() {
    let sample = Sample::empty();
    for (bad, said) in [
        ("&a=ligule:hairs", "is not a trait of this key"),
        ("&a=ligule_type:hairz", "did you mean `hairs`?"),
        ("&a=ligule_type", "has no value"),
        ("&m.blade_width=3%20cm", "is not a number"),
        ("&m.blade_width=3000", "be right for"),
        ("&m.blade_width=-1", "be right for"),
        ("&m.blade_width=NaN", "be right for"),
        ("&m.blade_width=NaN", "be right for"),
        ("&m.blade_width=1e999", "be right for"),
        ("&a=%3Cb%3E:x", "is not a trait of this key"),
    ] {
        let page = sample
            .get(&at(&sample, &format!("&a=vernation:rolled{bad}")))
            .await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{bad}");
        page.holds(said)
            .holds("role=\"alert\"")
            .holds("vernation:rolled")
            .lacks("<b>");
    }
    // What was typed stands in the field again.
    sample
        .get(&at(&sample, "&m.blade_width=3%20cm"))
        .await
        .holds("value=\"3 cm\"");
}

#[tokio::test]
async fn a_measure_taken_becomes_part_of_the_address() {
    let sample = Sample::empty();
    let answer = sample.get(&at(&sample, "&m.blade_width=4.5")).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(
        answer.location.contains("blade_width%3A4.5"),
        "{}",
        answer.location
    );
    let dropped = sample
        .get(&at(
            &sample,
            "&a=blade_width:4.5&a=vernation:rolled&drop=blade_width",
        ))
        .await;
    assert!(
        !dropped.location.contains("blade_width"),
        "{}",
        dropped.location
    );
    assert!(
        dropped.location.contains("vernation"),
        "{}",
        dropped.location
    );
}

#[tokio::test]
async fn couplets_and_free_looks_keep_each_others_answers() {
    let sample = Sample::empty();
    let answers = "&a=vernation:rolled&a=ligule_type:membrane";
    sample
        .get(&at(&sample, &format!("{answers}&way=couplets")))
        .await
        .holds("Couplet")
        .holds("Choose looks freely, keep what I saw")
        .holds("value=\"vernation:rolled\"")
        .holds("value=\"ligule_type:membrane\"");
    // Two states at one couplet's trait fit several leads: said, nothing lost.
    let first = &sample.app.couplets.couplets[0];
    let test = first.leads[0].when.as_ref().unwrap();
    let states: Vec<String> = first
        .leads
        .iter()
        .filter_map(|l| match &l.when.as_ref()?.reading {
            standbook_key::couplet::LeadReading::States(s) => Some(s[0].to_string()),
            _ => None,
        })
        .collect();
    let both = format!(
        "&a={}:{}%7C{}&way=couplets",
        test.trait_id, states[0], states[1]
    );
    sample
        .get(&at(&sample, &both))
        .await
        .holds("has no single lead");
}

#[tokio::test]
async fn a_walk_is_saved_with_its_evidence_and_sent_twice_is_kept_once() {
    let sample = Sample::empty();
    let walk = RecordId::new().to_string();
    let fields = save(
        &walk,
        &[
            "vernation:rolled",
            "ligule_type:cannot_tell",
            "blade_width:4.5",
        ],
        &[
            ("taxon", "andropogon_gerardi"),
            ("scout", "Thea <Marsh>"),
            ("cell", "7"),
            ("note", "two\r\nlines"),
        ],
    );
    for _ in 0..2 {
        let answer = post(&sample, &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        sample
            .get(&answer.location)
            .await
            .holds("big bluestem")
            .lacks("<Marsh>");
    }
    let kept = sample.app.book.determinations_at(sample.points[0]).unwrap();
    let kept: Vec<_> = kept.iter().filter(|d| d.id.to_string() == walk).collect();
    assert_eq!(kept.len(), 1);
    let body = &kept[0].body;
    assert_eq!(body.cell, Some(7));
    assert_eq!(body.note, "two\nlines");
    assert_eq!(body.evidence.answers.len(), 3);
    assert_eq!(body.evidence.answers[0].r#trait, "vernation");
    assert_eq!(
        body.evidence.table_fingerprint,
        sample.app.table.fingerprint
    );
    assert_eq!(body.evidence.ranking.len(), 53);
    // The desk replays it and finds the same.
    sample
        .get(&format!("/determinations/{walk}"))
        .await
        .holds("Thea &#60;Marsh&#62;")
        .holds("give the same result");
}

#[tokio::test]
async fn what_is_missing_is_said_all_at_once_and_nothing_typed_is_lost() {
    let sample = Sample::empty();
    let walk = RecordId::new().to_string();
    let fields = save(
        &walk,
        &["vernation:rolled"],
        &[
            ("taxon", "unicorn_grass"),
            ("cell", "26th"),
            ("note", "kept words"),
            ("unknown", "new"),
            ("unknown_id", "x"),
            ("unknown_number", "1"),
        ],
    );
    let page = post(&sample, &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("is not a name of this key")
        .holds("is not a cell")
        .holds("Who is looking?")
        .holds("needs a description")
        .holds("kept words")
        .holds("26th")
        .holds("vernation:rolled");
    let none = post(&sample, &save(&walk, &[], &[("scout", "Thea Marsh")])).await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    none.holds("Nothing has been looked at yet");
    assert!(
        sample
            .app
            .book
            .get(walk.parse().unwrap())
            .unwrap()
            .is_none()
    );
}

#[tokio::test]
async fn a_note_far_too_long_is_refused_by_the_book_and_comes_back() {
    let sample = Sample::empty();
    let walk = RecordId::new().to_string();
    let long = "a".repeat(5000);
    let fields = save(
        &walk,
        &["vernation:rolled"],
        &[("scout", "Thea Marsh"), ("note", &long)],
    );
    let page = post(&sample, &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds(&long).holds("role=\"alert\"");
}

#[tokio::test]
async fn coming_back_after_saving_makes_a_correction_not_a_second_plant() {
    let sample = Sample::empty();
    let walk = RecordId::new().to_string();
    let first = save(
        &walk,
        &["vernation:rolled"],
        &[("taxon", "andropogon_gerardi"), ("scout", "Thea Marsh")],
    );
    assert_eq!(post(&sample, &first).await.status, StatusCode::SEE_OTHER);
    let changed = save(
        &walk,
        &["vernation:folded"],
        &[("taxon", "none"), ("scout", "Thea Marsh")],
    );
    let page = post(&sample, &changed).await;
    assert_eq!(page.status, StatusCode::CONFLICT);
    page.holds("saved already, as big bluestem")
        .holds("Save as a correction");
    let id = |name: &str| {
        let text = page.text();
        let at = text.rfind(&format!("name=\"{name}\" value=\"")).unwrap();
        text[at..].split('"').nth(3).unwrap().to_owned()
    };
    let (again, corrects) = (id("walk"), id("corrects"));
    assert_eq!(corrects, walk);
    assert_ne!(again, walk);
    let correction = save(
        &again,
        &["vernation:folded"],
        &[
            ("taxon", "none"),
            ("scout", "Thea Marsh"),
            ("corrects", &corrects),
        ],
    );
    assert_eq!(
        post(&sample, &correction).await.status,
        StatusCode::SEE_OTHER
    );
    let now = sample
        .app
        .book
        .determination(walk.parse().unwrap())
        .unwrap()
        .unwrap();
    assert_eq!(now.id.to_string(), again);
    assert_eq!(now.body.taxon, None);
    assert_eq!(
        sample
            .app
            .book
            .history(walk.parse().unwrap())
            .unwrap()
            .len(),
        2,
        "nothing is overwritten"
    );
}

#[tokio::test]
async fn a_new_unknown_is_kept_with_the_walk() {
    let sample = Sample::empty();
    let (walk, unknown) = (RecordId::new().to_string(), RecordId::new().to_string());
    let number = sample
        .app
        .book
        .next_unknown_number(sample.visit)
        .unwrap()
        .to_string();
    let fields = save(
        &walk,
        &["vernation:rolled"],
        &[
            ("scout", "Thea Marsh"),
            ("unknown", "new"),
            ("unknown_id", &unknown),
            ("unknown_number", &number),
            ("description", "hairy, flat base"),
        ],
    );
    let answer = post(&sample, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    sample
        .get(&answer.location)
        .await
        .holds(&format!("unknown {number}"));
    let kept = sample
        .app
        .book
        .unknown(unknown.parse().unwrap())
        .unwrap()
        .unwrap();
    assert_eq!(kept.body.description, "hairy, flat base");
    assert_eq!(sample.app.book.determinations_of(kept.id).unwrap().len(), 1);
}

#[tokio::test]
async fn what_is_not_there_has_a_way_back() {
    let sample = Sample::empty();
    for address in [
        "/at/nonsense/plant",
        "/key/unicorn_grass",
        "/nowhere",
        "/at/0197f3a2-7c1e-7abc-8def-0123456789ab/plant",
    ] {
        let page = sample.get(address).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{address}");
        page.holds("href=\"/plot\"");
    }
}

#[tokio::test]
async fn bytes_that_are_not_text_and_forms_without_end_are_refused() {
    let sample = Sample::empty();
    let address = format!("/at/{}/plant", sample.points[0]);
    let form = |body: Vec<u8>| {
        Request::post(&address)
            .header("host", "127.0.0.1")
            .header("content-type", "application/x-www-form-urlencoded")
            .body(body.into())
            .unwrap()
    };
    let page = sample.ask(form(b"scout=%ff%fe&note=x".to_vec())).await;
    assert_eq!(page.status, StatusCode::BAD_REQUEST);
    page.holds("not text (UTF-8)");
    let page = sample.ask(form(vec![b'a'; 300 * 1024])).await;
    assert_eq!(page.status, StatusCode::PAYLOAD_TOO_LARGE);
    page.holds("Nothing was saved");
}

/// Every fact of a taxon's page has its source; the couplets page stays under the size promised.
#[tokio::test]
async fn the_key_is_readable_with_its_sources() {
    let sample = Sample::empty();
    let page = sample.get("/key/echinochloa_crus_galli").await;
    page.holds("barnyardgrass")
        .holds("always no ligule")
        .holds("Sources");
    let couplets = sample.get("/key/couplets").await;
    assert!(
        couplets.bytes.len() < 30_000,
        "{} bytes",
        couplets.bytes.len()
    );
    for taxon in &sample.app.key.taxa {
        couplets.holds(&format!("/key/{}\"", taxon.id));
    }
}

/// Words typed for a new unknown, without choosing one: they must not get lost.
#[tokio::test]
async fn words_alone_make_a_new_unknown() {
    let sample = Sample::empty();
    let (walk, unknown) = (RecordId::new().to_string(), RecordId::new().to_string());
    let number = sample
        .app
        .book
        .next_unknown_number(sample.visit)
        .unwrap()
        .to_string();
    let fields = save(
        &walk,
        &["vernation:rolled"],
        &[
            ("scout", "Thea Marsh"),
            ("unknown", ""),
            ("unknown_id", &unknown),
            ("unknown_number", &number),
            ("description", "grey, stiff"),
        ],
    );
    let answer = post(&sample, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let kept = sample.app.book.unknown(unknown.parse().unwrap()).unwrap();
    assert_eq!(kept.unwrap().body.description, "grey, stiff");
    // Chosen, but without words: it stays chosen while the words are asked for.
    let walk = RecordId::new().to_string();
    let fields = save(
        &walk,
        &["vernation:rolled"],
        &[
            ("scout", "Thea Marsh"),
            ("unknown", "new"),
            ("unknown_id", &walk),
            ("unknown_number", "9"),
        ],
    );
    post(&sample, &fields)
        .await
        .holds("<option value=\"new\" selected>");
}

#[tokio::test]
async fn before_there_is_evidence_nothing_is_said_of_the_plant() {
    let sample = Sample::empty();
    sample
        .get(&at(&sample, "&a=vernation:cannot_tell"))
        .await
        .lacks("planted here")
        .holds("Save this plant");
    sample
        .get(&at(&sample, "&a=vernation:rolled"))
        .await
        .holds("from an even start")
        .holds("3 of 52 names of the key are sown here");
}

/// Cookies are shared by all ports of a machine: the demo's point is none of this book's.
#[tokio::test]
async fn a_point_of_another_book_leads_to_the_choice_of_one() {
    let sample = Sample::empty();
    let request = Request::get("/key")
        .header("host", "127.0.0.1")
        .header("cookie", format!("point={}", RecordId::new()))
        .body(String::new().into())
        .unwrap();
    sample.ask(request).await.holds("href=\"/plot?for=plant\"");
}
