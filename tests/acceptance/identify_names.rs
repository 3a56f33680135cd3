//! `standbook identify --json`: the shape of the answer, and names for plants as published.

use std::collections::BTreeSet;
use std::fs;

use serde_json::Value;

use crate::program::{Said, key_folder, run};

/// Runs `identify --json` with the project's key on the bytes of a file.
pub fn identify(observations: &[u8]) -> Said {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("OBS.csv");
    fs::write(&file, observations).unwrap();
    run(&[
        "identify".as_ref(),
        "--key".as_ref(),
        key_folder().as_os_str(),
        "--json".as_ref(),
        file.as_os_str(),
    ])
}

/// The cases, when the file must be taken.
#[track_caller]
pub fn cases(observations: &str) -> Vec<Value> {
    let said = identify(observations.as_bytes());
    assert_eq!(said.code, 0, "{}", said.err);
    serde_json::from_str(&said.out).expect("one JSON array and nothing else")
}

/// A file of one case `p`, from `trait value` pairs.
fn one(seen: &str) -> String {
    let mut file = "case,trait,value\n".to_owned();
    for pair in seen.split(' ').collect::<Vec<_>>().chunks(2) {
        file += &format!("p,{},{}\n", pair[0], pair[1]);
    }
    file
}

/// Taxa of the ranking, best first.
fn ranked(case: &Value) -> Vec<&str> {
    case["ranking"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| r["taxon"].as_str().unwrap())
        .collect()
}

/// The ids in the key's own files, read without the key's reader.
fn taxa_of_the_key() -> BTreeSet<String> {
    fs::read_dir(key_folder().join("taxa"))
        .unwrap()
        .map(|file| {
            file.unwrap()
                .path()
                .file_stem()
                .unwrap()
                .to_str()
                .unwrap()
                .to_owned()
        })
        .collect()
}

fn traits_of_the_key() -> BTreeSet<String> {
    let text = fs::read_to_string(key_folder().join("traits.yaml")).unwrap();
    text.lines()
        .filter_map(|line| line.strip_prefix("  - id: "))
        .map(str::to_owned)
        .collect()
}

