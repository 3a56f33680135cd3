//! What the office's list knows of each visit, kept in memory as long as nothing of it is new.
//!
//! In: the visit asked for, or none: then the latest ones, as many as give enough to do. Out: their
//! plants with what settling each would change, and their open unknowns. Reading a visit costs its
//! frames and plants; whether anything is new is asked of the book each time (`Book::visit_stamp`), so
//! that what other programs write is seen as well.
//!
//! Not here: the order of the list and what is asked for (`ranked`).

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use standbook_fieldbook::record::{Counted, Frame};
use standbook_fieldbook::{BookError, Entry, RecordId, VisitLine, VisitStamp};

use super::names::standing;
use super::ranked::Listed;
use super::rests::Rests;
use crate::app::App;
use crate::stand::name::first_words;
use crate::stand::numbers::unknown_ids;
use crate::stand::resolve::{Unknowns, in_order};

/// Visits that can be chosen, and the most that are shown at once.
const LATEST: usize = 60;

/// Plants that give enough to do: with these no earlier visit is shown unasked.
const ENOUGH: usize = 1_000;

/// Visits kept in memory.
const KEPT: usize = 64;

/// What the list knows of a visit.
#[derive(Debug)]
pub(super) struct OfVisit {
    /// Its plants, in the order first recorded.
    pub plants: Vec<Listed>,
    /// Its unknowns that nobody has settled.
    pub open: Vec<OpenUnknown>,
}

/// An unknown nobody has settled.
#[derive(Debug)]
pub(super) struct OpenUnknown {
    pub id: RecordId,
    pub number: u32,
    pub description: String,
    /// Tallies that use it.
    pub tallies: usize,
}

/// What was read of a visit, and when it was.
type Read = (VisitStamp, Arc<OfVisit>);

/// What was read of visits, by their current versions.
#[derive(Debug, Default)]
pub(crate) struct Visits(Mutex<HashMap<RecordId, Read>>);

impl Visits {
    /// What is known of a visit, read anew where anything is.
    fn of(&self, app: &App, visit: &VisitLine) -> Result<Arc<OfVisit>, BookError> {
        // Before anything is read: what arrives meanwhile is found to be new the next time.
        let stamp = app.book.visit_stamp(visit.id)?;
        // Each is put in as a whole: a panic elsewhere leaves the others.
        let lock = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((then, known)) = lock().get(&visit.id)
            && *then == stamp
        {
            return Ok(known.clone());
        }
        let known = Arc::new(OfVisit::read(app, visit)?);
        let mut all = lock();
        if all.len() >= KEPT {
            // Whoever reads more visits than these goes through them in their order anyway.
            all.clear();
        }
        all.insert(visit.id, (stamp, known.clone()));
        Ok(known)
    }
}

/// The visits of a list.
pub(super) struct Shown {
    /// Those whose plants are shown, latest first.
    pub visits: Vec<(VisitLine, Arc<OfVisit>)>,
    /// Those that can be chosen, latest first.
    pub choices: Vec<VisitLine>,
    /// Whether there are earlier ones that are not shown.
    pub earlier: bool,
}

impl Shown {
    /// The visit asked for (its current version), or the latest ones.
    pub fn read(app: &App, asked: Option<RecordId>) -> Result<Shown, BookError> {
        // One more than can be chosen: whether there are earlier ones.
        let mut choices = app.book.latest_visits(LATEST + 1)?;
        let more = choices.len() > LATEST;
        choices.truncate(LATEST);
        let mut visits = Vec::new();
        if let Some(id) = asked {
            if !choices.iter().any(|line| line.id == id) {
                choices.extend(app.book.visit_line(id)?);
            }
            for line in choices.iter().filter(|line| line.id == id) {
                visits.push((line.clone(), app.visits.of(app, line)?));
            }
            return Ok(Shown {
                visits,
                choices,
                earlier: false,
            });
        }
        let mut plants = 0;
        for line in &choices {
            if plants >= ENOUGH {
                break;
            }
            let known = app.visits.of(app, line)?;
            plants += known.plants.len();
            visits.push((line.clone(), known));
        }
        Ok(Shown {
            earlier: more || visits.len() < choices.len(),
            visits,
            choices,
        })
    }
}

