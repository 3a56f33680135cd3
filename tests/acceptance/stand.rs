//! `standbook stand`: frames from a file to a verdict and numbers.
//!
//! The published case is Oklahoma State University's (switchgrass site, Evaluation of
//! establishment success): four placements with 15, 14, 20 and 21 of 25 cells, a 70 % stand. The
//! t limits 0.476472 and 0.923528 are SciPy's for these four; x 0.4 per percent is Vogel & Masters
//! 2001, / 2.25 a Great Lakes research protocol.

use std::io::Write as _;
use std::process::{Command, Stdio};

use serde_json::Value;

use crate::program::{PROGRAM, Said};

/// Runs `standbook stand - ...` with a file on standard input.
fn stand(file: &[u8], options: &[&str]) -> Said {
    let mut child = Command::new(PROGRAM)
        .args(["stand", "-"])
        .args(options)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A refused option ends the program before it reads.
    let _ = child.stdin.take().unwrap().write_all(file);
    let done = child.wait_with_output().unwrap();
    Said {
        code: done.status.code().expect("an exit code, not a signal"),
        out: String::from_utf8(done.stdout).unwrap(),
        err: String::from_utf8(done.stderr).unwrap(),
    }
}

/// Four frames with the first so many cells occupied, one a point.
fn grids(occupied: &[u32], taxon: &str) -> Vec<u8> {
    let mut file = "point,frame,cell,taxon\n".to_owned();
    for (point, cells) in (1..).zip(occupied) {
        for cell in 1..=*cells {
            file.push_str(&format!("{point},1,{cell},{taxon}\n"));
        }
        if *cells == 0 {
            file.push_str(&format!("{point},1,,\n"));
        }
    }
    file.into_bytes()
}

const OCTOBER: [&str; 6] = [
    "--planted",
    "switchgrass",
    "--seeded",
    "2026-05-12",
    "--visited",
    "2026-10-20",
];

fn with<'a>(more: &[&'a str]) -> Vec<&'a str> {
    OCTOBER.iter().chain(more).copied().collect()
}

#[test]
fn the_published_placements() {
    let file = grids(&[15, 14, 20, 21], "panicum_virgatum");
    let said = stand(&file, &with(&["--purpose", "biomass"]));
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(
        said.out.starts_with("Established for biomass harvest.\n"),
        "{}",
        said.out
    );
    for text in [
        "70/100",
        "47.6 to 92.4 %",
        "28.0 (2.60)",
        "31.1 (2.89)",
        "53.5 (4.97)",
    ] {
        assert!(said.out.contains(text), "{text}: {}", said.out);
    }
    assert!(
        said.out.lines().all(|line| line.chars().count() <= 100),
        "{}",
        said.out
    );

    let said = stand(&file, &with(&["--purpose", "biomass", "--json"]));
    let json: Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!(json["judgement"]["verdict"]["verdict"], "established");
    assert!(json["key"]["fingerprint"].as_str().unwrap().len() > 8);
    let found = &json["judgement"]["summary"]["grids"][0]["groups"][0]["low"];
    assert_eq!(
        (found["occupied"].as_u64(), found["cells"].as_u64()),
        (Some(70), Some(100))
    );
    let by_t = &found["estimate"]["by_t"];
    assert!((by_t["lower"].as_f64().unwrap() - 0.476_472).abs() < 5e-7);
    assert!((by_t["upper"].as_f64().unwrap() - 0.923_528).abs() < 5e-7);
}

