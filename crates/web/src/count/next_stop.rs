//! A stop of the walk with its buttons, as the pages of a walk and of a frame show it.
//!
//! In: the walk, where the scout stands. Out: the way to the next planned point, and to the spare
//! that is owed, best first.
//! Not here: which stop comes next (`walk`), what the buttons record (`arrive`).

use standbook_fieldbook::record::Point;
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::walk::{Standing, Stop, Walk, way};
use crate::app::App;
use crate::plot::filled::Filled;

/// A stop that one may walk to, with its buttons.
pub(super) struct Card {
    /// The visit.
    pub visit: RecordId,
    /// The plan walked.
    pub plan: RecordId,
    /// Number in the plan.
    pub number: u32,
    /// Id of the point to be.
    pub id: RecordId,
    /// `Next: point 7 of 12`.
    pub title: String,
    /// `point 7`.
    pub short_name: String,
    /// The way to it, or where it is.
    pub way: String,
    /// Where it was drawn, degrees.
    pub planned_at: String,
    /// Why this one, and how far the way can be trusted; may be empty.
    pub why: String,
    /// Whether the scout's name has to be typed.
    pub ask_scout: bool,
    /// Plots to choose from: id and name; empty when the plot is known.
    pub plots: Vec<(String, String)>,
    /// What is filled in.
    pub filled: Filled,
}

/// The plot of a stop when it is known; otherwise the plots to choose from, the likeliest first.
pub(super) fn plot_of(
    app: &App,
    walk: &Walk,
    stop: &Stop,
) -> Result<Result<RecordId, Vec<(String, String)>>, BookError> {
    if let Some(plot) = stop.plot
        && let Some(plot) = app.book.plot(plot)?
    {
        return Ok(Ok(plot.id));
    }
    let mut plots = app.book.plots(walk.plan.body.planting)?;
    if let [only] = plots.as_slice() {
        return Ok(Ok(only.id));
    }
    if let Some(last) = &walk.last
        && let Some(plot) = app.book.plot(last.body.plot)?
    {
        plots.sort_by_key(|it| it.id != plot.id);
    }
    let plots = plots.into_iter();
    Ok(Err(plots
        .map(|plot| (plot.id.to_string(), plot.body.name))
        .collect()))
}

/// The card of a stop, seen from where the scout stands.
pub(super) fn card(
    app: &App,
    walk: &Walk,
    visit: RecordId,
    stop: &Stop,
    from: Option<Standing>,
    scout: &str,
) -> Result<Card, BookError> {
    let [north, east] = stop.at;
    let planned_at = format!("{north:.5}, {east:.5}");
    let plots = plot_of(app, walk, stop)?.err().unwrap_or_default();
    let mut filled = Filled::new();
    filled.set("scout", scout);
    // The plot of the last point is the likeliest.
    if let (Some(_), Some((id, _))) = (&walk.last, plots.first()) {
        filled.set("plot", id.clone());
    }
    Ok(Card {
        visit,
        plan: walk.plan.id,
        number: stop.number,
        id: RecordId::new(),
        title: format!("Next: {}", walk.name(stop)),
        short_name: match stop.spare {
            true => format!("spare {}", stop.number),
            false => format!("point {}", stop.number),
        },
        way: from.map_or_else(
            || format!("Planned at {planned_at}"),
            |from| way(from, stop.at),
        ),
        planned_at,
        why: match from {
            Some(Standing { fix: false, .. }) => {
                "Reckoned from where the last point was planned.".to_owned()
            }
            _ => String::new(),
        },
        ask_scout: scout.is_empty(),
        plots,
        filled,
    })
}

/// The stops to walk to from a point (or from the last one), best first: the next planned point,
/// and a spare where one is owed.
pub(super) fn cards(
    app: &App,
    walk: &Walk,
    visit: RecordId,
    from: Option<&Entry<Point>>,
    scout: &str,
) -> Result<Vec<Card>, BookError> {
    let from = from.or(walk.last.as_ref());
    let from = from.and_then(|point| walk.standing_at(point));
    let mut list = Vec::new();
    if let Some(stop) = walk.next() {
        list.push(card(app, walk, visit, stop, from, scout)?);
    }
    if let Some((stop, for_number)) = walk.spare() {
        let mut card = card(app, walk, visit, stop, from, scout)?;
        let stands_in = format!("It stands in for point {for_number}, which was not reached.");
        card.why = format!("{stands_in} {}", card.why).trim().to_owned();
        if !list.is_empty() {
            card.title = format!("Or now: {}", walk.name(stop));
        }
        list.push(card);
    }
    Ok(list)
}
