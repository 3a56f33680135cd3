//! The invented scenario: places, people and what grows where. None of them exist.

/// Unix time of the visit's first minute, ms: 2026-07-14, 13:00 UTC (8 in the morning there).
pub const VISIT_STARTS_MS: u64 = 1_784_034_000_000;

/// Unix time at which the office entered site, planting, tags and outlines, ms: 19 June 2026, the
/// evening before the first look.
pub const OFFICE_MS: u64 = 1_781_906_400_000;

/// Unix time of the first look's first minute, ms: 2026-06-20, 13:00 UTC.
pub const FIRST_LOOK_MS: u64 = 1_781_960_400_000;

/// Unix time at which the office planned the visit, ms: the evening before it.
pub const PLAN_MS: u64 = 1_783_976_400_000;

/// Unix time of the first evening of practice, ms: the seventh day before the visit.
pub const PRACTICE_MS: u64 = VISIT_STARTS_MS - 7 * 86_400_000 + 10 * 3_600_000;

/// Unix time at which the reviewer sat down, ms: the day after.
pub const REVIEW_MS: u64 = 1_784_120_400_000;

/// Share of the plants that is examined again: half, with scouts in their first summer.
pub const AUDIT_SHARE: f64 = 0.5;

/// The seed of that draw.
pub const AUDIT_SEED: u32 = 20_260_715;

/// The seed of everything drawn.
pub const SEED: u64 = 20_260_714;

/// The two scouts and the reviewer.
pub const SCOUTS: [&str; 2] = ["Ada Fenn", "Jory Pell"];
/// See [`SCOUTS`].
pub const REVIEWER: &str = "Marit Lowe";
/// Who entered site and planting.
pub const OFFICE: &str = "Marit Lowe";

/// The mix: taxon, pure live seed applied and planned in pounds per acre.
pub const MIX: [(&str, f64, f64); 6] = [
    ("andropogon_gerardi", 2.5, 2.5),
    ("schizachyrium_scoparium", 1.5, 1.5),
    ("sorghastrum_nutans", 2.0, 2.2),
    ("panicum_virgatum", 0.8, 0.8),
    ("bouteloua_curtipendula", 1.2, 1.2),
    ("elymus_canadensis", 0.7, 0.5),
];

/// A seed tag: taxon, lot, purity, germination, dormant, other crop, inert, weed seed (percent),
/// test month, seeds per pound where the tag says.
pub type Tag = (
    &'static str,
    &'static str,
    [f64; 6],
    &'static str,
    Option<f64>,
);

/// Tags of the lots; the one of Canada wildrye was lost.
pub const TAGS: [Tag; 5] = [
    (
        "andropogon_gerardi",
        "AG-118",
        [62.4, 61.0, 14.0, 0.3, 36.9, 0.4],
        "2026-01",
        Some(152_000.0),
    ),
    (
        "schizachyrium_scoparium",
        "SS-07",
        [58.1, 66.0, 9.0, 0.2, 41.3, 0.4],
        "2026-01",
        Some(246_000.0),
    ),
    (
        "sorghastrum_nutans",
        "SN-42",
        [71.5, 58.0, 22.0, 0.1, 28.2, 0.2],
        "2025-12",
        Some(172_000.0),
    ),
    (
        "panicum_virgatum",
        "PV-9",
        [98.6, 41.0, 47.0, 0.2, 1.0, 0.2],
        "2026-02",
        Some(262_000.0),
    ),
    (
        "bouteloua_curtipendula",
        "BC-31",
        [68.0, 72.0, 3.0, 0.4, 31.2, 0.4],
        "2025-06",
        None,
    ),
];

/// The south-west corner of the field: degrees north, degrees east.
pub const BASE: [f64; 2] = [40.2, -96.5];

/// The field, m east and north of [`BASE`].
pub const FIELD: &[[f64; 2]] = &[
    [0.0, 0.0],
    [310.0, -10.0],
    [330.0, 160.0],
    [300.0, 305.0],
    [150.0, 330.0],
    [-15.0, 300.0],
];

