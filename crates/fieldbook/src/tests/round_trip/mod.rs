//! Save, then load: the same record, for generated records of every kind.

mod evidence;
mod field;
mod outline;
mod planting;
mod practice;
mod words;

use proptest::prelude::*;

use self::{evidence::*, field::*, outline::*, planting::*, practice::*, words::*};
use super::*;
use crate::Kept;

fn body(
    s: &Sample,
    plan_id: RecordId,
    first: RecordId,
    plants: [RecordId; 2],
    set: RecordId,
) -> impl Strategy<Value = Body> + use<> {
    prop_oneof![
        10 => body_of_version_1(s, plan_id),
        6 => body_of_version_2(s, first),
        3 => prop_oneof![voucher(plants[0]), come_back(s.unknown), audit(s.visit, plants)],
        5 => prop_oneof![
            2 => practice(set),
            1 => practice_set(s.planting, s.visit),
            1 => scout_rule(s.planting),
            1 => removal(),
        ],
    ]
}

fn body_of_version_2(s: &Sample, first: RecordId) -> impl Strategy<Value = Body> + use<> {
    prop_oneof![
        seed_lot(s.planting),
        event(s.planting),
        outline(s.planting, s.plot),
        plan(s.planting, s.plot),
        standard(),
        repeat(first, s.point),
    ]
}

/// Kinds that were there from the start, with what has been added to them.
fn body_of_version_1(s: &Sample, plan_id: RecordId) -> impl Strategy<Value = Body> + use<> {
    let (planting_id, point_id, unknown_id, visit_id) = (s.planting, s.point, s.unknown, s.visit);
    prop_oneof![
        (name(), note(), note(), line(), line(), line()).prop_map(
            |(name, locality, permission, owner, county, state)| Site {
                name,
                locality,
                permission,
                owner,
                county,
                state,
            }
            .into()
        ),
        planting(s.site),
        (name(), note()).prop_map(move |(name, note)| Plot {
            planting: planting_id,
            name,
            note
        }
        .into()),
        visit(s.planting),
        point(s.plot, s.visit, plan_id),
        frame(s.point, s.unknown),
        (2_u32..9999, name()).prop_map(move |(number, description)| {
            Unknown {
                visit: visit_id,
                number,
                description,
                first_seen: point_id,
            }
            .into()
        }),
        determination(s.point, s.unknown),
        opinion(unknown_id),
        photo(s.unknown),
    ]
}

fn wrapped(
    s: &Sample,
    plan_id: RecordId,
    first: RecordId,
    plants: [RecordId; 2],
    set: RecordId,
) -> impl Strategy<Value = Record> + use<> {
    let instant = (0_i64..4_000_000_000_000)
        .prop_map(|ms| crate::time::stamp(jiff::Timestamp::from_millisecond(ms).unwrap()));
    (
        body(s, plan_id, first, plants, set),
        instant,
        name(),
        name(),
    )
        .prop_map(|(body, born_at, device, author)| Record {
            born_at,
            device,
            author,
            ..record(body)
        })
}

#[test]
fn save_then_load_gives_the_same_record() {
    let s = Sample::new();
    let plan = s.keep(record(a_plan(s.planting)));
    let first = s.keep(record(a_frame(s.point, 1)));
    let plants = [1, 2].map(|_| s.keep(record(a_determination(s.point))));
    let set = s.keep(record(a_set()));
    let (_folder, other) = {
        let folder = tempfile::tempdir().unwrap();
        let book = Book::create(folder.path().join("other.book")).unwrap();
        book.import(s.export().as_bytes()).unwrap();
        (folder, book)
    };
    let kinds = std::cell::RefCell::new(std::collections::BTreeSet::new());
    // 800 cases: some 30 of each kind.
    let mut runner = proptest::test_runner::TestRunner::new(ProptestConfig {
        cases: 800,
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    runner
        .run(&wrapped(&s, plan, first, plants, set), |record| {
            let sent = match s.book.append(vec![record.clone()]) {
                Ok(kept) => kept,
                // A name or number that an earlier case has taken already.
                Err(crate::BookError::Invalid(problems))
                    if problems
                        .iter()
                        .all(|problem| problem.problem.contains("already")) =>
                {
                    return Ok(());
                }
                Err(error) => return Err(TestCaseError::fail(error.to_string())),
            };
            prop_assert_eq!(sent, [Kept::New]);
            kinds.borrow_mut().insert(record.body.kind());
            let mut loaded = s.book.get(record.id).unwrap().unwrap();
            let line = serde_json::to_string(&loaded).unwrap();
            prop_assert!(loaded.received_at.take().is_some());
            prop_assert_eq!(&loaded, &record);
            // Through JSON into another book and back, to the last digit.
            other.import(line.as_bytes()).unwrap();
            let again = other.get(record.id).unwrap().unwrap();
            prop_assert_eq!(serde_json::to_string(&again).unwrap(), line);
            prop_assert_eq!(s.book.append(vec![record]).unwrap(), [Kept::Already]);
            Ok(())
        })
        .unwrap();
    assert_eq!(kinds.borrow().len(), 22, "{kinds:?}");
    assert_sound(&s.book);
    assert_eq!(exported(&other), s.export());
}
