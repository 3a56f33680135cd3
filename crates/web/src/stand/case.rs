//! From the records of one visit to what is judged.
//!
//! In: a planting and a visit in the book, the key, the standards. Out: a case for crate `judge`,
//! and its judgement. Spots and unknowns go by the ids of their records.
//!
//! A frame that repeats another is no further ground: it leaves the readings and becomes a double
//! read. Plots are the parts of the field; they are weighed by area where all have an outline.
//!
//! Units: as crate `judge`. Not here: wording, pages.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use standbook_fieldbook::record::{
    self, EventKind, Frame, FrameShape, OutlineOf, Planting, Standard, StandardMeasure, Visit,
};
use standbook_fieldbook::{Entry, RecordId, time};
use standbook_judge::{
    About, Case, DoubleRead, Event, Happened, Judgement, Laid, Role, RowLaid, Sown, Stopping,
    Stratum, judge,
};
use standbook_key::standards::{Holds, OfWhat, PlantsCounted, Purpose, Threshold, ThresholdUnit};
use standbook_key::{Role as KeyRole, TaxonId};
use standbook_stand::confidence::Confidence;
use standbook_stand::summary::{Reading, Seen};

use super::audits::Audits;
use super::numbers::{Walked, seen};
use super::resolve::{Label, genus_of};
use super::specimens;
use crate::app::App;
use crate::count::enough;
use crate::count::walk::Walk;
use crate::failure::Failure;

/// Judges a visit that was read, as of a day.
///
/// # Errors
/// A sentence where the frames are impossible or a date is none.
pub(crate) fn judgement_of(
    app: &App,
    walked: &Walked,
    visit: &Entry<Visit>,
    today: Date,
) -> Result<Judgement, Failure> {
    let case = case_of(app, walked, visit, today)?;
    judge(&case, &app.standards)
        .map_err(|error| Failure::BadRequest(format!("The stand can't be judged: {error}.")))
}

/// What is judged of a visit.
///
/// # Errors
/// Those of the book; a sentence for a date that is none.
pub(crate) fn case_of(
    app: &App,
    walked: &Walked,
    visit: &Entry<Visit>,
    today: Date,
) -> Result<Case, Failure> {
    let planting = &walked.planting;
    let site = app.book.site(planting.body.site)?;
    let readings = readings(walked);
    let labels = labels(app, walked, &readings);
    let audits = Audits::read(app, planting)?;
    Ok(Case {
        today,
        seeded_on: date(&planting.body.seeded_on)?,
        visited_on: date(&visit.body.on)?,
        purpose: purpose(planting.body.purpose),
        irrigated: planting.body.irrigated,
        state: site.map_or_else(String::new, |site| site.body.state),
        mix: mix(app, planting)?,
        // The book keeps the grasses of the mix only.
        forbs_sown: None,
        labels,
        strata: strata(app, walked)?,
        double_reads: double_reads(walked),
        readings,
        audits: audits.plants,
        audits_drawn: audits.drawn,
        specimens: specimens::read(app, walked, visit)?,
        events: app
            .book
            .events(planting.id)?
            .iter()
            // Site preparation before seeding says nothing of the stand.
            .filter(|event| event.body.on >= planting.body.seeded_on)
            .filter_map(|event| {
                Some(Event {
                    on: time::parse_date(&event.body.on)?,
                    what: happened(event.body.what),
                })
            })
            .collect(),
        leaves: None,
        counted: PlantsCounted::Plants,
        local: own_standards(&app.book.standards()?),
        stopping: stopping(app, visit)?,
        confidence: Confidence::P95,
    })
}

fn date(text: &str) -> Result<Date, Failure> {
    time::parse_date(text).ok_or_else(|| {
        Failure::BadRequest(format!(
            "{text} is no date. Correct the planting or the visit under Plot."
        ))
    })
}

fn purpose(purpose: record::Purpose) -> Purpose {
    match purpose {
        record::Purpose::Forage => Purpose::Forage,
        record::Purpose::Biomass => Purpose::Biomass,
        record::Purpose::Conservation => Purpose::Conservation,
        record::Purpose::Wildlife => Purpose::Wildlife,
    }
}

