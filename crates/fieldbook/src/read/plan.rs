//! Questions about where to look and what to ask of a stand: outlines, plans, standards.

use super::Entry;
use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::record::{Outline, Plan, Point, Standard};

impl Book {
    /// The outlines of a planting: of the field, of its plots, of ground to keep out of.
    pub fn outlines(&self, planting: RecordId) -> Result<Vec<Entry<Outline>>, BookError> {
        self.children("planting", planting)
    }

    /// The current version of an outline; `None` when the id is not that of an outline.
    pub fn outline(&self, id: RecordId) -> Result<Option<Entry<Outline>>, BookError> {
        self.current(id)
    }

    /// The plans of a planting.
    pub fn plans(&self, planting: RecordId) -> Result<Vec<Entry<Plan>>, BookError> {
        self.children("planting", planting)
    }

    /// The current version of a plan; `None` when the id is not that of a plan.
    pub fn plan(&self, id: RecordId) -> Result<Option<Entry<Plan>>, BookError> {
        self.current(id)
    }

    /// The points recorded for a plan, in all visits, by their number in it, then in the order
    /// first recorded; those that could not be reached as well. A point's `planned.plan` is the
    /// version that its number belongs to.
    pub fn points_of_plan(&self, plan: RecordId) -> Result<Vec<Entry<Point>>, BookError> {
        let mut points: Vec<Entry<Point>> = self.children("plan", plan)?;
        points.sort_by_key(|point| point.body.planned.map(|planned| planned.number));
        Ok(points)
    }

    /// All standards of the book, those withdrawn as well (`withdrawn` says so).
    pub fn standards(&self) -> Result<Vec<Entry<Standard>>, BookError> {
        self.all()
    }

    /// The current version of a standard; `None` when the id is not that of a standard.
    pub fn standard(&self, id: RecordId) -> Result<Option<Entry<Standard>>, BookError> {
        self.current(id)
    }
}
