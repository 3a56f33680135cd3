//! One answer and the next look on a compact table.
//!
//! In: evidence and a situation. Out: probabilities (32-bit), looks. Which answers count and how much
//! is asked of `posterior::contributions` on the table without rows, so that it cannot drift.
//!
//! The pass over looks is whole-number arithmetic: probabilities as 16-bit weights with one
//! scale for 256 rows, times bytes, summed in 32 bits. Every x86-64 machine has one instruction for
//! eight such products (PMADDWD of SSE2), which the compiler uses without `unsafe` and without being
//! told of the machine; on others the same code is merely slower.

use crate::evidence::{Evidence, Reading, Situation};
use crate::information::plogp;
use crate::look_next::{Look, TAP_S, WORTHLESS_BITS, can_look, told_of_set};
use crate::outcome::Planted;
use crate::posterior::contributions;
use crate::table::Table;

use super::code::most_entropy;
use super::{BLOCK, Wide};

/// Probabilities as whole numbers, a scale for every block.
struct Weights {
    whole: Vec<i16>,
    scale: Vec<f64>,
}

/// So many columns are read side by side: one alone waits for memory at the end of every page.
const STREAMS: usize = 8;

/// A row of a hypothesis of the count's question that has to be summed by itself.
struct Single {
    place: usize,
    p: f64,
    part: usize,
}

impl Wide {
    /// Probabilities of the rows given evidence; they sum to 1. Error: `answer_error` for each
    /// answer, in the log, before normalising; so of m answers of weight 1 the odds of two rows
    /// are right within a factor exp(2 m `answer_error`).
    pub fn posterior(&self, evidence: &Evidence) -> Vec<f32> {
        let mut log = self.log_prior.clone();
        let all = contributions(&self.frame, evidence);
        let earned = self.frame.modelling.earned(all.len());
        for one in &all {
            let at = one.answer.trait_index;
            let set = self.frame.set_of(at);
            let m = set.map_or(1, |(traits, _)| {
                all.iter()
                    .filter(|c| traits.contains(&c.answer.trait_index))
                    .count()
            });
            let weight = earned * self.frame.weight(at, m);
            match &one.answer.reading {
                Reading::CannotTell => {}
                Reading::Measure(value) => {
                    if let Some(bins) = &self.frame.traits[at].bins {
                        self.add(&mut log, self.first[at] + bins.bin_of(*value), weight);
                    }
                }
                Reading::States(states) => match states.as_slice() {
                    [one] => self.add(&mut log, self.first[at] + one, weight),
                    several => self.add_several(&mut log, at, several, weight),
                },
            }
        }
        normalise(&mut log);
        log
    }

    /// Adds one column: a byte, two conversions, a multiplication and an addition a row.
    fn add(&self, log: &mut [f32], column: usize, weight: f64) {
        let step = -(self.steps.step() * weight) as f32;
        for (rows, start) in log.chunks_mut(self.tile).zip((0..).step_by(self.tile)) {
            let place = self.place(start, column);
            for (total, byte) in rows.iter_mut().zip(&self.answers[place..place + self.tile]) {
                *total += step * f32::from(*byte);
            }
        }
    }

    /// Several states in one answer, as `posterior` takes them.
    fn add_several(&self, log: &mut [f32], at: usize, states: &[usize], weight: f64) {
        let both_weight = self.frame.modelling.both;
        let n = states.len() as f64;
        for (row, total) in log.iter_mut().enumerate() {
            let (mut mean, mut logs) = (0.0, 0.0);
            for state in states {
                let byte = self.answers[self.place(row, self.first[at] + state)];
                let ln = self.steps.ln_of(byte);
                mean += ln.exp() / n;
                logs += ln / n;
            }
            let chance = (1.0 - both_weight) * mean + both_weight * logs.exp();
            *total += (weight * chance.ln()) as f32;
        }
    }

