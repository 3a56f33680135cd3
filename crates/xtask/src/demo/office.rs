//! What the office enters: site, planting, seed tags, what happened, outlines, a first look, a plan.
//!
//! The outlines and points are worked out by crate `plan`, so the demo draws what the program
//! draws. Places and people are invented.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{
    Body, Event, EventKind, MixItem, NoxiousSeed, Outline, OutlineOf, Plan, PlanDesign, PlannedAt,
    PlannedPoint, Planting, Plot, Point, Polygon, Position, Purpose, SeedLot, SeedingMethod, Site,
    Stopping, Visit,
};
use standbook_plan::{Area, Corner, Design, Frame, Ground, Points, Request, draw, walk_in_groups};

use super::draw::{Draw, round};
use super::scenario::{
    BASE, FIELD, FIRST_LOOK_MS, MIX, OFFICE, PLAN_MS, PLOTS, SCOUTS, TAGS, VISIT_STARTS_MS,
    WATERWAY,
};

/// A day, ms.
const DAY_MS: u64 = 86_400_000;

/// The plot whose second planned point stood under water.
pub(super) const WET: usize = 3;

/// What later records refer to.
pub(super) struct Office {
    /// The planting.
    pub planting: RecordId,
    /// Its plots, in the order of the scenario.
    pub plots: Vec<RecordId>,
}

/// A point to walk to.
#[derive(Clone, Copy)]
pub(super) struct Stop {
    /// Which of the plan's.
    pub planned: PlannedAt,
    /// Where.
    pub at: Corner,
}

/// A plan and where its points lie.
pub(super) struct Planned {
    id: RecordId,
    /// Plot by index, whether it is a spare, place.
    points: Vec<(usize, bool, Corner)>,
    /// Places in the walk, from 1, of the points that are no spares, in the order of `points`.
    places: Vec<u32>,
}

impl Planned {
    /// The point of a plot with this label, 1 or 2; where it is wet, the spare for the second.
    pub fn stop(&self, plot: usize, label: u32) -> Stop {
        let wants_spare = plot == WET && label == 2;
        let nth = if wants_spare { 0 } else { label as usize - 1 };
        self.nth(plot, wants_spare, nth)
    }

    /// The place in the walk of a plot's planned point, 1 or 2; its spare is walked to then.
    pub fn place(&self, plot: usize, label: u32) -> u32 {
        let number = self.nth(plot, false, label as usize - 1).planned.number;
        *self.places.get(number as usize - 1).unwrap_or(&u32::MAX)
    }

    fn nth(&self, plot: usize, spare: bool, nth: usize) -> Stop {
        let own =
            |(_, point): &(usize, &(usize, bool, Corner))| point.0 == plot && point.1 == spare;
        let (at, point) = self
            .points
            .iter()
            .enumerate()
            .filter(own)
            .nth(nth)
            .unwrap_or((0, &self.points[0]));
        Stop {
            planned: PlannedAt {
                plan: self.id,
                number: at as u32 + 1,
            },
            at: point.2,
        }
    }
}

fn corners(metres: &[[f64; 2]]) -> Vec<Corner> {
    let frame = Frame::at(BASE);
    metres
        .iter()
        .map(|m| frame.to_corner(*m).map(|degrees| round(degrees, 6)))
        .collect()
}

/// A sound area; the scenario's outlines are checked by making the demo.
fn area(metres: &[[f64; 2]]) -> Area {
    let polygon = standbook_plan::Polygon::from_rings(vec![corners(metres)]);
    Area::new(vec![polygon]).unwrap_or_else(|faults| panic!("the scenario's outline: {faults}"))
}