#[test]
fn the_shape_of_the_answer() {
    let file = "case,trait,value\n\
        b,ligule_type,hairs|membrane\nb,ligule_length,2.5\nb,odor_or_other,\"oil, like lemon\"\n\
        a,vernation,cannot_tell\n\
        c,stem_section,triangular\nb,collar_hairs,patch\n";
    let cases = cases(file);
    let names: Vec<&str> = cases.iter().map(|c| c["case"].as_str().unwrap()).collect();
    assert_eq!(names, ["b", "a", "c"], "in order of first appearance");
    let outcomes = [
        "settled",
        "leaning",
        "split_between",
        "not_in_this_key",
        "too_little_seen",
    ];
    let mut wanted = taxa_of_the_key();
    assert_eq!(wanted.len(), 52);
    wanted.insert("not_in_key".to_owned());
    let traits = traits_of_the_key();
    for case in &cases {
        let fields: BTreeSet<&str> = case
            .as_object()
            .unwrap()
            .keys()
            .map(String::as_str)
            .collect();
        assert_eq!(
            fields,
            BTreeSet::from(["case", "next", "outcome", "ranking", "roles"])
        );
        assert!(outcomes.contains(&case["outcome"].as_str().unwrap()));
        let ranking = case["ranking"].as_array().unwrap();
        assert_eq!(
            ranked(case)
                .iter()
                .map(|t| (*t).to_owned())
                .collect::<BTreeSet<_>>(),
            wanted
        );
        assert_eq!(ranking.len(), 53, "each once");
        let p: Vec<f64> = ranking
            .iter()
            .map(|r| r["probability"].as_f64().unwrap())
            .collect();
        assert!(p.iter().all(|p| (0.0..=1.0).contains(p)));
        assert!(p.is_sorted_by(|a, b| a >= b), "descending");
        assert!((p.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        let roles = case["roles"].as_object().unwrap();
        let names: BTreeSet<&str> = roles.keys().map(String::as_str).collect();
        assert_eq!(names, BTreeSet::from(["not_in_key", "other", "planted"]));
        assert!((roles.values().map(|v| v.as_f64().unwrap()).sum::<f64>() - 1.0).abs() < 1e-9);
        let outside = ranking.iter().find(|r| r["taxon"] == "not_in_key").unwrap();
        assert!(
            (outside["probability"].as_f64().unwrap()
                - case["roles"]["not_in_key"].as_f64().unwrap())
            .abs()
                < 1e-12
        );
        if let Some(next) = case["next"].as_str() {
            assert!(traits.contains(next), "{next}");
            let line = format!("{},{next},", case["case"].as_str().unwrap());
            assert!(!file.contains(&line), "{next} is answered already");
        } else {
            assert!(case["next"].is_null());
        }
    }
    assert_eq!(
        cases[1]["outcome"], "too_little_seen",
        "can't tell tells nothing"
    );
}

/// Sources: crates/identify/tests/facts/published.csv, the lines of each taxon and trait. No
/// auricles and bare sheaths of barnyardgrass are not in that table: common practice.
#[test]
fn plants_as_published_get_their_names() {
    let best = |seen: &str, within: usize, taxon: &str| {
        let all = cases(&one(seen));
        let top = &ranked(&all[0])[..within];
        assert!(top.contains(&taxon), "{seen}: {top:?}");
    };
    best(
        "ligule_type absent vernation rolled auricles absent sheath_hairs none tiller_base slightly_flattened",
        1,
        "echinochloa_crus_galli",
    );
    best(
        "ligule_type hairs collar_hairs patch vernation rolled tiller_base round",
        3,
        "panicum_virgatum",
    );
    best(
        "stem_section triangular ligule_type absent",
        1,
        "cyperus_esculentus",
    );
}

#[test]
fn what_cannot_be_told_or_only_remarked_changes_no_probability() {
    let plain = cases(&one("vernation rolled"));
    for more in ["ligule_type cannot_tell", "odor_or_other smells_of_lemon"] {
        let with = cases(&one(&format!("vernation rolled {more}")));
        assert_eq!(with[0]["ranking"], plain[0]["ranking"], "{more}");
        assert_eq!(with[0]["outcome"], plain[0]["outcome"], "{more}");
    }
}

/// Adding logarithms in another order may move the last bit, no more.
#[test]
fn the_order_of_lines_within_a_case_changes_nothing() {
    let lines = [
        "ligule_type hairs",
        "collar_hairs patch",
        "vernation rolled",
        "blade_width 7",
        "tiller_base round",
    ];
    let forward = cases(&one(&lines.join(" ")));
    let mut backward = lines;
    backward.reverse();
    let backward = cases(&one(&backward.join(" ")));
    let (a, b) = (&forward[0], &backward[0]);
    assert_eq!((&a["outcome"], &a["next"]), (&b["outcome"], &b["next"]));
    for (one, other) in a["ranking"]
        .as_array()
        .unwrap()
        .iter()
        .zip(b["ranking"].as_array().unwrap())
    {
        assert_eq!(one["taxon"], other["taxon"]);
        let gap = one["probability"].as_f64().unwrap() - other["probability"].as_f64().unwrap();
        assert!(gap.abs() < 1e-12, "{one} {other}");
    }
}

/// Two lines of one trait say what `|` says: both states were seen.
#[test]
fn several_states_may_be_joined_or_stand_on_lines_of_their_own() {
    let joined = cases("case,trait,value\np,ligule_type,hairs | membrane\n");
    let apart = cases("case,trait,value\np,ligule_type,membrane\np,ligule_type,hairs\n");
    assert_eq!(joined, apart);
}

/// The same observations as different programs write them.
#[test]
fn files_as_spreadsheets_write_them() {
    let plain = cases(
        "case,trait,value\nplot 3, cell 4,x\n"
            .replace("plot 3, cell 4,x", "\"plot 3, cell 4\",vernation,rolled")
            .as_str(),
    );
    assert_eq!(plain[0]["case"], "plot 3, cell 4");
    for (how, file) in [
        (
            "byte order mark",
            "\u{feff}case,trait,value\n\"plot 3, cell 4\",vernation,rolled\n",
        ),
        (
            "CR LF",
            "case,trait,value\r\n\"plot 3, cell 4\",vernation,rolled\r\n",
        ),
        (
            "everything quoted",
            "\"case\",\"trait\",\"value\"\n\"plot 3, cell 4\",\"vernation\",\"rolled\"\n",
        ),
        (
            "no end of the last line",
            "case,trait,value\n\"plot 3, cell 4\",vernation,rolled",
        ),
        (
            "blanks and empty lines",
            "case, trait ,value\n\n\"plot 3, cell 4\" , vernation, rolled\n\n",
        ),
    ] {
        assert_eq!(cases(file), plain, "{how}");
    }
}

#[test]
fn without_json_there_is_a_table_for_people() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("seen.csv");
    fs::write(
        &file,
        one("ligule_type absent vernation rolled auricles absent sheath_hairs none"),
    )
    .unwrap();
    let said = run(&["identify".as_ref(), file.as_os_str()]);
    assert_eq!(said.code, 0, "the key inside the program: {}", said.err);
    assert!(
        said.out.contains("barnyardgrass") && said.out.contains("look next at"),
        "{}",
        said.out
    );
}
