//! Problems with a known best answer, so that the judge is judged.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::exact::Problem;

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9, "{a} and {b}");
}

/// Every question with two answers that there is, one second each.
fn all_yes_or_no(weights: &[u32]) -> Problem {
    let total = f64::from(weights.iter().sum::<u32>());
    let n = weights.len();
    let states: Vec<Vec<usize>> = (1..1_usize << (n - 1))
        .map(|yes| (0..n).map(|taxon| (yes >> taxon) & 1).collect())
        .collect();
    Problem {
        shares: weights.iter().map(|w| f64::from(*w) / total).collect(),
        effort_s: vec![1.0; states.len()],
        states,
    }
}

/// Total weighted depth of Huffman's tree.
fn huffman(weights: &[u32]) -> u32 {
    let mut open: BinaryHeap<Reverse<u32>> = weights.iter().copied().map(Reverse).collect();
    let mut cost = 0;
    while let (Some(Reverse(a)), Some(Reverse(b))) = (open.pop(), open.pop()) {
        cost += a + b;
        open.push(Reverse(a + b));
        if open.len() == 1 {
            break;
        }
    }
    cost
}

/// Where every yes-or-no question may be asked, the best way is Huffman's code (Huffman 1952;
/// Zimmerman 1959, *An optimal search procedure*; from memory). The six letters with 45, 13, 12,
/// 16, 9 and 5 in a hundred cost 2.24 questions each: the worked example of Cormen, Leiserson,
/// Rivest and Stein, *Introduction to Algorithms*, section 16.3 (from memory).
#[test]
fn all_questions_give_huffmans_code() {
    let letters = [45, 13, 12, 16, 9, 5];
    assert_eq!(huffman(&letters), 224);
    near(all_yes_or_no(&letters).optimum(), 2.24);
    let mut rng = fastrand::Rng::with_seed(1952);
    for n in [2, 3, 4, 5, 6, 7, 8, 9] {
        let weights: Vec<u32> = (0..n).map(|_| rng.u32(1..100)).collect();
        let total: u32 = weights.iter().sum();
        let best = f64::from(huffman(&weights)) / f64::from(total);
        near(all_yes_or_no(&weights).optimum(), best);
    }
}

/// Nine coins, one of them heavier, a balance: two weighings (an old puzzle). This is the entropy
/// bound itself: log 9 over log 3.
#[test]
fn nine_coins_take_two_weighings() {
    let states: Vec<Vec<usize>> = (0..3_usize.pow(9))
        .map(|code| (0..9).map(|coin| code / 3_usize.pow(coin) % 3).collect())
        .filter(|pans: &Vec<usize>| {
            let on = |pan: usize| pans.iter().filter(|p| **p == pan).count();
            on(1) == on(2) && on(1) > 0
        })
        .collect();
    let coins = Problem {
        shares: vec![1.0 / 9.0; 9],
        effort_s: vec![1.0; states.len()],
        states,
    };
    near(coins.optimum(), 2.0);
    near(coins.fewest_looks(), 2.0);
}

/// One question a taxon, "is it this one?": of n taxa 1, 2, ... n - 1, n - 1 questions.
#[test]
fn asking_one_by_one() {
    for n in 2..=14_usize {
        let states: Vec<Vec<usize>> = (0..n)
            .map(|asked| (0..n).map(|taxon| usize::from(taxon == asked)).collect())
            .collect();
        let problem = Problem {
            shares: vec![1.0 / n as f64; n],
            effort_s: vec![1.0; n],
            states,
        };
        near(
            problem.optimum(),
            ((n + 2) * (n - 1)) as f64 / (2 * n) as f64,
        );
    }
}

/// By hand: two looks of 4 s that part off one taxon each, 4 + 2/3 x 4 = 6 2/3 s, beside a dear
/// one that parts all three.
#[test]
fn a_dear_look_is_taken_when_it_is_worth_it() {
    let with = |dear: f64| Problem {
        shares: vec![1.0 / 3.0; 3],
        effort_s: vec![4.0, 4.0, dear],
        states: vec![vec![0, 1, 1], vec![1, 0, 1], vec![0, 1, 2]],
    };
    near(with(10.0).optimum(), 20.0 / 3.0);
    near(with(6.0).optimum(), 6.0);
    let mut twins = with(6.0);
    twins.states = vec![vec![0, 1, 1]; 3];
    assert!(twins.optimum().is_infinite());
}
