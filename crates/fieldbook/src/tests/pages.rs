//! Lists of a kind, read a page at a time.

use std::collections::BTreeSet;

use super::*;
use crate::read::{LISTS, List, Under};

fn list(kind: &str) -> &'static List {
    LISTS.iter().find(|list| list.kind == kind).unwrap()
}

/// Reads to the end, `limit` at a time: the first and the current version of each.
fn all(
    book: &Book,
    list: &List,
    under: Option<(&Under, RecordId)>,
    limit: usize,
) -> Vec<(RecordId, RecordId)> {
    let (mut found, mut after) = (Vec::new(), None);
    loop {
        let page = book.page(list, under, after, limit).unwrap();
        assert!(page.items.len() <= limit);
        let ids = page.items.iter().map(|it| (it.first, it.record.id));
        found.extend(ids);
        after = page.next;
        if after.is_none() {
            return found;
        }
        assert_eq!(
            page.items.len(),
            limit,
            "a page that is not the last is full"
        );
    }
}

#[test]
fn every_kind_is_listed_and_counted() {
    let s = super::sql::full();
    let kinds: BTreeSet<String> = s
        .book
        .ask(|conn| {
            conn.prepare("SELECT DISTINCT kind FROM record")?
                .query_map([], |row| row.get(0))?
                .collect()
        })
        .unwrap();
    let listed: BTreeSet<String> = LISTS.iter().map(|list| list.kind.to_owned()).collect();
    assert_eq!(listed, kinds);
    let counted = s.book.count_by_kind().unwrap();
    let total: u64 = counted.iter().map(|(_, many)| many).sum();
    assert_eq!(total, s.book.count().unwrap() as u64);
    for (list, (kind, many)) in LISTS.iter().zip(counted) {
        assert_eq!(list.kind, kind);
        // Nothing was corrected, so every record is current.
        assert_eq!(all(&s.book, list, None, 1).len() as u64, many, "{kind}");
    }
}

#[test]
fn pages_of_any_size_give_each_record_once_and_in_order() {
    let s = Sample::new();
    let frames: Vec<Record> = (1..=7)
        .map(|number| record(a_frame(s.point, number)))
        .collect();
    let ids: Vec<RecordId> = frames.iter().map(|frame| frame.id).collect();
    s.book.append(frames).unwrap();
    for limit in [1, 2, 6, 7, 8, 1000] {
        let found = all(&s.book, list("frame"), None, limit);
        let first: Vec<RecordId> = found.iter().map(|(first, _)| *first).collect();
        assert_eq!(first, ids, "{limit} at a time");
    }
}

#[test]
fn a_correction_keeps_its_place_and_any_version_says_where_to_go_on() {
    let s = Sample::new();
    let ids: Vec<RecordId> = (1..=3)
        .map(|number| s.keep(record(a_frame(s.point, number))))
        .collect();
    let corrected = s.keep(correction(ids[1], 1, a_frame(s.point, 2)));
    let frames = list("frame");
    let expected = vec![(ids[0], ids[0]), (ids[1], corrected), (ids[2], ids[2])];
    assert_eq!(all(&s.book, frames, None, 2), expected);
    for version in [ids[1], corrected] {
        let page = s.book.page(frames, None, Some(version), 10).unwrap();
        let after: Vec<RecordId> = page.items.iter().map(|it| it.first).collect();
        assert_eq!(after, [ids[2]]);
    }
}

#[test]
fn what_belongs_to_a_record_is_found_by_any_version_of_it() {
    let s = Sample::new();
    let frames: Vec<RecordId> = (1..=5)
        .map(|number| s.keep(record(a_frame(s.point, number))))
        .collect();
    let point = s.book.point(s.point).unwrap().unwrap().body;
    let moved = s.keep(correction(s.point, 1, point));
    let other = s.keep(record(Point {
        label: "2".into(),
        ..s.book.point(s.point).unwrap().unwrap().body
    }));
    s.keep(record(a_frame(other, 1)));
    let frames_list = list("frame");
    let by = |name: &str, id: RecordId, limit| {
        let under = frames_list.under.iter().find(|it| it.name == name);
        let found = all(&s.book, frames_list, Some((under.unwrap(), id)), limit);
        found.into_iter().map(|it| it.0).collect::<Vec<_>>()
    };
    assert_eq!(by("point", s.point, 2), frames);
    assert_eq!(by("point", moved, 5), frames);
    assert_eq!(by("visit", s.visit, 4).len(), 6);
    assert_eq!(by("point", RecordId::new(), 4), []);
}

/// A list that went through another kind's records would take minutes in a large book.
#[test]
fn no_list_goes_through_the_whole_book() {
    let s = Sample::new();
    for sql in crate::read::statements() {
        let plan = plan_of(&s, &sql);
        let through = |step: &String| {
            // A step over a whole table, or over all roots of the book in their order.
            step.starts_with("SCAN") || step.contains("record_by_root (root>?)")
        };
        assert!(!plan.iter().any(through), "{sql}: {plan:#?}");
    }
}

/// How SQLite goes about a statement, step by step. Parameters are null: nobody runs it.
pub(super) fn plan_of(s: &Sample, sql: &str) -> Vec<String> {
    let steps = s.book.ask(|conn| {
        let mut asked = conn.prepare(&format!("EXPLAIN QUERY PLAN {sql}"))?;
        let mut rows = asked.raw_query();
        let mut steps = Vec::new();
        while let Some(row) = rows.next()? {
            steps.push(row.get("detail")?);
        }
        Ok(steps)
    });
    steps.unwrap()
}
