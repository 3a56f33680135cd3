//! The walk of a visit by its plan: which planned points are done, which comes next, which spare
//! stands in for one that could not be reached.
//!
//! In: a plan of the planting and the points of a visit. Out: stops with what was recorded, the
//! next one, and the way to it in words. Without a plan there is no walk, and counting works as
//! ever.
//!
//! Spares: one for each planned point that was not reached, in the order of their numbers, of the
//! same plot where the plan says plots; taking them in that order keeps the spread of the points
//! (Stevens and Olsen 2004 on over-samples; memory).
//! Units: metres and feet on the ground, degrees on WGS 84.
//! Not here: drawing points and routes (crate `plan`), stopping (`enough`), pages (`walk_page`).

use standbook_fieldbook::record::{Plan, Point, Visit};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_plan::{Corner, Frame, distance_m};

use super::device::M_PER_FOOT;
use crate::app::App;
use crate::plot::place::Place;
use crate::words;

/// A point of the plan with what became of it in this visit.
#[derive(Debug, Clone)]
pub(crate) struct Stop {
    /// Its number in the plan, from 1.
    pub number: u32,
    /// Its place in the walking order, from 1; `None` for a spare.
    pub walk: Option<u32>,
    /// Whether it only stands in for another.
    pub spare: bool,
    /// Where it was drawn: degrees north, degrees east.
    pub at: Corner,
    /// The plot it lies in, where the plan says so.
    pub plot: Option<RecordId>,
    /// What was recorded there in this visit.
    pub point: Option<Entry<Point>>,
}

impl Stop {
    /// Whether somebody stood there.
    pub fn reached(&self) -> bool {
        self.point
            .as_ref()
            .is_some_and(|point| point.body.unreachable.is_empty())
    }

    /// Whether somebody could not get there.
    pub fn missed(&self) -> bool {
        self.point.is_some() && !self.reached()
    }
}

/// The walk of a visit.
#[derive(Debug, Clone)]
pub(crate) struct Walk {
    /// The plan walked.
    pub plan: Entry<Plan>,
    /// Its points, by number.
    pub stops: Vec<Stop>,
    /// The point recorded last in this visit.
    pub last: Option<Entry<Point>>,
}

/// Where somebody is, as far as known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Standing {
    /// Degrees north, degrees east.
    pub at: Corner,
    /// Whether a fix was taken; otherwise it is where the point was planned.
    pub fix: bool,
}

impl Walk {
    /// The walk of a visit by the plan wanted, or by the one that its points name, or by the
    /// planting's newest; `None` when the planting has no plan.
    pub fn load(
        app: &App,
        visit: &Entry<Visit>,
        wanted: Option<RecordId>,
    ) -> Result<Option<Walk>, BookError> {
        let points = app.book.points(visit.id)?;
        let named = points
            .iter()
            .rev()
            .find_map(|point| point.body.planned.map(|it| it.plan));
        let mut plans = app.book.plans(visit.body.planting)?;
        let wanted = match wanted.or(named) {
            Some(id) => app.book.plan(id)?.map(|plan| plan.id),
            None => None,
        };
        // An address may name a plan of another planting: it is none here.
        let at = plans.iter().position(|plan| Some(plan.id) == wanted);
        let plan = match at {
            Some(at) => Some(plans.swap_remove(at)),
            None => plans.pop(),
        };
        let Some(plan) = plan else { return Ok(None) };
        let mut stops: Vec<Stop> = (1..)
            .zip(&plan.body.points)
            .map(|(number, point)| Stop {
                number,
                walk: point.walk,
                spare: point.spare,
                at: [point.latitude, point.longitude],
                plot: point.plot,
                point: None,
            })
            .collect();
        for point in &points {
            let Some(planned) = point.body.planned else {
                continue;
            };
            // A point names the version of the plan that it was walked by.
            let same = planned.plan == plan.id
                || app.book.plan(planned.plan)?.map(|it| it.id) == Some(plan.id);
            let index = usize::try_from(planned.number).unwrap_or(0).wrapping_sub(1);
            if let Some(stop) = stops.get_mut(index).filter(|_| same) {
                // Two scouts may both have recorded it: one who stood there counts.
                if !stop.reached() {
                    stop.point = Some(point.clone());
                }
            }
        }
        let last = points.into_iter().next_back();
        Ok(Some(Walk { plan, stops, last }))
    }

