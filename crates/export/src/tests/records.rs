//! Records of the sample (`sample`), with what they have in common filled in. People are invented.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;

pub(super) fn record(author: &str, body: impl Into<Body>) -> Record {
    Record {
        id: RecordId::new(),
        born_at: "2026-07-14T15:04:05.123Z".to_owned(),
        received_at: None,
        device: "phone of Ada".to_owned(),
        author: author.to_owned(),
        supersedes: None,
        body: body.into(),
    }
}

pub(super) fn correction(of: RecordId, body: impl Into<Body>) -> Record {
    Record {
        supersedes: Some(of),
        born_at: "2026-07-15T08:00:00.000Z".to_owned(),
        ..record("Ada Fenn", body)
    }
}

pub(super) fn taxon(id: &str) -> Counted {
    Counted::Taxon(id.to_owned())
}

pub(super) fn cells(what: &Counted, cells: &[u32]) -> Vec<Tally> {
    let one = |cell: &u32| Tally {
        cell: Some(*cell),
        what: what.clone(),
        plants: None,
    };
    cells.iter().map(one).collect()
}

pub(super) fn grid(point: RecordId, number: u32, scout: &str, tallies: Vec<Tally>) -> Frame {
    Frame {
        point,
        number,
        scout: scout.to_owned(),
        shape: FrameShape::Grid {
            cells: 25,
            cell_side_cm: 15.0,
        },
        tallies,
        looked_twice: false,
        repeats: None,
    }
}

pub(super) fn plant(
    point: RecordId,
    unknown: Option<RecordId>,
    taxon: Option<&str>,
    note: &str,
) -> Determination {
    let ranked = |taxon: &str, probability| Ranked {
        taxon: taxon.to_owned(),
        probability,
    };
    Determination {
        point,
        cell: taxon.map(|_| 2),
        unknown,
        taxon: taxon.map(str::to_owned),
        note: note.to_owned(),
        evidence: Evidence {
            key: "tallgrass-first-year".to_owned(),
            table_fingerprint: "0123abcd".to_owned(),
            leaf_stage: "few_leaves".to_owned(),
            tools: vec!["lens".to_owned()],
            prior: PriorUsed::Even,
            answers: vec![
                AnswerGiven {
                    r#trait: "ligule_type".to_owned(),
                    value: ValueGiven::States(vec!["hairs".to_owned()]),
                },
                AnswerGiven {
                    r#trait: "blade_width".to_owned(),
                    value: ValueGiven::Measure(4.5),
                },
                AnswerGiven {
                    r#trait: "vernation".to_owned(),
                    value: ValueGiven::CannotTell,
                },
            ],
            outcome: "leaning".to_owned(),
            ranking: vec![
                ranked("setaria_faberi", 0.75),
                ranked("not_in_key", 0.2496),
                ranked("poa_pratensis", 0.0004),
            ],
        },
    }
}

pub(super) fn opinion(
    author: &str,
    second: u8,
    about: RecordId,
    taxon: Option<&str>,
    written: &str,
) -> Record {
    let body = Opinion {
        taxon: taxon.map(str::to_owned),
        name_as_written: written.to_owned(),
        reasons: "seen at the northwest gate, with two\nleaves".to_owned(),
        ..Opinion::on(about)
    };
    Record {
        born_at: format!("2026-08-01T10:00:{second:02}.000Z"),
        ..record(author, body)
    }
}
