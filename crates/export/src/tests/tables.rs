//! The tables beside the book's own SQL, and their dictionary.

use std::collections::BTreeMap;

use rusqlite::Connection;

use super::sample::Sample;
use crate::{Format, Request, take_out};

/// How many there are by SQL of the book itself.
fn counted(book: &Connection, sql: &str) -> usize {
    let many: u32 = book.query_row(sql, [], |row| row.get(0)).unwrap();
    many as usize
}

#[test]
fn every_table_has_as_many_rows_as_the_book_says() {
    let sample = Sample::new();
    let book = Connection::open(sample.book.path()).unwrap();
    let out = sample.folder.path().join("analysis.sqlite");
    let asked = |format| Request {
        practice: true,
        ..Request::new(format)
    };
    take_out(&sample.book, sample.given(), &asked(Format::Sqlite), &out).unwrap();
    let analysis = Connection::open(out).unwrap();
    let current =
        |table: &str| format!("SELECT count(*) FROM {table} JOIN current_record USING (id)");
    let part = |table: &str, of: &str| {
        format!("SELECT count(*) FROM {table} p JOIN current_record c ON c.id = p.{of}")
    };
    for (table, sql) in [
        ("sites", current("site")),
        ("plantings", current("planting")),
        ("mix", part("planting_mix", "planting")),
        ("seed_lots", current("seed_lot")),
        ("noxious_seeds", part("seed_lot_noxious", "seed_lot")),
        ("happenings", current("event")),
        ("plots", current("plot")),
        ("outlines", current("outline")),
        ("plans", current("plan")),
        ("plan_points", part("plan_point", "plan")),
        ("thresholds", current("standard")),
        ("visits", current("visit")),
        ("scouts", part("visit_scout", "visit")),
        ("points", current("point")),
        ("unknowns", current("unknown")),
        ("frames", current("frame")),
        ("tallies", part("tally", "frame")),
        ("determinations", current("determination")),
        ("answers", part("answer", "determination")),
        ("opinions", current("opinion")),
        ("opinion_answers", part("opinion_answer", "opinion")),
        ("specimens", current("voucher")),
        ("come_backs", current("come_back")),
        ("audits", current("audit")),
        ("audit_plants", part("audit_plant", "audit")),
        ("practice_sets", current("practice_set")),
        (
            "practice_questions",
            part("practice_set_question", "practice_set"),
        ),
        ("practice", current("practice")),
        ("practice_readings", part("practice_reading", "practice")),
        ("practice_cells", part("practice_cell", "practice")),
        ("scout_rules", current("scout_rule")),
        ("photos", current("photo")),
        // Lines below 0.001 are left out.
        (
            "ranking",
            format!(
                "{} WHERE p.probability >= 0.001",
                part("ranking", "determination")
            ),
        ),
    ] {
        let here = counted(&book, &sql);
        assert!(
            here > 0 || table == "thresholds",
            "{table}: nothing to compare"
        );
        assert_eq!(
            counted(&analysis, &format!("SELECT count(*) FROM {table}")),
            here,
            "{table}"
        );
        assert_eq!(
            sample
                .rows(&asked(Format::Csv), &format!("{table}.csv"))
                .len(),
            here,
            "{table}.csv"
        );
    }
    assert_eq!(counted(&analysis, "SELECT count(*) FROM plants"), 2);
    // Tallies of first readings, and one line for the frame that held none.
    assert_eq!(
        counted(&analysis, "SELECT count(*) FROM cells_and_counts"),
        3 + 2 + 1 + 1
    );
    let integrity: String = analysis
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .unwrap();
    assert_eq!(integrity, "ok");
}

#[test]
fn the_dictionary_describes_every_column_and_no_other() {
    let sample = Sample::new();
    let request = Request {
        practice: true,
        ..Request::new(Format::Csv)
    };
    let entries = sample.entries(&request);
    let mut described: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for mut row in sample.rows(&request, "dictionary.csv") {
        assert!(
            !row["meaning"].is_empty() && !row["type"].is_empty(),
            "{row:?}"
        );
        let (table, column) = (row.remove("table").unwrap(), row.remove("column").unwrap());
        described.entry(table).or_default().push(column);
    }
    let mut tables = 0;
    for (name, bytes) in &entries {
        let Some(table) = name
            .strip_suffix(".csv")
            .filter(|name| *name != "dictionary")
        else {
            continue;
        };
        let mut reader = csv::Reader::from_reader(bytes.as_slice());
        let head: Vec<String> = reader
            .headers()
            .unwrap()
            .iter()
            .map(str::to_owned)
            .collect();
        assert_eq!(described[table], head, "{table}");
        tables += 1;
    }
    assert_eq!(tables, described.len());
}

#[test]
fn a_cell_that_must_never_be_empty_never_is_and_a_formula_does_not_run() {
    let sample = Sample::new();
    let request = Request::new(Format::Csv);
    let dictionary = sample.rows(&request, "dictionary.csv");
    for it in &dictionary {
        for row in sample.rows(&request, &format!("{}.csv", it["table"])) {
            let cell = &row[&it["column"]];
            assert!(
                !cell.is_empty() || it["empty_means"] != "never empty",
                "{it:?} {row:?}"
            );
            let one_of: Vec<&str> = it["allowed"].split("; ").collect();
            assert!(
                it["allowed"].is_empty() || cell.is_empty() || one_of.contains(&cell.as_str()),
                "{it:?} {row:?}"
            );
        }
    }
    let notes: Vec<String> = sample
        .rows(&request, "determinations.csv")
        .into_iter()
        .map(|mut row| row.remove("note").unwrap())
        .collect();
    assert!(
        notes.contains(&"'=SUM(A1)\n\"quoted\", ü".to_owned()),
        "{notes:?}"
    );
}
