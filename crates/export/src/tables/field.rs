//! Tables of days in the field: visits, points, unknowns, frames and what stood in them.

use standbook_fieldbook::Rooted;
use standbook_fieldbook::record::{Counted, Frame, FrameShape};

use super::Type::{Date, Real, Text, Truth, Whole};
use super::{Sink, Source, Table, column};
use crate::error::Done;
use crate::leaving::Spot;
use crate::wkt::degrees;

const WORDS: &str = "nothing, or left out of this export";

pub(super) const VISITS: Table = Table {
    name: "visits",
    meaning: "days of field work on a planting",
    own: &[
        column("planting", Text, "the planting, see plantings.id"),
        column("visited_on", Date, "the day"),
        column("note", Text, "weather, height of cover, what else matters").empty(WORDS),
    ],
    records: true,
    fill: visits,
};

fn visits(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    leaving.each_visit(|field, visit| {
        let it = &visit.entry.body;
        let own = vec![
            field.root.into(),
            it.on.as_str().into(),
            leaving.words(&it.note).into(),
        ];
        to.record(leaving, visit, own)
    })
}

pub(super) const SCOUTS: Table = Table {
    name: "scouts",
    meaning: "who walked on a visit",
    own: &[
        column("visit", Text, "the visit, see visits.id"),
        column("scout", Text, "name, or number where names are left out"),
    ],
    records: false,
    fill: scouts,
};

fn scouts(from: &Source, to: &mut dyn Sink) -> Done {
    from.leaving.each_visit(|_, visit| {
        for scout in &visit.entry.body.scouts {
            to.row(&[visit.root.into(), from.leaving.people.say(scout).into()])?;
        }
        Ok(())
    })
}

pub(super) const POINTS: Table = Table {
    name: "points",
    meaning: "spots in a plot where something was looked at on a visit",
    own: &[
        column("visit", Text, "the visit, see visits.id"),
        column("plot", Text, "the plot, see plots.id"),
        column("label", Text, "its label within plot and visit"),
        column(
            "latitude",
            Real,
            "degrees north; the middle of a cell where places are blurred",
        )
        .unit("degrees, WGS 84")
        .empty("no position was taken"),
        column(
            "longitude",
            Real,
            "degrees east; the middle of a cell where places are blurred",
        )
        .unit("degrees, WGS 84")
        .empty("no position was taken"),
        column("uncertainty_m", Real, "radius that holds the true place")
            .unit("m")
            .empty("not known"),
        column("plan", Text, "the plan it belongs to, see plans.id").empty("chosen in the field"),
        column("planned_number", Whole, "its number in that plan").empty("chosen in the field"),
        column("reached", Truth, "whether anybody got there"),
        column("not_reached_because", Text, "why not")
            .empty("it was reached, or left out of this export"),
    ],
    records: true,
    fill: points,
};

fn points(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    leaving.each_spot(|spot| {
        let it = &spot.point.entry.body;
        let plan = it.planned.map(|at| leaving.root(at.plan)).transpose()?;
        let own = vec![
            spot.visit.root.into(),
            spot.plot_root.into(),
            it.label.as_str().into(),
            spot.at.map(|place| degrees(place.at[0])).into(),
            spot.at.map(|place| degrees(place.at[1])).into(),
            spot.at.and_then(|place| place.uncertainty_m).into(),
            plan.into(),
            it.planned.map(|at| at.number).into(),
            it.unreachable.is_empty().into(),
            leaving.words(&it.unreachable).into(),
        ];
        to.record(leaving, &spot.point, own)
    })
}

pub(super) const UNKNOWNS: Table = Table {
    name: "unknowns",
    meaning: "field codes for plants without a name",
    own: &[
        column("visit", Text, "the visit, see visits.id"),
        column("number", Whole, "its number on that visit"),
        column("description", Text, "what it looks like").empty("left out of this export"),
        column(
            "first_seen",
            Text,
            "the point where it was first met, see points.id",
        ),
        column(
            "counts_as",
            Text,
            "the taxon by the latest opinion, see taxa.id",
        )
        .empty("nobody named it, or as no taxon of the key"),
        column(
            "scientific_name",
            Text,
            "the lowest name that is certain by the latest opinion",
        )
        .empty("no opinion yet"),
    ],
    records: true,
    fill: unknowns,
};

fn unknowns(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    leaving.each_visit(|_, visit| {
        leaving.moment.each_unknown(visit.root, |unknown| {
            let it = &unknown.entry.body;
            let opinions = leaving.moment.opinions(unknown.root)?;
            let last = opinions
                .last()
                .map(|last| leaving.taxa.by_opinion(&last.entry.body));
            let (counts_as, scientific) = last
                .map(|named| (named.counts_as, named.scientific))
                .unwrap_or_default();
            let own = vec![
                visit.root.into(),
                it.number.into(),
                leaving.words(&it.description).into(),
                leaving.root(it.first_seen)?.into(),
                counts_as.into(),
                scientific.into(),
            ];
            to.record(leaving, &unknown, own)
        })
    })
}

