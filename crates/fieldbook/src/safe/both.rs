//! What people have to settle because nobody may choose for them: one record corrected on two books
//! by people who did not know of each other, and one plant named apart by the last two who looked.
//!
//! Corrections make a tree whose leaves are versions that nobody corrects. With one leaf all is
//! well. With several, the one with the greatest (`born_at`, `id`) is current; another is *open*
//! unless what it says was also said on the current one's own way from where the two parted. So
//! leaves that say the same are no quarrel, and one that was settled stays so when the record is
//! corrected again. It all hangs on records alone: two books with the same records agree.

use std::collections::{HashMap, HashSet};

use rusqlite::Connection;
use serde::Serialize;

use super::differ::{self, Differing};
use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::kinds::load;
use crate::record::{Body, EventKind, Record};
use crate::time::{later, now};

/// A record that was corrected twice, apart.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Twice {
    /// The first version of the record.
    pub root: RecordId,
    /// Its kind, such as `plot`.
    pub kind: String,
    /// What people call it, such as `plot North`.
    pub what: String,
    /// The version that counts now.
    pub current: Version,
    /// The versions that stand against it.
    pub others: Vec<Version>,
}

/// One version of a record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Version {
    /// Its id.
    pub id: RecordId,
    /// Who entered it.
    pub author: String,
    /// Where.
    pub device: String,
    /// UTC instant by the clock of that device, RFC 3339.
    pub born_at: String,
    /// In what it differs from the current version, which is `one`; empty for that itself.
    pub differs: Vec<Differing>,
}

/// A plant that the last two people who looked call by different names.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Settling {
    /// The determination or unknown, its first version.
    pub root: RecordId,
    /// `determination` or `unknown`.
    pub kind: String,
    /// What people call it, such as `unknown 3`.
    pub what: String,
    /// The opinion that counts, being the later one.
    pub last: Named,
    /// The one before, by somebody else.
    pub before: Named,
}

/// One opinion.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Named {
    /// The opinion.
    pub id: RecordId,
    /// Whose.
    pub author: String,
    /// UTC instant by the clock of the device, RFC 3339.
    pub born_at: String,
    /// The taxon's id; `None`: no name of the key.
    pub taxon: Option<String>,
    /// The name in the person's own words; may be empty.
    pub name_as_written: String,
    /// `cf` or `aff`, if the taxon is not sure.
    pub qualifier: Option<String>,
    /// The genus, if no more was sure.
    pub genus: Option<String>,
}

impl Book {
    /// Records corrected on two books by people who did not know of each other, in the order first
    /// recorded. Nothing is chosen for anybody: [`Book::settle`] says which version is right.
    pub fn both_corrected(&self) -> Result<Vec<Twice>, BookError> {
        self.ask(|conn| twice(conn, false))
    }

    /// Determinations and unknowns that the last two people who looked call by different names, in
    /// the order first recorded. An opinion that agrees with the last settles it.
    pub fn named_apart(&self) -> Result<Vec<Settling>, BookError> {
        self.ask(|conn| settlings(conn, false))
    }

    /// The same for unknowns alone, which are few: nothing is asked of the opinions on
    /// determinations.
    pub fn unknowns_named_apart(&self) -> Result<Vec<Settling>, BookError> {
        self.ask(|conn| settlings_among(conn, "AND o.about IN (SELECT u.id FROM unknown u)"))
    }

    /// Says which version of a record that was corrected twice is right: every version that stands
    /// against it is corrected to say the same, by `author` on `device`. False when there is nothing
    /// to settle, as when this is asked a second time, or `right` is not one of the versions.
    pub fn settle(&self, right: RecordId, author: &str, device: &str) -> Result<bool, BookError> {
        let versions = self.history(right)?;
        let Some((current, others)) = open_leaves(&versions) else {
            return Ok(false);
        };
        let open = std::iter::once(current).chain(others);
        let Some(right) = open.map(|at| &versions[at]).find(|v| v.id == right) else {
            return Ok(false);
        };
        let newest = versions.iter().map(|v| v.born_at.as_str()).max();
        let born_at = later(now(), newest.unwrap_or_default());
        // Every leaf, not the open ones alone: what the current way once said to one of them is not
        // said on the way that will be current.
        let corrections = leaves(&versions)
            .into_iter()
            .map(|at| &versions[at])
            .filter(|leaf| leaf.body != right.body)
            .map(|leaf| Record {
                id: RecordId::new(),
                born_at: born_at.clone(),
                received_at: None,
                device: device.to_owned(),
                author: author.to_owned(),
                supersedes: Some(leaf.id),
                body: right.body.clone(),
            })
            .collect();
        self.append(corrections)?;
        Ok(true)
    }
}

