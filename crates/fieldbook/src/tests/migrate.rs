//! From version 1 to the newest: every record comes through as it was, all or nothing.
//!
//! Outside check: `version_1.sql` and `version_1.jsonl` were written by the program of version 1
//! (how, stands in the first), so what is read is not what this program wrote.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use rusqlite::Connection;
use rusqlite::types::Value;

use super::*;
use crate::open::beside;
use crate::{BookError, Import, SCHEMA_VERSION};

/// The export of the book that `version_1` makes, as the program of version 1 wrote it.
pub(super) const EXPORT: &str = include_str!("version_1.jsonl");

/// Makes a book of version 1, and adds rows to it. While the connection lives, they lie in the log.
pub(super) fn version_1(path: &Path, more: &str) -> Connection {
    let conn = Connection::open(path).unwrap();
    conn.pragma_update(None, "journal_mode", "WAL").unwrap();
    let batch = format!(
        "BEGIN; {} {} {more} COMMIT;",
        include_str!("../schema/0001_first.sql"),
        include_str!("version_1.sql")
    );
    conn.execute_batch(&batch).unwrap();
    conn.pragma_update(None, "application_id", crate::APPLICATION_ID)
        .unwrap();
    conn.pragma_update(None, "user_version", 1).unwrap();
    conn
}

fn version(path: &Path) -> i64 {
    Connection::open(path)
        .unwrap()
        .pragma_query_value(None, "user_version", |row| row.get(0))
        .unwrap()
}

/// Every row of every table of version 1, in the columns of version 1, with the types as stored.
fn rows_of_version_1(path: &Path, columns: &[(String, String)]) -> Vec<Vec<Vec<Value>>> {
    let conn = Connection::open(path).unwrap();
    columns
        .iter()
        .map(|(table, columns)| {
            let sql = format!("SELECT {columns} FROM {table} ORDER BY {columns}");
            let mut statement = conn.prepare(&sql).unwrap();
            let n = statement.column_count();
            statement
                .query_map([], |row| (0..n).map(|at| row.get(at)).collect())
                .unwrap()
                .collect::<Result<Vec<_>, _>>()
                .unwrap()
        })
        .collect()
}

fn columns(path: &Path) -> Vec<(String, String)> {
    let conn = Connection::open(path).unwrap();
    conn.prepare(
        "SELECT t.name, (SELECT group_concat(c.name) FROM pragma_table_info(t.name) c)
         FROM sqlite_schema t WHERE t.type = 'table' ORDER BY t.name",
    )
    .unwrap()
    .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
    .unwrap()
    .collect::<Result<_, _>>()
    .unwrap()
}

#[test]
fn every_record_of_version_1_comes_through_untouched() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    drop(version_1(&path, ""));
    let columns = columns(&path);
    assert_eq!(columns.len(), 17);
    let before = rows_of_version_1(&path, &columns);
    assert!(
        before.iter().all(|rows| !rows.is_empty()),
        "a table of version 1 is empty"
    );

    let book = Book::open(&path).unwrap();
    assert_eq!(book.read_only(), None);
    assert_eq!(exported(&book), EXPORT);
    assert_sound(&book);
    assert_eq!(rows_of_version_1(&path, &columns), before);
    // The present state is that of version 1: the last corrections.
    let planting = book.plantings().unwrap().remove(0);
    assert_eq!(planting.body.seeded_on, "2026-05-11");
    let plots = book.plots(planting.id).unwrap();
    assert_eq!(plots[0].body.name, "Low end, east");
    assert_eq!(book.history(plots[0].id).unwrap().len(), 3);
    let visit = book.visits(planting.id).unwrap().remove(0);
    assert_eq!(book.frames(visit.id).unwrap().len(), 3);
    // It takes the new kinds, on what version 1 recorded.
    let frame = book.frames(visit.id).unwrap().remove(0);
    let again = Frame {
        scout: "C. Sorrel".into(),
        repeats: Some(frame.id),
        ..frame.body
    };
    let lot = record(a_seed_lot(planting.id));
    let corrected = correction(planting.id, 9, planting.body);
    book.append(vec![
        record(again),
        lot.clone(),
        corrected,
        record(a_plan(planting.id)),
        record(an_outline(planting.id)),
        record(an_event(planting.id, "2026-06-20")),
        record(a_standard()),
    ])
    .unwrap();
    let plant = book.determinations(visit.id).unwrap().remove(0);
    book.append(vec![
        record(a_blind_opinion(plant.id, plant.body.point)),
        record(a_voucher(plant.id, "12")),
        record(a_come_back(plant.id)),
        record(an_audit(visit.id, vec![plant.id])),
        record(a_set()),
        record(a_practice("A. Fenn")),
        record(a_rule(planting.id)),
        record(a_removal("nobody")),
    ])
    .unwrap();
    assert_eq!(book.seed_lots(planting.id).unwrap()[0].id, lot.id);
    assert_sound(&book);
    drop(book);
    // Opened a second time it is simply a book of the newest version.
    assert_eq!(version(&path), SCHEMA_VERSION);
    let after = exported(&Book::open(&path).unwrap());
    assert!(EXPORT.lines().all(|line| after.contains(line)));
}

