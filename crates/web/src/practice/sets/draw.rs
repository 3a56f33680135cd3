//! Which plants a field test shows: what was sown, what that is mistaken for, and weeds.
//!
//! In: what is asked about in a planting (`asked`), how many specimens each part has, a seed. Out: taxa with
//! a specimen's seed each, the same for ever.
//!
//! The rule: half of a part is planted, two thirds of the rest are look-alikes, what is left is other
//! weeds; a name comes again only after every other of its kind. Source of the shares: none, a choice.

use standbook_key::{Key, Role};
use standbook_plan::shuffle;

use crate::practice::asked::Asked;

/// Names that a test can draw from, by what they are in the planting; each in the order of their ids.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Pool {
    /// Sown here, and in the key.
    pub planted: Vec<String>,
    /// What that may be taken for.
    pub alike: Vec<String>,
    /// Weeds of the key that are neither.
    pub others: Vec<String>,
}

impl Pool {
    /// Of what is asked about in a planting.
    pub fn of(key: &Key, asked: &Asked) -> Pool {
        let ids = key.taxa.iter().map(|taxon| (taxon.id.as_str(), taxon.role));
        let others = ids.filter(|(id, role)| {
            *role == Role::Weed && !asked.planted.contains(*id) && !asked.others.contains(*id)
        });
        Pool {
            planted: asked.planted.iter().cloned().collect(),
            alike: asked.others.iter().cloned().collect(),
            others: others.map(|(id, _)| id.to_owned()).collect(),
        }
    }
}

/// A plant to be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Specimen {
    /// What it is, id of a taxon.
    pub taxon: String,
    /// Which plant of it.
    pub seed: u32,
}

/// Names of one kind in an order by chance; after the last comes the first again.
struct Bag {
    names: Vec<String>,
    at: usize,
}

impl Bag {
    fn of(names: &[String], seed: u32) -> Bag {
        let mut names = names.to_vec();
        shuffle(&mut names, seed);
        Bag { names, at: 0 }
    }

    fn take(&mut self) -> Option<String> {
        let name = self.names.get(self.at % self.names.len().max(1))?.clone();
        self.at += 1;
        Some(name)
    }
}

/// How many of a part are planted, look-alikes, others.
fn shares(many: usize) -> [usize; 3] {
    let planted = many.div_ceil(2);
    let alike = ((many - planted) * 2).div_ceil(3);
    [planted, alike, many - planted - alike]
}

/// Draws the parts of a test, of so many specimens each; the first is the specimen of the seed itself, those
/// after it of the numbers that follow, so that a test says which draw it is. A kind that has no name is made up for by the
/// others; an empty pool gives empty parts.
pub(super) fn draw(pool: &Pool, parts: &[usize], seed: u32) -> Vec<Vec<Specimen>> {
    let kinds = [&pool.planted, &pool.alike, &pool.others];
    // Neighbouring seeds have nothing to do with each other, and a plant's chance none with an order's.
    let mut orders = (0..).map(|step| seed.wrapping_add(step));
    let mut plants = orders.clone();
    let mut next_order = || orders.next().unwrap_or_default();
    let mut bags = kinds.map(|names| Bag::of(names, next_order()));
    let mut drawn = Vec::new();
    for many in parts {
        let mut names = Vec::new();
        for (kind, wanted) in shares(*many).into_iter().enumerate() {
            for _ in 0..wanted {
                // Its own kind first, then the next ones.
                let found = (0..bags.len()).find_map(|on| bags[(kind + on) % 3].take());
                names.extend(found);
            }
        }
        shuffle(&mut names, next_order());
        let part = names.into_iter().zip(&mut plants);
        drawn.push(part.map(|(taxon, seed)| Specimen { taxon, seed }).collect());
    }
    drawn
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(of: &[&str]) -> Vec<String> {
        of.iter().map(|name| (*name).to_owned()).collect()
    }

    fn pool() -> Pool {
        Pool {
            planted: names(&["a", "b", "c"]),
            alike: names(&["x", "y"]),
            others: names(&["w"]),
        }
    }

    fn counted(part: &[Specimen], kind: &[String]) -> usize {
        part.iter().filter(|one| kind.contains(&one.taxon)).count()
    }

    #[test]
    fn half_is_planted_and_no_plant_comes_twice() {
        let pool = pool();
        let parts = draw(&pool, &[10, 20], 7);
        for (part, [planted, alike, others]) in parts.iter().zip([[5, 4, 1], [10, 7, 3]]) {
            assert_eq!(counted(part, &pool.planted), planted);
            assert_eq!(counted(part, &pool.alike), alike);
            assert_eq!(counted(part, &pool.others), others);
        }
        let seeds: Vec<u32> = parts.iter().flatten().map(|one| one.seed).collect();
        assert_eq!(seeds, (7..37).collect::<Vec<u32>>());
        // Three names share fifteen places: five each.
        let all: Vec<Specimen> = parts.into_iter().flatten().collect();
        for name in &pool.planted {
            assert_eq!(counted(&all, std::slice::from_ref(name)), 5, "{name}");
        }
    }

    #[test]
    fn the_same_seed_draws_the_same_and_another_another() {
        assert_eq!(draw(&pool(), &[10, 20], 7), draw(&pool(), &[10, 20], 7));
        assert_ne!(draw(&pool(), &[10, 20], 7), draw(&pool(), &[10, 20], 8));
        // The last seed of all is followed by the first.
        assert_eq!(draw(&pool(), &[3], u32::MAX)[0].len(), 3);
    }

    #[test]
    fn what_is_lacking_is_made_up_for() {
        let few = Pool {
            planted: names(&["a"]),
            ..Pool::default()
        };
        let parts = draw(&few, &[4, 0], 1);
        assert_eq!((counted(&parts[0], &few.planted), parts[1].len()), (4, 0));
        assert!(draw(&Pool::default(), &[4], 1)[0].is_empty());
    }
}