#[test]
fn a_verdict_waits_for_its_day_and_its_mix() {
    let few = grids(&[2, 1, 0, 1, 2, 0, 1, 2], "panicum_virgatum");
    let first = |said: &Said| said.out.lines().next().unwrap_or_default().to_owned();
    let early = [
        "--planted",
        "switchgrass",
        "--seeded",
        "2026-05-12",
        "--visited",
        "2026-07-01",
    ];
    let said = stand(&few, &early);
    assert_eq!(
        first(&said),
        "Too early to say: a fair judgement is possible from 2026-09-15."
    );
    let said = stand(&few, &OCTOBER);
    assert_eq!(first(&said), "Below what conservation cover asks for.");
    let said = stand(&few, &["--planted", "switchgrass"]);
    assert!(
        first(&said).starts_with("No verdict: whether it is fair"),
        "{}",
        said.out
    );
    assert!(said.out.contains("9/200"), "{}", said.out);
    let said = stand(&few, &[]);
    assert!(
        first(&said).starts_with("No verdict: name the planted species"),
        "{}",
        said.out
    );
    assert_eq!(said.code, 0);
}

#[test]
fn unknowns_hold_it_open() {
    let mut file = String::from_utf8(grids(&[4; 8], "switchgrass")).unwrap();
    for point in 1..=8 {
        for cell in 5..=24 {
            file.push_str(&format!("{point},1,{cell},unknown 1\n"));
        }
    }
    let said = stand(file.as_bytes(), &OCTOBER);
    assert!(
        said.out
            .starts_with("Not decided: it hangs on plants without a name."),
        "{}",
        said.out
    );
    assert!(
        said.out.contains("every unknown among them"),
        "{}",
        said.out
    );
}

/// 1 plant per foot of row in rows 8 inches apart is 1.5 plants per ft2: 12 / 8 (arithmetic).
#[test]
fn rows_and_quadrats_are_counted() {
    let file = b"point,frame,taxon,count\n1,1,switchgrass,10\n2,1,switchgrass,10\n3,1,,\n3,2,switchgrass,20\n";
    let rows = ["--row-m", "3.048", "--row-spacing-cm", "20.32", "--json"];
    let said = stand(file, &with(&rows));
    let json: Value =
        serde_json::from_str(&said.out).unwrap_or_else(|e| panic!("{e}: {}", said.err));
    let quadrats = &json["judgement"]["summary"]["quadrats"];
    let per_m2 = quadrats["groups"][0]["low"]["estimate"]["value"]
        .as_f64()
        .unwrap();
    // 40 plants on 4 x 10 feet of row.
    assert!((per_m2 * 0.092_903_04 - 1.5).abs() < 1e-9, "{per_m2}");
    let said = stand(file, &with(&["--quadrat-m2", "0.25"]));
    assert!(
        said.out.contains("4 frames at 3 spots, 1.00 m2"),
        "{}",
        said.out
    );
    let said = stand(file, &OCTOBER);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(
        said.err.contains("give --quadrat-m2, or --row-m"),
        "{}",
        said.err
    );
}

#[test]
fn a_second_reading_is_no_further_ground() {
    let mut file = "point,frame,cell,taxon,scout,repeats\n".to_owned();
    for point in 1..=6 {
        for cell in 1..=10 {
            file.push_str(&format!("{point},1,{cell},switchgrass,Ada,\n"));
        }
    }
    for cell in 3..=12 {
        file.push_str(&format!("1,1,{cell},switchgrass,Jory,1\n"));
    }
    let said = stand(file.as_bytes(), &with(&["--json"]));
    let json: Value =
        serde_json::from_str(&said.out).unwrap_or_else(|e| panic!("{e}: {}", said.err));
    assert_eq!(json["judgement"]["summary"]["grids"][0]["frames"], 6);
    let pairs = &json["judgement"]["seen_twice"]["pairs"];
    assert_eq!(
        (&pairs["both"], &pairs["first_only"], &pairs["second_only"]),
        (&8.into(), &2.into(), &2.into())
    );
}

/// The same frames as spreadsheets of several kinds write them.
#[test]
fn files_of_several_spreadsheets_read_alike() {
    let plain = grids(&[3, 4, 5, 6], "switchgrass");
    let wanted = stand(&plain, &OCTOBER);
    assert_eq!(wanted.code, 0, "{}", wanted.err);
    let text = String::from_utf8(plain).unwrap();
    let quoted = text.replace("switchgrass", "\"Panicum virgatum\"");
    for file in [
        format!("\u{feff}{text}"),
        text.replace('\n', "\r\n"),
        text.replace(',', ";"),
        text.replace(',', "\t"),
        quoted,
        text.replace("point,frame", "Point, FRAME"),
    ] {
        let said = stand(file.as_bytes(), &OCTOBER);
        assert_eq!(
            (said.out, said.err),
            (wanted.out.clone(), String::new()),
            "{file}"
        );
    }
}

