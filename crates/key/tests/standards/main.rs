//! Tests of reading and checking standards, from outside the crate.
//!
//! The shipped folder `keys/standards` must be sound against the shipped key. Each folder of
//! `tests/standards/broken` is a user's own folder read after it, with the whole report it must
//! get in `expected.txt`. `UPDATE_EXPECTED=1` rewrites those: read each before you keep it.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use proptest::prelude::*;
use standbook_key::standards::{
    LoadedStandards, Measure, OfWhat, Part, Purpose, Situation, SourceKind, StandardFiles,
    Standards, StandardsFolderError, ThresholdUnit, TimingRule, load,
};
use standbook_key::{Key, KeyFiles};

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn shipped_files() -> StandardFiles {
    StandardFiles::read_folder(&root("../../keys/standards")).unwrap()
}

fn key() -> &'static Key {
    static KEY: LazyLock<Key> = LazyLock::new(|| {
        let files = KeyFiles::read_folder(&root("../../keys/tallgrass-first-year")).unwrap();
        standbook_key::load(&files).key.unwrap()
    });
    &KEY
}

fn lines(loaded: &LoadedStandards) -> String {
    let findings = loaded.report.findings.iter();
    findings.map(|f| format!("{f}\n")).collect()
}

#[track_caller]
fn sound(loaded: LoadedStandards) -> Standards {
    let found = lines(&loaded);
    loaded.standards.unwrap_or_else(|| panic!("{found}"))
}

fn shipped() -> Standards {
    sound(load(&[shipped_files()], Some(key())))
}

/// The shipped standards with one more file of a user's own.
fn with_own(text: &str) -> LoadedStandards {
    let own =
        StandardFiles::from_contents("own", [("own.yaml".to_owned(), text.as_bytes().to_vec())]);
    load(&[shipped_files(), own], Some(key()))
}

#[test]
fn the_shipped_standards_have_no_finding() {
    let loaded = load(&[shipped_files()], Some(key()));
    assert_eq!(lines(&loaded), "");
    let standards = loaded.standards.unwrap();
    assert_eq!(standards.timing.len(), TimingRule::ALL.len());
    assert!(standards.thresholds.len() >= 10);
}

#[test]
fn every_shipped_source_is_named_by_some_entry_and_none_is_local() {
    let standards = shipped();
    let json = serde_json::to_string(&standards).unwrap();
    for (id, source) in &standards.sources {
        let named = format!("\"source\":\"{id}\"");
        let also = format!("\"{id}\"");
        // Once as the key of the list of sources itself, so twice in all.
        assert!(
            json.contains(&named) || json.matches(&also).count() >= 2,
            "no entry names {id}"
        );
        assert_ne!(source.kind, SourceKind::Local);
        assert!(source.citation.len() > 20, "{id}");
    }
}

/// Figures from Schmer and others 2006 (abstract), North Dakota State University 2004 (page),
/// the biomass book of 2014 (excerpt), Great Plains Agricultural Council 1966 (second hand),
/// the gamagrass page and Aberle and others 2003 (abstract).
#[test]
fn shipped_thresholds_are_the_published_ones() {
    let standards = shipped();
    let at = |id: &str| standards.threshold(id).unwrap().established_si();
    let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 5e-4, "{found}");
    near(at("schmer_biomass"), 0.40);
    near(at("schmer_conservation"), 0.25);
    near(at("ndsu_biomass"), 0.40);
    near(at("biomass_density"), 10.0);
    // 1 ft = 0.3048 m, so 1 per ft2 is 10.764 per m2; 1 yd2 = 9 ft2.
    near(at("one_per_ft2"), 10.7639);
    near(at("gamagrass_per_yd2"), 1.19599);
    // One plant in 25 cm of row.
    near(at("gamagrass_full_row"), 4.0);
    near(at("okstate_seedling_goal"), 215.278);
    let density = standards.threshold("biomass_density").unwrap();
    assert_eq!(density.word(9.9), "poor, overseed or replant");
    assert_eq!(density.word(20.0), "excellent");
    assert!(density.word(16.0).starts_with("adequate"));
}

#[test]
fn numbers_known_from_memory_only_are_not_shipped() {
    for threshold in shipped().thresholds {
        for level in &threshold.levels {
            // "50 % and more is success" and the like have no source.
            let half = threshold.unit == ThresholdUnit::PercentOfCells && level.at_least == 50.0;
            assert!(!half, "{}", threshold.id);
        }
    }
}

