//! Plants from seeds: as variable as their record, the same for ever, odd as often as said.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use standbook_identify::Table;
use standbook_key::{FactValue, Key, KeyFiles, LeafStage, Often, Taxon, load};
use standbook_practice::specimen::{NoSpecimen, ODD, Odd, Specimen, Variation, chance, pick};
use statrs::distribution::{ChiSquared, ContinuousCDF};

fn key() -> Key {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year");
    load(&KeyFiles::read_folder(&folder).unwrap()).key.unwrap()
}

/// Shares of states worked out from the words of the key alone, for cells in which every source says one
/// thing, of plants of no stated age: `always` is 0.97 of plants, `usually` 0.85, `sometimes` 0.1,
/// `rarely` 0.05 (the numbers of `identify::modelling`). `None` for other cells.
fn by_the_words(key: &Key, taxon: &Taxon, trait_id: &str) -> Option<BTreeMap<String, f64>> {
    let facts = taxon.facts(trait_id);
    let voices: BTreeSet<_> = facts.iter().map(|f| key.voice_of(&f.source)).collect();
    let plain = |fact: &&standbook_key::Fact| fact.plant.is_none() && fact.source != "memory";
    if facts.is_empty() || voices.len() < facts.len() || !facts.iter().all(|f| plain(&f)) {
        return None;
    }
    let mut weights: BTreeMap<String, f64> = BTreeMap::new();
    for fact in facts {
        let FactValue::State { state, often } = &fact.value else {
            return None;
        };
        *weights.entry(state.to_string()).or_default() += match often {
            Often::Always => 0.97,
            Often::Usually => 0.85,
            Often::Sometimes => 0.1,
            Often::Rarely => 0.05,
        };
    }
    let all: f64 = weights.values().sum();
    Some(weights.into_iter().map(|(id, w)| (id, w / all)).collect())
}

/// Chi-square of what was drawn against what is recorded; the distribution is that of the crate statrs.
#[test]
fn states_are_drawn_as_often_as_they_are_recorded() {
    const PLANTS: u32 = 2_000;
    let key = key();
    let table = Table::compile(&key);
    let (mut cells, mut least) = (0, 1.0_f64);
    for (place, taxon) in key.taxa.iter().enumerate() {
        let wanted: Vec<_> = table
            .traits
            .iter()
            .enumerate()
            .filter(|(_, columns)| columns.applies_to.is_none())
            .filter_map(|(at, columns)| Some((at, by_the_words(&key, taxon, columns.id.as_str())?)))
            .filter(|(_, shares)| shares.len() > 1)
            .collect();
        if wanted.is_empty() {
            continue;
        }
        let variation = Variation::recorded(&key, &table, place);
        let mut seen: Vec<BTreeMap<String, f64>> = vec![BTreeMap::new(); wanted.len()];
        for seed in 0..PLANTS {
            let plant = variation.plant(&table, |at| {
                chance(seed, taxon.id.as_str(), table.traits[at].id.as_str())
            });
            for ((at, _), seen) in wanted.iter().zip(&mut seen) {
                let state = &table.traits[*at].states[plant[*at].unwrap()];
                *seen.entry(state.to_string()).or_default() += 1.0;
            }
        }
        for ((at, shares), seen) in wanted.iter().zip(&seen) {
            let what = format!("{} {}", taxon.id, table.traits[*at].id);
            assert!(
                seen.keys().all(|id| shares.contains_key(id)),
                "{what}: {seen:?}"
            );
            let chi: f64 = shares
                .iter()
                .map(|(id, share)| {
                    let expected = share * f64::from(PLANTS);
                    let found = seen.get(id).copied().unwrap_or(0.0);
                    (found - expected).powi(2) / expected
                })
                .sum();
            let degrees = (shares.len() - 1) as f64;
            let p = ChiSquared::new(degrees).unwrap().sf(chi);
            // As often as one cell in ten thousand would be, if drawn rightly.
            assert!(p > 1e-4, "{what}: {seen:?} for {shares:?}, p = {p}");
            cells += 1;
            least = least.min(p);
        }
    }
    assert!(cells > 20, "{cells} cells");
    // So many fair draws are not all near the middle either.
    assert!(least < 0.2, "least p {least}");
}

/// Worked out with a plain Python of ChaCha20 (RFC 8439) and FNV-1a (`reference/check_chance.py`); pins
/// every plant ever drawn.
#[test]
fn chance_is_the_same_for_ever() {
    for (seed, taxon, what, wanted) in [
        (
            7,
            "andropogon_gerardi",
            "tiller_base",
            0.488_430_006_195_149,
        ),
        (
            7,
            "andropogon_gerardi",
            "sheath_hairs",
            0.507_005_919_321_551_8,
        ),
        (
            u32::MAX,
            "panicum_virgatum",
            "is odd",
            0.690_125_905_701_870_4,
        ),
    ] {
        let drawn = chance(seed, taxon, what);
        assert!(
            (drawn - wanted).abs() < 1e-15,
            "{seed} {taxon} {what}: {drawn}"
        );
    }
}

#[test]
fn a_weight_is_picked_as_often_as_it_is_heavy() {
    assert_eq!(pick(&[1.0, 0.0, 3.0], 0.0), 0);
    assert_eq!(pick(&[1.0, 0.0, 3.0], 0.249), 0);
    assert_eq!(pick(&[1.0, 0.0, 3.0], 0.25), 2);
    assert_eq!(pick(&[1.0, 0.0, 3.0], 0.999_999), 2);
    assert_eq!(pick(&[], 0.5), 0);
}