impl OfVisit {
    fn read(app: &App, visit: &VisitLine) -> Result<OfVisit, BookError> {
        let frames = app.book.frames(visit.id)?;
        let planting = app.book.planting(visit.planting)?;
        let mix = planting.map_or_else(Vec::new, |planting| planting.body.mix);
        let mix: Vec<&str> = mix.iter().map(|item| item.taxon.as_str()).collect();
        let counted = Unknowns::read(app, unknown_ids(frames.iter()))?;
        let rests = Rests::of(
            frames.iter().map(|frame| &frame.body),
            mix.iter().copied(),
            |id| counted.get(id).map_or(id, |known| known.entry.id),
        );
        Ok(OfVisit {
            plants: plants(app, visit, &mix, &rests)?,
            open: open(app, visit, &frames, &counted)?,
        })
    }
}

fn plants(
    app: &App,
    visit: &VisitLine,
    mix: &[&str],
    rests: &Rests,
) -> Result<Vec<Listed>, BookError> {
    let found = app.book.determinations_in_short(visit.id, mix)?;
    let unknowns = Unknowns::read(app, found.iter().filter_map(|it| it.plant.body.unknown))?;
    let mut plots = Plots::default();
    found
        .into_iter()
        .map(|found| {
            let plant = found.plant;
            let opinions = match found.reviewed {
                true => in_order(app.book.opinions(plant.id)?),
                false => Vec::new(),
            };
            let unknown = plant.body.unknown.and_then(|id| unknowns.get(id));
            Ok(Listed {
                plot: plots.of(app, plant.body.point)?,
                of_unknown: unknown.map(|known| {
                    let unknown = &known.entry.body;
                    let words = first_words(&unknown.description);
                    format!("unknown {}: {words}", unknown.number)
                }),
                stands: standing(&app.key, &plant, &opinions, unknown),
                second: !opinions.is_empty() || unknown.is_some_and(|u| !u.opinions.is_empty()),
                weight: rests.weight(
                    &plant.author,
                    plant.body.taxon.as_deref(),
                    found.together,
                    unknown.map(|known| known.entry.id),
                ),
                leading: found.leading,
                plant,
            })
        })
        .collect()
}

/// Names of plots by the points that determinations name, each asked for once.
#[derive(Default)]
struct Plots(HashMap<RecordId, String>);

impl Plots {
    fn of(&mut self, app: &App, point: RecordId) -> Result<String, BookError> {
        if let Some(known) = self.0.get(&point) {
            return Ok(known.clone());
        }
        let plot = match app.book.point(point)? {
            Some(point) => app.book.plot(point.body.plot)?,
            None => None,
        };
        let name = plot.map_or_else(|| "?".to_owned(), |plot| plot.body.name);
        self.0.insert(point, name.clone());
        Ok(name)
    }
}

fn open(
    app: &App,
    visit: &VisitLine,
    frames: &[Entry<Frame>],
    counted: &Unknowns,
) -> Result<Vec<OpenUnknown>, BookError> {
    let all = app.book.unknowns(visit.id)?;
    let known = Unknowns::read(app, all.iter().map(|unknown| unknown.id))?;
    let mut tallies: HashMap<RecordId, usize> = HashMap::new();
    for tally in frames.iter().flat_map(|frame| &frame.body.tallies) {
        if let Counted::Unknown(id) = tally.what {
            // Tallies may name an earlier version of an unknown.
            let now = counted.get(id).map_or(id, |known| known.entry.id);
            *tallies.entry(now).or_default() += 1;
        }
    }
    let unsettled = all
        .into_iter()
        .filter(|it| known.get(it.id).is_none_or(|known| !known.is_settled()));
    Ok(unsettled
        .map(|unknown| OpenUnknown {
            tallies: tallies.get(&unknown.id).copied().unwrap_or(0),
            id: unknown.id,
            number: unknown.body.number,
            description: unknown.body.description,
        })
        .collect())
}
