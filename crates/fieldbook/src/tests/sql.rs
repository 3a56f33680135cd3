//! What the file itself promises, whatever tool opens it.

use rusqlite::Connection;

use super::*;

/// Every table with something to put into it: a column, and a copy of its rows.
const TABLES: [(&str, &str); 43] = [
    ("record", "author"),
    ("site", "name"),
    ("planting", "name"),
    ("planting_mix", "taxon"),
    ("seed_lot", "lot"),
    ("seed_lot_noxious", "name"),
    ("event", "note"),
    ("outline", "name"),
    ("outline_corner", "latitude"),
    ("plan", "name"),
    ("plan_point", "latitude"),
    ("standard", "source"),
    ("standard_purpose", "purpose"),
    ("standard_taxon", "taxon"),
    ("plot", "name"),
    ("visit", "note"),
    ("visit_scout", "name"),
    ("point", "label"),
    ("unknown", "description"),
    ("frame", "scout"),
    ("tally", "taxon"),
    ("determination", "note"),
    ("answer", "trait"),
    ("answer_state", "state"),
    ("ranking", "taxon"),
    ("opinion", "reasons"),
    ("opinion_evidence", "outcome"),
    ("opinion_answer", "trait"),
    ("opinion_answer_state", "state"),
    ("opinion_ranking", "taxon"),
    ("voucher", "number"),
    ("come_back", "pin"),
    ("audit", "share"),
    ("audit_plant", "determination"),
    ("practice_set", "title"),
    ("practice_set_question", "question"),
    ("practice", "scout"),
    ("practice_reading", "shown"),
    ("practice_cell", "planted"),
    ("scout_rule", "at_least"),
    ("practice_removal", "until"),
    ("practice_removal_also", "practice"),
    ("photo", "shows"),
];

/// One record of every kind at least.
pub(super) fn full() -> Sample {
    let s = Sample::new();
    s.keep(record(a_frame(s.point, 1)));
    s.keep(record(a_seed_lot(s.planting)));
    s.keep(record(an_event(s.planting, "2026-06-20")));
    s.keep(record(an_outline(s.planting)));
    s.keep(record(a_plan(s.planting)));
    s.keep(record(Standard {
        taxa: vec!["andropogon_gerardi".into()],
        ..a_standard()
    }));
    let determination = s.keep(record(a_determination(s.point)));
    s.keep(record(a_blind_opinion(determination, s.point)));
    s.keep(record(a_voucher(determination, "12")));
    s.keep(record(a_come_back(determination)));
    s.keep(record(an_audit(s.visit, vec![determination])));
    s.keep(record(a_set()));
    s.keep(record(a_practice("A. Fenn")));
    s.keep(record(Practice {
        drill: Drill::CountFrame,
        cells: vec![a_cell(3)],
        ..a_practice("A. Fenn")
    }));
    s.keep(record(a_rule(s.planting)));
    s.keep(record(PracticeRemoval {
        also: vec![RecordId::new()],
        ..a_removal("nobody")
    }));
    s.book
        .add_photo(
            b"\xFF\xD8\xFF\xE0",
            s.point,
            "",
            "A. Fenn",
            "phone",
            RecordId::new(),
        )
        .unwrap();
    s
}

fn refuses(conn: &Connection, sql: &str) {
    let error = conn.execute(sql, []).expect_err(sql).to_string();
    assert!(error.contains("append-only"), "{sql}: {error}");
}

#[test]
fn the_triggers_cover_every_table() {
    let s = Sample::new();
    let names: Vec<String> = s
        .book
        .ask(|conn| {
            conn.prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")?
                .query_map([], |row| row.get(0))?
                .collect()
        })
        .unwrap();
    let mut expected: Vec<&str> = TABLES.iter().map(|(table, _)| *table).collect();
    expected.sort_unstable();
    assert_eq!(names, expected);
}

#[test]
fn update_delete_and_replace_are_refused_on_the_writing_connection() {
    let s = full();
    let before = s.export();
    s.book.on_writer(|conn| {
        for (table, column) in TABLES {
            refuses(conn, &format!("UPDATE {table} SET {column} = {column}"));
            refuses(conn, &format!("DELETE FROM {table}"));
            refuses(conn, &format!("INSERT OR REPLACE INTO {table} SELECT * FROM {table} LIMIT 1"));
            refuses(conn, &format!("INSERT INTO {table} SELECT * FROM {table} WHERE true LIMIT 1 ON CONFLICT DO UPDATE SET {column} = 'x'"));
        }
    });
    assert_eq!(s.export(), before);
}

