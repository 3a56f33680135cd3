//! From a form to drawn points: what is asked for, the draw, the way to walk.
//!
//! In: the fields of the form, the land, a seed. Out: a plan as the book keeps it and the length
//! of its walk, or what stands in the way. The same fields, land and seed give the same plan, so
//! that saving keeps the very points of the preview.
//! Units: m; degrees WGS 84. Source: crate `plan`. Not here: pages (`plan_form`).

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Plan, PlanDesign, PlannedPoint, Stopping};
use standbook_plan::{
    Corner, Design, Draw, DrawError, Frame, Ground, Points, Request, corners_from_text, draw,
    random_bearing_deg, spacing_for_m, walk, walk_in_groups,
};

use super::land::Land;
use super::measures::metres;
use super::rule::{stopping, whole};
use crate::plot::filled::Filled;

/// Points of a block after which a walk with a stopping rule may stop.
pub(super) const BLOCK: usize = 4;
/// Most points of a plan drawn here: more than anybody walks in a day, and the page stays light.
const MOST_POINTS: u32 = 100;
/// Times a grid is put closer before it is given up; 0.97 each is 0.54 after 20.
const MOST_TRIES: usize = 20;
/// Most spares.
const MOST_SPARES: u32 = 20;

/// What the form asks for.
pub(super) struct Asked {
    request: Request,
    edge_m: f64,
    by_plots: bool,
    start: Option<Corner>,
    stopping: Option<Stopping>,
    design: PlanDesign,
}

/// Reads the form; what is wrong is added to it.
pub(super) fn asked(filled: &mut Filled, land: &Land, seed: u32) -> Option<Asked> {
    let points = whole(filled, "points", "Points", 1, MOST_POINTS);
    let spares = whole(filled, "spares", "Spares", 0, MOST_SPARES);
    let edge_m = metres(filled.get("edge")).filter(|m| (0.0..=1000.0).contains(m));
    if edge_m.is_none() {
        filled.troubles.add(
            "edge",
            "Distance kept from the edge: type metres from 0 to 1000, or feet such as 16 ft.",
        );
    }
    let by_plots = filled.get("by_plots") == "yes";
    let start = match filled.get("start") {
        "" => corner_towards(land, filled.get("corner")),
        text => match corners_from_text(text) {
            Ok(corners) => corners.first().copied(),
            Err(faults) => {
                for fault in faults.0 {
                    filled
                        .troubles
                        .add("start", format!("Start of the walk: {}.", fault.problem));
                }
                None
            }
        },
    };
    let stopping = stopping(filled, points);
    let (points, spares, edge_m) = (points?, spares?, edge_m?);
    // What is left blank is worked out from the ground.
    let ground = land.ground(edge_m, by_plots)?.ok();
    let spacing = ground
        .as_ref()
        .map_or(0.0, |ground| spacing_for_m(ground, points + spares));
    let (draw_design, design) = match filled.get("design") {
        "grid" => (
            Design::Grid { spacing_m: spacing },
            PlanDesign::Grid { spacing_m: spacing },
        ),
        "transects" => {
            let (apart_m, step_m) = (spacing * 1.5, spacing / 1.5);
            let bearing_deg = random_bearing_deg(seed);
            (
                Design::Transects {
                    apart_m,
                    step_m,
                    bearing_deg,
                },
                PlanDesign::Transects {
                    apart_m,
                    step_m,
                    bearing_deg,
                },
            )
        }
        _ => (Design::Balanced, PlanDesign::Balanced),
    };
    Some(Asked {
        request: Request {
            design: draw_design,
            points: Points::Total(points),
            spares,
            seed,
        },
        edge_m,
        by_plots,
        start,
        stopping,
        design,
    })
}

/// The corner of the field that lies farthest towards `nw`, `ne`, `se` or `sw`.
fn corner_towards(land: &Land, way: &str) -> Option<Corner> {
    let [north, east] = match way {
        "nw" => [1.0, -1.0],
        "ne" => [1.0, 1.0],
        "se" => [-1.0, 1.0],
        "sw" => [-1.0, -1.0],
        _ => return None,
    };
    let corners: Vec<Corner> = land.field.as_ref()?.area.corners().collect();
    let frame = Frame::around(corners.iter().copied())?;
    let reach = |corner: &Corner| {
        let [e, n] = frame.to_metres(*corner);
        e * east + n * north
    };
    corners
        .into_iter()
        .max_by(|a, b| reach(a).total_cmp(&reach(b)))
}

