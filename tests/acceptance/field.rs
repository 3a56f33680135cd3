//! What a scout does on the way to a point, through the pages: site, planting, plot, visit, point.
//!
//! In: a browser at an empty book. Out: where she stands. People and places are invented.

use crate::form::{Form, link};
use crate::http::Browser;

/// The scout.
pub const SCOUT: &str = "Odile Farrow";

/// Date of the planting; visits are made today.
const SEEDED_ON: &str = "2026-05-12";

/// Where the scout stands.
pub struct Spot {
    /// Address of the planting's page.
    pub planting: String,
    /// Address of the visit's page.
    pub visit: String,
    /// Address of the point's page, `/at/...`.
    pub point: String,
}

/// Enters a planting of switchgrass and big bluestem with its site, a plot, a visit and a
/// point.
#[track_caller]
pub fn to_the_first_point(browser: &mut Browser) -> Spot {
    let start = browser.open("/");
    start.says("An empty book");
    let form = browser.open(&link(&start.body, "/plantings/new", "")).body;
    let form = Form::find(&form, "post", "/plantings", "mix")
        .fill("name", "Long meadow")
        .tick("site", "new")
        .fill("site_name", "Farrow bottom")
        .fill("site_locality", "Hollis County (invented)")
        .fill("seeded_on", SEEDED_ON)
        .tick("purpose", "wildlife")
        .tick("method", "drilled")
        .fill("row_spacing_cm", "7.5")
        .tick("mix", "panicum_virgatum")
        .fill("pls.panicum_virgatum", "2.5")
        .tick("mix", "andropogon_gerardi")
        .fill("scout", SCOUT)
        .press("do", "save");
    let planting = browser.save(&form);
    planting.says("Long meadow");
    planting.says("Farrow bottom, Hollis County (invented)");

    let form = Form::find(&planting.body, "post", "/plots", "name").fill("name", "West & low");
    let planting = browser.save(&form);
    planting.says("West & low");

    let form = Form::find(&planting.body, "post", "/visits", "on");
    let address = format!("/plantings/{}", form.value("planting"));
    let visit = browser.save(&form.fill("note", "dry, mown to 15 cm"));
    visit.says("dry, mown to 15 cm");

    let form = Form::find(&visit.body, "post", "/points", "label");
    let on = form.value("visit").to_owned();
    let point = browser.save(&form);
    point.says("West & low, point 1");
    let plant = link(&point.body, "/at/", "/plant");
    Spot {
        planting: address,
        visit: format!("/visits/{on}"),
        point: plant.trim_end_matches("/plant").to_owned(),
    }
}