#[test]
fn a_migrated_book_keeps_its_promises_in_any_tool() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    drop(version_1(&path, ""));
    drop(Book::open(&path).unwrap());
    let conn = Connection::open(&path).unwrap();
    for sql in [
        "UPDATE record SET author = 'x'",
        "DELETE FROM frame",
        "INSERT OR REPLACE INTO record SELECT * FROM record LIMIT 1",
        "INSERT INTO tally (frame, ord, cell, taxon) SELECT id, 99, 4, 'x' FROM frame LIMIT 1",
    ] {
        let error = conn.execute(sql, []).expect_err(sql).to_string();
        assert!(error.contains("append-only"), "{sql}: {error}");
    }
    // Indexes and views are those of a book that was made new.
    let new = folder.path().join("new.book");
    drop(Book::create(&new).unwrap());
    let things = |path: &Path| -> Vec<(String, String)> {
        Connection::open(path)
            .unwrap()
            .prepare("SELECT name, coalesce(sql, '') FROM sqlite_schema ORDER BY name")
            .unwrap()
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap()
    };
    assert_eq!(things(&path), things(&new));
    // Foreign keys still lead to the tables that were made anew.
    let error = conn
        .execute(
            "INSERT INTO opinion (id, about, name_as_written, reasons) VALUES ('x', 'y', 'z', '')",
            [],
        )
        .unwrap_err();
    assert!(error.to_string().contains("FOREIGN KEY"), "{error}");
}

#[test]
fn an_export_of_version_1_is_imported_unchanged() {
    let folder = tempfile::tempdir().unwrap();
    let demo = include_str!("../../../../demo-data/demo.jsonl");
    for (name, text) in [("a", EXPORT), ("b", demo)] {
        let book = Book::create(folder.path().join(name)).unwrap();
        let lines = text.lines().count();
        assert_eq!(
            book.import(text.as_bytes()).unwrap(),
            Import {
                new: lines,
                already: 0
            }
        );
        assert_eq!(exported(&book), text);
    }
}

#[test]
fn the_newest_records_of_a_version_1_book_may_lie_in_its_log() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    // An open connection keeps the log from being folded in, as after a crash.
    let conn = version_1(&path, "");
    assert!(fs::metadata(beside(&path, "-wal")).unwrap().len() > 0);
    let book = Book::open(&path).unwrap();
    assert_eq!(exported(&book), EXPORT);
    drop(conn);
}

#[test]
fn opened_for_viewing_it_stays_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    drop(version_1(&path, ""));
    let before = fs::read(&path).unwrap();
    let view = Book::open_read_only(&path).unwrap();
    shows_version_1(&view);
    assert_eq!(fs::read(&path).unwrap(), before);
    assert_eq!(version(&path), 1);
    // Another program brings it to the newest version meanwhile: the view shows what is there.
    let book = Book::open(&path).unwrap();
    let planting = book.plantings().unwrap().remove(0).id;
    book.append(vec![record(a_seed_lot(planting))]).unwrap();
    assert_eq!(view.seed_lots(planting).unwrap().len(), 1);
    assert_eq!(view.plantings().unwrap(), book.plantings().unwrap());
    assert_eq!(exported(&view), exported(&book));
}