#[test]
fn a_tool_without_our_settings_cannot_replace_either() {
    let s = full();
    let before = s.export();
    let conn = Connection::open(s.path()).unwrap();
    conn.pragma_update(None, "foreign_keys", false).unwrap();
    conn.pragma_update(None, "recursive_triggers", false)
        .unwrap();
    for (table, column) in TABLES {
        refuses(&conn, &format!("UPDATE {table} SET {column} = {column}"));
        refuses(&conn, &format!("DELETE FROM {table}"));
        refuses(
            &conn,
            &format!("INSERT OR REPLACE INTO {table} SELECT * FROM {table} LIMIT 1"),
        );
    }
    assert_eq!(s.export(), before);
}

#[test]
fn a_kept_frame_takes_no_more_tallies() {
    let s = full();
    s.book.on_writer(|conn| {
        refuses(
            conn,
            "INSERT INTO tally (frame, ord, cell, taxon) SELECT id, 99, 4, 'x' FROM frame",
        );
        refuses(
            conn,
            "INSERT INTO planting_mix (planting, ord, taxon) SELECT id, 99, 'x' FROM planting",
        );
        for sql in [
            "INSERT INTO seed_lot_noxious (seed_lot, ord, name, seeds_per_lb) SELECT id, 99, 'x', 1.0 FROM seed_lot",
            "INSERT INTO outline_corner (outline, polygon, ring, ord, latitude, longitude) SELECT id, 1, 1, 99, 0.0, 0.0 FROM outline",
            "INSERT INTO plan_point (plan, number, latitude, longitude, spare) SELECT id, 99, 0.0, 0.0, 1 FROM plan",
            "INSERT INTO standard_purpose (standard, ord, purpose) SELECT id, 99, 'forage' FROM standard",
            "INSERT INTO standard_taxon (standard, ord, taxon) SELECT id, 99, 'x' FROM standard",
            "INSERT INTO opinion_evidence SELECT id, 'k', 'f', 's', '[]', 'even', 'x' FROM opinion",
            "INSERT INTO opinion_answer (opinion, ord, trait, kind) SELECT id, 99, 'x', 'cannot_tell' FROM opinion",
            "INSERT INTO opinion_answer_state (opinion, answer, ord, state) SELECT id, 1, 99, 'x' FROM opinion",
            "INSERT INTO opinion_ranking (opinion, ord, taxon, probability) SELECT id, 99, 'x', 0.0 FROM opinion",
            "INSERT INTO audit_plant (audit, ord, determination) SELECT audit, 99, determination FROM audit_plant",
            "INSERT INTO practice_set_question (practice_set, ord, question, with_book) SELECT id, 99, 'x', 0 FROM practice_set",
            "INSERT INTO practice_reading (practice, ord, trait, shown) SELECT id, 99, 'x', 'y' FROM practice",
            "INSERT INTO practice_cell (practice, cell, planted, other, marked_planted, marked_other) SELECT id, 25, 1, 0, 0, 0 FROM practice",
            "INSERT INTO practice_removal_also (practice_removal, ord, practice) SELECT id, 99, id FROM practice_removal",
        ] {
            refuses(conn, sql);
        }
    });
}