#[test]
fn every_purpose_has_a_threshold_that_decides() {
    let standards = shipped();
    for (id, purpose, _) in Purpose::ALL {
        let fits = |of: &[Purpose]| of.is_empty() || of.contains(&purpose);
        let found = standards.thresholds.iter().any(|t| {
            t.part == Part::Decides
                && fits(&t.purposes)
                && t.unit.measure() != Measure::Cover
                && !matches!(t.of, OfWhat::Group(_))
        });
        assert!(found, "{id}");
    }
}

#[test]
fn goals_for_seedlings_decide_nothing() {
    let goal = shipped();
    let goal = goal.threshold("okstate_seedling_goal").unwrap();
    assert_eq!(goal.part, Part::Goal);
}

#[test]
fn every_situation_has_advice_or_only_guards_some() {
    let standards = shipped();
    let mentioned: BTreeSet<Situation> = standards
        .advice
        .iter()
        .flat_map(|a| a.when.iter().chain(&a.unless).copied())
        .collect();
    // These are said by other parts of a page, or wait for a user's own advice.
    let silent = [
        "below",
        "before_fair_date",
        "sprayed",
        "mown",
        "grazed",
        "forbs_sown",
        "late_or_dormant",
    ];
    for (id, situation) in Situation::ALL {
        assert_eq!(
            mentioned.contains(&situation),
            !silent.contains(&id),
            "{id}"
        );
    }
}

#[test]
fn advice_names_no_product_and_advises_no_spraying() {
    let standards = shipped();
    for advice in &standards.advice {
        let words = advice.words.to_lowercase();
        for product in [
            "2,4-d",
            "glyphosate",
            "imaz",
            "atrazine",
            "quinclorac",
            "oz/ac",
        ] {
            assert!(!words.contains(product), "{}: {product}", advice.id);
        }
        if words.contains("spray") || words.contains("treatment") {
            assert!(
                advice.cautions.iter().any(|c| c == "label")
                    && advice.cautions.iter().any(|c| c == "licensed"),
                "{}",
                advice.id
            );
        }
        if advice.shows_mowing {
            assert!(
                advice.cautions.iter().any(|c| c == "mower"),
                "{}",
                advice.id
            );
        }
    }
}

#[test]
fn seeds_per_pound_of_every_source_are_there() {
    let standards = shipped();
    let big: Vec<_> = standards.seeds_per_lb("andropogon_gerardi").collect();
    assert_eq!(big.len(), 2, "Bailey 164,000 to 165,000; Star 130,000");
    assert_eq!(big[0].seeds_per_lb, (164_000.0, 165_000.0));
    assert!(standards.seeds_per_lb("poa_pratensis").next().is_none());
    let shares: Vec<_> = standards.emergence.iter().map(|e| e.share).collect();
    assert!(shares.contains(&(0.15, 0.15)) && shares.contains(&(0.05, 0.1)));
}