/// Every question is answered by a book of version 1 that is only viewed.
pub(super) fn shows_version_1(view: &Book) {
    assert_eq!(exported(view), EXPORT);
    let site = view.sites().unwrap().remove(0);
    assert_eq!(site.body.owner, "");
    let planting = view.plantings_of(site.id).unwrap().remove(0);
    assert_eq!(planting.body.mix[1].planned_pls_lb_per_acre, None);
    let id = planting.id;
    assert!(view.seed_lots(id).unwrap().is_empty() && view.events(id).unwrap().is_empty());
    assert!(view.outlines(id).unwrap().is_empty() && view.plans(id).unwrap().is_empty());
    assert!(view.standards().unwrap().is_empty());
    assert_eq!(view.seed_lot(id).unwrap(), None);
    assert_eq!(view.event(id).unwrap(), None);
    assert_eq!(view.outline(id).unwrap(), None);
    assert_eq!(view.plan(id).unwrap(), None);
    assert_eq!(view.standard(id).unwrap(), None);
    assert!(view.points_of_plan(id).unwrap().is_empty());
    let visit = view.visits(id).unwrap().remove(0);
    assert_eq!(view.visits_before_seeding(id).unwrap(), None);
    let frames = view.frames(visit.id).unwrap();
    assert_eq!(frames.len(), 3);
    assert!(view.repeats_of(frames[0].id).unwrap().is_empty());
    let points = view.points(visit.id).unwrap();
    assert_eq!(points.len(), 3);
    assert_eq!(view.frames_at(points[0].id).unwrap().len(), 2);
    assert_eq!(view.unknowns(visit.id).unwrap().len(), 1);
    let determinations = view.determinations(visit.id).unwrap();
    assert_eq!(determinations.len(), 2);
    let opinions: usize = determinations
        .iter()
        .map(|it| view.opinions(it.id).unwrap().len())
        .sum();
    assert_eq!(opinions, 1);
    let unknown = view.unknowns(visit.id).unwrap().remove(0).id;
    assert!(view.vouchers(unknown).unwrap().is_empty());
    assert!(view.vouchers_all().unwrap().is_empty());
    assert_eq!(view.voucher(unknown).unwrap(), None);
    assert!(view.come_backs(unknown).unwrap().is_empty());
    assert!(view.come_backs_all().unwrap().is_empty());
    assert_eq!(view.come_back(unknown).unwrap(), None);
    assert!(view.audits(visit.id).unwrap().is_empty());
    assert!(view.audits_all().unwrap().is_empty());
    assert_eq!(view.audit(unknown).unwrap(), None);
    assert!(view.practice_of("A. Fenn").unwrap().is_empty());
    assert!(view.practice_of_set(unknown).unwrap().is_empty());
    assert!(view.practice_scouts().unwrap().is_empty());
    assert!(view.practice_sets().unwrap().is_empty());
    assert_eq!(view.practice_set(unknown).unwrap(), None);
    assert_eq!(view.practice(unknown).unwrap(), None);
    assert_eq!(view.scout_rule(planting.id).unwrap(), None);
    assert_eq!(view.next_frame_number(points[0].id).unwrap(), 3);
    let (mut at_points, mut all) = (0, 0);
    let people = view.at_one_moment(|moment| {
        moment.each_point(visit.id, |point| {
            moment.each_frame(point.root, |_| {
                at_points += 1;
                Ok::<_, BookError>(())
            })
        })?;
        moment.each::<Frame, BookError>(|_| {
            all += 1;
            Ok(())
        })?;
        assert!(moment.vouchers(unknown)?.is_empty());
        moment.people()
    });
    assert_eq!((at_points, all), (3, 3));
    assert!(!people.unwrap().is_empty());
    let error = view.append(vec![record(a_site())]).unwrap_err();
    assert!(matches!(error, BookError::ReadOnly { .. }), "{error}");
}

/// A book of version 3, from the rows of version 1, which has been given an opinion.
#[test]
fn what_was_said_in_version_3_is_said_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    let conn = version_1(&path, "");
    for step in [
        include_str!("../schema/0002_judging.sql"),
        include_str!("../schema/0003_photos.sql"),
    ] {
        conn.pragma_update(None, "foreign_keys", false).unwrap();
        conn.execute_batch(&format!("BEGIN; {step} COMMIT;"))
            .unwrap();
    }
    conn.pragma_update(None, "user_version", 3).unwrap();
    drop(conn);
    let view = Book::open_read_only(&path).unwrap();
    shows_version_1(&view);
    let before = exported(&view);
    let opinions = view.opinions_all().unwrap();
    assert_eq!(opinions.len(), 2);
    drop(view);
    let book = Book::open(&path).unwrap();
    assert_sound(&book);
    assert_eq!(exported(&book), before);
    assert_eq!(book.opinions_all().unwrap(), opinions);
    assert!(opinions.iter().all(|opinion| {
        let said = &opinion.body;
        !said.blind && said.evidence.is_none() && said.qualifier.is_none() && said.genus.is_none()
    }));
}

/// The columns that later versions add are all in the views that make version 1 look like them.
#[test]
fn the_views_over_version_1_have_the_columns_of_the_newest() {
    let folder = tempfile::tempdir().unwrap();
    let (old, new) = (
        folder.path().join("old.book"),
        folder.path().join("new.book"),
    );
    drop(version_1(&old, ""));
    drop(Book::create(&new).unwrap());
    let old_columns = columns(&old);
    let view = Book::open_read_only(&old).unwrap();
    for (table, expected) in columns(&new) {
        if !old_columns.iter().any(|(name, _)| *name == table) {
            continue; // a new kind: no row is ever read
        }
        let mut found: Vec<String> = view
            .ask(|conn| {
                let statement = conn.prepare(&format!("SELECT * FROM {table}"))?;
                Ok(statement.column_names().map(str::to_owned).collect())
            })
            .unwrap();
        let mut expected: Vec<&str> = expected.split(',').collect();
        found.sort_unstable();
        expected.sort_unstable();
        assert_eq!(found, expected, "{table}");
    }
}

