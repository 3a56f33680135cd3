//! Clocks: instants that cannot be right, by the device whose clock said them.
//!
//! A clock can be wrong, and nothing is lost for that; but which of two corrections is the newer
//! hangs on it, and so does the order in which things are shown.

use std::collections::BTreeMap;

use rusqlite::Transaction;

use super::{Finding, Found, texts_of};
use crate::record::FROM_A_FILE;

/// A record born this much later than it was received: the clock was ahead. Days.
const AHEAD_DAYS: f64 = 10.0 / (24.0 * 60.0);

/// A record received this much later than it was born: weeks out of reach, or the clock was behind.
/// Days.
const BEHIND_DAYS: f64 = 90.0;

pub(super) fn check(tx: &Transaction<'_>) -> Found {
    // Instants as days; the book's spelling is one that SQLite reads.
    let apart = "(julianday(born_at) - julianday(received_at))";
    let ahead = by_device(
        tx,
        &format!("SELECT device FROM record WHERE {apart} > {AHEAD_DAYS}"),
    )?;
    let behind = by_device(
        tx,
        // A file may be years old when it is brought in, and no clock is behind then.
        &format!(
            "SELECT device FROM record
             WHERE {apart} < -{BEHIND_DAYS} AND device NOT LIKE '{FROM_A_FILE}%'"
        ),
    )?;
    // What was seen in a field cannot be older than the sowing, but for a day: clocks run in UTC.
    let before = by_device(
        tx,
        "WITH seen(id, visit) AS (
             SELECT p.id, p.visit FROM point p
             UNION ALL SELECT f.id, p.visit FROM frame f JOIN point p ON p.id = f.point
             UNION ALL SELECT d.id, p.visit FROM determination d JOIN point p ON p.id = d.point)
         SELECT r.device FROM seen s JOIN record r ON r.id = s.id
         JOIN visit v ON v.id = s.visit
         JOIN current_version c ON c.id = v.planting JOIN planting l ON l.id = c.current_id
         WHERE julianday(r.born_at) < julianday(l.seeded_on) - 1",
    )?;
    let mend = "Set the device's clock (let it take the time from its network). The records stay; where one of them was corrected, look whether the right version counts.";
    Ok(vec![
        Finding::at(
            "clock_ahead",
            "Records were born after they were received: the clock of their device was ahead.",
            mend,
            ahead,
        ),
        Finding::at(
            "clock_behind",
            "Records were born more than 90 days before they were received: they waited so long on a phone, or the clock of their device was behind.",
            mend,
            behind,
        ),
        Finding::at(
            "before_seeding",
            "Things seen in a field were recorded before it was seeded: a clock was behind, or the date of seeding is wrong.",
            "Look at the date of seeding on the planting's page and correct it if it is wrong; else set the device's clock.",
            before,
        ),
    ])
}

fn by_device(tx: &Transaction<'_>, sql: &str) -> rusqlite::Result<Vec<String>> {
    let mut devices: BTreeMap<String, usize> = BTreeMap::new();
    for device in texts_of(tx, sql)? {
        *devices.entry(device).or_default() += 1;
    }
    let said = |(device, n): (String, usize)| match n {
        1 => format!("{device}: 1 record"),
        n => format!("{device}: {n} records"),
    };
    Ok(devices.into_iter().map(said).collect())
}
