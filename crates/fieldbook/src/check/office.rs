//! Rules of specimens, of plants to come back to, and of draws for an audit, by themselves.

use std::collections::HashSet;

use super::{Faults, limits};
use crate::record::{Audit, ComeBack, Voucher};

pub(super) fn voucher(faults: &mut Faults, voucher: &Voucher) {
    faults.name("collector", &voucher.collector);
    faults.name("number", &voucher.number);
    faults.date("collected_on", &voucher.collected_on);
    faults.line("kept_at", &voucher.kept_at);
    for (field, text) in [
        ("parts", &voucher.parts),
        ("habitat", &voucher.habitat),
        ("associates", &voucher.associates),
        ("habit", &voucher.habit),
        ("abundance", &voucher.abundance),
        ("fading", &voucher.fading),
    ] {
        faults.note(field, text);
    }
}

pub(super) fn come_back(faults: &mut Faults, back: &ComeBack) {
    faults.date("due_on", &back.due_on);
    faults.note("pin", &back.pin);
    faults.position(back.position);
    if let Some(on) = &back.seen_on {
        faults.date("seen_on", on);
        if back.found.trim().is_empty() {
            faults.add(
                "found",
                "nothing says what was found",
                "Say what was found, or that the plant was not there.",
            );
        }
    }
    faults.note("found", &back.found);
}

pub(super) fn audit(faults: &mut Faults, audit: &Audit) {
    faults.above_zero("share", audit.share, 1.0, "of the plants");
    faults.items(
        "drawn",
        audit.drawn.len(),
        1,
        limits::AUDIT_PLANTS,
        "plants",
    );
    let mut known = HashSet::new();
    if !audit.drawn.iter().all(|plant| known.insert(plant)) {
        faults.add("drawn", "a plant is there twice", "Name every plant once.");
    }
    if usize::try_from(audit.plants).is_ok_and(|plants| plants < audit.drawn.len()) {
        let problem = format!(
            "{} plants can't be drawn from {}",
            audit.drawn.len(),
            audit.plants
        );
        faults.add(
            "plants",
            problem,
            "Give the number of plants there were to draw from.",
        );
    }
}