#[test]
fn the_columns_check_what_they_can() {
    let s = Sample::new();
    let bad = [
        "INSERT INTO tally (frame, ord, cell, taxon) VALUES ('f', 1, 0, 'x')",
        "INSERT INTO tally (frame, ord, plants, taxon) VALUES ('f', 1, 0, 'x')",
        "INSERT INTO tally (frame, ord, cell) VALUES ('f', 1, 1)",
        "INSERT INTO tally (frame, ord, cell, plants, taxon) VALUES ('f', 1, 1, 1, 'x')",
        "INSERT INTO ranking (determination, ord, taxon, probability) VALUES ('d', 1, 'x', 1.5)",
        "INSERT INTO planting_mix (planting, ord, taxon, pls_lb_per_acre) VALUES ('p', 1, 'x', 0)",
        "INSERT INTO planting_mix (planting, ord, taxon, planned_pls_lb_per_acre) VALUES ('p', 1, 'x', 0)",
        "INSERT INTO seed_lot_noxious (seed_lot, ord, name, seeds_per_lb) VALUES ('s', 1, 'x', 0)",
        "INSERT INTO outline_corner (outline, polygon, ring, ord, latitude, longitude) VALUES ('o', 1, 1, 1, 91.0, 0.0)",
        "INSERT INTO plan_point (plan, number, latitude, longitude, spare, walk) VALUES ('p', 1, 0.0, 0.0, 1, 1)",
        "INSERT INTO plan_point (plan, number, latitude, longitude, spare) VALUES ('p', 1, 0.0, 0.0, 0)",
        "INSERT INTO standard_purpose (standard, ord, purpose) VALUES ('s', 1, 'joy')",
        "INSERT INTO seed_lot SELECT '00000000-0000-7000-8000-000000000000', id, 'x', 'l', '', '', 100.5, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '' FROM planting",
        "INSERT INTO seed_lot SELECT '00000000-0000-7000-8000-000000000000', id, 'x', 'l', '', '', NULL, NULL, NULL, NULL, NULL, NULL, '2026-13', NULL, NULL, '' FROM planting",
        "INSERT INTO event SELECT '00000000-0000-7000-8000-000000000000', id, '2026-06-20', 'burned', 20.0, NULL, NULL, NULL, '' FROM planting",
        "INSERT INTO outline SELECT '00000000-0000-7000-8000-000000000000', id, 'plot', NULL, '', 'drawn' FROM planting",
        "INSERT INTO plan (id, planting, name, design, draw_seed, edge_m) SELECT '00000000-0000-7000-8000-000000000000', id, 'x', 'grid', 1, 0.0 FROM planting",
        "INSERT INTO plan (id, planting, name, design, draw_seed, edge_m, stop_low) SELECT '00000000-0000-7000-8000-000000000000', id, 'x', 'balanced', 1, 0.0, 0.1 FROM planting",
        "INSERT INTO standard VALUES ('00000000-0000-7000-8000-000000000000', 'x', '', 1.5, NULL, NULL, 'y', 0)",
        "INSERT INTO standard VALUES ('00000000-0000-7000-8000-000000000000', 'x', '', 0.5, 4.0, NULL, 'y', 0)",
        "INSERT INTO frame (id, point, number, scout, shape, row_length_m, looked_twice) SELECT '00000000-0000-7000-8000-000000000000', id, 1, 'x', 'row', 3.0, 0 FROM point",
        "INSERT INTO opinion (id, about, name_as_written, reasons, qualifier) SELECT '00000000-0000-7000-8000-000000000000', id, 'x', '', 'cf' FROM point",
        "INSERT INTO opinion (id, about, taxon, name_as_written, reasons, genus) SELECT '00000000-0000-7000-8000-000000000000', id, 'x', '', '', 'Setaria' FROM point",
        "INSERT INTO opinion (id, about, taxon, name_as_written, reasons, qualifier) SELECT '00000000-0000-7000-8000-000000000000', id, 'x', '', '', 'nr' FROM point",
        "INSERT INTO practice_cell (practice, cell, planted, other, marked_planted, marked_other) VALUES ('p', 1, 0, 0, 0, 0)",
        "INSERT INTO practice_cell (practice, cell, planted, other, marked_planted, marked_other) VALUES ('p', 26, 1, 0, 0, 0)",
        "INSERT INTO scout_rule SELECT '00000000-0000-7000-8000-000000000000', id, 1.0, 0.8, 0, 0, 0 FROM planting",
        "INSERT INTO audit SELECT '00000000-0000-7000-8000-000000000000', id, 1.5, 1, 10 FROM visit",
        "INSERT INTO come_back (id, about, due_on, reason, pin, latitude, found) SELECT '00000000-0000-7000-8000-000000000000', id, '2026-09-01', 'heading', '', 40.0, '' FROM point",
        "INSERT INTO point (id, plot, visit, label, planned_number) SELECT '00000000-0000-7000-8000-000000000000', plot, visit, '9', 3 FROM point",
    ];
    s.book.on_writer(move |conn| {
        for sql in bad {
            let error = conn.execute(sql, []).expect_err(sql).to_string();
            assert!(error.contains("CHECK constraint failed"), "{sql}: {error}");
        }
        // A whole needs its envelope, and a part its whole.
        for sql in [
            "INSERT INTO site (id, name, locality, permission) VALUES ('00000000-0000-7000-8000-000000000000', 'x', '', '')",
            "INSERT INTO visit_scout (visit, ord, name) VALUES ('v', 1, 'x')",
        ] {
            let error = conn.execute(sql, []).expect_err(sql).to_string();
            assert!(error.contains("FOREIGN KEY constraint failed"), "{sql}: {error}");
        }
        for (sql, why) in [
            ("INSERT INTO visit SELECT '00000000-0000-7000-8000-000000000000', planting, '2026-02-30', '' FROM visit", "CHECK"),
            ("INSERT INTO point (id, plot, visit, label, latitude, longitude) SELECT '00000000-0000-7000-8000-000000000000', plot, visit, '9', 91.0, 0.0 FROM point", "CHECK"),
            ("INSERT INTO unknown SELECT '00000000-0000-7000-8000-000000000000', visit, 'three', 'x', first_seen FROM unknown", "cannot store TEXT"),
        ] {
            let error = conn.execute(sql, []).expect_err(sql).to_string();
            assert!(error.contains(why), "{sql}: {error}");
        }
    });
}

