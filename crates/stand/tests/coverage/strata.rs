//! Limits over parts of a field hold the truth, too.

use standbook_stand::strata::{Part, density, frequency};

use crate::draw::{Cells, Plants};
use crate::{LEVELS, hold_their_level};

/// Three parts of unequal size, the largest thin: four spots each.
#[test]
fn frequencies_over_parts_hold_their_level() {
    let draws = 400;
    for rho in [0.0, 0.15, 0.30] {
        let parts = [(6.0, 0.10), (3.0, 0.40), (1.0, 0.85)];
        let truth = parts.iter().map(|(area, share)| area / 10.0 * share).sum();
        let fields = parts.map(|(_, share)| Cells {
            spots: 4,
            cells: 25,
            share,
            rho,
        });
        let mut draw = fields.map(Cells::draw);
        let mut ours = [0.0; 2];
        for _ in 0..draws {
            let mut drawn = Vec::new();
            for ((field, draw), (area, _)) in fields.iter().zip(&mut draw).zip(parts) {
                drawn.push(Part {
                    area,
                    whole_units: None,
                    units: field.units(draw),
                });
            }
            for (sum, level) in ours.iter_mut().zip(LEVELS) {
                let limits = frequency(&drawn, level).unwrap().limits.unwrap();
                *sum += f64::from(u8::from(limits.interval.contains(truth)));
            }
        }
        hold_their_level(ours.map(|sum| sum / f64::from(draws)), draws, &fields);
    }
}

#[test]
fn densities_over_parts_hold_their_level() {
    let draws = 400;
    for k in [1.0, 5.0] {
        let parts = [(6.0, 1.0), (3.0, 4.0), (1.0, 12.0)];
        let truth = parts.iter().map(|(area, mean)| area / 10.0 * mean).sum();
        let fields = parts.map(|(_, mean)| Plants { spots: 5, mean, k });
        let mut draw = fields.map(Plants::draw);
        let mut ours = [0.0; 2];
        for _ in 0..draws {
            let mut drawn = Vec::new();
            for ((field, draw), (area, _)) in fields.iter().zip(&mut draw).zip(parts) {
                drawn.push(Part {
                    area,
                    whole_units: None,
                    units: field.units(draw),
                });
            }
            for (sum, level) in ours.iter_mut().zip(LEVELS) {
                let limits = density(&drawn, level).unwrap().limits.unwrap();
                *sum += f64::from(u8::from(limits.interval.contains(truth)));
            }
        }
        hold_their_level(ours.map(|sum| sum / f64::from(draws)), draws, &fields);
    }
}