/// Draws what is asked for: the record's body, and the length of the walk in m.
pub(super) fn drawn(
    filled: &mut Filled,
    land: &Land,
    planting: RecordId,
    asked: &Asked,
) -> Option<(Plan, f64)> {
    let ground = match land.ground(asked.edge_m, asked.by_plots)? {
        Ok(ground) => ground,
        Err(error) => {
            filled.troubles.add("edge", format!("{error}."));
            return None;
        }
    };
    let (drawn, design) = match draw_enough(&ground, asked) {
        Ok(drawn) => drawn,
        Err(error) => {
            let message = with_plot_name(&error, land);
            filled.troubles.add("points", format!("{message}."));
            return None;
        }
    };
    let corners: Vec<Corner> = drawn.to_walk().map(|point| point.corner).collect();
    let way = match asked.stopping {
        // So that what was walked when the rule says stop is a fair part of the field.
        Some(_) => walk_in_groups(&corners, &drawn.fair_blocks(BLOCK), asked.start),
        None => walk(&corners, asked.start),
    };
    let mut places = way.places().into_iter();
    let points = drawn
        .points
        .iter()
        .map(|point| PlannedPoint {
            latitude: point.corner[0],
            longitude: point.corner[1],
            plot: point
                .plot
                .and_then(|at| land.plots.get(at))
                .map(|(id, ..)| *id)
                .or_else(|| plot_of(land, point.corner)),
            spare: point.spare,
            walk: if point.spare { None } else { places.next() },
        })
        .collect();
    let plan = Plan {
        planting,
        name: filled.get("name").chars().take(120).collect(),
        design,
        seed: asked.request.seed,
        edge_m: asked.edge_m,
        points,
        stopping: asked.stopping,
    };
    Some((plan, way.length_m))
}

/// Draws. A grid or lines of which too few points fall on the ground are put closer together: the
/// distance is worked out from the area and not typed, so nobody could mend it.
fn draw_enough(ground: &Ground, asked: &Asked) -> Result<(Draw, PlanDesign), DrawError> {
    let (mut request, mut design) = (asked.request.clone(), asked.design);
    for _ in 0..MOST_TRIES {
        match draw(ground, &request) {
            Err(DrawError::TooFew { times, .. }) => {
                // At least a little closer each time, so that it ends.
                let times = times.clamp(0.5, 0.97);
                request.design = closer(request.design, times);
                design = match request.design {
                    Design::Balanced => PlanDesign::Balanced,
                    Design::Grid { spacing_m } => PlanDesign::Grid { spacing_m },
                    Design::Transects {
                        apart_m,
                        step_m,
                        bearing_deg,
                    } => PlanDesign::Transects {
                        apart_m,
                        step_m,
                        bearing_deg,
                    },
                };
            }
            other => return other.map(|drawn| (drawn, design)),
        }
    }
    draw(ground, &request).map(|drawn| (drawn, design))
}

fn closer(design: Design, times: f64) -> Design {
    match design {
        Design::Balanced => Design::Balanced,
        Design::Grid { spacing_m } => Design::Grid {
            spacing_m: spacing_m * times,
        },
        Design::Transects {
            apart_m,
            step_m,
            bearing_deg,
        } => Design::Transects {
            apart_m: apart_m * times,
            step_m: step_m * times,
            bearing_deg,
        },
    }
}

/// What stands in the way, with the plot's name for its number.
fn with_plot_name(error: &DrawError, land: &Land) -> String {
    let message = error.to_string();
    let number = match error {
        DrawError::NoRoomInPlot { plot, .. } => *plot,
        DrawError::TooFew {
            plot: Some(plot), ..
        } => *plot,
        _ => return message,
    };
    match number.checked_sub(1).and_then(|at| land.plots.get(at)) {
        Some((_, name, _)) => message.replacen(
            &format!("plot {number}"),
            &format!("plot \u{201c}{name}\u{201d}"),
            1,
        ),
        None => message,
    }
}

/// The plot whose outline holds a point, where plots did not part the draw.
fn plot_of(land: &Land, corner: Corner) -> Option<RecordId> {
    let areas: Vec<_> = land
        .plots
        .iter()
        .map(|(.., lot)| lot.area.clone())
        .collect();
    let field = &land.field.as_ref()?.area;
    let ground = Ground::new(field, &[], &areas, 0.0).ok()?;
    land.plots.get(ground.plot_of(corner)?).map(|(id, ..)| *id)
}
