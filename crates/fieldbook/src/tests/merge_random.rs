//! Thousands of random histories: three books fork, are corrected by clocks that are wrong, learn of
//! each other by halves, and are merged in every order.
//!
//! `PROPTEST_CASES=3000 cargo test -p standbook-fieldbook --lib merge_random` runs as many.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use proptest::prelude::*;

use super::merge::content;
use super::*;
use crate::BookError;

/// Cases of an ordinary run: each works on a dozen real files.
const CASES: u32 = 24;

/// What happens to one of the books.
#[derive(Debug, Clone)]
enum Step {
    /// A version that this book knows is corrected, by a clock that may be wrong.
    Correct { which: usize, name: u8, minute: u8 },
    /// A plot is added.
    Plot { name: u8 },
    /// A plant without a name, with the next number in this book.
    Unknown,
    /// Somebody says what the first unknown is.
    Opinion { who: u8, taxon: u8, minute: u8 },
    /// A frame is read.
    Frame { who: u8 },
    /// Somebody practises.
    Practise { who: u8, minute: u8 },
    /// Somebody's practice is removed, up to a minute.
    Remove { who: u8, minute: u8 },
    /// Another book is merged.
    Learn { from: usize },
    /// Somebody settles what was corrected twice.
    Settle,
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        5 => (any::<usize>(), 0_u8..3, 0_u8..60).prop_map(|(which, name, minute)| Step::Correct { which, name, minute }),
        1 => (3_u8..6).prop_map(|name| Step::Plot { name }),
        1 => Just(Step::Unknown),
        2 => (0_u8..3, 0_u8..2, 0_u8..60).prop_map(|(who, taxon, minute)| Step::Opinion { who, taxon, minute }),
        1 => (0_u8..3).prop_map(|who| Step::Frame { who }),
        2 => (0_u8..2, 0_u8..60).prop_map(|(who, minute)| Step::Practise { who, minute }),
        1 => (0_u8..2, 0_u8..60).prop_map(|(who, minute)| Step::Remove { who, minute }),
        1 => (0_usize..3).prop_map(|from| Step::Learn { from }),
        1 => Just(Step::Settle),
    ]
}

/// A disk in memory where there is one: thousands of synced files wear out an ordinary one.
fn folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap()
}

fn minute(minute: u8) -> String {
    format!("2026-08-01T10:{minute:02}:00.000Z")
}

/// Plots of a book and every version of them.
fn versions(book: &Book) -> Vec<Record> {
    let plots = book.plots(book.plantings().unwrap()[0].id).unwrap();
    plots
        .iter()
        .flat_map(|plot| book.history(plot.id).unwrap())
        .collect()
}

fn take(books: &[Book], at: usize, step: &Step, s: &Sample) {
    let book = &books[at];
    let by = |who: u8| format!("scout {who}");
    let new = match step {
        Step::Correct {
            which,
            name,
            minute: m,
        } => {
            let known = versions(book);
            let Some(old) = known.get(which % known.len().max(1)) else {
                return;
            };
            Record {
                born_at: minute(*m),
                author: by(at as u8),
                ..correction(old.id, 0, a_plot(s.planting, &format!("name {name}")))
            }
        }
        Step::Plot { name } => record(a_plot(s.planting, &format!("name {name}"))),
        Step::Unknown => {
            let number = book.next_unknown_number(s.visit).unwrap();
            record(an_unknown(s.visit, number, s.point))
        }
        Step::Opinion {
            who,
            taxon,
            minute: m,
        } => Record {
            born_at: minute(*m),
            author: by(*who),
            ..record(Opinion {
                taxon: Some(format!("taxon_{taxon}")),
                ..a_blind_opinion(s.unknown, s.point)
            })
        },
        Step::Frame { who } => {
            let number = book.next_frame_number(s.point).unwrap();
            record(Frame {
                scout: by(*who),
                ..a_frame(s.point, number)
            })
        }
        Step::Practise { who, minute: m } => Record {
            born_at: minute(*m),
            ..record(a_practice(&by(*who)))
        },
        Step::Remove { who, minute: m } => record(PracticeRemoval {
            until: minute(*m),
            ..a_removal(&by(*who))
        }),
        Step::Learn { from } if *from != at => {
            book.merge(books[*from].path(), false).unwrap();
            return;
        }
        Step::Learn { .. } => return,
        Step::Settle => {
            if let Some(one) = book.both_corrected().unwrap().first() {
                // What people meanwhile named alike is refused, as on any page.
                let _ = book.settle(one.others[0].id, "judge", "laptop");
            }
            return;
        }
    };
    // A name that is taken is refused; then this step does nothing.
    let _ = book.append(vec![new]);
}

fn fork(of: &Path, name: &str, folder: &Path) -> Book {
    let to: PathBuf = folder.join(name);
    std::fs::copy(of, &to).unwrap();
    Book::open(to).unwrap()
}

/// A book that is closed and folded into one file, so that it can be copied as a file.
fn closed(book: Book) -> PathBuf {
    let path = book.path().to_owned();
    drop(book);
    path
}

/// A copy of the first into which the others were merged.
fn union(all: [&Path; 3], name: &str, folder: &Path) -> Book {
    let book = fork(all[0], name, folder);
    for other in &all[1..] {
        book.merge(other, false).unwrap();
    }
    book
}