#[test]
fn a_book_with_a_reference_that_leads_nowhere_is_refused_and_left_at_version_1() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    drop(version_1(&path, ""));
    // As a tool without foreign keys can do it.
    let conn = Connection::open(&path).unwrap();
    conn.pragma_update(None, "foreign_keys", false).unwrap();
    conn.execute(
        "INSERT INTO record SELECT '019f5d7e-ffff-7abc-8def-000000000000', 'opinion', born_at, received_at, device, author,
                                   NULL, '019f5d7e-ffff-7abc-8def-000000000000' FROM record LIMIT 1",
        [],
    )
    .unwrap();
    conn.execute(
        "INSERT INTO opinion VALUES ('019f5d7e-ffff-7abc-8def-000000000000',
                                     '019f5d7e-eeee-7abc-8def-000000000000', NULL, 'x', '')",
        [],
    )
    .unwrap();
    drop(conn);
    let error = Book::open(&path).unwrap_err();
    assert!(
        matches!(&error, BookError::Damaged { detail, .. } if detail.contains("opinion")),
        "{error}"
    );
    assert_eq!(version(&path), 1);
    // It can still be looked at, and taken out.
    let view = Book::open_read_only(&path).unwrap();
    assert_eq!(exported(&view).lines().count(), EXPORT.lines().count() + 1);
}

/// Set for the child that opens a book until it is killed; its value is the book.
const CHILD: &str = "STANDBOOK_TEST_MIGRATING_CHILD";

/// Not a test of its own: the body of the child. Without the variable it does nothing.
#[test]
fn migrating_child() {
    if let Some(path) = std::env::var_os(CHILD) {
        let book = Book::open(path).unwrap();
        assert_eq!(book.read_only(), None);
    }
}

/// Frames enough that the migration writes megabytes before it commits.
fn many_frames() -> String {
    "WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < 7999)
     INSERT INTO record SELECT format('019f6000-0000-7abc-8def-%012x', i), 'frame', '2026-07-15T10:00:00.000Z',
         '2026-07-15T10:00:01.000Z', 'laptop', 'A. Fenn', NULL, format('019f6000-0000-7abc-8def-%012x', i) FROM n;
     INSERT INTO frame SELECT r.id, p.id, 1, 'A. Fenn', 'grid', 25, 15.0, NULL, 1
     FROM record r JOIN (SELECT id FROM point ORDER BY id LIMIT 1) p WHERE r.id LIKE '019f6000%';"
        .to_owned()
}

#[test]
fn killed_while_it_migrates_it_is_version_1_and_migrates_again() {
    let folder = tempfile::tempdir().unwrap();
    let base = folder.path().join("base.book");
    drop(version_1(&base, &many_frames()));
    let expected = exported(&Book::open_read_only(&base).unwrap());
    assert_eq!(expected.lines().count(), 8_000 + EXPORT.lines().count());
    let mut in_the_middle = 0;
    // Killed when the log has grown to so many bytes.
    for (n, at) in [1, 300_000, 900_000, 1_500_000].into_iter().enumerate() {
        let path = folder.path().join(format!("{n}.book"));
        fs::copy(&base, &path).unwrap();
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "tests::migrate::migrating_child"])
            .env(CHILD, &path)
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        let wal = beside(&path, "-wal");
        let started = Instant::now();
        while !fs::metadata(&wal).is_ok_and(|found| found.len() >= at)
            && child.try_wait().unwrap().is_none()
            && started.elapsed() < Duration::from_secs(60)
        {
            std::thread::sleep(Duration::from_micros(100));
        }
        child.kill().unwrap();
        child.wait().unwrap();
        // Looked at through copies, so that the log is still there for the real opening.
        let copy = folder.path().join(format!("{n}-copy.book"));
        fs::copy(&path, &copy).unwrap();
        if wal.exists() {
            fs::copy(&wal, beside(&copy, "-wal")).unwrap();
        }
        let found = version(&copy);
        let logged = fs::metadata(&wal).map_or(0, |found| found.len());
        if found == 1 && logged > 0 {
            in_the_middle += 1;
        }
        assert!(found == 1 || found == SCHEMA_VERSION, "version {found}");
        let view = Book::open_read_only(&copy).unwrap();
        assert!(
            exported(&view) == expected,
            "after the kill, seen as version {found}"
        );

        let book = Book::open(&path).unwrap();
        assert_sound(&book);
        assert!(exported(&book) == expected, "after the second opening");
        drop(book);
        assert_eq!(version(&path), SCHEMA_VERSION);
    }
    assert!(
        in_the_middle >= 1,
        "every kill came too early or too late to mean anything"
    );
    println!("{in_the_middle} of 4 kills in the middle");
}
