//! Chance from a stored seed, the same for ever.
//!
//! In: a seed and the number of a stream. Out: whole numbers and permutations.
//!
//! Source: ChaCha with 20 rounds (RFC 8439 in its original form with a 64-bit stream number), whose
//! output is fixed by its definition. Only whole words are taken from the crate; how they become
//! choices stands here, so that no other library can change a draw.

use rand_chacha::ChaCha20Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// Fills the key beside the seed. Changing it changes every plan ever drawn: don't.
const TAG: &[u8; 28] = b"where to look in a field, v1";

/// A stream of choices.
pub(crate) struct Chance(ChaCha20Rng);

impl Chance {
    /// Streams of one seed know nothing of each other.
    pub(crate) fn new(seed: u32, stream: u64) -> Chance {
        let mut key = [0u8; 32];
        key[..4].copy_from_slice(&seed.to_le_bytes());
        key[4..].copy_from_slice(TAG);
        let mut rng = ChaCha20Rng::from_seed(key);
        rng.set_stream(stream);
        Chance(rng)
    }

    /// A word.
    pub(crate) fn word(&mut self) -> u32 {
        self.0.next_u32()
    }

    /// A whole number from 0 to `end` - 1, each as likely; 0 when `end` is 0.
    pub(crate) fn below(&mut self, end: u32) -> u32 {
        if end == 0 {
            return 0;
        }
        // Words beyond the last full turn would favour small numbers.
        let last = u32::MAX - (u32::MAX % end + 1) % end;
        loop {
            let word = self.word();
            if word <= last {
                return word % end;
            }
        }
    }

    /// A number from 0 to below 1, in steps of 2^-32.
    pub(crate) fn unit(&mut self) -> f64 {
        f64::from(self.word()) / 4_294_967_296.0
    }

    /// The items in an order by chance, each order as likely (Fisher and Yates).
    pub(crate) fn shuffle<T>(&mut self, items: &mut [T]) {
        for i in (1..items.len()).rev() {
            let j = self.below(u32::try_from(i + 1).unwrap_or(u32::MAX)) as usize;
            items.swap(i, j);
        }
    }
}

/// The stream of [`shuffle`], far from those of plans.
const SHUFFLE_STREAM: u64 = 1 << 32;

/// Puts items in an order by chance from a seed that is kept, each order as likely; the same for ever.
pub fn shuffle<T>(items: &mut [T], seed: u32) {
    Chance::new(seed, SHUFFLE_STREAM).shuffle(items);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pins the stream: if this fails, stored seeds draw other points than before.
    #[test]
    fn words_are_the_same_for_ever() {
        let mut chance = Chance::new(2_026, 0);
        let words: Vec<u32> = (0..4).map(|_| chance.word()).collect();
        assert_eq!(words, WORDS);
        assert_ne!(Chance::new(2_026, 1).word(), WORDS[0]);
        assert_ne!(Chance::new(2_027, 0).word(), WORDS[0]);
    }

    /// Keystream of ChaCha20 for this key, nonce 0, computed with a plain Python
    /// implementation of RFC 8439 (tests/files/check_draw.py).
    const WORDS: [u32; 4] = [430_948_328, 2_066_262_085, 1_705_485_211, 271_649_993];

    /// Pins what an audit draws from a seed; worked out with the plain Python of tests/files/check_draw.py
    /// (`words`, stream 2^32, Fisher and Yates from the end).
    #[test]
    fn an_order_is_the_same_for_ever() {
        let mut items = [0, 1, 2, 3, 4, 5, 6, 7];
        shuffle(&mut items, 2_026);
        assert_eq!(items, [5, 6, 4, 0, 3, 2, 7, 1]);
    }

    #[test]
    fn small_numbers_come_evenly() {
        let mut chance = Chance::new(1, 0);
        let mut seen = [0u32; 6];
        for _ in 0..60_000 {
            seen[chance.below(6) as usize] += 1;
        }
        // Standard deviation of each is 91.
        assert!(seen.iter().all(|&n| n.abs_diff(10_000) < 400), "{seen:?}");
        assert_eq!(chance.below(1), 0);
        assert_eq!(chance.below(0), 0);
    }

    #[test]
    fn every_order_is_as_likely() {
        let mut seen = std::collections::BTreeMap::new();
        for seed in 0..24_000 {
            let mut items = [0, 1, 2, 3];
            Chance::new(seed, 0).shuffle(&mut items);
            *seen.entry(items).or_insert(0u32) += 1;
        }
        assert_eq!(seen.len(), 24);
        // Standard deviation of each is 31.
        assert!(seen.values().all(|&n| n.abs_diff(1_000) < 140), "{seen:?}");
    }
}