/// A grassed waterway across the swale.
pub const WATERWAY: &[[f64; 2]] = &[[10.0, 250.0], [130.0, 262.0], [129.0, 270.0], [9.0, 258.0]];

/// A plot: name, note, and how many shoots of each taxon grow there per cell on average.
pub struct PlotPlan {
    /// Name.
    pub name: &'static str,
    /// What sets it apart.
    pub note: &'static str,
    /// Corners, m east and north of [`BASE`].
    pub corners: &'static [[f64; 2]],
    /// Taxon and mean plants per 15 cm cell.
    pub grows: &'static [(&'static str, f64)],
}

/// The plots.
pub const PLOTS: [PlotPlan; 7] = [
    PlotPlan {
        name: "Gate",
        note: "by the gate, packed soil",
        corners: &[[3.0, 2.0], [150.0, -2.0], [152.0, 96.0], [0.0, 97.0]],
        grows: &[
            ("andropogon_gerardi", 0.12),
            ("bouteloua_curtipendula", 0.10),
            ("eleusine_indica", 0.25),
            ("digitaria_ischaemum", 0.30),
        ],
    },
    PlotPlan {
        name: "Long slope",
        note: "south-facing, thin soil",
        corners: &[[0.0, 97.0], [105.0, 97.0], [107.0, 205.0], [-6.0, 205.0]],
        grows: &[
            ("schizachyrium_scoparium", 0.22),
            ("bouteloua_curtipendula", 0.18),
            ("andropogon_gerardi", 0.15),
            ("aristida_oligantha", 0.12),
            ("setaria_viridis", 0.15),
        ],
    },
    PlotPlan {
        name: "Crown",
        note: "top of the rise",
        corners: &[[105.0, 97.0], [215.0, 94.0], [217.0, 205.0], [107.0, 205.0]],
        grows: &[
            ("andropogon_gerardi", 0.25),
            ("sorghastrum_nutans", 0.20),
            ("schizachyrium_scoparium", 0.12),
            ("setaria_faberi", 0.18),
        ],
    },
    PlotPlan {
        name: "Swale",
        note: "low, stays wet into June",
        corners: &[
            [-8.0, 205.0],
            [155.0, 205.0],
            [150.0, 322.0],
            [-13.0, 298.0],
        ],
        grows: &[
            ("panicum_virgatum", 0.30),
            ("sorghastrum_nutans", 0.12),
            ("echinochloa_crus_galli", 0.45),
            ("cyperus_esculentus", 0.20),
            ("panicum_dichotomiflorum", 0.15),
        ],
    },
    PlotPlan {
        name: "Old fence",
        note: "along the fence that was taken out",
        corners: &[[150.0, -2.0], [308.0, -7.0], [318.0, 92.0], [152.0, 96.0]],
        grows: &[
            ("andropogon_gerardi", 0.08),
            ("elymus_canadensis", 0.10),
            ("bromus_inermis", 0.40),
            ("sorghum_halepense", 0.15),
        ],
    },
    PlotPlan {
        name: "East bench",
        note: "level, deep soil",
        corners: &[
            [215.0, 94.0],
            [318.0, 92.0],
            [328.0, 160.0],
            [314.0, 205.0],
            [217.0, 205.0],
        ],
        grows: &[
            ("sorghastrum_nutans", 0.28),
            ("andropogon_gerardi", 0.22),
            ("panicum_virgatum", 0.12),
            ("elymus_canadensis", 0.08),
            ("setaria_pumila", 0.22),
        ],
    },
    PlotPlan {
        name: "Creek side",
        note: "last strip before the willows",
        corners: &[
            [155.0, 205.0],
            [314.0, 205.0],
            [300.0, 300.0],
            [150.0, 322.0],
        ],
        grows: &[
            ("panicum_virgatum", 0.16),
            ("andropogon_gerardi", 0.14),
            ("digitaria_sanguinalis", 0.35),
            ("panicum_capillare", 0.18),
        ],
    },
];