    /// Planned points that are no spares.
    pub fn planned(&self) -> usize {
        self.stops.iter().filter(|stop| !stop.spare).count()
    }

    /// Points where somebody stood, spares among them.
    pub fn reached(&self) -> usize {
        self.stops.iter().filter(|stop| stop.reached()).count()
    }

    /// Planned points that could not be reached.
    pub fn missed(&self) -> usize {
        let planned = self.stops.iter().filter(|stop| !stop.spare);
        planned.filter(|stop| stop.missed()).count()
    }

    /// The stops that are no spares, in walking order.
    pub fn in_order(&self) -> Vec<&Stop> {
        let mut stops: Vec<&Stop> = self.stops.iter().filter(|stop| !stop.spare).collect();
        stops.sort_by_key(|stop| (stop.walk.unwrap_or(u32::MAX), stop.number));
        stops
    }

    /// The next planned point of which nothing is recorded.
    pub fn next(&self) -> Option<&Stop> {
        let mut stops = self.in_order().into_iter();
        stops.find(|stop| stop.point.is_none())
    }

    /// The spare to walk to, with the number of the point that it stands in for; `None` when
    /// every missed point has its spare, or none is left.
    pub fn spare(&self) -> Option<(&Stop, u32)> {
        let mut missed: Vec<&Stop> = self.in_order();
        missed.retain(|stop| stop.missed());
        let taken = self.stops.iter().filter(|s| s.spare && s.reached()).count();
        let for_stop = missed.get(taken)?;
        let mut free: Vec<&Stop> = self.stops.iter().filter(|stop| stop.spare).collect();
        free.retain(|stop| stop.point.is_none());
        let same_plot = free.iter().find(|stop| stop.plot == for_stop.plot);
        let spare = same_plot.or_else(|| free.first())?;
        Some((spare, for_stop.number))
    }

    /// Points missed for which no spare is left.
    pub fn without_spare(&self) -> usize {
        let free = |stop: &&Stop| stop.spare && stop.point.is_none();
        let taken = self.stops.iter().filter(|s| s.spare && s.reached()).count();
        self.missed()
            .saturating_sub(taken + self.stops.iter().filter(free).count())
    }

    /// Where somebody at this point is: its fix, or else where it was planned.
    pub fn standing_at(&self, point: &Entry<Point>) -> Option<Standing> {
        if let Some(fix) = point.body.position {
            return Some(Standing {
                at: [fix.latitude, fix.longitude],
                fix: true,
            });
        }
        // A point that was not reached tells nothing of where the scout is.
        if !point.body.unreachable.is_empty() {
            return None;
        }
        let stop = self
            .stops
            .iter()
            .find(|stop| stop.point.as_ref().is_some_and(|it| it.id == point.id))?;
        Some(Standing {
            at: stop.at,
            fix: false,
        })
    }

    /// What plan, map and files call a stop: its number, `S1` and on for spares.
    pub fn short_name(&self, stop: &Stop) -> String {
        if !stop.spare {
            return stop.number.to_string();
        }
        let spares = self.stops.iter().filter(|other| other.spare);
        let up_to = spares.take_while(|other| other.number <= stop.number);
        format!("S{}", up_to.count())
    }

    /// `Point 7` or `Spare S1`.
    pub fn title(&self, stop: &Stop) -> String {
        let kind = if stop.spare { "Spare" } else { "Point" };
        format!("{kind} {}", self.short_name(stop))
    }

