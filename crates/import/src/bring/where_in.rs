//! Plots and points that a file names, found in the visit or made for it.

use standbook_fieldbook::record::{Plot, Point, Position};
use standbook_fieldbook::{Body, BookError, Entry, RecordId};
use standbook_key::fault::{nearest, short};
use standbook_plan::Corner;

use super::State;
use super::maker::Maker;
use crate::id::order_of;

/// A plot as later lines name it.
#[derive(Debug, Clone)]
pub(super) struct PlotFound {
    pub id: RecordId,
    pub name: String,
}

/// A point as later lines name it.
#[derive(Debug, Clone)]
pub(super) struct PointFound {
    pub id: RecordId,
    /// `North strip, point 3`.
    pub words: String,
    /// Whether it is made with this file.
    pub made: bool,
}

fn same(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

impl Maker<'_> {
    /// The plot of a line: by name, or as was said of the whole file, by an outline, or the only one.
    ///
    /// # Errors
    /// The outer one of the book; the inner one what is wrong and how to mend it.
    pub(super) fn plot(
        &mut self,
        written: &str,
        at: Option<Corner>,
        author: &str,
    ) -> Result<Result<PlotFound, String>, BookError> {
        let found = |plot: &Entry<Plot>| PlotFound {
            id: plot.id,
            name: plot.body.name.clone(),
        };
        let plots = &self.visited.plots;
        if !written.is_empty() {
            if let Some(plot) = plots.iter().find(|plot| same(&plot.body.name, written)) {
                return Ok(Ok(found(plot)));
            }
            if self.said.make_missing {
                return self.make_plot(written, author).map(Ok);
            }
            let names: Vec<&str> = plots.iter().map(|plot| plot.body.name.as_str()).collect();
            let meant = match nearest(written, names.iter().copied()) {
                Some(name) => format!("did you mean `{}`?", short(name)),
                None if names.is_empty() => "this planting has no plot yet".to_owned(),
                None => format!("its plots are {}", names.join(", ")),
            };
            return Ok(Err(format!(
                "this planting has no plot `{}`; {meant} Or say that missing plots are to be made",
                short(written)
            )));
        }
        if let Some(chosen) = self.said.plot {
            return Ok(match self.target.book.plot(chosen)? {
                Some(plot) => Ok(found(&plot)),
                None => Err(
                    "the plot chosen for the file is not in this book; choose another".to_owned(),
                ),
            });
        }
        if let Some(plot) = at.and_then(|at| self.visited.plot_around(at)) {
            let plot = found(plot);
            self.note("Points that name no plot are put into the plot whose outline holds them.");
            return Ok(Ok(plot));
        }
        Ok(match plots.as_slice() {
            [only] => Ok(found(only)),
            [] => Err("the planting has no plot, and the file names none; make one on the page of the planting, or name plots in a column plot".to_owned()),
            _ => Err("no plot is named, and the planting has several; name it in a column plot, or choose one for the whole file".to_owned()),
        })
    }

    fn make_plot(&mut self, name: &str, author: &str) -> Result<PlotFound, BookError> {
        let planting = self.visited.planting;
        let first = self.visited.first(planting).to_string();
        let body = Plot {
            planting,
            name: name.trim().to_owned(),
            note: String::new(),
        };
        let parts = ["plot", &first, &name.trim().to_lowercase()];
        let (id, _) = self.make(order_of(name), &parts, author, Body::Plot(body))?;
        self.note(format!("A plot {} is made.", short(name)));
        Ok(PlotFound {
            id,
            name: name.trim().to_owned(),
        })
    }

    /// Makes a point; with it, whether the book had it.
    pub(super) fn make_point(
        &mut self,
        plot: &PlotFound,
        label: &str,
        position: Option<Position>,
        author: &str,
    ) -> Result<(RecordId, State), BookError> {
        let visit = self.visited.visit.id;
        let (first_visit, first_plot) = (
            self.visited.first(visit).to_string(),
            self.visited.first(plot.id).to_string(),
        );
        let spelled = |fix: Position| {
            format!(
                "{} {} {}",
                fix.latitude,
                fix.longitude,
                fix.uncertainty_m.unwrap_or(0.0)
            )
        };
        let spelled = position.map(spelled).unwrap_or_default();
        let body = Point {
            plot: plot.id,
            visit,
            label: label.to_owned(),
            position,
            planned: None,
            unreachable: String::new(),
        };
        let parts = ["point", &first_visit, &first_plot, label, &spelled];
        self.make(order_of(label), &parts, author, Body::Point(body))
    }

    /// The point of a line, by its label, or `Plot, label` where labels are not told apart.
    ///
    /// # Errors
    /// The outer one of the book; the inner one what is wrong and how to mend it.
    pub(super) fn point(
        &mut self,
        plot: &str,
        written: &str,
        author: &str,
    ) -> Result<Result<PointFound, String>, BookError> {
        let name_of = |point: &Entry<Point>| {
            let plot = self.visited.plot_of(&point.body);
            plot.map_or("", |plot| plot.body.name.as_str()).to_owned()
        };
        let mut labelled: Vec<(&Entry<Point>, String)> = Vec::new();
        for point in &self.visited.points {
            let name = name_of(point);
            let whole = format!("{name}, {}", point.body.label);
            let is_it = match plot.is_empty() {
                true => same(&point.body.label, written) || same(&whole, written),
                false => same(&name, plot) && same(&point.body.label, written),
            };
            if is_it {
                labelled.push((point, name));
            }
        }
        match labelled.as_slice() {
            [(point, name)] => {
                return Ok(Ok(PointFound {
                    id: point.id,
                    words: format!("{name}, point {}", point.body.label),
                    made: false,
                }));
            }
            [] => {}
            several => {
                let names: Vec<String> = several
                    .iter()
                    .map(|(point, name)| format!("`{name}, {}`", point.body.label))
                    .collect();
                return Ok(Err(format!(
                    "this visit has several points {}; write which: {}",
                    short(written),
                    names.join(" or ")
                )));
            }
        }
        if self.said.make_missing {
            // `Plot, label` is how our own files write a point where there are several plots.
            let (plot, label) = match (plot.is_empty(), written.rsplit_once(", ")) {
                (true, Some((plot, label))) => (plot, label),
                _ => (plot, written),
            };
            let found = match self.plot(plot, None, author)? {
                Ok(found) => found,
                Err(said) => return Ok(Err(said)),
            };
            let (id, _) = self.make_point(&found, label, None, author)?;
            self.note("Points that the visit lacks are made, without a place. To give them one, bring the points in first.");
            return Ok(Ok(PointFound {
                id,
                words: format!("{}, point {label}", found.name),
                made: true,
            }));
        }
        let labels = self
            .visited
            .points
            .iter()
            .map(|point| point.body.label.as_str());
        let meant = match nearest(written, labels) {
            Some(label) => format!("did you mean `{}`?", short(label)),
            None => "bring the points in first,".to_owned(),
        };
        Ok(Err(format!(
            "this visit has no point `{}`; {meant} or say that missing points are to be made",
            short(written)
        )))
    }
}
