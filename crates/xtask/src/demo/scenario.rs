//! The invented scenario: places, people and what grows where. None of them exist.

/// Unix time of the visit's first minute, ms: 2026-07-14, 13:00 UTC (8 in the morning there).
pub const VISIT_STARTS_MS: u64 = 1_784_034_000_000;

/// Unix time at which the office entered site and planting, ms: the evening before.
pub const OFFICE_MS: u64 = 1_783_980_000_000;

/// Unix time at which the reviewer sat down, ms: the day after.
pub const REVIEW_MS: u64 = 1_784_120_400_000;

/// The seed of everything drawn.
pub const SEED: u64 = 20_260_714;

/// The two scouts and the reviewer.
pub const SCOUTS: [&str; 2] = ["Ada Fenn", "Jory Pell"];
/// See [`SCOUTS`].
pub const REVIEWER: &str = "Marit Lowe";
/// Who entered site and planting.
pub const OFFICE: &str = "Marit Lowe";

/// The mix, with pure live seed in pounds per acre.
pub const MIX: [(&str, f64); 6] = [
    ("andropogon_gerardi", 2.5),
    ("schizachyrium_scoparium", 1.5),
    ("sorghastrum_nutans", 2.0),
    ("panicum_virgatum", 0.8),
    ("bouteloua_curtipendula", 1.2),
    ("elymus_canadensis", 0.7),
];

/// A plot: name, note, and how many shoots of each taxon grow there per cell on average.
pub struct PlotPlan {
    /// Name.
    pub name: &'static str,
    /// What sets it apart.
    pub note: &'static str,
    /// Taxon and mean plants per 15 cm cell.
    pub grows: &'static [(&'static str, f64)],
}

/// The plots.
pub const PLOTS: [PlotPlan; 7] = [
    PlotPlan {
        name: "Gate",
        note: "by the gate, packed soil",
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
        grows: &[
            ("panicum_virgatum", 0.16),
            ("andropogon_gerardi", 0.14),
            ("digitaria_sanguinalis", 0.35),
            ("panicum_capillare", 0.18),
        ],
    },
];