#[track_caller]
fn refused(file: &str, wanted: &[&str]) {
    let said = stand(file.as_bytes(), &OCTOBER);
    assert_eq!((said.code, said.out.as_str()), (1, ""), "{}", said.err);
    for words in wanted {
        assert!(said.err.contains(words), "{words}:\n{}", said.err);
    }
}

#[test]
fn every_fault_of_a_file_is_told() {
    let head = "point,frame,cell,taxon\n";
    refused(
        &format!(
            "{head}1,1,3,switchgrass\n1,1,3,switchgrass\n1,1,x,switchgrass\n1,1,-4,switchgrass\n,1,4,switchgrass\n1,1,4,\n1,1,,switchgrass\n1,1,2.5,switchgrass\n"
        ),
        &[
            "standard input:3: column 3 (cell): switchgrass is in cell 3 of frame 1 already",
            "standard input:4: column 3 (cell): `x` is no whole number",
            "standard input:5: column 3 (cell): `-4` is no whole number",
            "standard input:6: column 1 (point): empty",
            "standard input:7: column 4 (taxon): empty beside a cell",
            "standard input:8: column 4 (taxon): switchgrass has neither cell nor count",
            "standard input:9: column 3 (cell): `2.5` is no whole number",
            "7 fault(s) in standard input; nothing was judged",
        ],
    );
    refused(
        &format!("{head}1,1,26,switchgrass\n"),
        &["cell 26 is not in a grid of 25 cells"],
    );
    refused(
        &format!("{head}1,1,3,swichgrass\n"),
        &["2: taxon: the key has no `swichgrass`; did you mean `switchgrass`?"],
    );
    refused("point,frame,taxon\n", &["lacks cell or count"]);
    refused(
        "point,point,frame,cell,taxon\n",
        &["the header has it twice"],
    );
    refused(head, &["there are no frames"]);
    refused(
        "point,frame,cell,taxon,count,area_m2\n1,1,3,switchgrass,,1\n1,1,,switchgrass,4,1\n",
        &["has cells and counts"],
    );
    refused(
        "point,frame,taxon,count,area_m2\n1,1,switchgrass,4,1\n1,1,switchgrass,4,1\n2,1,switchgrass,-1,1\n",
        &["is counted in frame 1 already", "4: column 4 (count): `-1`"],
    );
    refused(
        "point,frame,cell,taxon,scout\n1,1,3,switchgrass,Ada\n1,1,4,switchgrass,Jory\n",
        &["has another scout on line 2"],
    );
    let said = stand(b"point,frame,cell,taxon\n1,1,3,\xff\xfe\n", &OCTOBER);
    assert!(
        said.code == 1 && said.err.contains("not UTF-8"),
        "{}",
        said.err
    );
}

#[test]
fn wrong_options_are_exit_code_2() {
    let file = grids(&[3, 4], "switchgrass");
    for (options, words) in [
        (
            vec!["--planted", "swichgrass"],
            "did you mean `switchgrass`?",
        ),
        (
            vec!["--purpose", "fun"],
            "use forage, biomass, conservation or wildlife",
        ),
        (
            vec!["--seeded", "12 May", "--visited", "2026-07-01"],
            "is no date",
        ),
        (vec!["--confidence", "80"], "90, 95 or 99"),
        (vec!["--quadrat-m2", "0"], "above 0"),
        (vec!["--seeded", "2026-05-12"], "--visited"),
    ] {
        let said = stand(&file, &options);
        assert_eq!(
            (said.code, said.out.as_str()),
            (2, ""),
            "{options:?}: {}",
            said.err
        );
        assert!(said.err.contains(words), "{options:?}: {}", said.err);
    }
}
