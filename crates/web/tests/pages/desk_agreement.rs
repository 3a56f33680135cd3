//! Agreement, kinds of slips and audits: asked in this process, on a real book with the real key.
//!
//! Outside check: kappa and its limits from scikit-learn and statsmodels, worked out apart (see beside
//! the numbers); shares by Wilson from statsmodels.

use crate::desk_support::*;
use axum::http::StatusCode;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

const BIG: &str = "andropogon_gerardi";
const INDIAN: &str = "sorghastrum_nutans";
const FOXTAIL: &str = "setaria_faberi";

/// A plant named by the scout on answers that say little, looked at again blind by somebody else.
fn reviewed(sample: &Sample, called: Option<&str>, is: Option<&str>) -> RecordId {
    let plant = sample.keep(sample.determine(called, &[("ligule_type", states(&["hairs"]))]));
    opinion(sample, plant, is, "ligule_type", "hairs");
    plant
}

fn opinion(sample: &Sample, plant: RecordId, is: Option<&str>, id: &str, state: &str) {
    let seen = sample.determine(None, &[(id, states(&[state]))]).evidence;
    sample.keep_record(Record {
        author: "C. Wold".into(),
        ..record(Opinion {
            taxon: is.map(str::to_owned),
            reasons: "looked closely".into(),
            blind: true,
            evidence: Some(seen),
            ..Opinion::on(plant)
        })
    });
}

#[tokio::test]
async fn each_kind_of_slip_is_told_apart() {
    let sample = Sample::empty();
    for _ in 0..6 {
        reviewed(&sample, Some(BIG), Some(BIG));
    }
    for _ in 0..3 {
        reviewed(&sample, Some(FOXTAIL), Some(FOXTAIL));
    }
    reviewed(&sample, Some(FOXTAIL), Some(BIG));
    reviewed(&sample, Some(BIG), Some(FOXTAIL));
    reviewed(&sample, Some(BIG), Some(INDIAN));
    reviewed(&sample, None, Some(INDIAN));
    let page = sample.get("/desk/agreement").await;
    assert_eq!(page.status, StatusCode::OK);
    page.holds("A. Fenn")
        .holds("13 plants looked at again, 13 of them blind");
    // statsmodels 0.15: proportion_confint(9, 12, method="wilson") = 0.4677, 0.9111.
    page.holds("<dt>Named, and right</dt><dd>9 of 12 (75 %; 95 % interval 47 to 91 %)");
    page.holds("<dt>Misnamed</dt><dd>3</dd>")
        .holds("<dt>Miskeyed</dt><dd>0</dd>")
        .holds("<dt>Over-cautious</dt><dd>1 of 13 (8 %; ");
    // Of twelve with a name: planted, planted 7; planted, not 1; not, planted 1; not, not 3.
    // statsmodels 0.15: cohens_kappa([[7, 1], [1, 3]]): 0.6250, limits 0.1550 and 1.0950.
    page.holds("<dt>Planted or not, blind</dt><dd>alike in 10 of 12 (83 %; 95 % interval 55 to 95 %); kappa 0.63 (0.16 to 1.00)");
    page.holds("Taken for one another")
        .holds("big bluestem and giant foxtail");
    page.holds("giant foxtail called big bluestem: 1 plant")
        .holds("big bluestem called giant foxtail: 1 plant");
    page.holds("indiangrass called big bluestem: 1 plant")
        .holds("big bluestem called indiangrass: 0 plants");
    page.holds("called big bluestem and is indiangrass: 1 plant")
        .holds(&format!("/key/{BIG}/or/{INDIAN}"));
    page.holds("<td>big bluestem</td><td>big bluestem</td><td class=\"n\">6</td>");
    // Everybody saw the same hairs.
    page.holds("no kappa, since all answers were the same")
        .lacks("style=");
}

