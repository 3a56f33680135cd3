//! Rules of sites, plantings and plots by themselves.

use super::{Faults, limits};
use crate::record::{Planting, Plot, SeedingMethod, Site};

pub(super) fn site(faults: &mut Faults, site: &Site) {
    faults.name("name", &site.name);
    faults.note("locality", &site.locality);
    faults.note("permission", &site.permission);
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
        if let Some(rate) = item.pls_lb_per_acre {
            let field = format!("mix[{at}].pls_lb_per_acre");
            faults.above_zero(
                field,
                rate,
                limits::PLS_LB_PER_ACRE,
                "pounds of pure live seed per acre",
            );
        }
    }
    faults.once(
        "mix",
        ".taxon",
        planting.mix.iter().map(|item| item.taxon.as_str()),
    );
}

pub(super) fn plot(faults: &mut Faults, plot: &Plot) {
    faults.name("name", &plot.name);
    faults.note("note", &plot.note);
}
