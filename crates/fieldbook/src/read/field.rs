//! Questions about days in the field: visits, points, frames, unknowns.

use super::{Entry, at_point_of_visit, entries};
use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::kinds::versions_of;
use crate::record::{Frame, Point, Unknown, Visit};

impl Book {
    /// The visits to a planting, by date, then in the order first recorded.
    pub fn visits(&self, planting: RecordId) -> Result<Vec<Entry<Visit>>, BookError> {
        let mut visits: Vec<Entry<Visit>> = self.children("planting", planting)?;
        visits.sort_by(|a, b| a.body.on.cmp(&b.body.on));
        Ok(visits)
    }

    /// The current version of a visit; `None` when the id is not that of a visit.
    pub fn visit(&self, id: RecordId) -> Result<Option<Entry<Visit>>, BookError> {
        self.current(id)
    }

    /// The points of a visit, in all plots.
    pub fn points(&self, visit: RecordId) -> Result<Vec<Entry<Point>>, BookError> {
        self.children("visit", visit)
    }

    /// The points of a visit in one plot.
    pub fn points_in(
        &self,
        plot: RecordId,
        visit: RecordId,
    ) -> Result<Vec<Entry<Point>>, BookError> {
        let condition = format!(
            "b.plot IN {} AND b.visit IN {}",
            versions_of(1),
            versions_of(2)
        );
        self.ask(|conn| entries(conn, &condition, &[&plot, &visit]))
    }

    /// The current version of a point; `None` when the id is not that of a point.
    pub fn point(&self, id: RecordId) -> Result<Option<Entry<Point>>, BookError> {
        self.current(id)
    }

    /// The frames of a visit, at all points.
    pub fn frames(&self, visit: RecordId) -> Result<Vec<Entry<Frame>>, BookError> {
        self.ask(|conn| entries(conn, &at_point_of_visit("b.point"), &[&visit]))
    }

    /// How many points a visit has, in all plots.
    pub fn count_points(&self, visit: RecordId) -> Result<usize, BookError> {
        self.count_of::<Point>(&format!("b.visit IN {}", versions_of(1)), visit)
    }

    /// How many frames a visit has, at all points.
    pub fn count_frames(&self, visit: RecordId) -> Result<usize, BookError> {
        self.count_of::<Frame>(&at_point_of_visit("b.point"), visit)
    }

    /// How many frames a point has.
    pub fn count_frames_at(&self, point: RecordId) -> Result<usize, BookError> {
        self.count_of::<Frame>(&format!("b.point IN {}", versions_of(1)), point)
    }

    /// The frames at a point, by number, then in the order first recorded.
    pub fn frames_at(&self, point: RecordId) -> Result<Vec<Entry<Frame>>, BookError> {
        let mut frames: Vec<Entry<Frame>> = self.children("point", point)?;
        frames.sort_by_key(|frame| frame.body.number);
        Ok(frames)
    }

    /// The frames at a point that have a number now, in the order first recorded.
    pub fn frames_numbered(
        &self,
        point: RecordId,
        number: u32,
    ) -> Result<Vec<Entry<Frame>>, BookError> {
        let condition = format!("b.point IN {} AND b.number = ?2", versions_of(1));
        self.ask(|conn| entries(conn, &condition, &[&point, &number]))
    }

    /// The current version of a frame; `None` when the id is not that of a frame.
    pub fn frame(&self, id: RecordId) -> Result<Option<Entry<Frame>>, BookError> {
        self.current(id)
    }

    /// The second readings of a frame by other scouts, in the order first recorded; of any version of it.
    pub fn repeats_of(&self, frame: RecordId) -> Result<Vec<Entry<Frame>>, BookError> {
        self.children("repeats", frame)
    }

    /// Second readings of frames by other scouts; of a visit, or all.
    pub fn frames_repeating(
        &self,
        visit: Option<RecordId>,
    ) -> Result<Vec<Entry<Frame>>, BookError> {
        let repeating = "b.id IN (SELECT id FROM frame WHERE repeats IS NOT NULL)";
        self.ask(|conn| match visit {
            None => entries(conn, repeating, &[]),
            Some(visit) => {
                let condition = format!("{repeating} AND {}", at_point_of_visit("b.point"));
                entries(conn, &condition, &[&visit])
            }
        })
    }

    /// The unknowns of a visit, by number.
    pub fn unknowns(&self, visit: RecordId) -> Result<Vec<Entry<Unknown>>, BookError> {
        let mut unknowns: Vec<Entry<Unknown>> = self.children("visit", visit)?;
        unknowns.sort_by_key(|unknown| unknown.body.number);
        Ok(unknowns)
    }

    /// The current version of an unknown; `None` when the id is not that of an unknown.
    pub fn unknown(&self, id: RecordId) -> Result<Option<Entry<Unknown>>, BookError> {
        self.current(id)
    }
}
