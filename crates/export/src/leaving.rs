//! What leaves: the book as one moment has it, by what was asked for.
//!
//! In: a moment and a request. Out: plantings, visits, points and photos one after another, with what
//! they hang on, their places blurred and people numbered where that was asked for. Every format goes
//! through here, so that none shows more than another.
//!
//! A book of any size fits: sites, plantings, plots and visits are held, all that hangs on them is not.

use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};
use std::rc::Rc;

use standbook_fieldbook::record::{
    Body, Outline, Photo, Planting, Plot, Point, Position, Site, Visit,
};
use standbook_fieldbook::{Book, Entry, Moment, RecordId, Rooted};
use standbook_key::Key;

use crate::blur::{Grid, Located};
use crate::error::Done;
use crate::people::Aliases;
use crate::request::{Request, Scope};
use crate::settled::Known;
use crate::taxa::Taxa;

/// What the surroundings give: nothing here asks a clock.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a> {
    /// The key that names taxa and traits.
    pub key: &'a Key,
    /// The day, ISO 8601.
    pub today: &'a str,
}

/// A planting that leaves, with its site.
pub(crate) struct Field {
    pub root: RecordId,
    pub planting: Entry<Planting>,
    pub site_root: RecordId,
    /// What of its site may be seen.
    pub site: Site,
}

/// A point that leaves, with what it hangs on.
pub(crate) struct Spot<'a> {
    pub field: &'a Field,
    pub visit: &'a Rooted<Visit>,
    /// The first id of its plot's chain.
    pub plot_root: RecordId,
    pub plot: &'a str,
    pub point: Rooted<Point>,
    /// Where, if a fix was taken; blurred where that was asked for.
    pub at: Option<Located>,
}

/// What leaves.
pub(crate) struct Leaving<'a> {
    pub book: &'a Book,
    pub moment: &'a Moment<'a>,
    pub request: &'a Request,
    pub given: Given<'a>,
    pub taxa: Taxa<'a>,
    pub people: Aliases,
    pub devices: Aliases,
    pub fields: Vec<Field>,
    pub plots: HashMap<RecordId, Rooted<Plot>>,
    grid: Option<Grid>,
    /// Unknowns of the visit under way, by any of their ids.
    pub(crate) known: RefCell<HashMap<RecordId, Rc<Known>>>,
    warnings: RefCell<BTreeSet<String>>,
}