    /// The same in a sentence, with how many there are: `point 7 of 12`, `spare S1`.
    pub fn name(&self, stop: &Stop) -> String {
        match (stop.spare, stop.walk) {
            (true, _) => format!("spare {}", self.short_name(stop)),
            (false, Some(walk)) if walk != stop.number => {
                format!("point {}, stop {walk} of {}", stop.number, self.planned())
            }
            (false, _) => format!("point {} of {}", stop.number, self.planned()),
        }
    }
}

/// The wind nearest to a direction in degrees clockwise from north.
fn wind(bearing_deg: f64) -> &'static str {
    const WINDS: [&str; 8] = [
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    ];
    let eighth = (bearing_deg.rem_euclid(360.0) / 45.0).round();
    // 0 to 8, both ends of which are north.
    WINDS[(eighth as usize) % 8]
}

/// A distance as one walks it: `140 m (460 ft)`, `1.4 km (0.87 mi)`.
pub(super) fn distance_words(metres: f64) -> String {
    // Nobody walks by single metres beyond what a fix can tell.
    let round = |value: f64| match value {
        v if v < 20.0 => v.round(),
        v => (v / 10.0).round() * 10.0,
    };
    if metres >= 1000.0 {
        format!(
            "{:.1} km ({} mi)",
            metres / 1000.0,
            words::digits(metres / (5280.0 * M_PER_FOOT))
        )
    } else {
        format!(
            "{:.0} m ({:.0} ft)",
            round(metres),
            round(metres / M_PER_FOOT)
        )
    }
}

/// The way from one place to another: `140 m (460 ft) to the north-east`; with `about` where no
/// fix was taken.
pub(super) fn way(from: Standing, to: Corner) -> String {
    let metres = distance_m(from.at, to);
    if metres < 5.0 {
        return "right here".to_owned();
    }
    let [east, north] = Frame::at(from.at).to_metres(to);
    let bearing = east.atan2(north).to_degrees();
    let words = format!("{} to the {}", distance_words(metres), wind(bearing));
    match from.fix {
        true => words,
        false => format!("about {words}"),
    }
}

/// For a page at a point: where the walk goes next, as an address and words; `None` without a
/// plan.
pub(super) fn next_line(app: &App, place: &Place) -> Result<Option<(String, String)>, BookError> {
    let Some(walk) = Walk::load(app, &place.visit, None)? else {
        return Ok(None);
    };
    let address = format!("/visits/{}/walk?at={}", place.visit.id, place.point.id);
    let words = match walk.next().or(walk.spare().map(|(stop, _)| stop)) {
        Some(stop) => {
            let way = walk
                .standing_at(&place.point)
                .map(|from| way(from, stop.at));
            match way {
                Some(way) => format!("Next: {}, {way}", walk.name(stop)),
                None => format!("Next: {}", walk.name(stop)),
            }
        }
        None => format!("All {} points of the plan are done", walk.planned()),
    };
    Ok(Some((address, words)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn winds_go_round() {
        for (degrees, name) in [
            (0.0, "north"),
            (44.0, "north-east"),
            (-90.0, "west"),
            (180.0, "south"),
            (359.0, "north"),
            (-170.0, "south"),
        ] {
            assert_eq!(wind(degrees), name, "{degrees}");
        }
    }

    /// One minute of latitude is about one nautical mile, 1852 m (memory).
    #[test]
    fn the_way_is_said_in_metres_and_feet() {
        let from = Standing {
            at: [39.0, -96.5],
            fix: true,
        };
        assert_eq!(
            way(from, [39.0 + 1.0 / 60.0, -96.5]),
            "1.9 km (1.1 mi) to the north"
        );
        let near = way(from, [39.0 + 0.054 / 60.0, -96.5]);
        assert_eq!(near, "100 m (330 ft) to the north");
        assert_eq!(way(from, [39.0, -96.5]), "right here");
        let unsure = Standing { fix: false, ..from };
        let east = way(unsure, [39.0, -96.498]);
        assert_eq!(east, "about 170 m (570 ft) to the east");
    }
}