/// Versions of a chain that nobody corrects.
fn leaves(versions: &[Record]) -> Vec<usize> {
    let corrected: HashSet<RecordId> = versions.iter().filter_map(|v| v.supersedes).collect();
    (0..versions.len())
        .filter(|leaf| !corrected.contains(&versions[*leaf].id))
        .collect()
}

/// The current version and the leaves that are open against it; `None` when there are none.
/// `versions` are all of one chain, in any order.
fn open_leaves(versions: &[Record]) -> Option<(usize, Vec<usize>)> {
    let at: HashMap<RecordId, usize> = versions.iter().map(|v| v.id).zip(0..).collect();
    let leaves = leaves(versions);
    let current = leaves
        .iter()
        .copied()
        .max_by_key(|leaf| (&versions[*leaf].born_at, versions[*leaf].id))?;
    // From a version back to the first.
    let way = |leaf: usize| {
        std::iter::successors(Some(leaf), |here| {
            versions[*here]
                .supersedes
                .and_then(|id| at.get(&id).copied())
        })
        .take(versions.len())
    };
    let open: Vec<usize> = leaves
        .into_iter()
        .filter(|leaf| *leaf != current)
        .filter(|leaf| {
            let theirs: Vec<usize> = way(*leaf).collect();
            let said = way(current)
                .take_while(|own| !theirs.contains(own))
                .any(|own| versions[own].body == versions[*leaf].body);
            !said
        })
        .collect();
    (!open.is_empty()).then_some((current, open))
}

/// Roots of chains with several leaves; with `coming` only those to which a merge added.
fn parted(conn: &Connection, coming: bool) -> rusqlite::Result<Vec<RecordId>> {
    let among = match coming {
        true => {
            "SELECT r.root FROM temp.coming n JOIN record r ON r.id = n.id WHERE r.supersedes IS NOT NULL"
        }
        false => "SELECT root FROM record WHERE supersedes IS NOT NULL",
    };
    let sql = format!(
        "SELECT r.root FROM record r WHERE r.root IN ({among})
         AND NOT EXISTS (SELECT 1 FROM record s WHERE s.supersedes = r.id)
         GROUP BY r.root HAVING count(*) > 1 ORDER BY r.root"
    );
    conn.prepare(&sql)?
        .query_map([], |row| row.get(0))?
        .collect()
}

/// See [`Book::both_corrected`].
pub(super) fn twice(conn: &Connection, coming: bool) -> rusqlite::Result<Vec<Twice>> {
    let mut found = Vec::new();
    for root in parted(conn, coming)? {
        let ids: Vec<RecordId> = conn
            .prepare_cached("SELECT id FROM record WHERE root = ?1 ORDER BY id")?
            .query_map([root], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        let mut versions = Vec::new();
        for id in ids {
            versions.extend(load(conn, id)?);
        }
        let Some((current, others)) = open_leaves(&versions) else {
            continue;
        };
        let current = &versions[current];
        let version = |record: &Record| Version {
            id: record.id,
            author: record.author.clone(),
            device: record.device.clone(),
            born_at: record.born_at.clone(),
            differs: differ::bodies(&current.body, &record.body),
        };
        found.push(Twice {
            root,
            kind: current.body.kind().to_owned(),
            what: called(current),
            current: version(current),
            others: others.iter().map(|at| version(&versions[*at])).collect(),
        });
    }
    Ok(found)
}

/// See [`Book::named_apart`].
pub(super) fn settlings(conn: &Connection, coming: bool) -> rusqlite::Result<Vec<Settling>> {
    let of_merge = match coming {
        true => {
            "AND a.root IN (SELECT b.root FROM temp.coming n JOIN opinion p ON p.id = n.id
                            JOIN record b ON b.id = p.about)"
        }
        false => "",
    };
    settlings_among(conn, of_merge)
}