fn happened(what: EventKind) -> Happened {
    match what {
        EventKind::Mowed { height_cm } => Happened::Mowed { height_cm },
        EventKind::Sprayed {
            entry_after_h,
            graze_after_days,
        } => Happened::Sprayed {
            entry_after_h,
            graze_after_days,
        },
        EventKind::Rain { mm } => Happened::Rain { mm },
        EventKind::Drought => Happened::Drought,
        EventKind::Grazed => Happened::Grazed,
        EventKind::Burned => Happened::Burned,
        EventKind::Overseeded => Happened::Overseeded,
        EventKind::Other => Happened::Other,
    }
}

/// The mix, with seeds per pound from the tags; of several lots the first that says.
fn mix(app: &App, planting: &Entry<Planting>) -> Result<Vec<Sown>, Failure> {
    let lots = app.book.seed_lots(planting.id)?;
    let items = planting.body.mix.iter().map(|item| Sown {
        taxon: item.taxon.clone(),
        pls_lb_per_acre: item.pls_lb_per_acre,
        seeds_per_lb: lots
            .iter()
            .filter(|lot| lot.body.taxon == item.taxon)
            .find_map(|lot| lot.body.seeds_per_lb),
    });
    Ok(items.collect())
}

/// A label as crate `judge` names it.
pub(crate) fn judged(label: &Label) -> standbook_judge::Label {
    match label {
        Label::Taxon(id) => standbook_judge::Label::Taxon(id.clone()),
        Label::Genus(name) => standbook_judge::Label::Genus(name.clone()),
        Label::NotInKey => standbook_judge::Label::NotInKey,
        Label::Unknown(id) => standbook_judge::Label::Unknown(id.to_string()),
    }
}

fn judged_seen(seen: Seen<Label>) -> Seen<standbook_judge::Label> {
    match seen {
        Seen::Grid { grid, occupied } => Seen::Grid {
            grid,
            occupied: occupied
                .into_iter()
                .map(|(label, cells)| (judged(&label), cells))
                .collect(),
        },
        Seen::Quadrat { area_m2, plants } => Seen::Quadrat {
            area_m2,
            plants: plants
                .into_iter()
                .map(|(label, number)| (judged(&label), number))
                .collect(),
        },
    }
}

fn readings(walked: &Walked) -> Vec<Laid> {
    walked
        .frames
        .iter()
        .map(|(spot, frame)| Laid {
            reading: Reading {
                spot: spot.to_string(),
                seen: judged_seen(seen(&frame.body, &walked.unknowns)),
            },
            scout: frame.body.scout.clone(),
            looked_twice: frame.body.looked_twice,
            row: row(&frame.body),
        })
        .collect()
}

fn row(frame: &Frame) -> Option<RowLaid> {
    match frame.shape {
        FrameShape::Row {
            length_m,
            row_spacing_cm,
        } => Some(RowLaid {
            length_m,
            spacing_m: row_spacing_cm / 100.0,
        }),
        FrameShape::Grid { .. } | FrameShape::Quadrat { .. } => None,
    }
}

/// What the key says of everything found or sown.
fn labels(
    app: &App,
    walked: &Walked,
    readings: &[Laid],
) -> BTreeMap<standbook_judge::Label, About> {
    let planted: BTreeSet<_> = walked.mix().iter().map(judged).collect();
    let found = readings.iter().flat_map(|laid| match &laid.reading.seen {
        Seen::Grid { occupied, .. } => occupied.keys().cloned().collect::<Vec<_>>(),
        Seen::Quadrat { plants, .. } => plants.keys().cloned().collect(),
    });
    found
        .chain(planted.iter().cloned())
        .map(|label| {
            let taxon = label.taxon().and_then(|id| app.key.taxon(id));
            let role = match (&label, taxon.map(|taxon| taxon.role)) {
                _ if planted.contains(&label) => Role::Planted,
                (standbook_judge::Label::Unknown(_), _) => Role::Unsettled,
                // Of a genus of which nothing was sown, or its plants would be unknowns still.
                (standbook_judge::Label::Genus(name), _) if all_native(app, name) => {
                    Role::Volunteer
                }
                (_, Some(KeyRole::Planted | KeyRole::Volunteer)) => Role::Volunteer,
                _ => Role::Weed,
            };
            let group = taxon.map_or_else(String::new, |taxon| taxon.group.to_string());
            (label, About { group, role })
        })
        .collect()
}

