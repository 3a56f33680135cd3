//! Tables of land: sites, plantings, plots, outlines, plans, thresholds of the book's own.

use standbook_fieldbook::Rooted;
use standbook_fieldbook::record::{
    OutlineOf, Plan, PlanDesign, Purpose, SeedingMethod, Site, Standard, StandardMeasure,
};

use super::Type::{Date, Real, Text, Truth, Whole};
use super::{Sink, Source, Table, column};
use crate::error::Done;
use crate::leaving::seen_site;
use crate::request::Scope;
use crate::wkt;

const WITHHELD: &str = "not recorded, or left out of this export";

pub(super) const SITES: Table = Table {
    name: "sites",
    meaning: "places with an owner",
    own: &[
        column("name", Text, "what people call it").empty(WITHHELD),
        column("locality", Text, "where it is, in words").empty(WITHHELD),
        column("county", Text, "county").empty("not recorded"),
        column("state", Text, "state or province").empty("not recorded"),
        column("owner", Text, "who owns or manages it").empty(WITHHELD),
        column("permission", Text, "what was agreed about access").empty(WITHHELD),
    ],
    records: true,
    fill: sites,
};

fn sites(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    leaving.moment.each::<Site, _>(|site| {
        let whole_book = leaving.request.scope == Scope::Book;
        if !whole_book
            && !leaving
                .fields
                .iter()
                .any(|field| field.site_root == site.root)
        {
            return Ok(());
        }
        let seen = seen_site(leaving.request, site.entry.body.clone());
        let own = vec![
            seen.name.into(),
            seen.locality.into(),
            seen.county.into(),
            seen.state.into(),
            seen.owner.into(),
            leaving.words(&seen.permission).into(),
        ];
        to.record(leaving, &site, own)
    })
}

pub(super) const PLANTINGS: Table = Table {
    name: "plantings",
    meaning: "what was sown, when and how",
    own: &[
        column("site", Text, "the site, see sites.id"),
        column("name", Text, "what people call it"),
        column("purpose", Text, "what it is for").of("forage; biomass; conservation; wildlife"),
        column("seeded_on", Date, "day of seeding"),
        column("method", Text, "how the seed went in").of("drilled; broadcast"),
        column("row_spacing_cm", Real, "distance between rows")
            .unit("cm")
            .empty("not drilled"),
        column("farm_number", Text, "farm number of the agency's maps").empty(WITHHELD),
        column("tract_number", Text, "tract number").empty(WITHHELD),
        column("field_number", Text, "field number").empty(WITHHELD),
        column("stated_area_m2", Real, "area sown, as somebody stated it")
            .unit("m2")
            .empty("not stated"),
        column("irrigated", Truth, "whether it is watered").empty("not said"),
        column("note", Text, "what else matters").empty(WITHHELD),
    ],
    records: true,
    fill: plantings,
};

/// A purpose by its word in the book.
fn purpose(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Forage => "forage",
        Purpose::Biomass => "biomass",
        Purpose::Conservation => "conservation",
        Purpose::Wildlife => "wildlife",
    }
}

fn plantings(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    for field in &leaving.fields {
        let it = &field.planting.body;
        let (method, spacing) = match it.method {
            SeedingMethod::Drilled { row_spacing_cm } => ("drilled", Some(row_spacing_cm)),
            SeedingMethod::Broadcast => ("broadcast", None),
        };
        let own = vec![
            field.site_root.into(),
            it.name.as_str().into(),
            purpose(it.purpose).into(),
            it.seeded_on.as_str().into(),
            method.into(),
            spacing.into(),
            it.farm_number.as_str().into(),
            it.tract_number.as_str().into(),
            it.field_number.as_str().into(),
            it.stated_area_m2.into(),
            it.irrigated.into(),
            leaving.words(&it.note).into(),
        ];
        let rooted = Rooted {
            root: field.root,
            entry: field.planting.clone(),
        };
        to.record(leaving, &rooted, own)?;
    }
    Ok(())
}

pub(super) const PLOTS: Table = Table {
    name: "plots",
    meaning: "parts of plantings that are looked at on their own",
    own: &[
        column("planting", Text, "the planting, see plantings.id"),
        column("name", Text, "name or number, unique within the planting"),
        column("note", Text, "what sets it apart").empty(WITHHELD),
    ],
    records: true,
    fill: plots,
};

fn plots(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    let mut plots: Vec<_> = leaving.plots.values().collect();
    plots.sort_by_key(|plot| plot.root);
    for plot in plots {
        let planting = leaving.root(plot.entry.body.planting)?;
        if !leaving.has_planting(planting)? {
            continue;
        }
        let own = vec![
            planting.into(),
            plot.entry.body.name.as_str().into(),
            leaving.words(&plot.entry.body.note).into(),
        ];
        to.record(leaving, plot, own)?;
    }
    Ok(())
}

pub(super) const OUTLINES: Table = Table {
    name: "outlines",
    meaning: "where fields, plots and ground to keep out of lie; none where places are blurred",
    own: &[
        column("planting", Text, "the planting, see plantings.id"),
        column("encloses", Text, "what lies inside").of("field; plot; keep_out"),
        column("plot", Text, "the plot, see plots.id").empty("not the outline of a plot"),
        column("name", Text, "what people call it").empty(WITHHELD),
        column("origin", Text, "where the outline came from").empty(WITHHELD),
        column("wkt", Text, "well-known text, longitude before latitude").unit("degrees, WGS 84"),
    ],
    records: true,
    fill: outlines,
};