impl Draw<'_> {
    /// 19 June: site, planting, tags, plots, outlines, what happened since seeding.
    pub(super) fn office(&mut self) -> Office {
        let site = self.keep(
            OFFICE,
            Body::Site(Site {
                name: "Sallow Creek".to_owned(),
                locality: "Hollis County (invented)".to_owned(),
                permission: "Owner agreed by telephone; park at the gate, leave it as found."
                    .to_owned(),
                owner: "Ines and Tom Harrow".to_owned(),
                county: "Hollis (invented)".to_owned(),
                state: "NE".to_owned(),
            }),
        );
        let planting = self.keep(
            OFFICE,
            Body::Planting(Planting {
                site,
                name: "Creek field".to_owned(),
                purpose: Purpose::Conservation,
                seeded_on: "2026-05-12".to_owned(),
                method: SeedingMethod::Drilled {
                    row_spacing_cm: 19.05,
                },
                mix: MIX
                    .iter()
                    .map(|(taxon, applied, planned)| MixItem {
                        taxon: (*taxon).to_owned(),
                        pls_lb_per_acre: Some(*applied),
                        planned_pls_lb_per_acre: Some(*planned),
                    })
                    .collect(),
                farm_number: "2207".to_owned(),
                tract_number: "514".to_owned(),
                field_number: "3".to_owned(),
                // 24 acres.
                stated_area_m2: Some(97_124.6),
                irrigated: Some(false),
                note: "Soybean stubble, no tillage; drilled a quarter inch deep.".to_owned(),
            }),
        );
        self.tags(planting);
        let plots: Vec<RecordId> = PLOTS
            .iter()
            .map(|plan| {
                self.keep(
                    OFFICE,
                    Body::Plot(Plot {
                        planting,
                        name: plan.name.to_owned(),
                        note: plan.note.to_owned(),
                    }),
                )
            })
            .collect();
        self.outline(
            planting,
            OutlineOf::Field,
            "",
            FIELD,
            "walked with a receiver",
        );
        self.outline(planting, OutlineOf::KeepOut, "waterway", WATERWAY, "drawn");
        for (plan, plot) in PLOTS.iter().zip(&plots) {
            self.outline(planting, OutlineOf::Plot(*plot), "", plan.corners, "drawn");
        }
        for (on, what, note) in [
            (
                "2026-04-28",
                EventKind::Sprayed {
                    entry_after_h: Some(48.0),
                    graze_after_days: Some(60.0),
                },
                "Before seeding, by the co-operative's applicator.",
            ),
            ("2026-05-24", EventKind::Rain { mm: Some(31.0) }, ""),
            (
                "2026-06-04",
                EventKind::Drought,
                "No rain worth the name for three weeks.",
            ),
        ] {
            self.event(planting, on, what, note);
        }
        Office { planting, plots }
    }

    fn event(&mut self, planting: RecordId, on: &str, what: EventKind, note: &str) {
        self.keep(
            OFFICE,
            Body::Event(Event {
                planting,
                on: on.to_owned(),
                what,
                note: note.to_owned(),
            }),
        );
    }

    fn tags(&mut self, planting: RecordId) {
        for (taxon, lot, percent, tested, seeds_per_lb) in TAGS {
            let [purity, germination, dormant, other_crop, inert, weed] = percent.map(Some);
            let noxious = match taxon {
                "sorghastrum_nutans" => vec![NoxiousSeed {
                    name: "field bindweed".to_owned(),
                    per_lb: 2.0,
                }],
                _ => Vec::new(),
            };
            self.keep(
                OFFICE,
                Body::SeedLot(SeedLot {
                    planting,
                    taxon: taxon.to_owned(),
                    lot: lot.to_owned(),
                    variety: "variety not stated".to_owned(),
                    origin: "grown two counties south (invented)".to_owned(),
                    purity_percent: purity,
                    germination_percent: germination,
                    dormant_percent: dormant,
                    other_crop_percent: other_crop,
                    inert_percent: inert,
                    weed_percent: weed,
                    noxious,
                    tested: Some(tested.to_owned()),
                    seeds_per_lb,
                    bulk_lb: None,
                    note: String::new(),
                }),
            );
        }
    }

    fn outline(
        &mut self,
        planting: RecordId,
        of: OutlineOf,
        name: &str,
        metres: &[[f64; 2]],
        origin: &str,
    ) {
        let polygons = area(metres)
            .into_polygons()
            .into_iter()
            .map(|polygon| Polygon {
                rings: polygon.into_rings(),
            })
            .collect();
        self.keep(
            OFFICE,
            Body::Outline(Outline {
                planting,
                of,
                name: name.to_owned(),
                polygons,
                origin: origin.to_owned(),
            }),
        );
    }

    /// 20 June: a first look at six spots, one frame each; little has come up yet.
    pub(super) fn first_look(&mut self, office: &Office) {
        self.now_ms = FIRST_LOOK_MS;
        let visit = self.keep(
            SCOUTS[0],
            Body::Visit(Visit {
                planting: office.planting,
                on: "2026-06-20".to_owned(),
                scouts: vec![SCOUTS[0].to_owned()],
                note: "A first look. Dry; seedlings of one or two leaves.".to_owned(),
            }),
        );
        for (plan, plot) in PLOTS.iter().zip(&office.plots).take(6) {
            let middle: [f64; 2] = [0, 1].map(|axis| {
                plan.corners.iter().map(|m| m[axis]).sum::<f64>() / plan.corners.len() as f64
            });
            let [latitude, longitude] = Frame::at(BASE).to_corner(middle).map(|d| round(d, 5));
            let point = self.keep(
                SCOUTS[0],
                Body::Point(Point {
                    plot: *plot,
                    visit,
                    label: "1".to_owned(),
                    position: Some(Position {
                        latitude,
                        longitude,
                        uncertainty_m: Some(6.0),
                    }),
                    planned: None,
                    unreachable: String::new(),
                }),
            );
            self.frame(SCOUTS[0], point, plan, 0.35, 1, None);
        }
        self.now_ms = FIRST_LOOK_MS + 3 * DAY_MS;
        self.event(
            office.planting,
            "2026-06-23",
            EventKind::Mowed {
                height_cm: Some(20.0),
            },
            "Flail mower, above the seedlings.",
        );
    }

    /// 13 July: fourteen points, two a plot, and a spare for each plot.
    pub(super) fn plan(&mut self, office: &Office) -> Planned {
        self.now_ms = PLAN_MS + DAY_MS / 8;
        self.event(
            office.planting,
            "2026-07-13",
            EventKind::Rain { mm: Some(22.0) },
            "Evening storm.",
        );
        let plots: Vec<Area> = PLOTS.iter().map(|plan| area(plan.corners)).collect();
        let ground = Ground::new(&area(FIELD), &[area(WATERWAY)], &plots, 5.0);
        let ground = ground.unwrap_or_else(|error| panic!("the scenario's ground: {error}"));
        let seed = 714;
        let request = Request {
            design: Design::Balanced,
            points: Points::EachPlot(vec![2; PLOTS.len()]),
            spares: 7,
            seed,
        };
        let drawn = draw(&ground, &request).unwrap_or_else(|error| panic!("the plan: {error}"));
        let to_walk: Vec<Corner> = drawn.to_walk().map(|point| point.corner).collect();
        let gate = Some(BASE);
        let way = walk_in_groups(&to_walk, &drawn.fair_blocks(4), gate);
        let places = way.places();
        let mut place = places.iter().copied();
        let points: Vec<PlannedPoint> = drawn
            .points
            .iter()
            .map(|point| PlannedPoint {
                latitude: round(point.corner[0], 7),
                longitude: round(point.corner[1], 7),
                plot: point.plot.map(|at| office.plots[at]),
                spare: point.spare,
                walk: if point.spare { None } else { place.next() },
            })
            .collect();
        let id = self.keep(
            OFFICE,
            Body::Plan(Plan {
                planting: office.planting,
                name: "July walk".to_owned(),
                design: PlanDesign::Balanced,
                seed,
                edge_m: 5.0,
                points,
                stopping: Some(Stopping {
                    low: 0.25,
                    high: 0.40,
                    wrongly_enough: 0.10,
                    wrongly_too_few: 0.10,
                    most_points: 14,
                }),
            }),
        );
        Planned {
            id,
            points: drawn
                .points
                .iter()
                .map(|point| (point.plot.unwrap_or(0), point.spare, point.corner))
                .collect(),
            places,
        }
    }

    /// 14 July: the visit.
    pub(super) fn visit(&mut self, planting: RecordId) -> RecordId {
        self.now_ms = VISIT_STARTS_MS;
        self.keep(
            SCOUTS[0],
            Body::Visit(Visit {
                planting,
                on: "2026-07-14".to_owned(),
                scouts: SCOUTS.iter().map(|s| (*s).to_owned()).collect(),
                note: "Clear, 29 C by noon. Mown to 20 cm three weeks ago.".to_owned(),
            }),
        )
    }

    /// The second planned point of the wet plot, which nobody could reach.
    pub(super) fn not_reached(
        &mut self,
        plan: &Planned,
        plot: RecordId,
        visit: RecordId,
        label: u32,
    ) {
        if label != 2 {
            return;
        }
        let stop = plan.nth(WET, false, 1);
        self.keep(
            SCOUTS[1],
            Body::Point(Point {
                plot,
                visit,
                label: "2 (wet)".to_owned(),
                position: None,
                planned: Some(stop.planned),
                unreachable: "Standing water after the night's rain.".to_owned(),
            }),
        );
    }
}
