//! `standbook identify`: names for a file of observations, as an office re-examines a
//! season's plants when a key has improved.
//!
//! In: long CSV with a header `case,trait,value`. Out: for every case, in order of first
//! appearance, the outcome, the whole ranking, the shares by what a count needs, and the look
//! that would tell most. Every bad line is reported with line and column; then nothing else
//! is printed.

use std::fmt::Write as _;
use std::path::Path;

use serde::Serialize;
use standbook_identify::{Evidence, Planted, Situation, Table, assess, looks, parse};
use standbook_import::Lines;
use standbook_key::{Key, LeafStage};

use crate::embedded;
use crate::text;
use crate::trouble::Trouble;

const COLUMNS: [&str; 3] = ["case", "trait", "value"];

#[derive(Serialize)]
struct CaseResult {
    case: String,
    outcome: &'static str,
    ranking: Vec<RankedTaxon>,
    roles: Roles,
    /// The trait to look at next; none when no look would tell anything.
    next: Option<String>,
}

#[derive(Serialize)]
struct RankedTaxon {
    taxon: String,
    probability: f64,
}

#[derive(Serialize)]
struct Roles {
    planted: f64,
    other: f64,
    not_in_key: f64,
}

/// Reads the file, prints the results.
pub fn identify(
    key: Option<&Path>,
    file: &Path,
    leaf_stage: &str,
    json: bool,
) -> Result<(), Trouble> {
    let Some(leaf_stage) = LeafStage::from_id(leaf_stage) else {
        return Err(Trouble::CommandLine {
            message: format!("`{leaf_stage}` is not a leaf stage"),
            hint: "use one_leaf, few_leaves, tillering or heading".to_owned(),
        });
    };
    let key = embedded::key(key)?;
    let bytes = std::fs::read(file).map_err(|e| {
        Trouble::yours(
            format!("can't read {}: {e}", file.display()),
            "give a CSV file with the columns case, trait, value",
        )
    })?;
    let table = Table::compile(&key);
    let name = file.display().to_string();
    let cases = match read_cases(&key, &table, &bytes) {
        Ok(cases) => cases,
        Err(faults) => {
            for fault in &faults {
                eprintln!("{name}:{fault}");
            }
            eprintln!("\n{} fault(s) in {name}; nothing was named", faults.len());
            return Err(Trouble::Printed);
        }
    };
    let situation = Situation {
        leaf_stage,
        ..Situation::default()
    };
    let results: Vec<CaseResult> = cases
        .iter()
        .map(|(case, evidence)| result(&table, case, evidence, &situation))
        .collect();
    if json {
        let text = serde_json::to_string_pretty(&results)
            .map_err(|e| Trouble::yours(format!("the results can't be written: {e}"), ""))?;
        text::print(&text)
    } else {
        text::print(plain(&key, &results).trim_end())
    }
}

fn result(table: &Table, case: &str, evidence: &Evidence, situation: &Situation) -> CaseResult {
    let said = assess(table, evidence, Planted::ByRole);
    let next = looks(table, &said.posterior, evidence, situation, Planted::ByRole);
    CaseResult {
        case: case.to_owned(),
        outcome: said.outcome.id(),
        ranking: said
            .ranking
            .iter()
            .map(|(row, probability)| RankedTaxon {
                taxon: table.rows[*row].id.to_string(),
                probability: *probability,
            })
            .collect(),
        roles: Roles {
            planted: said.shares.planted,
            other: said.shares.other,
            not_in_key: said.shares.not_in_key,
        },
        next: next
            .first()
            .map(|look| table.traits[look.trait_index].id.to_string()),
    }
}