fn outlines(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    leaving.each_outline(|field, outline| {
        let it = &outline.entry.body;
        let (encloses, plot) = match it.of {
            OutlineOf::Field => ("field", None),
            OutlineOf::Plot(plot) => ("plot", Some(leaving.root(plot)?)),
            OutlineOf::KeepOut => ("keep_out", None),
        };
        let own = vec![
            field.root.into(),
            encloses.into(),
            plot.into(),
            leaving.words(&it.name).into(),
            leaving.words(&it.origin).into(),
            wkt::outline(&it.polygons).into(),
        ];
        to.record(leaving, &outline, own)
    })
}

pub(super) const PLANS: Table = Table {
    name: "plans",
    meaning: "where to look, and when to stop, set before the walk",
    own: &[
        column("planting", Text, "the planting, see plantings.id"),
        column("name", Text, "what people call it"),
        column("design", Text, "how points were chosen").of("balanced; grid; transects"),
        column("draw_seed", Whole, "what the draw started from").empty("left out with the places"),
        column("edge_m", Real, "distance kept from the edge").unit("m"),
        column("points", Whole, "points drawn, spares included"),
        column(
            "stop_low",
            Real,
            "share of cells with a planted species that is too few",
        )
        .unit("0 to 1")
        .empty("walk every point"),
        column("stop_high", Real, "share that is enough")
            .unit("0 to 1")
            .empty("walk every point"),
    ],
    records: true,
    fill: plans,
};

/// The plans that leave.
fn each_plan(from: &Source, mut take: impl FnMut(Rooted<Plan>) -> Done) -> Done {
    from.leaving.moment.each::<Plan, _>(|plan| {
        match from.leaving.has_planting(plan.entry.body.planting)? {
            true => take(plan),
            false => Ok(()),
        }
    })
}

fn plans(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    each_plan(from, |plan| {
        let it = &plan.entry.body;
        let design = match it.design {
            PlanDesign::Balanced => "balanced",
            PlanDesign::Grid { .. } => "grid",
            PlanDesign::Transects { .. } => "transects",
        };
        let own = vec![
            leaving.root(it.planting)?.into(),
            it.name.as_str().into(),
            design.into(),
            leaving.shows_ground().then_some(it.seed).into(),
            it.edge_m.into(),
            it.points.len().into(),
            it.stopping.map(|stop| stop.low).into(),
            it.stopping.map(|stop| stop.high).into(),
        ];
        to.record(leaving, &plan, own)
    })
}

pub(super) const PLAN_POINTS: Table = Table {
    name: "plan_points",
    meaning: "points of plans; none where places are blurred",
    own: &[
        column("plan", Text, "the plan, see plans.id"),
        column("number", Whole, "its number in the plan"),
        column("latitude", Real, "degrees north").unit("degrees, WGS 84"),
        column("longitude", Real, "degrees east").unit("degrees, WGS 84"),
        column(
            "spare",
            Truth,
            "whether it only stands in for one that cannot be reached",
        ),
        column("walk", Whole, "its place in the walking order").empty("a spare"),
    ],
    records: false,
    fill: plan_points,
};

fn plan_points(from: &Source, to: &mut dyn Sink) -> Done {
    if !from.leaving.shows_ground() {
        return Ok(());
    }
    each_plan(from, |plan| {
        for (at, point) in plan.entry.body.points.iter().enumerate() {
            to.row(&[
                plan.root.into(),
                (at + 1).into(),
                point.latitude.into(),
                point.longitude.into(),
                point.spare.into(),
                point.walk.into(),
            ])?;
        }
        Ok(())
    })
}

pub(super) const THRESHOLDS: Table = Table {
    name: "thresholds",
    meaning: "thresholds that somebody added to those of the program; only in an export of the whole book",
    own: &[
        column("name", Text, "what people call it"),
        column("purposes", Text, "purposes it holds for, joined by |").empty("all"),
        column("taxa", Text, "taxa it speaks of, joined by |").empty("everything planted together"),
        column("region", Text, "where it holds").empty("anywhere"),
        column("measure", Text, "what is compared").of("share of 15 cm cells; plants per m2"),
        column("at_least", Real, "established at this or more").unit("as measure says"),
        column("season", Whole, "growing season it speaks of").empty("any"),
        column("source", Text, "who says so"),
        column("withdrawn", Truth, "whether it is no longer used"),
    ],
    records: true,
    fill: thresholds,
};

fn thresholds(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    if leaving.request.scope != Scope::Book {
        return Ok(());
    }
    leaving.moment.each::<Standard, _>(|standard| {
        let it = &standard.entry.body;
        let purposes: Vec<&str> = it.purposes.iter().map(|one| purpose(*one)).collect();
        let own = vec![
            it.name.as_str().into(),
            purposes.join("|").into(),
            it.taxa.join("|").into(),
            it.region.as_str().into(),
            match it.measure {
                StandardMeasure::Frequency => "share of 15 cm cells".into(),
                StandardMeasure::Density => "plants per m2".into(),
            },
            it.at_least.into(),
            it.season.into(),
            it.source.as_str().into(),
            it.withdrawn.into(),
        ];
        to.record(leaving, &standard, own)
    })
}
