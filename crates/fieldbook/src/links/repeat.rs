//! Whether a second reading of a frame fits the first: same place, same device, another scout.
//!
//! In and out as in `fit`, of which this is a part. Not here: how far the readings agree (crate `stand`).

use super::fit::{Fit, Misfit};
use crate::id::RecordId;
use crate::kinds::{current_of, load, root_of, versions_of};
use crate::record::{Body, Frame};

impl Fit<'_> {
    /// What is wrong between a frame and the one it reads again, or those that read it again.
    pub(super) fn second_reading(&self, frame: &Frame) -> rusqlite::Result<Vec<Misfit>> {
        let mut misfits = Vec::new();
        if let Some(repeats) = frame.repeats {
            if root_of(self.conn, repeats)? == Some(self.root) {
                misfits.push((
                    "repeats",
                    "a frame cannot be a second reading of itself".to_owned(),
                    "Name the first reading; a correction goes in `supersedes`.",
                ));
            } else if let Some(first) = self.current_frame(repeats)? {
                for (field, problem) in self.reads_apart(&first, frame)? {
                    let mend = "Name the frame that was read before; or correct both in one call.";
                    misfits.push((field, problem, mend));
                }
            }
        }
        if self.corrects {
            misfits.extend(self.repeats_torn_off(frame)?);
        }
        Ok(misfits)
    }

    fn current_frame(&self, id: RecordId) -> rusqlite::Result<Option<Frame>> {
        let Some(current) = current_of(self.conn, id)? else {
            return Ok(None);
        };
        Ok(
            load(self.conn, current)?.and_then(|record| match record.body {
                Body::Frame(frame) => Some(frame),
                _ => None,
            }),
        )
    }

    /// In what a second reading differs from the first where it must not, by field of the second.
    fn reads_apart(
        &self,
        first: &Frame,
        second: &Frame,
    ) -> rusqlite::Result<Vec<(&'static str, String)>> {
        let mut apart = Vec::new();
        if root_of(self.conn, first.point)? != root_of(self.conn, second.point)? {
            apart.push((
                "point",
                "the frame that it reads again lies at another point".to_owned(),
            ));
        }
        if first.number != second.number {
            let problem = format!("the frame that it reads again is frame {}", first.number);
            apart.push(("number", problem));
        }
        if first.shape != second.shape {
            apart.push((
                "shape",
                "the frame that it reads again has another shape".to_owned(),
            ));
        }
        if first.scout.trim().to_lowercase() == second.scout.trim().to_lowercase() {
            let problem = format!("{} has read this frame already", first.scout);
            apart.push(("scout", problem));
        }
        Ok(apart)
    }

    /// Whether a correction of a first reading leaves its second readings without their like.
    fn repeats_torn_off(&self, first: &Frame) -> rusqlite::Result<Vec<Misfit>> {
        let sql = format!(
            "SELECT c.id FROM current_record c JOIN frame f ON f.id = c.id
             WHERE f.repeats IN {} AND c.root <> ?1",
            versions_of(1)
        );
        let ids: Vec<RecordId> = self
            .conn
            .prepare_cached(&sql)?
            .query_map([self.root], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        let mut misfits = Vec::new();
        for id in ids {
            if let Some(second) = self.current_frame(id)? {
                for (field, _) in self.reads_apart(first, &second)? {
                    misfits.push((
                        field,
                        format!("this does not fit the second reading by {}", second.scout),
                        "Correct the second reading as well, in the same call.",
                    ));
                }
            }
        }
        Ok(misfits)
    }
}