#[test]
fn both_connections_are_set_as_promised() {
    let s = Sample::new();
    let settings = |conn: &Connection| -> Vec<i64> {
        [
            "synchronous",
            "foreign_keys",
            "recursive_triggers",
            "trusted_schema",
            "busy_timeout",
            "application_id",
            "user_version",
        ]
        .iter()
        .map(|name| {
            conn.pragma_query_value(None, name, |row| row.get(0))
                .unwrap()
        })
        .collect()
    };
    // synchronous 2 is FULL. Source: sqlite.org, "PRAGMA Statements".
    let expected = vec![
        2,
        1,
        1,
        0,
        5000,
        crate::APPLICATION_ID,
        crate::SCHEMA_VERSION,
    ];
    assert_eq!(s.book.ask(|conn| Ok(settings(conn))).unwrap(), expected);
    assert_eq!(s.book.on_writer(move |conn| settings(conn)), expected);
    let mode: String = s.book.on_writer(|conn| {
        conn.pragma_query_value(None, "journal_mode", |row| row.get(0))
            .unwrap()
    });
    assert_eq!(mode, "wal");
    let wrote = s
        .book
        .ask(|conn| conn.execute("INSERT INTO site VALUES ('a', 'b', '', '')", []));
    assert!(wrote.is_err());
}

#[test]
fn the_mark_and_the_version_stand_in_the_header() {
    // Offsets 60 and 68. Source: sqlite.org, "Database File Format", 1.3.
    let s = Sample::new();
    let bytes = std::fs::read(s.path()).unwrap();
    assert_eq!(&bytes[60..64], &5_u32.to_be_bytes());
    assert_eq!(&bytes[68..72], b"Stbk");
}

#[test]
fn current_determination_reads_well_in_any_tool() {
    let s = Sample::new();
    let first = s.keep(record(Determination {
        unknown: Some(s.unknown),
        ..a_determination(s.point)
    }));
    s.keep(record(an_opinion(first)));
    s.keep(correction(
        first,
        1,
        Determination {
            taxon: None,
            unknown: Some(s.unknown),
            ..a_determination(s.point)
        },
    ));
    s.keep(correction(s.plot, 2, a_plot(s.planting, "renamed")));
    let conn = Connection::open(s.path()).unwrap();
    let line: String = conn
        .query_row(
            "SELECT concat_ws('|', site, planting, plot, visited_on, point_label, cell, unknown_number,
                    coalesce(taxon, 'no name'), outcome, top_taxon, top_probability, opinion_taxon, opinion_author)
             FROM current_determination",
            [],
            |row| row.get(0),
        )
        .unwrap();
    assert_eq!(
        line,
        "Quill Farm|north forty|renamed|2026-07-14|1|3|1|no name|leaning|andropogon_gerardi|0.75|sorghastrum_nutans|A. Fenn"
    );
}

#[test]
fn current_tally_keeps_frames_in_which_nothing_was_found() {
    let s = Sample::new();
    s.keep(record(a_frame(s.point, 1)));
    s.keep(record(Frame {
        tallies: vec![],
        ..a_frame(s.point, 2)
    }));
    let conn = Connection::open(s.path()).unwrap();
    let rows: Vec<(i64, Option<String>)> = conn
        .prepare("SELECT frame_number, taxon FROM current_tally ORDER BY frame_number")
        .unwrap()
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    assert_eq!(rows, [(1, Some("andropogon_gerardi".into())), (2, None)]);
}