/// Whether every species of a genus that the key has is native.
fn all_native(app: &App, genus: &str) -> bool {
    let mut of = app.key.taxa.iter().filter(|taxon| genus_of(taxon) == genus);
    of.all(|taxon| matches!(taxon.role, KeyRole::Planted | KeyRole::Volunteer))
}

/// Plots with points, each with the area of its outline.
fn strata(app: &App, walked: &Walked) -> Result<Vec<Stratum>, Failure> {
    let plots = app.book.plots(walked.planting.id)?;
    let mut areas: BTreeMap<RecordId, f64> = BTreeMap::new();
    for outline in app.book.outlines(walked.planting.id)? {
        if let OutlineOf::Plot(plot) = outline.body.of
            && let Some(plot) = app.book.plot(plot)?
        {
            *areas.entry(plot.id).or_default() += area_m2(&outline.body);
        }
    }
    let mut strata = Vec::new();
    for plot in plots {
        let mut spots = BTreeSet::new();
        for point in &walked.points {
            // The point may name an older version of the plot.
            let own = point.body.plot == plot.id
                || app.book.plot(point.body.plot)?.map(|it| it.id) == Some(plot.id);
            if own {
                spots.insert(point.id.to_string());
            }
        }
        if !spots.is_empty() {
            strata.push(Stratum {
                name: plot.body.name,
                area_m2: areas.get(&plot.id).copied().filter(|area| *area > 0.0),
                spots,
            });
        }
    }
    Ok(strata)
}

/// Area of an outline on the ellipsoid, m2.
pub(crate) fn area_m2(outline: &record::Outline) -> f64 {
    let polygons: Vec<standbook_plan::Polygon> = outline
        .polygons
        .iter()
        .map(|polygon| standbook_plan::Polygon::from_rings(polygon.rings.clone()))
        .collect();
    standbook_plan::measure(&polygons).area_m2
}

fn double_reads(walked: &Walked) -> Vec<DoubleRead> {
    let seen = |frame: &Frame| judged_seen(seen(frame, &walked.unknowns));
    walked
        .repeats
        .iter()
        .filter_map(|(spot, second)| {
            let repeats = second.body.repeats?;
            // A corrected first reading has a new id, and names the one that was repeated.
            let first = walked
                .frames
                .iter()
                .map(|(_, frame)| frame)
                .find(|frame| frame.id == repeats || frame.supersedes == Some(repeats))?;
            Some(DoubleRead {
                spot: spot.to_string(),
                first_scout: first.body.scout.clone(),
                second_scout: second.body.scout.clone(),
                first: seen(&first.body),
                second: seen(&second.body),
            })
        })
        .collect()
}

/// The thresholds that people of this book added and still use.
pub(crate) fn own_standards(standards: &[Entry<Standard>]) -> Vec<Threshold> {
    let used = standards.iter().filter(|entry| !entry.body.withdrawn);
    used.map(|entry| {
        let own = &entry.body;
        let (unit, at_least) = match own.measure {
            StandardMeasure::Frequency => (ThresholdUnit::PercentOfCells, own.at_least * 100.0),
            StandardMeasure::Density => (ThresholdUnit::PlantsPerM2, own.at_least),
        };
        let id = entry.id.to_string();
        let mut threshold = Threshold::of_your_own(&id, &own.name, unit, at_least, &own.source);
        if !own.taxa.is_empty() {
            threshold.of = OfWhat::Taxa(own.taxa.iter().map(TaxonId::new).collect());
        }
        threshold.purposes = own.purposes.iter().copied().map(purpose).collect();
        if !own.region.is_empty() {
            threshold.region.clone_from(&own.region);
            threshold.states = vec![own.region.clone()];
            threshold.holds = Holds::There;
        }
        threshold.season = own.season;
        threshold
    })
    .collect()
}

/// The stopping rule of the plan that this visit walks, if it has one.
fn stopping(app: &App, visit: &Entry<Visit>) -> Result<Option<Stopping>, Failure> {
    let Some(walk) = Walk::load(app, visit, None)? else {
        return Ok(None);
    };
    Ok(walk.plan.body.stopping.map(|stopping| Stopping {
        rule: enough::rule_of(stopping),
        places: enough::places(&walk)
            .into_iter()
            .map(|(spot, place)| (spot.to_string(), place))
            .collect(),
    }))
}
