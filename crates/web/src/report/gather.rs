//! Everything a report on one visit rests on, read from the book once.
//!
//! In: a planting and a visit. Out: the records as they stand, the judgement, names.
//! Units: as the records and the judgement have them.
//! Not here: any wording (`plain`, `tables`), any file format (`json`, `results`, `frames`).

use std::collections::BTreeMap;

use jiff::civil::Date;
use standbook_fieldbook::record::{
    Event, Frame, Outline, OutlineOf, Photo, Plan, Planting, Plot, Point, SeedLot, Site, Visit,
};
use standbook_fieldbook::{Entry, RecordId};
use standbook_identify::NOT_IN_KEY;
use standbook_judge::{Judgement, Label};

use crate::app::App;
use crate::failure::{Failure, record_id};
use crate::practice::marks::Marks;
use crate::stand::case::judgement_of;
use crate::stand::numbers::Walked;
use crate::stand::resolve::{self, Unknowns};
use crate::words;

/// A planting as a report names it, before any visit is chosen.
#[derive(Debug)]
pub(crate) struct Place {
    /// The planting.
    pub planting: Entry<Planting>,
    /// Its site, if the book has it.
    pub site: Option<Entry<Site>>,
    /// Visits, by date.
    pub visits: Vec<Entry<Visit>>,
}

impl Place {
    /// Reads a planting by the id in an address.
    pub fn read(app: &App, id: &str) -> Result<Place, Failure> {
        let id = record_id(id, "planting")?;
        let Some(planting) = app.book.planting(id)? else {
            return Err(Failure::NotFound { what: "planting" });
        };
        Ok(Place {
            site: app.book.site(planting.body.site)?,
            visits: app.book.visits(planting.id)?,
            planting,
        })
    }

    /// The visit asked for, or the latest; `None` when there is none at all.
    pub fn visit(&self, app: &App, asked: &str) -> Result<Option<Entry<Visit>>, Failure> {
        if asked.is_empty() {
            return Ok(self.visits.last().cloned());
        }
        let id = record_id(asked, "visit")?;
        // An older version of the visit may stand in a kept address.
        let Some(visit) = app.book.visit(id)? else {
            return Err(Failure::NotFound { what: "visit" });
        };
        match self.visits.iter().any(|own| own.id == visit.id) {
            true => Ok(Some(visit)),
            false => Err(Failure::NotFound {
                what: "visit to this planting",
            }),
        }
    }

    /// `Quill Farm, north forty`.
    pub fn name(&self) -> String {
        match &self.site {
            Some(site) => format!("{}, {}", site.body.name, self.planting.body.name),
            None => self.planting.body.name.clone(),
        }
    }
}

/// A picture and what it belongs to.
#[derive(Debug)]
pub(crate) struct Picture {
    /// Its record.
    pub photo: Entry<Photo>,
    /// What it belongs to, in words.
    pub of: String,
}

/// Everything about one visit.
#[derive(Debug)]
pub(crate) struct Gathered {
    /// Planting and site.
    pub place: Place,
    /// The visit.
    pub visit: Entry<Visit>,
    /// Plots of the planting.
    pub plots: Vec<Entry<Plot>>,
    /// Points of the visit.
    pub points: Vec<Entry<Point>>,
    /// Frames of the visit, blind repeats among them, each with the id of the current version of
    /// its point; by point, then number.
    pub frames: Vec<(RecordId, Entry<Frame>)>,
    /// Unknowns tallied in them.
    pub unknowns: Unknowns,
    /// Seed lots.
    pub lots: Vec<Entry<SeedLot>>,
    /// Events since seeding, by date.
    pub events: Vec<Entry<Event>>,
    /// Outlines.
    pub outlines: Vec<Entry<Outline>>,
    /// Plans.
    pub plans: Vec<Entry<Plan>>,
    /// Pictures of the visit.
    pub pictures: Vec<Picture>,
    /// The judgement.
    pub judgement: Judgement,
    /// Frames that ask for a second reader.
    pub marks: Marks,
    /// Day of the report, ISO 8601.
    pub today: String,
}

impl Gathered {
    /// Reads and judges one visit.
    pub fn read(app: &App, place: Place, visit: Entry<Visit>) -> Result<Gathered, Failure> {
        let walked = Walked::read(app, place.planting.clone(), &visit)?;
        Gathered::of(app, place, visit, &walked)
    }

    /// The same of a visit whose frames were read already.
    pub fn of(
        app: &App,
        place: Place,
        visit: Entry<Visit>,
        walked: &Walked,
    ) -> Result<Gathered, Failure> {
        let today = words::today();
        let day: Date = today.parse().map_err(|_| Failure::Ours)?;
        let judgement = judgement_of(app, walked, &visit, day)?;
        let marks = Marks::read(app, walked, &visit)?;
        let book = &app.book;
        let planting = place.planting.id;
        let points = walked.points.clone();
        let mut frames = walked.frames.clone();
        frames.extend_from_slice(&walked.repeats);
        let place_of = |id: RecordId| points.iter().position(|point| point.id == id);
        frames.sort_by_key(|(spot, frame)| {
            // A second reading has the number of the frame it reads again, and comes after it.
            let again = frame.body.repeats.is_some();
            (
                place_of(*spot).unwrap_or(usize::MAX),
                frame.body.number,
                again,
            )
        });
        Ok(Gathered {
            plots: book.plots(planting)?,
            lots: book.seed_lots(planting)?,
            events: book.events(planting)?,
            outlines: book.outlines(planting)?,
            plans: book.plans(planting)?,
            pictures: pictures(app, planting, &visit, &points)?,
            place,
            visit,
            points,
            frames,
            unknowns: walked.unknowns.clone(),
            judgement,
            marks,
            today,
        })
    }

