//! Rows of events: one table for all, with a column for each measure that a kind of event can have.

use rusqlite::{Connection, Row, params};

use super::Kind;
use crate::id::RecordId;
use crate::record::{Event, EventKind};
use crate::sql::no_such_word;

impl Kind for Event {
    const TABLE: &'static str = "event";

    fn insert(&self, conn: &Connection, id: RecordId) -> rusqlite::Result<()> {
        let (mut height, mut entry, mut graze, mut rain) = (None, None, None, None);
        let what = match self.what {
            EventKind::Mowed { height_cm } => {
                height = height_cm;
                "mowed"
            }
            EventKind::Sprayed {
                entry_after_h,
                graze_after_days,
            } => {
                (entry, graze) = (entry_after_h, graze_after_days);
                "sprayed"
            }
            EventKind::Rain { mm } => {
                rain = mm;
                "rain"
            }
            EventKind::Drought => "drought",
            EventKind::Grazed => "grazed",
            EventKind::Burned => "burned",
            EventKind::Overseeded => "overseeded",
            EventKind::Other => "other",
        };
        conn.prepare_cached(
            "INSERT INTO event (id, planting, happened_on, what, height_cm, entry_after_h, graze_after_days, rain_mm, note)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        )?
        .execute(params![id, self.planting, self.on, what, height, entry, graze, rain, self.note])?;
        Ok(())
    }

    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let what: String = row.get("what")?;
        Ok(Event {
            planting: row.get("planting")?,
            on: row.get("happened_on")?,
            what: match what.as_str() {
                "mowed" => EventKind::Mowed {
                    height_cm: row.get("height_cm")?,
                },
                "sprayed" => EventKind::Sprayed {
                    entry_after_h: row.get("entry_after_h")?,
                    graze_after_days: row.get("graze_after_days")?,
                },
                "rain" => EventKind::Rain {
                    mm: row.get("rain_mm")?,
                },
                "drought" => EventKind::Drought,
                "grazed" => EventKind::Grazed,
                "burned" => EventKind::Burned,
                "overseeded" => EventKind::Overseeded,
                "other" => EventKind::Other,
                _ => return Err(no_such_word("event", what)),
            },
            note: row.get("note")?,
        })
    }
}
