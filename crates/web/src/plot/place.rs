//! Where a point lies: its plot, visit, planting and site, as they stand now.

use standbook_fieldbook::record::{Planting, Plot, Point, Site, Visit};
use standbook_fieldbook::{Entry, RecordId};

use crate::app::App;
use crate::failure::Failure;

/// A point and everything it lies in.
#[derive(Debug, Clone)]
pub(crate) struct Place {
    /// The point.
    pub point: Entry<Point>,
    /// The version of it that was asked for. What is recorded names this one: a form whose point
    /// was corrected between two sendings is then still the same record.
    pub asked: RecordId,
    /// Its plot.
    pub plot: Entry<Plot>,
    /// Its visit.
    pub visit: Entry<Visit>,
    /// The planting visited.
    pub planting: Entry<Planting>,
    /// The planting's site.
    pub site: Entry<Site>,
}

impl Place {
    /// Finds a point; any version's id will do.
    pub fn load(app: &App, point: RecordId) -> Result<Place, Failure> {
        let found = |what| Failure::NotFound { what };
        let asked = point;
        let point = app.book.point(point)?.ok_or(found("point"))?;
        let plot = app.book.plot(point.body.plot)?.ok_or(found("plot"))?;
        let visit = app.book.visit(point.body.visit)?.ok_or(found("visit"))?;
        let (planting, site) = planting_and_site(app, visit.body.planting)?;
        Ok(Place {
            point,
            asked,
            plot,
            visit,
            planting,
            site,
        })
    }

    /// `North strip, point 3`.
    pub fn words(&self) -> String {
        format!("{}, point {}", self.plot.body.name, self.point.body.label)
    }

    /// `14 July 2026`.
    pub fn visit_words(&self) -> String {
        crate::words::date_words(&self.visit.body.on)
    }
}

/// A planting and its site.
pub(crate) fn planting_and_site(
    app: &App,
    planting: RecordId,
) -> Result<(Entry<Planting>, Entry<Site>), Failure> {
    let planting = app
        .book
        .planting(planting)?
        .ok_or(Failure::NotFound { what: "planting" })?;
    let site = app
        .book
        .site(planting.body.site)?
        .ok_or(Failure::NotFound { what: "site" })?;
    Ok((planting, site))
}
