//! Which weeds were found, the serious ones first, and whether they are taking over.
//!
//! In: the visit in numbers, spans of weeds. Out: [`Weeds`].
//! Source: perennial weeds as the serious case, annual ones as the small problem: Duebbert and
//! others (npwrc_summary, in `keys/standards/advice.yaml`). Takeover (limits apart) is ours: no
//! source gives a number.

use standbook_key::standards::{LifeSpan, Standards};

use crate::judgement::{PERENNIAL_WEEDS, PLANTED, Range, WeedFound, Weeds};
use crate::label::Role;
use crate::measure::{Measured, range, span};
use crate::overall::cited_all;

pub(crate) fn weeds(measured: &Measured, standards: &Standards) -> Weeds {
    let grid = measured.main_grid();
    let quadrats = measured.summary.quadrats.as_ref();
    let (mut perennial, mut annual, mut other) = (Vec::new(), Vec::new(), Vec::new());
    for (label, about) in &measured.about {
        if about.role != Role::Weed {
            continue;
        }
        let frequency = grid.and_then(|grid| {
            let of = grid.labels.iter().find(|(known, _)| known == label);
            of.map(|(_, frequency)| range(&frequency.estimate))
        });
        let density = quadrats.and_then(|quadrats| {
            let of = quadrats.labels.iter().find(|(known, _)| known == label);
            of.map(|(_, counted)| range(&counted.estimate))
        });
        let some = |range: &Option<Range>| range.is_some_and(|range| range.estimate > 0.0);
        if !some(&frequency) && !some(&density) {
            continue;
        }
        let said = label.taxon().and_then(|taxon| standards.weed_span(taxon));
        let found = WeedFound {
            label: label.clone(),
            group: about.group.clone(),
            span: span(label, about, standards),
            noxious: said.map_or_else(String::new, |said| said.noxious.clone()),
            sources: said.map_or_else(Vec::new, |said| {
                cited_all(standards, &said.source, &said.also)
            }),
            frequency,
            density,
        };
        match found.span {
            Some(LifeSpan::Perennial) => perennial.push(found),
            Some(LifeSpan::Annual | LifeSpan::ShortLived) => annual.push(found),
            None => other.push(found),
        }
    }
    for list in [&mut perennial, &mut annual, &mut other] {
        let size = |weed: &WeedFound| {
            let of = |range: Option<Range>| range.map_or(0.0, |range| range.estimate);
            (of(weed.frequency), of(weed.density))
        };
        list.sort_by(|a, b| {
            let ((fa, da), (fb, db)) = (size(a), size(b));
            fb.total_cmp(&fa)
                .then(db.total_cmp(&da))
                .then(a.label.cmp(&b.label))
        });
    }
    Weeds {
        takeover: takeover(measured),
        perennial,
        annual,
        other,
    }
}

/// Whether the lower limit of the weeds that stay lies above the upper limit of everything
/// that may be planted, in cells or in plants.
fn takeover(measured: &Measured) -> bool {
    let apart = |weeds: Range, planted: Range| match (weeds.lower, planted.upper) {
        (Some(lower), Some(upper)) => lower > upper,
        _ => false,
    };
    let by_cells = measured.main_grid().is_some_and(|grid| {
        let weeds = Measured::frequency(grid, PERENNIAL_WEEDS);
        let planted = Measured::frequency(grid, PLANTED);
        weeds.zip(planted).is_some_and(|(weeds, planted)| {
            let most = planted.high.as_ref().unwrap_or(&planted.low);
            apart(range(&weeds.low.estimate), range(&most.estimate))
        })
    });
    let weeds = measured.counted(PERENNIAL_WEEDS);
    let planted = measured.counted(PLANTED);
    by_cells
        || weeds.zip(planted).is_some_and(|(weeds, planted)| {
            let most = planted.high.as_ref().unwrap_or(&planted.low);
            apart(range(&weeds.low.estimate), range(&most.estimate))
        })
}
