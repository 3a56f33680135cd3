//! Records: every reference leads somewhere, chains of corrections are whole, ids are what they
//! should be, and the present state fits together.

use rusqlite::{Connection, Transaction};

use super::{Finding, Found, texts_of};
use crate::safe::both::twice;
use crate::safe::misfit::misfits;
use crate::safe::tables::TABLES;

pub(super) fn check(tx: &Transaction<'_>) -> Found {
    let astray = astray(tx)?;
    // With references that lead nowhere the present state cannot be worked out.
    let (misfits, corrected) = match astray.is_empty() {
        true => (misfits(tx, "current_record")?, twice(tx, false)?),
        false => (Vec::new(), Vec::new()),
    };
    let corrected = corrected.into_iter().map(|one| {
        let others = one.others.iter().map(|other| other.author.as_str());
        let others = others.collect::<Vec<_>>().join(", ");
        format!(
            "{} ({}): {} and {others}",
            one.what, one.root, one.current.author
        )
    });
    Ok(vec![
        Finding::at(
            "reference_astray",
            "Records refer to others that are not in this book.",
            "No page of this program leaves such a record. Merge the book they came from, which brings what is missing; or restore the last backup.",
            astray,
        ),
        Finding::at(
            "record_hollow",
            "Records have no content, or that of another kind.",
            "Their content was removed by another tool, or the file is damaged. Restore the last backup, and merge this book's sound records by an exchange file.",
            hollow(tx)?,
        ),
        Finding::at(
            "chain_torn",
            "Corrections do not lead back to the first version of what they correct.",
            "The book was changed by another tool. Restore the last backup.",
            torn(tx)?,
        ),
        Finding::at(
            "id_odd",
            "Ids of records are not made the way ids of this program are (UUID version 7).",
            "They work, but do not sort by birth. They come from another program, or were typed by hand; nothing needs to be done.",
            texts_of(
                tx,
                "SELECT kind || ' ' || id FROM record WHERE substr(id, 15, 1) <> '7' OR substr(id, 20, 1) NOT IN ('8', '9', 'a', 'b')",
            )?,
        ),
        Finding::at(
            "misfit",
            "Records that are each right by themselves do not fit together.",
            "Most come from merging books of crews that worked apart. Every record is kept. Open each on its page and correct the one that is wrong.",
            misfits
                .iter()
                .map(|m| format!("{} ({}): {}", m.what, m.record, m.problem))
                .collect(),
        ),
        Finding::at(
            "corrected_twice",
            "Records were corrected on two books by people who did not know of each other.",
            "The later correction counts until somebody says which is right: Desk, under Corrected twice.",
            corrected.collect(),
        ),
    ])
}

/// References that lead nowhere: table, record, and what is not there.
fn astray(conn: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut places = Vec::new();
    let mut keys = conn.prepare(
        "SELECT id, \"table\", group_concat('c.\"' || \"from\" || '\" = p.\"' || \"to\" || '\"', ' AND '), min(\"from\")
         FROM pragma_foreign_key_list(?1, 'main') GROUP BY id, \"table\" ORDER BY id",
    )?;
    for table in TABLES {
        let references: Vec<(String, String, String)> = keys
            .query_map([table.name], |row| {
                Ok((row.get(1)?, row.get(2)?, row.get(3)?))
            })?
            .collect::<Result<_, _>>()?;
        for (target, on, column) in references {
            let (name, of) = (table.name, table.of);
            places.extend(texts_of(
                conn,
                &format!(
                    "SELECT '{name} ' || c.{of} || ', {column}: no {target} ' || c.\"{column}\" FROM main.\"{name}\" c
                     WHERE c.\"{column}\" IS NOT NULL AND NOT EXISTS (SELECT 1 FROM main.\"{target}\" p WHERE {on})"
                ),
            )?);
        }
    }
    Ok(places)
}

/// Records without a row in the table of their kind.
fn hollow(conn: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut places = Vec::new();
    for table in TABLES
        .iter()
        .filter(|table| table.of == "id" && table.name != "record")
    {
        let kind = table.name;
        places.extend(texts_of(
            conn,
            &format!(
                "SELECT '{kind} ' || r.id FROM record r WHERE r.kind = '{kind}'
                 AND NOT EXISTS (SELECT 1 FROM \"{kind}\" b WHERE b.id = r.id)
                 UNION ALL
                 SELECT r.kind || ' ' || r.id || ' with the content of a {kind}' FROM \"{kind}\" b
                 JOIN record r ON r.id = b.id WHERE r.kind <> '{kind}'"
            ),
        )?);
    }
    Ok(places)
}

/// Corrections that do not come down from the root that they name.
fn torn(conn: &Connection) -> rusqlite::Result<Vec<String>> {
    texts_of(
        conn,
        "WITH RECURSIVE chain(id, root) AS (
             SELECT id, id FROM record WHERE supersedes IS NULL
             UNION ALL
             SELECT r.id, chain.root FROM chain JOIN record r ON r.supersedes = chain.id)
         SELECT r.kind || ' ' || r.id FROM record r LEFT JOIN chain c ON c.id = r.id
         WHERE r.root IS NOT c.root ORDER BY r.id",
    )
}
