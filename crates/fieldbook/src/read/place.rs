//! Questions about sites, plantings and what belongs to a planting.

use super::Entry;
use crate::book::Book;
use crate::error::BookError;
use crate::id::RecordId;
use crate::record::{Event, Planting, Plot, SeedLot, Site, Visit};

/// Visits that are dated before the seeding: one of the dates is wrong, or a clock was.
#[derive(Debug, Clone, PartialEq)]
pub struct BeforeSeeding {
    /// Calendar date of sowing, ISO 8601, as the current version of the planting has it.
    pub seeded_on: String,
    /// Visits dated earlier, by date.
    pub visits: Vec<Entry<Visit>>,
}

impl Book {
    /// All sites.
    pub fn sites(&self) -> Result<Vec<Entry<Site>>, BookError> {
        self.all()
    }

    /// The current version of a site; `None` when the id is not that of a site.
    pub fn site(&self, id: RecordId) -> Result<Option<Entry<Site>>, BookError> {
        self.current(id)
    }

    /// All plantings.
    pub fn plantings(&self) -> Result<Vec<Entry<Planting>>, BookError> {
        self.all()
    }

    /// The plantings of a site.
    pub fn plantings_of(&self, site: RecordId) -> Result<Vec<Entry<Planting>>, BookError> {
        self.children("site", site)
    }

    /// The current version of a planting; `None` when the id is not that of a planting.
    pub fn planting(&self, id: RecordId) -> Result<Option<Entry<Planting>>, BookError> {
        self.current(id)
    }

    /// The plots of a planting.
    pub fn plots(&self, planting: RecordId) -> Result<Vec<Entry<Plot>>, BookError> {
        self.children("planting", planting)
    }

    /// The current version of a plot; `None` when the id is not that of a plot.
    pub fn plot(&self, id: RecordId) -> Result<Option<Entry<Plot>>, BookError> {
        self.current(id)
    }

    /// The seed lots of a planting.
    pub fn seed_lots(&self, planting: RecordId) -> Result<Vec<Entry<SeedLot>>, BookError> {
        self.children("planting", planting)
    }

    /// The current version of a seed lot; `None` when the id is not that of a seed lot.
    pub fn seed_lot(&self, id: RecordId) -> Result<Option<Entry<SeedLot>>, BookError> {
        self.current(id)
    }

    /// The events of a planting, by date, then in the order first recorded. Some may be dated
    /// before the seeding: the site was prepared, or a date is wrong.
    pub fn events(&self, planting: RecordId) -> Result<Vec<Entry<Event>>, BookError> {
        let mut events: Vec<Entry<Event>> = self.children("planting", planting)?;
        events.sort_by(|a, b| a.body.on.cmp(&b.body.on));
        Ok(events)
    }

    /// The current version of an event; `None` when the id is not that of an event.
    pub fn event(&self, id: RecordId) -> Result<Option<Entry<Event>>, BookError> {
        self.current(id)
    }

    /// Visits to a planting that are dated before it was seeded. The book takes them, since a date
    /// or a clock can be wrong and nothing may be lost for that; a page can say so. `None` when
    /// there are none, or the id is not that of a planting.
    pub fn visits_before_seeding(
        &self,
        planting: RecordId,
    ) -> Result<Option<BeforeSeeding>, BookError> {
        let Some(seeded) = self.planting(planting)? else {
            return Ok(None);
        };
        let seeded_on = seeded.body.seeded_on;
        let mut visits = self.visits(planting)?;
        visits.retain(|visit| visit.body.on < seeded_on);
        Ok((!visits.is_empty()).then_some(BeforeSeeding { seeded_on, visits }))
    }
}
