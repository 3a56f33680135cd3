//! The table at one byte a cell, for floras of any size: one answer and the next look over
//! 350,000 taxa in the time of a blink.
//!
//! In: a [`Table`], or chances row by row, so that a large flora never exists as 64-bit numbers.
//! Out: the same probabilities and looks as `posterior` and `look_next`, within errors that are
//! stated below. Rows and traits keep their order.
//!
//! Two codes, each a byte a cell, since the two uses want different things:
//! * *answers*: minus the log of the chance in equal steps. An answer reads one column. Largest
//!   error: half a step ([`Wide::answer_error`], nats) at chances from the table's smallest up;
//! * *looks*: the chance itself, as a whole number out of the trait's `out_of`. The numbers of a row
//!   sum to `out_of`, so the last state follows from the others, and its place holds the row's
//!   entropy. Largest error of a gain: [`Wide::look_error_bits`].
//!
//! Layout: tiles of up to 4,096 rows; in a tile every column is contiguous, in trait order, so that a
//! pass over all looks is one forward read of memory while the weights of the tile stay in the
//! first cache. Deliberately absent: reasons, couplets; `unsafe`, and instructions that not every machine has.

mod code;
mod walk;

use crate::table::Table;
use code::{Steps, entropy_byte, even_out};

pub use walk::parts;

/// Rows of a tile at most: its weights (2 bytes a row) fill a sixth of a 48 KB first cache.
const TILE: usize = 4096;

/// Rows that share one scale of weights. With 256, a sum of weight x byte fits 32 bits:
/// 256 x 32,767 x 255 < 2^31.
const BLOCK: usize = 256;

/// A compact table.
#[derive(Debug, Clone)]
pub struct Wide {
    /// Traits, sets and modelling; no rows.
    frame: Table,
    log_prior: Vec<f32>,
    tile: usize,
    /// First column of every trait, and one past the last.
    first: Vec<usize>,
    /// For every trait, what its look bytes sum to in a row.
    out_of: Vec<u32>,
    steps: Steps,
    /// `[tile][column][row]`.
    answers: Vec<u8>,
    /// The same shape; the last column of a trait holds entropies.
    looks: Vec<u8>,
}

/// The same table without its rows: what is known of the traits.
pub fn frame_of(table: &Table) -> Table {
    let mut frame = table.clone();
    frame.rows.clear();
    frame.log_prior.clear();
    for columns in &mut frame.traits {
        columns.columns.iter_mut().for_each(Vec::clear);
        columns.chances.iter_mut().for_each(Vec::clear);
        columns.row_entropy.clear();
    }
    frame
}

impl Wide {
    /// An empty form to be filled by [`Wide::set`]; `frame` is a table whose traits have their
    /// states but no rows ([`frame_of`]). `log_prior`: one natural log for every row. `least`: the
    /// smallest chance worth telling apart, above 0 and below 1; smaller ones count as it. `most`: for
    /// every trait its largest chance, 0 to 1; 1 where not known.
    pub fn empty(frame: Table, log_prior: Vec<f32>, least: f64, most: &[f64]) -> Wide {
        let mut first = vec![0];
        for columns in &frame.traits {
            first.push(first[first.len() - 1] + columns.chances.len());
        }
        let tile = log_prior.len().next_multiple_of(BLOCK).clamp(BLOCK, TILE);
        let n = log_prior.len().div_ceil(tile) * tile * first[first.len() - 1];
        // The largest chance gets the largest byte; many-binned measures gain by it.
        let out_of = (0..frame.traits.len())
            .map(|at| 255.0 / most.get(at).copied().unwrap_or(1.0).clamp(0.01, 1.0))
            .map(|scale| scale as u32)
            .collect();
        Wide {
            frame,
            log_prior,
            tile,
            first,
            out_of,
            steps: Steps::down_to(least),
            answers: vec![0; n],
            looks: vec![0; n],
        }
    }

    /// Sets one row of one trait from the chances of its states, which sum to 1. A row or trait
    /// that does not exist, or another number of states, changes nothing and gives `false`.
    pub fn set(&mut self, row: usize, trait_index: usize, chances: &[f64]) -> bool {
        if row >= self.log_prior.len()
            || trait_index >= self.out_of.len()
            || chances.len() != self.first[trait_index + 1] - self.first[trait_index]
            || chances.is_empty()
        {
            return false;
        }
        let out_of = self.out_of[trait_index];
        let bytes = even_out(chances, out_of);
        let last = chances.len() - 1;
        for (state, chance) in chances.iter().enumerate() {
            let at = self.place(row, self.first[trait_index] + state);
            self.answers[at] = self.steps.byte_of(*chance);
            self.looks[at] = if state == last {
                entropy_byte(&bytes, out_of)
            } else {
                bytes[state]
            };
        }
        true
    }

    /// The compact form of a table.
    pub fn from_table(table: &Table) -> Wide {
        let all = table.traits.iter().flat_map(|t| t.chances.iter().flatten());
        let least = all.copied().filter(|p| *p > 0.0).fold(0.5, f64::min);
        let most: Vec<f64> = table
            .traits
            .iter()
            .map(|t| t.chances.iter().flatten().copied().fold(0.0, f64::max))
            .collect();
        let prior = table.log_prior.iter().map(|p| *p as f32).collect();
        let mut wide = Wide::empty(frame_of(table), prior, least, &most);
        for (at, columns) in table.traits.iter().enumerate() {
            for row in 0..table.rows.len() {
                let chances: Vec<f64> = columns.chances.iter().map(|c| c[row]).collect();
                wide.set(row, at, &chances);
            }
        }
        wide
    }

    /// Number of rows.
    pub fn n_rows(&self) -> usize {
        self.log_prior.len()
    }

    /// Bytes that the cells take, padding of the last tile included.
    pub fn bytes(&self) -> usize {
        self.answers.len() + self.looks.len()
    }

    /// The traits: a table without rows.
    pub fn frame(&self) -> &Table {
        &self.frame
    }

    /// Largest error of one answer's log-likelihood, nats, at chances not below the smallest.
    pub fn answer_error(&self) -> f64 {
        self.steps.step() / 2.0
    }

    /// Largest error of the expected information of a look at one trait, bits, from the bytes
    /// alone: rounding moves at most T = n / (4 `out_of`) of a row's chance between n states, and an
    /// entropy moves at most T ln(n - 1) + h(T) (Audenaert 2007, *J. Phys. A* 40, 8127); twice, for
    /// the entropy of the mean and the mean of entropies, and half a byte of entropy. A bound, seldom
    /// approached: what is met is printed by `tests/wide.rs`.
    pub fn look_error_bits(&self, trait_index: usize) -> f64 {
        let n = (self.first[trait_index + 1] - self.first[trait_index]) as f64;
        let moved = (n / (4.0 * f64::from(self.out_of[trait_index]))).min(0.5);
        let h = -(moved * moved.ln() + (1.0 - moved) * (1.0 - moved).ln());
        let entropy = moved * (n - 1.0).max(1.0).ln() + h;
        (2.0 * entropy + n.ln() / 510.0) / std::f64::consts::LN_2
    }

    fn n_columns(&self) -> usize {
        self.first[self.first.len() - 1]
    }

    fn place(&self, row: usize, column: usize) -> usize {
        ((row / self.tile) * self.n_columns() + column) * self.tile + row % self.tile
    }
}