/// The same for some opinions `o` on records `a`.
fn settlings_among(conn: &Connection, among: &str) -> rusqlite::Result<Vec<Settling>> {
    // Newest first within what they are about.
    let sql = format!(
        "SELECT a.root, c.id, c.author, c.born_at, o.taxon, o.name_as_written, o.qualifier, o.genus
         FROM current_record c JOIN opinion o ON o.id = c.id JOIN record a ON a.id = o.about
         WHERE c.kind = 'opinion' {among} ORDER BY a.root, c.born_at DESC, c.id DESC"
    );
    let mut last: Option<(RecordId, Named)> = None;
    let (mut pairs, mut paired) = (Vec::new(), None);
    let mut statement = conn.prepare(&sql)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let root: RecordId = row.get(0)?;
        let named = Named {
            id: row.get(1)?,
            author: row.get(2)?,
            born_at: row.get(3)?,
            taxon: row.get(4)?,
            name_as_written: row.get(5)?,
            qualifier: row.get(6)?,
            genus: row.get(7)?,
        };
        match &last {
            Some((same, newest)) if *same == root && paired != Some(root) => {
                // Of one person only the last word is weighed.
                if newest.author != named.author {
                    paired = Some(root);
                    pairs.push((root, newest.clone(), named));
                }
            }
            Some((same, _)) if *same == root => {}
            _ => last = Some((root, named)),
        }
    }
    let mut found = Vec::new();
    for (root, last, before) in pairs {
        let apart = last.taxon != before.taxon
            || last.qualifier != before.qualifier
            || last.genus != before.genus
            || (last.taxon.is_none() && last.name_as_written != before.name_as_written);
        if let (true, Some(record)) = (apart, load(conn, root)?) {
            found.push(Settling {
                root,
                kind: record.body.kind().to_owned(),
                what: called(&record),
                last,
                before,
            });
        }
    }
    Ok(found)
}

/// What people call a record.
pub(super) fn called(record: &Record) -> String {
    match &record.body {
        Body::Site(it) => format!("site {}", it.name),
        Body::Planting(it) => format!("planting {}", it.name),
        Body::SeedLot(it) => format!("seed lot {}", it.lot),
        Body::Event(it) => match it.what {
            EventKind::Mowed { .. } => format!("mowing of {}", it.on),
            EventKind::Sprayed { .. } => format!("spraying of {}", it.on),
            EventKind::Rain { .. } => format!("rain of {}", it.on),
            _ => format!("event of {}", it.on),
        },
        Body::Outline(it) if it.name.is_empty() => "outline".to_owned(),
        Body::Outline(it) => format!("outline {}", it.name),
        Body::Plan(it) => format!("plan {}", it.name),
        Body::Standard(it) => format!("threshold {}", it.name),
        Body::Plot(it) => format!("plot {}", it.name),
        Body::Visit(it) => format!("visit of {}", it.on),
        Body::Point(it) => format!("point {}", it.label),
        Body::Unknown(it) => format!("unknown {}", it.number),
        Body::Frame(it) => format!("frame {} of {}", it.number, it.scout),
        Body::Determination(_) => format!("plant of {}", record.author),
        Body::Opinion(_) => format!("opinion of {}", record.author),
        Body::Voucher(it) => format!("specimen {} {}", it.collector, it.number),
        Body::ComeBack(it) => format!("plant to come back to on {}", it.due_on),
        Body::Audit(it) => format!("audit of {} plants", it.drawn.len()),
        Body::PracticeSet(it) => format!("practice set {}", it.title),
        Body::Practice(it) => format!("practice of {}", it.scout),
        Body::ScoutRule(_) => "rule for counting".to_owned(),
        Body::PracticeRemoval(_) => "removal of practice".to_owned(),
        Body::Photo(it) => picture_called(&it.shows, &record.author),
    }
}

/// What people call a picture.
pub(super) fn picture_called(shows: &str, author: &str) -> String {
    match shows {
        "" => format!("picture by {author}"),
        shows => format!("picture ({shows}) by {author}"),
    }
}