/// The results as a short table.
fn plain(key: &Key, results: &[CaseResult]) -> String {
    // Writing to a text cannot fail.
    let mut out = String::new();
    for result in results {
        let _ = writeln!(out, "{}: {}", result.case, result.outcome.replace('_', " "));
        for ranked in result.ranking.iter().take(3) {
            let name = key
                .taxon(&ranked.taxon)
                .map_or("not in this key", |t| t.common_name.as_str());
            let _ = writeln!(out, "  {:5.1} %  {name}", ranked.probability * 100.0);
        }
        let _ = writeln!(
            out,
            "  planted {:.1} %, other {:.1} %, not in key {:.1} %; look next at {}",
            result.roles.planted * 100.0,
            result.roles.other * 100.0,
            result.roles.not_in_key * 100.0,
            result
                .next
                .as_deref()
                .unwrap_or("nothing: no look would tell more")
        );
    }
    out
}

/// Cases in order of first appearance, or every fault as `line: column ...: what`.
fn read_cases(
    key: &Key,
    table: &Table,
    bytes: &[u8],
) -> Result<Vec<(String, Evidence)>, Vec<String>> {
    // Spreadsheets on some systems put a byte order mark first.
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(bytes);
    let mut faults = Vec::new();
    match reader.byte_headers() {
        Ok(header) => {
            let given: Vec<String> = header
                .iter()
                .map(|h| String::from_utf8_lossy(h).trim().to_owned())
                .collect();
            if given != COLUMNS {
                return Err(vec![format!(
                    "1: column 1: the header is `{}`; write `case,trait,value`",
                    given.join(",").chars().take(80).collect::<String>()
                )]);
            }
        }
        Err(error) => return Err(vec![format!("1: column 1: {error}")]),
    }
    let mut cases: Vec<(String, Evidence)> = Vec::new();
    let mut record = csv::ByteRecord::new();
    let mut lines = Lines::of(bytes);
    loop {
        match reader.read_byte_record(&mut record) {
            Ok(false) => break,
            Ok(true) => {}
            Err(error) => {
                faults.push(format!("{}: column 1: {error}", reader.position().line()));
                break;
            }
        }
        let line = lines.at(record.position().map_or(0, csv::Position::byte));
        if let Err(fault) = read_line(key, table, &record, &mut cases) {
            faults.push(format!("{line}: {fault}"));
        }
    }
    if cases.is_empty() && faults.is_empty() {
        faults.push(
            "2: column 1: there are no observations; add lines `case,trait,value`".to_owned(),
        );
    }
    if faults.is_empty() {
        Ok(cases)
    } else {
        Err(faults)
    }
}

fn read_line(
    key: &Key,
    table: &Table,
    record: &csv::ByteRecord,
    cases: &mut Vec<(String, Evidence)>,
) -> Result<(), String> {
    if record.len() != COLUMNS.len() {
        return Err(format!(
            "column {}: the line has {} column(s), not 3; write `case,trait,value` (quote values with commas)",
            record.len().min(3),
            record.len()
        ));
    }
    let mut fields = [""; 3];
    for (at, field) in record.iter().enumerate() {
        fields[at] = std::str::from_utf8(field)
            .map_err(|_| {
                format!(
                    "column {} ({}): not UTF-8 text; save the file as UTF-8",
                    at + 1,
                    COLUMNS[at]
                )
            })?
            .trim();
    }
    let [case, trait_id, value] = fields;
    if case.is_empty() {
        return Err("column 1 (case): empty; give every plant a name or number".to_owned());
    }
    if case.chars().count() > 200 {
        return Err("column 1 (case): longer than 200 characters; shorten it".to_owned());
    }
    let answer = parse(key, table, trait_id, value).map_err(|fault| {
        let at = match fault {
            standbook_identify::AnswerFault::UnknownTrait { .. } => 2,
            _ => 3,
        };
        format!("column {at} ({}): {fault}", COLUMNS[at - 1])
    })?;
    let known = match cases.iter().position(|(name, _)| name == case) {
        Some(at) => at,
        None => {
            cases.push((case.to_owned(), Evidence::default()));
            cases.len() - 1
        }
    };
    if let Some(answer) = answer {
        cases[known].1.add(answer);
    }
    Ok(())
}
