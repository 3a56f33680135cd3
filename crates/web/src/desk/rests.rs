//! What settling a plant would change: how likely the count has it wrong, and how many of the
//! visit's readings rest on that.
//!
//! In: the frames of a visit, its mix, a determination. Out: the share of readings that would turn
//! from planted to not planted, or the other way, and the chance that they should.
//!
//! A reading is a cell of a grid; where plants are counted instead, a plant. A reading rests on what
//! a scout calls a taxon when it would count otherwise were that name wrong: a cell with two planted
//! taxa rests on neither. One scout's readings of one taxon stand or fall together, since who takes
//! a foxtail for switchgrass once does so again.
//! Not here: whether the name is right (`names`, `replay`).

use std::collections::{BTreeSet, HashMap};

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Counted, Frame, FrameShape, Tally};

use crate::words::percent;

/// Readings of a visit by what they rest on.
#[derive(Debug, Default)]
pub(super) struct Rests {
    by: HashMap<(String, Counted), u32>,
    /// All readings.
    of: u32,
    /// Whether plants were counted anywhere, rather than cells.
    plants: bool,
    mix: BTreeSet<String>,
}

/// What settling one plant would change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Weight {
    /// Chance that the count has the plant on the wrong side, 0 to 1, by the scout's answers.
    pub wrong: f64,
    /// Readings that rest on its name.
    pub readings: u32,
    /// Readings of the visit.
    pub of: u32,
    /// Whether plants are among them, rather than cells only.
    pub plants: bool,
}

impl Weight {
    /// In words: how likely it is wrong, and what rests on it. Empty where nothing does.
    pub fn words(&self) -> String {
        if self.readings == 0 {
            return String::new();
        }
        let what = if self.plants { "readings" } else { "cells" };
        format!(
            "on the wrong side in {} of such plants; {} of {} {what} rest on it",
            percent(self.wrong),
            self.readings,
            self.of
        )
    }

    /// By how much the planted share may be expected to be off on account of it, 0 to 1.
    pub fn share(&self) -> f64 {
        match self.of {
            0 => 0.0,
            of => self.wrong * f64::from(self.readings) / f64::from(of),
        }
    }
}

