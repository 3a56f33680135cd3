//! Numbers and labels that are still free. They count every version: what was written on a label
//! once is not given to another thing.

use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::kinds::versions_of;

impl Book {
    /// The number after the highest that any unknown of this visit ever had; 1 for the first.
    pub fn next_unknown_number(&self, visit: RecordId) -> Result<u32, BookError> {
        let sql = format!(
            "SELECT coalesce(max(number), 0) + 1 FROM unknown WHERE visit IN {}",
            versions_of(1)
        );
        self.ask(|conn| {
            conn.prepare_cached(&sql)?
                .query_row([visit], |row| row.get(0))
        })
    }

    /// The number after the highest that any frame at this point ever had; 1 for the first.
    pub fn next_frame_number(&self, point: RecordId) -> Result<u32, BookError> {
        let sql = format!(
            "SELECT coalesce(max(number), 0) + 1 FROM frame WHERE point IN {}",
            versions_of(1)
        );
        self.ask(|conn| {
            conn.prepare_cached(&sql)?
                .query_row([point], |row| row.get(0))
        })
    }

    /// The number after the highest that the label of any point of this plot and visit ever was;
    /// `1` for the first. Labels that are not whole numbers do not count.
    pub fn next_point_label(&self, plot: RecordId, visit: RecordId) -> Result<String, BookError> {
        let sql = format!(
            "SELECT label FROM point WHERE plot IN {} AND visit IN {}",
            versions_of(1),
            versions_of(2)
        );
        let labels: Vec<String> = self.ask(|conn| {
            conn.prepare_cached(&sql)?
                .query_map([plot, visit], |row| row.get(0))?
                .collect()
        })?;
        let highest = labels
            .iter()
            .filter_map(|label| label.trim().parse::<u32>().ok())
            .max()
            .unwrap_or(0);
        Ok((u64::from(highest) + 1).to_string())
    }
}