    /// What every look that can be taken now is worth, best first: deciding traits, then by bits
    /// per second. `part`: for every row its hypothesis of the count's question (0 planted, 1 other,
    /// 2 not in this key; [`parts`]). `leave_out`: summed probability, 0 to 1, of the least likely
    /// blocks of 256 rows that may be skipped; with 0 nothing is.
    ///
    /// Errors, bits: [`Wide::look_error_bits`] from the bytes; skipping a mass d adds at most
    /// 4 (d ln 3n + h(d)) / ln 2 for a trait of n states. The weights of rows are rounded, each by at
    /// most 1/65,534 of the likeliest of its block; the same bound holds with d the sum of that, at
    /// worst 0.004. Met in `tests/wide.rs`, all together: 0.01 bits.
    pub fn looks(
        &self,
        posterior: &[f32],
        evidence: &Evidence,
        situation: &Situation,
        part: &[u8],
        leave_out: f64,
    ) -> Vec<Look> {
        let weights = self.weigh(posterior, leave_out);
        let traits: Vec<usize> = (0..self.frame.traits.len())
            .filter(|&at| can_look(&self.frame, at, evidence, situation))
            .collect();
        let mut shares = [0.0; 3];
        for (row, (whole, part)) in weights.whole.iter().zip(part).enumerate() {
            shares[usize::from(*part).min(2)] += f64::from(*whole) * weights.scale[row / BLOCK];
        }
        let sums = self.sums(&weights, &traits, part);
        let mut looks: Vec<Look> = traits
            .iter()
            .map(|&at| self.worth(at, evidence, &sums, shares))
            .filter(|look| look.bits_name + look.bits_planted > WORTHLESS_BITS)
            .collect();
        let decides = |l: &Look| self.frame.traits[l.trait_index].decides;
        looks.sort_by(|a, b| {
            decides(b)
                .cmp(&decides(a))
                .then(b.bits_per_second.total_cmp(&a.bits_per_second))
                .then(a.trait_index.cmp(&b.trait_index))
        });
        looks
    }

    /// For every column the sum of probability x byte: of all rows, of planted, of not in key.
    fn sums(&self, weights: &Weights, traits: &[usize], part: &[u8]) -> Vec<[f64; 3]> {
        let mut sums = vec![[0.0; 3]; self.n_columns()];
        let n_blocks = self.tile / BLOCK;
        let (whole, _) = weights.whole.as_chunks::<BLOCK>();
        // The smaller of planted and other is summed row by row; the larger follows.
        let apart = usize::from(2 * part.iter().filter(|p| **p == 0).count() > part.len());
        for (tile, columns) in self
            .looks
            .chunks_exact(self.tile * self.n_columns())
            .enumerate()
        {
            let blocks: Vec<(usize, f64, &[i16; BLOCK])> = (0..n_blocks)
                .map(|b| (b, tile * n_blocks + b))
                .filter(|(_, block)| weights.scale[*block] > 0.0)
                .map(|(b, block)| (b, weights.scale[block], &whole[block]))
                .collect();
            if blocks.is_empty() {
                continue;
            }
            let start = tile * self.tile;
            let rows = start..(start + self.tile).min(self.n_rows());
            let singles: Vec<Single> = rows
                .map(|row| (row, usize::from(part.get(row).copied().unwrap_or(1))))
                .filter(|(row, part)| (*part == apart || *part == 2) && weights.whole[*row] > 0)
                .map(|(row, part)| Single {
                    place: row - start,
                    p: f64::from(weights.whole[row]) * weights.scale[row / BLOCK],
                    part: if part == 2 { 2 } else { 1 },
                })
                .collect();
            let (byte_blocks, _) = columns.as_chunks::<BLOCK>();
            for &at in traits {
                let of_trait: Vec<usize> = (self.first[at]..self.first[at + 1]).collect();
                for side_by_side in of_trait.chunks(STREAMS) {
                    for (block, scale, rows) in &blocks {
                        for &column in side_by_side {
                            let bytes = &byte_blocks[column * n_blocks + block];
                            sums[column][0] += scale * f64::from(dot(rows, bytes));
                        }
                    }
                }
                for column in of_trait {
                    for one in &singles {
                        let byte = columns[column * self.tile + one.place];
                        sums[column][one.part] += one.p * f64::from(byte);
                    }
                }
            }
        }
        for sum in &mut sums {
            let rest = (sum[0] - sum[1] - sum[2]).max(0.0);
            *sum = if apart == 0 {
                [sum[1], rest, sum[2]]
            } else {
                [rest, sum[1], sum[2]]
            };
        }
        sums
    }

