//! Rules of sites, plantings and plots by themselves.

use super::{Faults, limits};
use crate::record::{Planting, Plot, SeedingMethod, Site};

pub(super) fn site(faults: &mut Faults, site: &Site) {
    faults.name("name", &site.name);
    faults.note("locality", &site.locality);
    faults.note("permission", &site.permission);
    faults.line("owner", &site.owner);
    faults.line("county", &site.county);
    faults.line("state", &site.state);
}

pub(super) fn planting(faults: &mut Faults, planting: &Planting) {
    faults.name("name", &planting.name);
    faults.date("seeded_on", &planting.seeded_on);
    if let SeedingMethod::Drilled { row_spacing_cm } = planting.method {
        faults.above_zero(
            "method.row_spacing_cm",
            row_spacing_cm,
            limits::ROW_SPACING_CM,
            "cm",
        );
    }
    faults.items("mix", planting.mix.len(), 1, limits::MIX_ITEMS, "species");
    for (at, item) in planting.mix.iter().enumerate() {
        faults.id(format!("mix[{at}].taxon"), &item.taxon);
        for (name, rate) in [
            ("pls_lb_per_acre", item.pls_lb_per_acre),
            ("planned_pls_lb_per_acre", item.planned_pls_lb_per_acre),
        ] {
            if let Some(rate) = rate {
                faults.above_zero(
                    format!("mix[{at}].{name}"),
                    rate,
                    limits::PLS_LB_PER_ACRE,
                    "pounds of pure live seed per acre",
                );
            }
        }
    }
    faults.once(
        "mix",
        ".taxon",
        planting.mix.iter().map(|item| item.taxon.as_str()),
    );
    faults.line("farm_number", &planting.farm_number);
    faults.line("tract_number", &planting.tract_number);
    faults.line("field_number", &planting.field_number);
    if let Some(area) = planting.stated_area_m2 {
        faults.above_zero("stated_area_m2", area, limits::STATED_AREA_M2, "m2");
    }
    faults.note("note", &planting.note);
}

pub(super) fn plot(faults: &mut Faults, plot: &Plot) {
    faults.name("name", &plot.name);
    faults.note("note", &plot.note);
}