#[tokio::test]
async fn a_name_against_ones_own_answers_is_miskeyed() {
    let sample = Sample::empty();
    // Answers enough to lead to one name; another was written down.
    let full = sample.determine(
        Some(BIG),
        &[
            ("ligule_type", states(&["hairs"])),
            ("vernation", states(&["rolled"])),
            ("sheath_hairs", states(&["none"])),
            ("tiller_base", states(&["round"])),
        ],
    );
    let leads_to = full.evidence.ranking[0].taxon.clone();
    assert_ne!(leads_to, BIG);
    let plant = sample.keep(full);
    opinion(&sample, plant, Some(&leads_to), "vernation", "folded");
    let page = sample.get("/desk/agreement").await;
    page.holds("<dt>Miskeyed</dt><dd>1</dd>")
        .holds("<dt>Misnamed</dt><dd>0</dd>");
    // The one look that both took is seen otherwise, and to be practised.
    page.holds("seen otherwise in 1 of 1");
}

#[tokio::test]
async fn a_plant_is_what_the_last_of_the_others_says() {
    let sample = Sample::empty();
    let plant = reviewed(&sample, Some(BIG), Some(FOXTAIL));
    sample
        .get("/desk/agreement")
        .await
        .holds("<dt>Misnamed</dt><dd>1</dd>");
    // A third person finds that the scout was right; the blind look stays what it was.
    sample.keep_record(Record {
        author: "J. Roth".into(),
        ..record(Opinion {
            taxon: Some(BIG.into()),
            ..Opinion::on(plant)
        })
    });
    let page = sample.get("/desk/agreement").await;
    page.holds("<dt>Misnamed</dt><dd>0</dd>")
        .holds("<dt>Named, and right</dt><dd>1 of 1")
        .holds("<dt>Planted or not, blind</dt><dd>alike in 0 of 1");
}

#[tokio::test]
async fn only_blind_looks_count_as_agreement() {
    let sample = Sample::empty();
    let plant = sample.keep(sample.determine(Some(BIG), &[("ligule_type", states(&["hairs"]))]));
    sample.keep_record(Record {
        author: "C. Wold".into(),
        ..record(Opinion {
            taxon: Some(BIG.into()),
            ..Opinion::on(plant)
        })
    });
    // One's own second look says nothing of agreement.
    let own = sample.keep(sample.determine(Some(BIG), &[("ligule_type", states(&["hairs"]))]));
    sample.keep(Opinion {
        taxon: Some(FOXTAIL.into()),
        blind: true,
        ..Opinion::on(own)
    });
    let page = sample.get("/desk/agreement").await;
    page.holds("1 plant looked at again, 0 of them blind")
        .lacks("Planted or not, blind")
        .lacks("kappa 0");
}

#[tokio::test]
async fn frames_read_twice_tell_what_was_overlooked() {
    let sample = Sample::counted(false);
    let frames = sample.app.book.frames(sample.visit).unwrap();
    let first = frames.iter().find(|frame| {
        frame
            .body
            .tallies
            .iter()
            .filter(|tally| tally.what == taxon(BIG))
            .count()
            == 12
    });
    let first = first.unwrap();
    // The second sees 1 to 10, and 14 where the first saw nothing, and 24 where the first saw a foxtail.
    let mut tallies = cells(&taxon(BIG), (1..=10).chain([14, 24]));
    tallies.extend(cells(&taxon(FOXTAIL), [25]));
    sample.keep_record(Record {
        author: "C. Wold".into(),
        ..record(Frame {
            scout: "C. Wold".into(),
            repeats: Some(first.id),
            tallies,
            ..first.body.clone()
        })
    });
    for address in [
        "/desk/agreement".to_owned(),
        format!("/desk/agreement?visit={}", sample.visit),
    ] {
        let page = sample.get(&address).await;
        // statsmodels 0.15: proportion_confint(1, 12, method="wilson") = 0.0149, 0.3539.
        page.holds("<dt>Overlooked</dt><dd>1 of 12 (8 %; 95 % interval 1 to 35 %) cells in which the second reader saw a planted species, in 1 frame");
        page.holds("<dt>Named otherwise in the frame</dt><dd>1 cell</dd>")
            .holds("<dt>Seen by the first reader only</dt><dd>2 cells</dd>");
    }
}