impl Rests {
    /// Of a visit's frames. `known` gives the current id of an unknown.
    pub fn of<'f>(
        frames: impl Iterator<Item = &'f Frame>,
        mix: impl Iterator<Item = &'f str>,
        known: impl Fn(RecordId) -> RecordId,
    ) -> Rests {
        let mut rests = Rests {
            mix: mix.map(str::to_owned).collect(),
            ..Rests::default()
        };
        // A second reading of the same frame is no further reading.
        for frame in frames.filter(|frame| frame.repeats.is_none()) {
            let tallies = frame.tallies.iter().map(|tally| Tally {
                what: match &tally.what {
                    Counted::Unknown(id) => Counted::Unknown(known(*id)),
                    taxon => taxon.clone(),
                },
                ..tally.clone()
            });
            let tallies: Vec<Tally> = tallies.collect();
            match frame.shape {
                FrameShape::Grid { cells, .. } => {
                    rests.of += cells;
                    for cell in 1..=cells {
                        let held = tallies.iter().filter(|tally| tally.cell == Some(cell));
                        let held: BTreeSet<Counted> = held.map(|it| it.what.clone()).collect();
                        rests.add_cell(&frame.scout, &held);
                    }
                }
                FrameShape::Quadrat { .. } | FrameShape::Row { .. } => {
                    rests.plants = true;
                    for tally in tallies {
                        let plants = tally.plants.unwrap_or(1);
                        rests.of += plants;
                        rests.add(&frame.scout, tally.what, plants);
                    }
                }
            }
        }
        rests
    }

    fn add(&mut self, scout: &str, what: Counted, readings: u32) {
        *self.by.entry((scout.trim().to_owned(), what)).or_default() += readings;
    }

    fn add_cell(&mut self, scout: &str, held: &BTreeSet<Counted>) {
        let planted = held.iter().filter(|what| self.planted(what)).count();
        for what in held {
            // Were it wrong: the only planted one would leave the cell empty of planted grass; any
            // other would fill it.
            if planted == usize::from(self.planted(what)) {
                self.add(scout, what.clone(), 1);
            }
        }
    }

    fn planted(&self, what: &Counted) -> bool {
        matches!(what, Counted::Taxon(id) if self.mix.contains(id))
    }

    /// What settling a plant would change. `planted`: the probability of the mix, by the scout's
    /// answers; `unknown`: the current id of the unknown it was kept as.
    pub fn weight(
        &self,
        scout: &str,
        named: Option<&str>,
        planted: f64,
        unknown: Option<RecordId>,
    ) -> Weight {
        let planted = planted.clamp(0.0, 1.0);
        let (what, wrong) = match (unknown, named) {
            (Some(id), _) => (Some(Counted::Unknown(id)), planted.min(1.0 - planted)),
            (None, Some(taxon)) => {
                let right = match self.mix.contains(taxon) {
                    true => planted,
                    false => 1.0 - planted,
                };
                (Some(Counted::Taxon(taxon.to_owned())), 1.0 - right)
            }
            (None, None) => (None, planted.min(1.0 - planted)),
        };
        let readings = what.and_then(|what| match what {
            // An unknown is one plant to all who met it.
            Counted::Unknown(_) => {
                let all = self.by.iter().filter(|((_, held), _)| *held == what);
                Some(all.map(|(_, n)| n).sum())
            }
            Counted::Taxon(_) => self.by.get(&(scout.trim().to_owned(), what)).copied(),
        });
        Weight {
            wrong,
            readings: readings.unwrap_or(0),
            of: self.of,
            plants: self.plants,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MIX: [&str; 2] = ["panicum_virgatum", "sorghastrum_nutans"];

    fn taxon(id: &str) -> Counted {
        Counted::Taxon(id.to_owned())
    }

    fn frame(scout: &str, tallies: &[(u32, Counted)]) -> Frame {
        let tallies = tallies.iter().map(|(cell, what)| Tally {
            cell: Some(*cell),
            what: what.clone(),
            plants: None,
        });
        Frame {
            point: RecordId::new(),
            number: 1,
            scout: scout.to_owned(),
            shape: FrameShape::Grid {
                cells: 25,
                cell_side_cm: 15.0,
            },
            tallies: tallies.collect(),
            looked_twice: true,
            repeats: None,
        }
    }

    /// Worked by hand: two frames of 25 cells. Thea has switchgrass in three cells, in one of them
    /// with indiangrass; foxtail in two, in one of them with indiangrass.
    #[test]
    fn a_cell_rests_on_what_alone_decides_it() {
        let (switch, indian) = (taxon(MIX[0]), taxon(MIX[1]));
        let fox = taxon("setaria_faberi");
        let unknown = RecordId::new();
        let earlier = RecordId::new();
        let thea = frame(
            "Thea Marsh",
            &[
                (1, switch.clone()),
                (2, switch.clone()),
                (3, switch.clone()),
                (3, indian.clone()),
                (4, fox.clone()),
                (5, fox.clone()),
                (5, indian.clone()),
                (6, Counted::Unknown(earlier)),
            ],
        );
        let ivo = frame(
            "Ivo Lund",
            &[(1, switch.clone()), (6, Counted::Unknown(unknown))],
        );
        let again = Frame {
            repeats: Some(RecordId::new()),
            ..ivo.clone()
        };
        let now = |id| if id == earlier { unknown } else { id };
        let frames = [thea, ivo, again];
        let rests = Rests::of(frames.iter(), MIX.into_iter(), now);
        let weight = |scout: &str, named, unknown| {
            let one = rests.weight(scout, named, 0.8, unknown);
            assert_eq!(one.of, 50);
            (one.readings, (one.wrong * 1000.0).round() / 1000.0)
        };
        assert_eq!(weight("Thea Marsh", Some(MIX[0]), None), (2, 0.2));
        // Where indiangrass stands alone: in the cell that it shares with foxtail.
        assert_eq!(weight("Thea Marsh", Some(MIX[1]), None).0, 1);
        // Called foxtail, and yet the answers say switchgrass.
        assert_eq!(weight("Thea Marsh", Some("setaria_faberi"), None), (1, 0.8));
        assert_eq!(weight(" Ivo Lund", Some(MIX[0]), None), (1, 0.2));
        // Whoever met it, and whichever version their frames name.
        assert_eq!(weight("Nobody", Some(MIX[0]), Some(unknown)), (2, 0.2));
        assert_eq!(weight("Thea Marsh", None, None), (0, 0.2));
        let share = rests.weight("Thea Marsh", Some(MIX[0]), 0.8, None);
        assert!((share.share() - 0.2 * 2.0 / 50.0).abs() < 1e-12);
        assert_eq!(
            share.words(),
            "on the wrong side in 20 % of such plants; 2 of 50 cells rest on it"
        );
    }

    #[test]
    fn nothing_counted_gives_nothing_to_settle() {
        let rests = Rests::default();
        let weight = rests.weight("Thea Marsh", Some(MIX[0]), 0.5, None);
        assert_eq!((weight.share(), weight.words()), (0.0, String::new()));
    }
}