    fn worth(&self, at: usize, evidence: &Evidence, sums: &[[f64; 3]], shares: [f64; 3]) -> Look {
        let columns = &sums[self.first[at]..self.first[at + 1]];
        let n = columns.len();
        let out_of = f64::from(self.out_of[at]);
        let total: f64 = shares.iter().sum();
        let within = columns[n - 1].iter().sum::<f64>() * most_entropy(n) / 255.0 / total;
        let mut last = shares;
        let (mut all, mut within_parts) = (0.0, 0.0);
        let mut tell = |joint: [f64; 3]| {
            all -= plogp(joint.iter().sum::<f64>() / total);
            for (j, share) in joint.iter().zip(shares).filter(|(_, share)| *share > 0.0) {
                within_parts -= plogp(j / share) * share / total;
            }
        };
        for column in &columns[..n - 1] {
            let joint = column.map(|sum| sum / out_of);
            for (rest, j) in last.iter_mut().zip(joint) {
                *rest = (*rest - j).max(0.0);
            }
            tell(joint);
        }
        tell(last);
        let m = told_of_set(&self.frame, at, evidence) + 1;
        let bits = self.frame.weight(at, m) / std::f64::consts::LN_2;
        let bits_name = ((all - within) * bits).max(0.0);
        let bits_planted = ((all - within_parts) * bits).max(0.0);
        let seconds = f64::from(self.frame.traits[at].effort_s) + TAP_S;
        Look {
            trait_index: at,
            bits_name,
            bits_planted,
            bits_per_second: (bits_name + bits_planted) / seconds,
        }
    }

    /// Whole-number weights, padded to whole tiles. A row is off by at most half of 1/32,767 of the
    /// likeliest in its block.
    fn weigh(&self, posterior: &[f32], leave_out: f64) -> Weights {
        let n = self.n_rows().div_ceil(self.tile) * self.tile;
        let mut whole = vec![0; n];
        let mut scale = vec![0.0; n / BLOCK];
        let skip = least_likely(posterior, leave_out);
        for (block, rows) in posterior.chunks(BLOCK).enumerate() {
            let most = rows.iter().copied().fold(0.0_f32, f32::max);
            if most <= f32::MIN_POSITIVE * 32_767.0 || skip.get(block) == Some(&true) {
                continue;
            }
            let up = 32_767.0 / most;
            for (weight, p) in whole[block * BLOCK..].iter_mut().zip(rows) {
                *weight = (p * up + 0.5) as i16;
            }
            scale[block] = f64::from(most) / 32_767.0;
        }
        Weights { whole, scale }
    }
}

/// For every row of a table, which hypothesis of the count's question it belongs to.
pub fn parts(table: &Table, planted: Planted) -> Vec<u8> {
    (0..table.rows.len())
        .map(|row| match planted.contains(table, row) {
            _ if Some(row) == table.not_in_key() => 2,
            true => 0,
            false => 1,
        })
        .collect()
}

/// Which blocks may be skipped: the least likely, as long as together they hold no more than
/// `leave_out`.
fn least_likely(posterior: &[f32], leave_out: f64) -> Vec<bool> {
    if leave_out <= 0.0 {
        return Vec::new();
    }
    let mass: Vec<f64> = posterior
        .chunks(BLOCK)
        .map(|rows| rows.iter().map(|p| f64::from(*p)).sum())
        .collect();
    let mut order: Vec<usize> = (0..mass.len()).collect();
    order.sort_by(|a, b| mass[*a].total_cmp(&mass[*b]));
    let mut skip = vec![false; mass.len()];
    let mut left = leave_out;
    for block in order {
        left -= mass[block];
        if left < 0.0 {
            break;
        }
        skip[block] = true;
    }
    skip
}

/// The sum of weight x byte over one block.
///
/// Two halves side by side and sixteen sums: in this shape the compiler uses the instruction for
/// eight products on any x86-64. Measured on one core, cells in the first caches: 23 cells a
/// nanosecond, against 7 of the plain sum and 7 of 32-bit floats (32 and 22 where AVX-512 may be used);
/// memory gives 10.
#[inline]
fn dot(weights: &[i16; BLOCK], bytes: &[u8; BLOCK]) -> i32 {
    const SUMS: usize = 16;
    let mut sums = [0_i32; SUMS];
    let (w, x) = weights.split_at(BLOCK / 2);
    let (b, c) = bytes.split_at(BLOCK / 2);
    let first = w.chunks_exact(SUMS).zip(b.chunks_exact(SUMS));
    let second = x.chunks_exact(SUMS).zip(c.chunks_exact(SUMS));
    for ((w, b), (x, c)) in first.zip(second) {
        for i in 0..SUMS {
            sums[i] += i32::from(w[i]) * i32::from(b[i]) + i32::from(x[i]) * i32::from(c[i]);
        }
    }
    sums.iter().sum()
}

fn normalise(log: &mut [f32]) {
    let top = log.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    if top == f32::NEG_INFINITY {
        // Only where every prior is zero: nothing is known.
        let even = 1.0 / log.len() as f32;
        log.iter_mut().for_each(|p| *p = even);
        return;
    }
    let mut total = 0.0_f64;
    for p in log.iter_mut() {
        *p = (*p - top).exp();
        total += f64::from(*p);
    }
    let share = (1.0 / total) as f32;
    log.iter_mut().for_each(|p| *p *= share);
}