impl<'a> Leaving<'a> {
    pub fn new(
        book: &'a Book,
        moment: &'a Moment<'a>,
        request: &'a Request,
        given: Given<'a>,
    ) -> Done<Leaving<'a>> {
        let (people, devices) = match request.names {
            true => (Aliases::none(), Aliases::none()),
            false => (
                Aliases::numbered("scout", moment.people()?),
                Aliases::numbered("device", moment.devices()?),
            ),
        };
        let mut plots = HashMap::new();
        moment.each::<Plot, crate::ExportError>(|plot| {
            plots.insert(plot.root, plot);
            Ok(())
        })?;
        let leaving = Leaving {
            book,
            moment,
            request,
            given,
            taxa: Taxa::of(given.key),
            people,
            devices,
            fields: fields(moment, request)?,
            plots,
            grid: request.blur_m.map(Grid::new),
            known: RefCell::default(),
            warnings: RefCell::default(),
        };
        if !request.tells_where() {
            leaving.warn("Names of plantings and plots leave as people gave them, and may tell where they are.");
        }
        Ok(leaving)
    }

    /// Remembers something that whoever takes the file has to know.
    pub fn warn(&self, words: impl Into<String>) {
        self.warnings.borrow_mut().insert(words.into());
    }

    /// Everything to know.
    pub fn warnings(&self) -> Vec<String> {
        self.warnings.borrow().iter().cloned().collect()
    }

    /// What people wrote in their own words, where that may leave.
    pub fn words<'b>(&self, text: &'b str) -> &'b str {
        if !self.request.notes || text.is_empty() {
            return "";
        }
        if self.request.blur_m.is_some() || !self.request.names {
            self.warn("Notes, descriptions and reasons leave as they were written, and may name a place or a person. Read them before you pass the file on, or leave them out (--without-notes).");
        }
        text
    }

    /// The first id of a chain.
    pub fn root(&self, id: RecordId) -> Done<RecordId> {
        Ok(self.moment.root(id)?.unwrap_or(id))
    }

    /// Whether outlines and drawn points leave: they would tell where a blurred place is.
    pub fn shows_ground(&self) -> bool {
        self.grid.is_none()
    }

    /// A place as it may be seen.
    pub fn located(&self, position: &Position) -> Located {
        let place = Located {
            at: [position.latitude, position.longitude],
            uncertainty_m: position.uncertainty_m,
        };
        self.grid.map_or(place, |grid| grid.blur(place))
    }

    /// What was done to places, and what was kept back; empty where nothing was.
    pub fn generalised(&self) -> String {
        self.grid.map(|grid| grid.in_words()).unwrap_or_default()
    }

    /// What was kept back; empty where nothing was.
    pub fn withheld(&self) -> String {
        let mut said = Vec::new();
        if self.grid.is_some() {
            said.push("exact coordinates, outlines of fields and plots, drawn points");
            if !self.request.locality {
                said.push("names of sites, localities, owners, farm, tract and field numbers");
            }
        }
        if !self.request.names {
            said.push("names of people and devices");
        }
        if !self.request.notes {
            said.push("notes, descriptions and reasons");
        }
        match said.is_empty() {
            true => String::new(),
            false => format!("Left out: {}.", said.join("; ")),
        }
    }

    /// The visits that leave, planting by planting, by date.
    pub fn each_visit(&self, mut take: impl FnMut(&Field, &Rooted<Visit>) -> Done) -> Done {
        for field in &self.fields {
            for visit in self.moment.visits(field.root)? {
                match self.request.scope {
                    Scope::Visit { visit: only, .. } if only != visit.root => {}
                    _ => {
                        self.known.borrow_mut().clear();
                        take(field, &visit)?;
                    }
                }
            }
        }
        Ok(())
    }

    /// The points of a visit.
    pub fn each_point(
        &self,
        field: &Field,
        visit: &Rooted<Visit>,
        mut take: impl FnMut(&Spot) -> Done,
    ) -> Done {
        self.moment.each_point(visit.root, |point| {
            let body = &point.entry.body;
            let plot_root = self.root(body.plot)?;
            let plot = self.plots.get(&plot_root);
            take(&Spot {
                field,
                visit,
                plot_root,
                plot: plot.map_or("", |plot| plot.entry.body.name.as_str()),
                at: body
                    .position
                    .as_ref()
                    .map(|position| self.located(position)),
                point,
            })
        })
    }

    /// The points of all visits that leave.
    pub fn each_spot(&self, mut take: impl FnMut(&Spot) -> Done) -> Done {
        self.each_visit(|field, visit| self.each_point(field, visit, &mut take))
    }

    /// Whether a planting leaves, by any of its ids.
    pub fn has_planting(&self, id: RecordId) -> Done<bool> {
        let root = self.root(id)?;
        Ok(self.fields.iter().any(|field| field.root == root))
    }

    /// The outlines that leave: by what they enclose, the latest last.
    pub fn each_outline(&self, mut take: impl FnMut(&Field, Rooted<Outline>) -> Done) -> Done {
        if !self.shows_ground() {
            return Ok(());
        }
        self.moment.each::<Outline, _>(|outline| {
            let of = self.root(outline.entry.body.planting)?;
            match self.fields.iter().find(|field| field.root == of) {
                Some(field) => take(field, outline),
                None => Ok(()),
            }
        })
    }

    /// The photos that leave. Whether their files do as well is another question (`pictures`).
    pub fn each_photo(&self, mut take: impl FnMut(Rooted<Photo>) -> Done) -> Done {
        self.moment
            .each::<Photo, _>(|photo| match self.leaves(photo.entry.body.of)? {
                true => take(photo),
                false => Ok(()),
            })
    }

    /// Whether a record is part of what leaves, by what it hangs on.
    pub fn leaves(&self, id: RecordId) -> Done<bool> {
        let Scope::Visit { visit, .. } = self.request.scope else {
            let Scope::Planting(_) = self.request.scope else {
                return Ok(true);
            };
            let planting = self.above(id, |body| matches!(body, Body::Planting(_)))?;
            return planting.map_or(Ok(false), |id| self.has_planting(id));
        };
        let found = self.above(id, |body| matches!(body, Body::Visit(_)))?;
        Ok(found.map(|id| self.root(id)).transpose()? == Some(visit))
    }

    /// The record itself or one it hangs on that is wanted.
    fn above(&self, id: RecordId, wanted: impl Fn(&Body) -> bool) -> Done<Option<RecordId>> {
        let mut next = Some(id);
        while let Some(id) = next {
            let Some(record) = self.moment.get(id)? else {
                return Ok(None);
            };
            if wanted(&record.body) {
                return Ok(Some(id));
            }
            next = parent(&record.body);
        }
        Ok(None)
    }

    /// An author's name as it may be seen.
    pub fn author<'b, T>(&'b self, entry: &'b Entry<T>) -> Cow<'b, str> {
        self.people.say(&entry.author)
    }
}

