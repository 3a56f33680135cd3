//! Rules of opinions, specimens, flags to come back and audits, each broken once.

use super::rules::breaks;
use super::*;

#[test]
fn opinions_are_as_sure_as_they_say() {
    let s = Sample::new();
    let sure = Opinion {
        taxon: Some("setaria_pumila".into()),
        ..Opinion::on(s.unknown)
    };
    for qualifier in [Qualifier::Cf, Qualifier::Aff] {
        s.keep(record(Opinion {
            qualifier: Some(qualifier),
            ..sure.clone()
        }));
        let of_nothing = Opinion {
            taxon: None,
            genus: Some("Setaria".into()),
            qualifier: Some(qualifier),
            ..sure.clone()
        };
        breaks(&s, record(of_nothing), &["qualifier"]);
    }
    let both = Opinion {
        genus: Some("Setaria".into()),
        ..sure.clone()
    };
    breaks(&s, record(both.clone()), &["genus"]);
    // A genus is enough by itself.
    s.keep(record(Opinion {
        taxon: None,
        ..both.clone()
    }));
    for bad in ["", "Seta\nria"] {
        let genus = Opinion {
            taxon: None,
            genus: Some(bad.into()),
            ..both.clone()
        };
        breaks(&s, record(genus), &["genus"]);
    }
    // Evidence keeps the rules of a determination.
    let mut walked = a_blind_opinion(s.unknown, s.point);
    s.keep(record(walked.clone()));
    if let Some(evidence) = &mut walked.evidence {
        evidence.tools = vec!["trowel".into(), "lens".into()];
        evidence.ranking.clear();
    }
    breaks(&s, record(walked), &["evidence.tools", "evidence.ranking"]);
}

#[test]
fn specimens_flags_and_audits() {
    let s = Sample::new();
    let plant = s.keep(record(a_determination(s.point)));
    let voucher = a_voucher(plant, "12");
    breaks(&s, record(a_voucher(s.point, "12")), &["about"]);
    let bad = Voucher {
        collected_on: "2026-02-30".into(),
        collector: " ".into(),
        ..voucher.clone()
    };
    breaks(&s, record(bad), &["collector", "collected_on"]);
    let kept = s.keep(record(voucher.clone()));
    // One number of a collector stands on one specimen, whatever plant it is of.
    breaks(&s, record(a_voucher(s.unknown, " 12 ")), &["number"]);
    s.keep(record(Voucher {
        collector: "C. Sorrel".into(),
        ..voucher.clone()
    }));
    s.keep(correction(
        kept,
        3,
        Voucher {
            kept_at: "county herbarium".into(),
            ..voucher
        },
    ));

    let flag = a_come_back(s.unknown);
    let seen = ComeBack {
        seen_on: Some("2026-09-02".into()),
        ..flag.clone()
    };
    breaks(&s, record(seen.clone()), &["found"]);
    let off = ComeBack {
        position: Some(Position {
            latitude: 91.0,
            longitude: 0.0,
            uncertainty_m: Some(0.0),
        }),
        ..flag.clone()
    };
    breaks(
        &s,
        record(off),
        &["position.latitude", "position.uncertainty_m"],
    );
    let flagged = s.keep(record(flag));
    s.keep(correction(
        flagged,
        3,
        ComeBack {
            found: "headed: indiangrass".into(),
            ..seen
        },
    ));
    assert_eq!(s.book.come_backs(s.unknown).unwrap().len(), 1);

    let audit = an_audit(s.visit, vec![plant]);
    for (bad, field) in [
        (
            Audit {
                share: 0.0,
                ..audit.clone()
            },
            "share",
        ),
        (
            Audit {
                share: 1.1,
                ..audit.clone()
            },
            "share",
        ),
        (
            Audit {
                plants: 0,
                ..audit.clone()
            },
            "plants",
        ),
        (
            Audit {
                drawn: vec![],
                ..audit.clone()
            },
            "drawn",
        ),
        (
            Audit {
                drawn: vec![plant, plant],
                ..audit.clone()
            },
            "drawn",
        ),
        (
            Audit {
                drawn: vec![s.unknown],
                ..audit.clone()
            },
            "drawn[0]",
        ),
    ] {
        breaks(&s, record(bad), &[field]);
    }
    s.keep(record(audit));
}
