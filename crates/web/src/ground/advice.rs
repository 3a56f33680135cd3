//! How many points: what the published protocols say, worked out for one field.
//!
//! In: an area in m2. Out: a line for each source. They disagree, and all are shown.
//! Not here: a choice between them.

/// Square metres of an acre, exact.
const ACRE_M2: f64 = 4_046.856_422_4;

/// One source's advice.
pub(super) struct HowMany {
    /// What it asks for.
    pub rule: &'static str,
    /// For this field.
    pub here: String,
    /// Who says so.
    pub citation: &'static str,
    /// Where it was read.
    pub url: &'static str,
}

/// What the sources ask for on so much ground; without an area only the rules.
pub(super) fn how_many(area_m2: Option<f64>) -> Vec<HowMany> {
    let acres = area_m2.map(|m2| m2 / ACRE_M2);
    let of = |points: &dyn Fn(f64) -> f64| {
        acres.map_or_else(String::new, |acres| format!("{:.0}", points(acres).ceil()))
    };
    vec![
        HowMany {
            rule: "10 or more placements of the frame in a field",
            here: "10".to_owned(),
            citation: "North Dakota State University 2004. Switchgrass: on-farm biomass yields in the Northern Great Plains, materials and methods. Annual report, Streeter",
            url: "https://www.ag.ndsu.edu/archive/streeter/2004report/switchgrass1/Switchgrass_mat.htm",
        },
        HowMany {
            rule: "12 sites in a field of 3 to 9.5 ha (7 to 23 acres)",
            here: "12".to_owned(),
            citation: "Schmer and others 2006. Establishment stand thresholds for switchgrass grown as a bioenergy crop. Crop Science 46:157-161",
            url: "https://digitalcommons.unl.edu/agronomyfacpub/46/",
        },
        HowMany {
            rule: "4 or more locations an acre",
            here: of(&|acres| 4.0 * acres),
            citation: "Oklahoma State University, switchgrass site: Evaluation of establishment success",
            url: "http://switchgrass.okstate.edu/stand-establishment/evaluation-o-establishment-success",
        },
        HowMany {
            rule: "1 sample for 4 acres, and never fewer than 15 (pasture yield)",
            here: of(&|acres| (acres / 4.0).max(15.0)),
            citation: "Colorado Division of Reclamation, Mining and Safety records: dryland pasture sampling procedure",
            url: "https://dnrweblink.state.co.us/DRMSSearch/0/doc/914831/Page47.aspx",
        },
    ]
}
