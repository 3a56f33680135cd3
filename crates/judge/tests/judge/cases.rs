//! The shipped standards, and cases to judge by them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::LazyLock;

use jiff::civil::{Date, date};
use standbook_judge::{About, Case, Judgement, Label, Laid, Role, Sown, judge};
use standbook_key::standards::{PlantsCounted, Purpose, StandardFiles, Standards, load};
use standbook_key::{Key, KeyFiles};
use standbook_stand::confidence::Confidence;
use standbook_stand::convert::Grid;
use standbook_stand::summary::{Reading, Seen};

pub const SWITCHGRASS: &str = "panicum_virgatum";

pub fn key() -> &'static Key {
    static KEY: LazyLock<Key> = LazyLock::new(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year");
        let files = KeyFiles::read_folder(&folder).unwrap();
        standbook_key::load(&files).key.unwrap()
    });
    &KEY
}

pub fn standards() -> &'static Standards {
    static STANDARDS: LazyLock<Standards> = LazyLock::new(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/standards");
        let files = StandardFiles::read_folder(&folder).unwrap();
        load(&[files], Some(key())).standards.unwrap()
    });
    &STANDARDS
}

pub fn taxon(id: &str) -> Label {
    Label::Taxon(id.to_owned())
}

/// What the key says of every taxon; sown are those of the mix.
pub fn labels(mix: &[Sown]) -> BTreeMap<Label, About> {
    let about = |taxon: &standbook_key::Taxon| About {
        group: taxon.group.to_string(),
        role: match mix.iter().any(|sown| sown.taxon == taxon.id.as_str()) {
            true => Role::Planted,
            false if taxon.role == standbook_key::Role::Weed => Role::Weed,
            false => Role::Volunteer,
        },
    };
    let taxa = key().taxa.iter();
    taxa.map(|t| (taxon(t.id.as_str()), about(t))).collect()
}

/// Switchgrass for biomass in Nebraska, seeded in May and looked at after the first season.
pub fn biomass() -> Case {
    let mut case = Case {
        today: date(2026, 9, 21),
        seeded_on: date(2026, 5, 12),
        visited_on: date(2026, 9, 20),
        purpose: Purpose::Biomass,
        irrigated: Some(false),
        state: "NE".to_owned(),
        mix: Vec::new(),
        forbs_sown: Some(false),
        labels: BTreeMap::new(),
        readings: Vec::new(),
        strata: Vec::new(),
        double_reads: Vec::new(),
        audits: Vec::new(),
        audits_drawn: false,
        specimens: None,
        events: Vec::new(),
        leaves: None,
        counted: PlantsCounted::Plants,
        local: Vec::new(),
        stopping: None,
        confidence: Confidence::P95,
    };
    sow(&mut case, &[SWITCHGRASS]);
    case
}

pub fn sow(case: &mut Case, taxa: &[&str]) {
    case.mix = taxa
        .iter()
        .map(|taxon| Sown {
            taxon: (*taxon).to_owned(),
            pls_lb_per_acre: Some(6.0),
            seeds_per_lb: None,
        })
        .collect();
    case.labels = labels(&case.mix);
}

/// One 25-cell frame at a spot; each label fills so many cells, from the first on.
pub fn frame(spot: &str, found: &[(Label, u32)]) -> Laid {
    let occupied = found
        .iter()
        .map(|(label, cells)| (label.clone(), (1..=*cells).collect::<BTreeSet<u32>>()));
    Laid {
        reading: Reading {
            spot: spot.to_owned(),
            seen: Seen::Grid {
                grid: Grid::STANDARD,
                occupied: occupied.collect(),
            },
        },
        scout: "A. Fenn".to_owned(),
        looked_twice: true,
        row: None,
    }
}

/// A quadrat at a spot.
pub fn quadrat(spot: &str, area_m2: f64, found: &[(Label, u32)]) -> Laid {
    Laid {
        reading: Reading {
            spot: spot.to_owned(),
            seen: Seen::Quadrat {
                area_m2,
                plants: found.iter().cloned().collect(),
            },
        },
        scout: "A. Fenn".to_owned(),
        looked_twice: true,
        row: None,
    }
}

/// Frames at as many spots, each with so many cells of one label.
pub fn frames(label: &Label, cells: &[u32]) -> Vec<Laid> {
    let numbered = cells.iter().enumerate();
    numbered
        .map(|(at, cells)| frame(&format!("p{at}"), &[(label.clone(), *cells)]))
        .collect()
}

#[track_caller]
pub fn judged(case: &Case) -> Judgement {
    judge(case, standards()).unwrap()
}

/// A visit on another day.
pub fn on(case: &Case, visited_on: Date) -> Case {
    Case {
        visited_on,
        today: visited_on,
        ..case.clone()
    }
}