    /// What a point is called: `3`, or `North, 3` where the planting has several plots.
    pub fn point_name(&self, id: RecordId) -> String {
        let Some(point) = self.points.iter().find(|point| point.id == id) else {
            return "a point of another visit".to_owned();
        };
        let label = &point.body.label;
        if self.plots.len() < 2 {
            return label.clone();
        }
        match self.plots.iter().find(|plot| plot.id == point.body.plot) {
            Some(plot) => format!("{}, {label}", plot.body.name),
            None => label.clone(),
        }
    }

    /// Where a point lies: its fix, or else the place the plan gave it. `[degrees north, degrees
    /// east]`, and whether it is only the planned place.
    pub fn position_of(&self, point: &Point) -> Option<([f64; 2], bool)> {
        if let Some(fix) = point.position {
            return Some(([fix.latitude, fix.longitude], false));
        }
        let at = point.planned?;
        // A plan that was corrected since goes by another id; then only a fix places the point.
        let plan = self.plans.iter().find(|plan| plan.id == at.plan)?;
        let index = usize::try_from(at.number).ok()?.checked_sub(1)?;
        let planned = plan.body.points.get(index)?;
        Some(([planned.latitude, planned.longitude], true))
    }

    /// What a tally counts as now.
    pub fn counts_as(&self, what: &standbook_fieldbook::record::Counted) -> resolve::Label {
        resolve::resolve(what, &self.unknowns)
    }

    /// The name of a label of the judgement: common name, scientific name.
    pub fn name_of(&self, app: &App, label: &Label) -> (String, String) {
        match label {
            Label::Taxon(id) => words::taxon_name(app, id),
            Label::Genus(name) => (format!("a {name}"), format!("{name} sp.")),
            Label::NotInKey => ("not in this key".to_owned(), String::new()),
            Label::Unknown(code) => (self.unknown_name(code), String::new()),
        }
    }

    /// `unknown 3: hairy, flat base`, from whatever code a judgement has for it.
    fn unknown_name(&self, code: &str) -> String {
        let known = code
            .parse::<RecordId>()
            .ok()
            .and_then(|id| self.unknowns.get(id));
        match known {
            Some(known) => unknown_words(known.entry.body.number, &known.entry.body.description),
            None => code.to_owned(),
        }
    }

    /// The outline of the field, or `None`.
    pub fn field_outline(&self) -> Option<&Entry<Outline>> {
        let is_field = |outline: &&Entry<Outline>| outline.body.of == OutlineOf::Field;
        self.outlines.iter().rfind(is_field)
    }
}

/// `unknown 3: hairy, flat base`, cut to one short line.
pub(crate) fn unknown_words(number: u32, description: &str) -> String {
    let mut cut: String = description.chars().take(50).collect();
    if cut.len() < description.len() {
        cut.push('\u{2026}');
    }
    let cut = cut.replace(['\n', '\r'], " ");
    match cut.is_empty() {
        true => format!("unknown {number}"),
        false => format!("unknown {number}: {cut}"),
    }
}

/// The id of a label as files have it.
pub(crate) fn label_id(unknowns: &Unknowns, label: &resolve::Label) -> String {
    match label {
        resolve::Label::Taxon(id) => id.clone(),
        resolve::Label::Genus(name) => format!("{name} sp."),
        resolve::Label::NotInKey => NOT_IN_KEY.to_owned(),
        resolve::Label::Unknown(id) => match unknowns.get(*id) {
            Some(known) => format!("unknown {}", known.entry.body.number),
            None => format!("unknown {id}"),
        },
    }
}

/// Pictures of the planting, the visit, its points, plants and unknowns.
fn pictures(
    app: &App,
    planting: RecordId,
    visit: &Entry<Visit>,
    points: &[Entry<Point>],
) -> Result<Vec<Picture>, Failure> {
    let book = &app.book;
    let labels: BTreeMap<RecordId, &str> = points
        .iter()
        .map(|point| (point.id, point.body.label.as_str()))
        .collect();
    let mut of: Vec<(RecordId, String)> = vec![
        (planting, "the planting".to_owned()),
        (visit.id, "the visit".to_owned()),
    ];
    of.extend(
        labels
            .iter()
            .map(|(id, label)| (*id, format!("point {label}"))),
    );
    for plant in book.determinations_pictured(visit.id)? {
        let name = match &plant.body.taxon {
            Some(taxon) => words::taxon_name(app, taxon).0,
            None => "a plant without a name".to_owned(),
        };
        let point = book.point(plant.body.point)?.map(|point| point.id);
        let at = point.and_then(|point| labels.get(&point));
        let at = at.map_or_else(String::new, |label| format!(", point {label}"));
        of.push((plant.id, format!("{name}{at}")));
    }
    for unknown in book.unknowns(visit.id)? {
        let words = unknown_words(unknown.body.number, &unknown.body.description);
        of.push((unknown.id, words));
    }
    let mut pictures = Vec::new();
    for (id, of) in of {
        for photo in book.photos(id)? {
            pictures.push(Picture {
                photo,
                of: of.clone(),
            });
        }
    }
    Ok(pictures)
}