#[tokio::test]
async fn an_audit_is_drawn_once_and_walked_blind_to_the_end() {
    let sample = Sample::empty();
    for _ in 0..30 {
        sample.keep(sample.determine(Some(BIG), &[("ligule_type", states(&["hairs"]))]));
    }
    sample
        .get("/desk/audits")
        .await
        .holds("Draw plants of a visit")
        .holds("value=\"10\"");
    let (id, visit) = (RecordId::new().to_string(), sample.visit.to_string());
    let fields = [
        ("id", id.as_str()),
        ("visit", &visit),
        ("share", "10"),
        ("scout", "C. Wold"),
    ];
    let answer = sample.post("/desk/audits", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    assert_eq!(answer.location, format!("/desk/audits/{id}"));
    let audit = sample.app.book.audits(sample.visit).unwrap().remove(0);
    assert_eq!(audit.body.drawn.len(), 3);
    assert_eq!(audit.body.plants, 30);
    // Sent again: the same draw.
    assert_eq!(
        sample.post("/desk/audits", &fields).await.location,
        answer.location
    );
    assert_eq!(sample.app.book.audits_all().unwrap().len(), 1);
    let page = sample.get(&answer.location).await;
    page.holds("3 plants drawn from 30, at least 10 %, with seed ")
        .holds("<strong>0 of 3 looked at again.</strong>")
        .lacks("big bluestem");
    // Two of the three; one of them is not what it was called.
    for (plant, is) in audit.body.drawn.iter().zip([BIG, FOXTAIL]) {
        page.holds(&format!("/determinations/{plant}/again"));
        opinion(&sample, *plant, Some(is), "ligule_type", "hairs");
    }
    sample
        .get(&answer.location)
        .await
        .holds("<strong>2 of 3 looked at again.</strong>");
    let next = audit.body.drawn[2];
    sample
        .get(&format!("/determinations/{}", audit.body.drawn[0]))
        .await
        .holds("2 of 3 looked at again")
        .holds(&format!("/determinations/{next}/again"));
}

#[tokio::test]
async fn counts_are_corrected_by_what_was_drawn_and_not_by_what_was_picked() {
    let sample = Sample::counted(false);
    let report = format!("/stand/{}/report", sample.planting);
    // Twenty picked for their doubt, all of them wrong.
    for _ in 0..20 {
        reviewed(&sample, Some(BIG), Some(FOXTAIL));
    }
    for _ in 0..20 {
        reviewed(&sample, Some(FOXTAIL), Some(FOXTAIL));
    }
    sample.get(&report).await.holds(
        "40 names were checked by a second person, picked and not drawn at random, so names may be better",
    );
    // Fifty others, drawn, all of them right.
    let mut drawn = Vec::new();
    for at in 0..50 {
        let name = if at < 25 { BIG } else { FOXTAIL };
        drawn.push(reviewed(&sample, Some(name), Some(name)));
    }
    sample.keep(Audit {
        visit: sample.visit,
        share: 0.5,
        draw_seed: 1,
        plants: 91,
        drawn,
    });
    sample
        .get(&report)
        .await
        .holds("50 names, drawn at random, were checked by a second person; ");
}

#[tokio::test]
async fn a_draw_that_can_not_be_made_says_why() {
    let sample = Sample::empty();
    let id = RecordId::new().to_string();
    let visit = sample.visit.to_string();
    for (visit, share, wrong) in [
        ("", "10", "No visit is chosen"),
        (visit.as_str(), "0", "above 0"),
        (visit.as_str(), "101", "at most 100"),
        (visit.as_str(), "many", "Write percent"),
        (visit.as_str(), "10", "No plant was determined"),
    ] {
        let fields = [
            ("id", id.as_str()),
            ("visit", visit),
            ("share", share),
            ("scout", "C. Wold"),
        ];
        let answer = sample.post("/desk/audits", &fields).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
        answer.holds(wrong).holds(&format!("value=\"{share}\""));
    }
    assert!(sample.app.book.audits_all().unwrap().is_empty());
}