#[test]
fn a_plant_shows_what_is_recorded_and_can_be_seen() {
    let key = key();
    let table = Table::compile(&key);
    for taxon in &key.taxa {
        for (_, stage, _) in LeafStage::ALL {
            for seed in 0..3 {
                let id = taxon.id.as_str();
                let Ok(plant) = Specimen::grown(&key, &table, id, stage, seed) else {
                    continue;
                };
                assert_eq!(
                    plant,
                    Specimen::grown(&key, &table, id, stage, seed).unwrap()
                );
                for (trait_id, value) in &plant.shows {
                    let one = key.trait_by_id(trait_id).unwrap();
                    assert!(one.visible_at(stage), "{id} {trait_id} at {stage:?}");
                    assert!(
                        !taxon.facts(trait_id).is_empty(),
                        "{id} {trait_id}: not recorded"
                    );
                    match one.measure() {
                        Some(_) => assert!(value.parse::<f64>().unwrap() > 0.0),
                        None => assert!(one.state_index(value).is_some(), "{trait_id} {value}"),
                    }
                }
                if plant.shows_of("sheath_hair_texture").is_some() {
                    let hairs = plant.shows_of("sheath_hairs");
                    assert!(
                        hairs.is_some_and(|hairs| hairs != "none"),
                        "{id}: bare, yet coarse"
                    );
                }
            }
        }
    }
}

/// The same plant is older a month later, and no other.
#[test]
fn a_plant_keeps_its_states_as_it_grows() {
    let key = key();
    let table = Table::compile(&key);
    let at = |stage| Specimen::grown(&key, &table, "panicum_virgatum", stage, 11).unwrap();
    let (young, old) = (at(LeafStage::FewLeaves), at(LeafStage::Heading));
    let both: Vec<_> = young
        .shows
        .iter()
        .filter(|(id, _)| old.shows.contains_key(*id))
        .collect();
    assert!(both.len() > 5);
    assert!(
        both.iter()
            .all(|(id, state)| old.shows_of(id) == Some(state.as_str()))
    );
}

#[test]
fn about_one_in_four_is_odd_and_says_how() {
    const PLANTS: u32 = 400;
    let key = key();
    let table = Table::compile(&key);
    let parts: [&[&str]; 2] = [
        &["ligule_type", "ligule_edge", "auricles"],
        &["seed_attached"],
    ];
    let alike = ["bouteloua_curtipendula", "no_such_grass"];
    let (mut missing, mut misleading) = (0, 0);
    let found = |seed, alike: &[&str]| {
        let stage = LeafStage::FewLeaves;
        Specimen::found(&key, &table, "panicum_virgatum", stage, seed, &parts, alike)
    };
    for seed in 0..PLANTS {
        let plant = found(seed, &alike[..1]).unwrap();
        let grown =
            Specimen::grown(&key, &table, "panicum_virgatum", LeafStage::FewLeaves, seed).unwrap();
        match &plant.odd {
            None => assert_eq!(plant.shows, grown.shows),
            Some(Odd::Missing(part)) => {
                missing += 1;
                assert!(parts[*part].iter().all(|id| plant.shows_of(id).is_none()));
                assert!(parts[*part].iter().any(|id| grown.shows_of(id).is_some()));
            }
            Some(Odd::Misleading {
                trait_id,
                usual,
                like,
            }) => {
                misleading += 1;
                let shown = plant.shows_of(trait_id).unwrap();
                assert_ne!(shown, usual, "{seed}");
                let facts = key.taxon("panicum_virgatum").unwrap().facts(trait_id);
                let recorded = facts.iter().any(|fact| match &fact.value {
                    FactValue::State { state, .. } => *state == *shown,
                    _ => false,
                });
                assert!(
                    recorded || like.is_some(),
                    "{seed}: {trait_id} {shown} is from nowhere"
                );
            }
        }
    }
    let odd = f64::from(missing + misleading) / f64::from(PLANTS);
    // Three standard deviations of a share of 400.
    assert!((odd - ODD).abs() < 0.065, "{odd} are odd");
    assert!(missing > 20 && misleading > 20, "{missing} {misleading}");
    // A look-alike that the key has not is told, where it is needed.
    assert!((0..40).any(|seed| found(seed, &alike).is_err()));
}

#[test]
fn what_is_not_there_is_told() {
    let key = key();
    let table = Table::compile(&key);
    let grown = |taxon: &str, stage| Specimen::grown(&key, &table, taxon, stage, 1);
    let long = "x".repeat(5_000);
    let Err(NoSpecimen::UnknownTaxon(named)) = grown(&long, LeafStage::FewLeaves) else {
        panic!("a plant of nothing");
    };
    assert_eq!(named.len(), 60);
    // At one leaf only first leaf, seed and the blade's lower hairs show; not of every taxon
    // anything of these is recorded.
    let nothing = key
        .taxa
        .iter()
        .find(|taxon| {
            [
                "first_leaf",
                "seed_attached",
                "blade_hairs_lower",
                "base_color",
            ]
            .iter()
            .all(|id| taxon.facts(id).is_empty())
        })
        .map(|taxon| taxon.id.to_string());
    if let Some(taxon) = nothing {
        assert_eq!(
            grown(&taxon, LeafStage::OneLeaf),
            Err(NoSpecimen::NothingShows {
                taxon,
                stage: "one leaf"
            })
        );
    }
}
