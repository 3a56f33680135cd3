//! The numbers behind the table: every choice of modelling in one place, with where it comes
//! from.
//!
//! In: nothing. Out: [`Modelling`], as shipped by `Default`, or altered by an evaluation that
//! asks what one of them is worth. A table is traced back to these, to the key's cells and to
//! the key's misreading rates; there is nothing else in it.

use serde::Serialize;
use standbook_key::Often;

/// Every number that the compiling of a table uses beside the key itself.
///
/// *Convention* marks what is a choice of this project; *fitted* what was set by leaving out
/// one source after another (`cargo xtask evaluate`) and walking its descriptions.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Modelling {
    /// Share of plants that `usually` stands for, 0 to 1 (fitted; 0.8 to 0.95 are as good).
    pub usually: f64,
    /// The same of `sometimes` (fitted: less than the word seems to say, since most such words
    /// stand beside a plainer statement).
    pub sometimes: f64,
    /// The same of `rarely` (convention).
    pub rarely: f64,
    /// Share of a source's statement that even `always` leaves open (convention).
    pub left_open: f64,
    /// How much a statement about seedlings counts against one of any age (convention).
    pub seedling: f64,
    /// How much the compilers' memory counts against a published source (convention).
    pub memory: f64,
    /// How many statements' worth the kin of a taxon count in its cell (fitted).
    pub kin: f64,
    /// How many taxa's worth of the group each genus is drawn towards (convention).
    pub pull_genus: f64,
    /// How many taxa's worth of the key each group is drawn towards (convention).
    pub pull_group: f64,
    /// How many taxa's worth of *every state alike* the key is drawn towards (convention).
    pub pull_key: f64,
    /// Standard deviation of a measure's shoulders, ln units (fitted).
    pub shoulder: f64,
    /// The low end of a range of grown plants is taken times this (fitted).
    pub reach_grown: f64,
    /// The same where a source does not say how old its plants were (fitted).
    pub reach_undated: f64,
    /// Of a misreading rate, the share that goes to the states named as easily mixed up
    /// (convention).
    pub near: f64,
    /// Share of looks in which any state at all may be reported, by a slip of the finger or the
    /// wrong plant; it comes on top of misreading, which was counted between descriptions
    /// (convention: without it one blunder outweighs three good looks).
    pub slip: f64,
    /// Prior share of *not in this key* (convention: one plant in twenty, since a weedy field
    /// holds grasses that no key of 52 taxa lists).
    pub outside: f64,
    /// All answers together count as so many more than there are, at least [`FEWEST`] taken to be
    /// there (fitted: without it the book said 0.29 and was right in 0.47 of such descriptions,
    /// 0.49 and 0.69; with it 0.30 and 0.30, 0.49 and 0.60). The chances of the table are those of
    /// one look by itself, blurred wherever sources differ; the looks of one plant agree better
    /// with one another than that.
    pub agreement: f64,
    /// Of several states seen on one plant, the weight of *both are right* against *one is*
    /// (convention).
    pub both: f64,
}

/// The fewest answers that [`Modelling::agreement`] was fitted on are four to five; fewer count no
/// more than that, each.
pub const FEWEST: f64 = 5.0;

impl Default for Modelling {
    fn default() -> Self {
        Modelling {
            usually: 0.85,
            sometimes: 0.1,
            rarely: 0.05,
            left_open: 0.03,
            seedling: 1.5,
            memory: 0.7,
            kin: 0.5,
            pull_genus: 2.0,
            pull_group: 2.0,
            pull_key: 2.0,
            shoulder: 0.12,
            reach_grown: 1.0,
            reach_undated: 1.0,
            near: 0.75,
            slip: 0.02,
            outside: 0.05,
            agreement: 2.5,
            both: 0.5,
        }
    }
}

impl Modelling {
    /// How many times over n answers count together: (n + agreement) / n, 1 at least.
    pub fn earned(&self, n: usize) -> f64 {
        1.0 + self.agreement / (n as f64).max(FEWEST)
    }

    /// The share of plants that a frequency word stands for.
    pub fn share_of(&self, often: Often) -> f64 {
        match often {
            Often::Always => 1.0,
            Often::Usually => self.usually,
            Often::Sometimes => self.sometimes,
            Often::Rarely => self.rarely,
        }
    }
}