#[test]
fn every_broken_folder_gets_exactly_its_report() {
    let update = std::env::var_os("UPDATE_EXPECTED").is_some();
    let key = key();
    let mut wrong = Vec::new();
    let mut cases = 0;
    let mut pointed = 0;
    for entry in std::fs::read_dir(root("tests/standards/broken")).unwrap() {
        let folder = entry.unwrap().path();
        let case = folder.file_name().unwrap().to_str().unwrap().to_owned();
        let own = StandardFiles::read_folder(&folder).unwrap();
        let loaded = load(&[shipped_files(), own], Some(key));
        let found = lines(&loaded);
        assert!(loaded.standards.is_none() && !found.is_empty(), "{case}");
        let expected = folder.join("expected.txt");
        if update {
            std::fs::write(&expected, &found).unwrap();
        }
        let expected = std::fs::read_to_string(&expected).unwrap_or_default();
        if found != expected {
            wrong.push(format!(
                "== {case}\n-- expected\n{expected}-- found\n{found}"
            ));
        }
        for finding in &loaded.report.findings {
            // A finding that begins with a quoted word points at that very word.
            let word = finding.problem.strip_prefix('`').and_then(|rest| {
                let (word, rest) = rest.split_once("` ")?;
                rest.starts_with("is not a ").then_some(word)
            });
            let Some(word) = word else { continue };
            let name = finding.file.rsplit('/').next().unwrap();
            let text = std::fs::read_to_string(folder.join(name)).unwrap();
            let line = text.lines().nth(finding.place.line as usize - 1).unwrap();
            let there: String = line
                .chars()
                .skip(finding.place.column as usize - 1)
                .collect();
            assert!(
                there.trim_start_matches('"').starts_with(word),
                "{case}: {finding}\n{there}"
            );
            pointed += 1;
        }
        cases += 1;
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(cases >= 12, "only {cases} cases found");
    assert!(pointed >= 8, "only {pointed} places compared with the text");
}

const OWN: &str = "
sources:
  - id: county_2026
    citation: County programme sheet, spring 2026
    kind: local
thresholds:
  - id: county_cover
    name: county programme, conservation cover
    group: planted_together
    purposes: [conservation]
    states: [KS]
    holds: there
    counts: plants
    unit: plants_per_ft2
    levels:
      - at_least: 2
        word: passes
    source: county_2026
";

#[test]
fn an_own_folder_adds_to_the_shipped_and_is_marked_own() {
    let standards = sound(with_own(OWN));
    assert_eq!(standards.thresholds.len(), shipped().thresholds.len() + 1);
    let own = standards.threshold("county_cover").unwrap();
    assert!(own.own && !standards.threshold("schmer_biomass").unwrap().own);
    assert_eq!(own.part, Part::Decides, "the default");
}

#[test]
fn an_own_entry_takes_the_place_of_a_shipped_one_only_when_it_says_so() {
    let taken = OWN.replace("id: county_cover", "id: schmer_conservation");
    let refused = lines(&with_own(&taken));
    assert!(
        refused.contains("`schmer_conservation` is taken"),
        "{refused}"
    );
    assert!(
        refused.contains("add `replaces: schmer_conservation`"),
        "{refused}"
    );

    let replacing = taken.replace(
        "id: schmer_conservation",
        "id: schmer_conservation\n    replaces: schmer_conservation",
    );
    let standards = sound(with_own(&replacing));
    let all: Vec<&str> = standards.thresholds.iter().map(|t| t.id.as_str()).collect();
    let before: Vec<String> = shipped().thresholds.into_iter().map(|t| t.id).collect();
    assert_eq!(all, before, "the same places");
    assert!(standards.threshold("schmer_conservation").unwrap().own);
}

#[test]
fn an_own_rule_of_time_replaces_the_shipped_one() {
    let own = "
sources:
  - {id: frost, citation: Frost dates of the county for thirty years, kind: local}
timing:
  - {id: our_frost, replaces: dryland_first_season, rule: season_ends, day: \"10-05\", words: First frost here., source: frost}
";
    let standards = sound(with_own(own));
    assert_eq!(
        standards.timing(TimingRule::SeasonEnds).unwrap().id,
        "our_frost"
    );
    assert_eq!(standards.timing.len(), TimingRule::ALL.len());
}

#[test]
fn a_missing_rule_of_time_is_a_fault_of_the_folder() {
    let text = std::fs::read_to_string(root("../../keys/standards/timing.yaml")).unwrap();
    let without = text.replace("rule: irrigated_days", "rule: irigated_days");
    let files = StandardFiles::from_contents(
        "standards",
        [("timing.yaml".to_owned(), without.into_bytes())],
    );
    let found = lines(&load(&[files], None));
    assert!(found.contains("did you mean `irrigated_days`?"), "{found}");
    assert!(found.contains("has the rule `irrigated_days`"), "{found}");
    assert_eq!(found.matches("fault").count(), 2, "{found}");
}

#[test]
fn folders_that_are_none_are_told_apart() {
    let missing = StandardFiles::read_folder(Path::new("/nowhere/at/all"));
    assert!(matches!(missing, Err(StandardsFolderError::Missing(_))));
    let file = StandardFiles::read_folder(&root("Cargo.toml"));
    assert!(matches!(file, Err(StandardsFolderError::NotAFolder(_))));
    let empty = tempfile::tempdir().unwrap();
    let files = StandardFiles::read_folder(empty.path()).unwrap();
    let found = lines(&load(&[shipped_files(), files], None));
    assert!(found.contains("no .yaml file"), "{found}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// One line of the user's own file is lost, doubled or spoiled: never a panic, never a
    /// place outside the file, never a threshold lost in silence.
    #[test]
    fn no_spoiled_line_makes_the_reader_panic(at in 0usize..20, how in 0u8..4, junk in "[ -~]{0,12}") {
        let mut lines: Vec<String> = OWN.lines().map(str::to_owned).collect();
        let at = at % lines.len();
        match how {
            0 => { lines.remove(at); }
            1 => lines.insert(at, lines[at].clone()),
            2 => lines[at].push_str(&junk),
            _ => lines[at] = junk,
        }
        let loaded = with_own(&lines.join("\n"));
        prop_assert_eq!(loaded.standards.is_some(), loaded.report.is_sound());
        for finding in &loaded.report.findings {
            prop_assert!(finding.place.line as usize <= lines.len() + 1);
            prop_assert!(!finding.mend.is_empty());
        }
    }
}