/// What counts now, and what is for people to settle, in a form that can be compared.
fn view(book: &Book) -> (Vec<RecordId>, String, String) {
    let current = book.ask(|conn| {
        conn.prepare("SELECT id FROM current_record ORDER BY id")?
            .query_map([], |row| row.get(0))?
            .collect()
    });
    let twice = serde_json::to_string(&book.both_corrected().unwrap()).unwrap();
    let apart = serde_json::to_string(&book.named_apart().unwrap()).unwrap();
    (current.unwrap(), twice, apart)
}

/// The rule of what is open, as sets and not as ways: a leaf is open unless a version that only
/// the current leaf comes down from says the same.
fn open_by_sets(book: &Book, root: RecordId) -> BTreeSet<RecordId> {
    let chain = book.history(root).unwrap();
    let by_id: BTreeMap<RecordId, &Record> = chain.iter().map(|v| (v.id, v)).collect();
    let line = |leaf: &Record| {
        let mut line = BTreeSet::from([leaf.id]);
        let mut next = leaf.supersedes;
        while let Some(id) = next {
            line.insert(id);
            next = by_id[&id].supersedes;
        }
        line
    };
    let leaves: Vec<&Record> = chain
        .iter()
        .filter(|v| !chain.iter().any(|other| other.supersedes == Some(v.id)))
        .collect();
    let current = leaves
        .iter()
        .max_by_key(|v| (v.born_at.clone(), v.id))
        .unwrap();
    leaves
        .iter()
        .filter(|leaf| leaf.id != current.id)
        .filter(|leaf| {
            let (own, theirs) = (line(current), line(leaf));
            !own.difference(&theirs)
                .any(|id| by_id[id].body == leaf.body)
        })
        .map(|leaf| leaf.id)
        .collect()
}

fn lines(path: &Path) -> BTreeSet<String> {
    content(&Book::open(path).unwrap()).into_iter().collect()
}

/// Whether any removal of all books covers this line.
fn is_removed(line: &str, all: &[Record]) -> bool {
    let record: Record = serde_json::from_str(line).unwrap();
    let Body::Practice(practice) = &record.body else {
        return false;
    };
    let whose = crate::record::whose(&practice.scout);
    all.iter().any(|other| match &other.body {
        Body::PracticeRemoval(it) => it.whose == whose && record.born_at <= it.until,
        _ => false,
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(CASES),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn books_merged_in_any_order_agree(steps in proptest::collection::vec((0_usize..3, step()), 0..24)) {
        let s = Sample::within(folder());
        let dir = folder();
        let base = dir.path().join("base");
        // As a file: what still lies in -wal is folded in by the copy's own opening.
        std::fs::copy(s.path(), &base).unwrap();
        std::fs::copy(crate::open::beside(&s.path(), "-wal"), crate::open::beside(&base, "-wal")).unwrap();
        let base = closed(Book::open(&base).unwrap());
        let books = ["a", "b", "c"].map(|name| fork(&base, name, dir.path()));
        for (at, step) in &steps {
            take(&books, *at, step, &s);
        }
        let [a, b, c] = books.map(closed);

        let abc = union([&a, &b, &c], "abc", dir.path());
        let mut expected: BTreeSet<String> = [&a, &b, &c].iter().flat_map(|path| lines(path)).collect();
        let all: Vec<Record> = expected.iter().map(|line| serde_json::from_str(line).unwrap()).collect();
        expected.retain(|line| !is_removed(line, &all));
        prop_assert_eq!(content(&abc).into_iter().collect::<BTreeSet<_>>(), expected);
        let seen = view(&abc);
        for twice in abc.both_corrected().unwrap() {
            let open: BTreeSet<RecordId> = twice.others.iter().map(|other| other.id).collect();
            prop_assert_eq!(open, open_by_sets(&abc, twice.root));
        }
        // Nothing that is open is left out.
        let told: BTreeSet<RecordId> = abc.both_corrected().unwrap().iter().map(|t| t.root).collect();
        for plot in abc.plots(s.planting).unwrap() {
            let root = abc.history(plot.id).unwrap()[0].id;
            prop_assert_eq!(told.contains(&root), !open_by_sets(&abc, root).is_empty());
        }
        // Any order.
        let cba = union([&c, &b, &a], "cba", dir.path());
        prop_assert_eq!(view(&cba), seen.clone());
        prop_assert_eq!(content(&cba), content(&abc));
        // a with (b with c).
        let bc = closed(union([&b, &c, &c], "bc", dir.path()));
        let nested = fork(&a, "nested", dir.path());
        nested.merge(&bc, false).unwrap();
        prop_assert_eq!(view(&nested), seen.clone());
        prop_assert_eq!(content(&nested), content(&abc));
        // Twice, and itself by way of another.
        let whole = exported(&abc);
        for path in [&a, &b, &c, &bc] {
            let again = abc.merge(path, false).unwrap();
            prop_assert_eq!(again.counts.all.new, 0);
        }
        prop_assert_eq!(exported(&abc), whole);
        assert_sound(&abc);
        // Settled, and then nothing of it is open. A name that another plot has since is refused, as
        // on any page.
        for twice in abc.both_corrected().unwrap() {
            match abc.settle(twice.current.id, "judge", "laptop") {
                Ok(done) => prop_assert!(done && open_by_sets(&abc, twice.root).is_empty()),
                Err(BookError::Invalid(problems)) => prop_assert_eq!(&problems[0].field, "name"),
                Err(other) => prop_assert!(false, "{}", other),
            }
        }
    }
}
