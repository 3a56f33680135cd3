//! The tables of a book in the order in which rows can be added: what is referred to first, and the
//! parts of a record before their whole, because a kept whole takes no more parts.

use rusqlite::Connection;

/// A table.
pub(super) struct Table {
    /// Its name.
    pub(super) name: &'static str,
    /// The column that holds the record's id.
    pub(super) of: &'static str,
}

const fn whole(name: &'static str) -> Table {
    Table { name, of: "id" }
}

const fn part(name: &'static str, of: &'static str) -> Table {
    Table { name, of }
}

/// All of them. A test compares this list with the schema.
pub(super) const TABLES: &[Table] = &[
    whole("record"),
    whole("site"),
    part("planting_mix", "planting"),
    whole("planting"),
    part("seed_lot_noxious", "seed_lot"),
    whole("seed_lot"),
    whole("event"),
    whole("plot"),
    part("outline_corner", "outline"),
    whole("outline"),
    part("plan_point", "plan"),
    whole("plan"),
    part("standard_purpose", "standard"),
    part("standard_taxon", "standard"),
    whole("standard"),
    part("visit_scout", "visit"),
    whole("visit"),
    whole("point"),
    whole("unknown"),
    part("tally", "frame"),
    whole("frame"),
    part("answer", "determination"),
    part("answer_state", "determination"),
    part("ranking", "determination"),
    whole("determination"),
    part("opinion_answer", "opinion"),
    part("opinion_answer_state", "opinion"),
    part("opinion_ranking", "opinion"),
    part("opinion_evidence", "opinion"),
    whole("opinion"),
    whole("voucher"),
    whole("come_back"),
    part("audit_plant", "audit"),
    whole("audit"),
    part("practice_set_question", "practice_set"),
    whole("practice_set"),
    part("practice_reading", "practice"),
    part("practice_cell", "practice"),
    whole("practice"),
    whole("scout_rule"),
    part("practice_removal_also", "practice_removal"),
    whole("practice_removal"),
    whole("photo"),
];

/// The columns of a table in the book, those of its primary key first and counted.
pub(super) fn columns(conn: &Connection, table: &str) -> rusqlite::Result<(Vec<String>, usize)> {
    let sql = "SELECT name, pk > 0 FROM pragma_table_info(?1, 'main') ORDER BY pk = 0, pk, cid";
    let mut statement = conn.prepare(sql)?;
    let found: Vec<(String, bool)> = statement
        .query_map([table], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<Result<_, _>>()?;
    let keys = found.iter().filter(|(_, key)| *key).count();
    Ok((found.into_iter().map(|(name, _)| name).collect(), keys))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_table_of_the_schema_is_in_the_list_and_can_be_filled_in_its_order() {
        let mut conn = Connection::open_in_memory().unwrap();
        crate::schema::migrate(&mut conn).unwrap();
        let mut names: Vec<&str> = TABLES.iter().map(|table| table.name).collect();
        let mut at: Vec<(String, String)> = Vec::new();
        for (here, table) in TABLES.iter().enumerate() {
            let mut keys = conn
                .prepare("SELECT \"table\", \"from\" FROM pragma_foreign_key_list(?1)")
                .unwrap();
            let refers = keys
                .query_map([table.name], |row| {
                    Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?))
                })
                .unwrap();
            for (target, column) in refers.map(Result::unwrap) {
                let there = names.iter().position(|name| *name == target).unwrap();
                // A part waits for its whole until the end; a record may name one of its own table.
                if there > here && column != table.of {
                    at.push((table.name.to_owned(), target));
                }
            }
        }
        assert_eq!(at, [], "filled before what it refers to");
        for (here, table) in TABLES.iter().enumerate() {
            let whole = names.iter().position(|name| *name == table.of);
            assert!(whole.is_none_or(|whole| whole > here), "{}", table.name);
        }
        names.sort_unstable();
        let mut tables: Vec<String> = conn
            .prepare("SELECT name FROM sqlite_schema WHERE type = 'table'")
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        tables.sort();
        assert_eq!(names, tables);
    }
}