pub(super) const FRAMES: Table = Table {
    name: "frames",
    meaning: "layings of a frame; one without tallies was looked at and held none",
    own: &[
        column("point", Text, "the point, see points.id"),
        column("number", Whole, "its number at that point"),
        column("scout", Text, "who read it").empty("a name that was never seen in the book"),
        column("shape", Text, "what was laid").of("grid; quadrat; row"),
        column("cells", Whole, "cells of the grid").empty("not a grid"),
        column("cell_side_cm", Real, "side of a cell")
            .unit("cm")
            .empty("not a grid"),
        column("area_m2", Real, "ground on which plants were counted")
            .unit("m2")
            .empty("a grid"),
        column("row_length_m", Real, "length of row")
            .unit("m")
            .empty("not a row"),
        column("row_spacing_cm", Real, "distance between rows")
            .unit("cm")
            .empty("not a row"),
        column(
            "looked_twice",
            Truth,
            "whether it was gone over a second time",
        ),
        column(
            "repeats",
            Text,
            "the frame that this is a second reading of, see frames.id: do not add the two",
        )
        .empty("a first reading"),
    ],
    records: true,
    fill: frames,
};

fn each_frame(from: &Source, mut take: impl FnMut(&Spot, Rooted<Frame>) -> Done) -> Done {
    from.leaving.each_spot(|spot| {
        let moment = from.leaving.moment;
        moment.each_frame(spot.point.root, |frame| take(spot, frame))
    })
}

fn frames(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    each_frame(from, |spot, frame| {
        let it = &frame.entry.body;
        let (shape, grid, row) = match it.shape {
            FrameShape::Grid {
                cells,
                cell_side_cm,
            } => ("grid", Some((cells, cell_side_cm)), None),
            FrameShape::Quadrat { .. } => ("quadrat", None, None),
            FrameShape::Row {
                length_m,
                row_spacing_cm,
            } => ("row", None, Some((length_m, row_spacing_cm))),
        };
        let own = vec![
            spot.point.root.into(),
            it.number.into(),
            leaving.people.say(&it.scout).into(),
            shape.into(),
            grid.map(|(cells, _)| cells).into(),
            grid.map(|(_, side)| side).into(),
            it.shape.counted_area_m2().into(),
            row.map(|(length, _)| length).into(),
            row.map(|(_, spacing)| spacing).into(),
            it.looked_twice.into(),
            it.repeats.map(|id| leaving.root(id)).transpose()?.into(),
        ];
        to.record(leaving, &frame, own)
    })
}

pub(super) const TALLIES: Table = Table {
    name: "tallies",
    meaning: "what stood in frames: one row a cell and taxon in a grid, one row a taxon in a quadrat or row",
    own: &[
        column("frame", Text, "the frame, see frames.id"),
        column("number", Whole, "its place in the frame, as entered"),
        column("cell", Whole, "cell of the grid, from 1").empty("a quadrat or row"),
        column("plants", Whole, "plants counted")
            .empty("a grid, in which a cell is only occupied or not"),
        column("taxon", Text, "as the scout tallied it, see taxa.id").empty("an unknown"),
        column("unknown", Text, "the unknown, see unknowns.id").empty("a taxon"),
        column("counts_as", Text, "the taxon it counts as now, see taxa.id")
            .empty("an unknown that nobody named, or named as no taxon of the key"),
        column(
            "scientific_name",
            Text,
            "the lowest name that is certain now",
        ),
    ],
    records: false,
    fill: tallies,
};

fn tallies(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    each_frame(from, |_, frame| {
        let body = &frame.entry.body;
        let found = leaving.in_frame(body)?;
        for (at, tally) in body.tallies.iter().enumerate() {
            let it = found.iter().find(|it| it.what == tally.what);
            let named = it.map(|it| leaving.tally_stands(body, "", it).named);
            let (taxon, unknown) = match &tally.what {
                Counted::Taxon(id) => (Some(id.as_str()), None),
                Counted::Unknown(id) => (None, Some(leaving.root(*id)?)),
            };
            let (counts_as, scientific) = named
                .map(|named| (named.counts_as, named.scientific))
                .unwrap_or_default();
            to.row(&[
                frame.root.into(),
                (at + 1).into(),
                tally.cell.into(),
                tally.plants.into(),
                taxon.into(),
                unknown.into(),
                counts_as.into(),
                scientific.into(),
            ])?;
        }
        Ok(())
    })
}
