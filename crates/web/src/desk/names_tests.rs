#![allow(clippy::unwrap_used)]

use std::path::Path;
use std::sync::LazyLock;

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Evidence, PriorUsed, Qualifier};
use standbook_key::KeyFiles;

use super::*;

static KEY: LazyLock<Key> = LazyLock::new(|| {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year");
    let files = KeyFiles::read_folder(&folder).unwrap();
    standbook_key::load(&files).key.unwrap()
});

const BIG: &str = "andropogon_gerardi";
const BROOMSEDGE: &str = "andropogon_virginicus";
const FOXTAIL: &str = "setaria_pumila";

fn entry<T>(author: &str, minute: usize, body: T) -> Entry<T> {
    let born_at = format!("2026-08-01T10:{minute:02}:00.000Z");
    Entry {
        id: RecordId::new(),
        received_at: born_at.clone(),
        born_at,
        device: "laptop".into(),
        author: author.into(),
        supersedes: None,
        body,
    }
}

fn plant(taxon: Option<&str>) -> Entry<Determination> {
    let body = Determination {
        point: RecordId::new(),
        cell: None,
        unknown: None,
        taxon: taxon.map(str::to_owned),
        note: String::new(),
        evidence: Evidence {
            key: "k".into(),
            table_fingerprint: "0".into(),
            leaf_stage: "tillering".into(),
            tools: Vec::new(),
            prior: PriorUsed::Even,
            answers: Vec::new(),
            outcome: "leaning".into(),
            ranking: Vec::new(),
        },
    };
    entry("Thea Marsh", 0, body)
}

/// Opinions in order: who, and what they called it.
fn stands(taxon: Option<&str>, said: &[(&str, Called)]) -> Standing {
    let plant = plant(taxon);
    let opinions: Vec<Entry<Opinion>> = said
        .iter()
        .enumerate()
        .map(|(at, (who, called))| {
            let mut opinion = Opinion::on(plant.id);
            match called {
                Called::Taxon(id) => opinion.taxon = Some(id.clone()),
                Called::Compare(id) | Called::Near(id) => {
                    opinion.taxon = Some(id.clone());
                    let cf = matches!(called, Called::Compare(_));
                    opinion.qualifier = Some(if cf { Qualifier::Cf } else { Qualifier::Aff });
                }
                Called::Genus(genus) => opinion.genus = Some(genus.clone()),
                Called::NotInKey | Called::NoName => {}
            }
            assert_eq!(*called, Called::by_opinion(&opinion));
            entry(who, at + 1, opinion)
        })
        .collect();
    standing(&KEY, &plant, &opinions, None)
}

fn taxon(id: &str) -> Called {
    Called::Taxon(id.into())
}

#[test]
fn a_name_that_says_less_disputes_nothing_it_leaves_room_for() {
    let genus = |name: &str| Called::Genus(name.into());
    let (cf, aff) = (
        |id: &str| Called::Compare(id.into()),
        |id: &str| Called::Near(id.into()),
    );
    for (said, disputed) in [
        (taxon(BIG), false),
        (taxon(BROOMSEDGE), true),
        (cf(BIG), false),
        (cf(BROOMSEDGE), true),
        (aff(BIG), true),
        (genus("Andropogon"), false),
        (genus("Setaria"), true),
        (Called::NotInKey, true),
    ] {
        let standing = stands(Some(BIG), &[("C. Wold", said.clone())]);
        assert_eq!(standing.disputed, disputed, "{said:?}");
        assert_eq!(standing.called, said);
        // A scout without a name disputes nothing.
        assert!(!stands(None, &[("C. Wold", said)]).disputed);
    }
    // Near a species of the key, but not it, is no name of the key.
    assert!(
        !stands(
            None,
            &[("C. Wold", aff(BIG)), ("J. Roth", Called::NotInKey)]
        )
        .disputed
    );
}

#[test]
fn a_third_person_ends_a_dispute_and_a_fourth_opens_it_again() {
    let two = [("C. Wold", taxon(BROOMSEDGE))];
    assert!(stands(Some(BIG), &two).disputed);
    let three = [two[0].clone(), ("J. Roth", taxon(BIG))];
    let settled = stands(Some(BIG), &three);
    assert!(!settled.disputed);
    assert_eq!(settled.called, taxon(BIG));
    assert!(
        settled.why.contains("J. Roth looked after them"),
        "{settled:?}"
    );
    assert_eq!(settled.second, "two differed, settled by J. Roth");
    // One of the two looking once more is no third person.
    let again = [two[0].clone(), ("thea marsh ", taxon(BIG))];
    assert!(stands(Some(BIG), &again).disputed);
    // Whoever agrees leaves it settled; whoever differs opens it.
    let agrees = [three[0].clone(), three[1].clone(), ("O. Birk", taxon(BIG))];
    assert!(!stands(Some(BIG), &agrees).disputed);
    let differs = [
        three[0].clone(),
        three[1].clone(),
        ("O. Birk", taxon(FOXTAIL)),
    ];
    assert!(stands(Some(BIG), &differs).disputed);
    // So does one of the two who takes up a third name.
    let turns = [
        three[0].clone(),
        three[1].clone(),
        ("C. Wold", taxon(FOXTAIL)),
    ];
    assert!(stands(Some(BIG), &turns).disputed);
    // One who comes round leaves nothing to dispute.
    let round = [two[0].clone(), ("C. Wold", taxon(BIG))];
    let standing = stands(Some(BIG), &round);
    assert!(!standing.disputed);
    assert_eq!(standing.second, "second opinion agrees (C. Wold)");
}