/// What a record hangs on, on the way up to its visit and its planting.
fn parent(body: &Body) -> Option<RecordId> {
    match body {
        Body::Planting(it) => Some(it.site),
        Body::SeedLot(it) => Some(it.planting),
        Body::Event(it) => Some(it.planting),
        Body::Outline(it) => Some(it.planting),
        Body::Plan(it) => Some(it.planting),
        Body::Plot(it) => Some(it.planting),
        Body::Visit(it) => Some(it.planting),
        Body::Point(it) => Some(it.visit),
        Body::Unknown(it) => Some(it.visit),
        Body::Frame(it) => Some(it.point),
        Body::Determination(it) => Some(it.point),
        Body::Opinion(it) => Some(it.about),
        Body::Voucher(it) => Some(it.about),
        Body::ComeBack(it) => Some(it.about),
        Body::Audit(it) => Some(it.visit),
        Body::Photo(it) => Some(it.of),
        Body::PracticeSet(it) => it.visit.or(it.planting),
        Body::ScoutRule(it) => Some(it.planting),
        Body::Site(_) | Body::Standard(_) | Body::Practice(_) | Body::PracticeRemoval(_) => None,
    }
}

fn fields(moment: &Moment<'_>, request: &Request) -> Done<Vec<Field>> {
    let only = match request.scope {
        Scope::Book => None,
        Scope::Planting(planting) | Scope::Visit { planting, .. } => Some(planting),
    };
    let mut fields = Vec::new();
    for planting in moment.all::<Planting>()? {
        if only.is_some_and(|only| only != planting.root) {
            continue;
        }
        let site_id = planting.entry.body.site;
        let site = moment.current::<Site>(site_id)?;
        let (site_root, site) = match site {
            Some(site) => (site.root, site.entry.body),
            None => (site_id, nowhere()),
        };
        let mut planting = planting;
        seen_planting(request, &mut planting.entry.body);
        fields.push(Field {
            root: planting.root,
            planting: planting.entry,
            site_root,
            site: seen_site(request, site),
        });
    }
    Ok(fields)
}

fn nowhere() -> Site {
    Site {
        name: String::new(),
        locality: String::new(),
        permission: String::new(),
        owner: String::new(),
        county: String::new(),
        state: String::new(),
    }
}

/// What of a site may be seen. County and state always; the owner is a person and leads to the place.
pub(crate) fn seen_site(request: &Request, mut site: Site) -> Site {
    if !request.tells_where() {
        site.name.clear();
        site.locality.clear();
    }
    if !request.tells_where() || !request.names {
        site.owner.clear();
        // What was agreed at the gate is between two people.
        site.permission.clear();
    }
    site
}

fn seen_planting(request: &Request, planting: &mut Planting) {
    if !request.tells_where() {
        planting.farm_number.clear();
        planting.tract_number.clear();
        planting.field_number.clear();
    }
}
