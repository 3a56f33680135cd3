//! The exact least expected effort of naming one of a few taxa, by dynamic programming.
//!
//! In: taxa with their shares, questions with their effort in seconds and one state for every
//! taxon. Out: expected seconds (or looks, with every effort 1). A state of the search is the
//! set of taxa still possible, as bits; the least effort of a set is the least, over the
//! questions that part it, of the question's effort and the least efforts of its parts. So
//! every order of looks that can be thought of is gone through: 2^14 sets at most.
//!
//! Sources: the recurrence is that of Garey 1972, *Optimal binary identification procedures*,
//! SIAM J. Appl. Math. 23 (from memory); the bound below is Shannon's.

/// Chooses the next question from the answers so far (question, state) and the taxa left, as bits.
pub type Ask<'a> = dyn FnMut(&[(usize, usize)], u32) -> usize + 'a;

/// Taxa, questions and answers without error.
#[derive(Debug, Clone)]
pub struct Problem {
    /// Share of every taxon; sums to 1.
    pub shares: Vec<f64>,
    /// Effort of every question, seconds.
    pub effort_s: Vec<f64>,
    /// `states[question][taxon]`, below 32.
    pub states: Vec<Vec<usize>>,
}

impl Problem {
    /// All taxa, as bits.
    pub fn everyone(&self) -> u32 {
        (1_u32 << self.shares.len()) - 1
    }

    /// The same with every effort at `effort_s` seconds.
    pub fn with_even_effort(&self, effort_s: f64) -> Problem {
        Problem {
            effort_s: vec![effort_s; self.effort_s.len()],
            ..self.clone()
        }
    }

    /// The parts into which a question parts a set; one part if it does not.
    pub fn parts(&self, question: usize, set: u32) -> Vec<u32> {
        let mut by_state = [0_u32; 32];
        for (taxon, &state) in self.states[question].iter().enumerate() {
            by_state[state] |= set & (1 << taxon);
        }
        by_state.into_iter().filter(|part| *part != 0).collect()
    }

    /// Least expected effort, seconds; infinite when some taxa can't be told apart.
    pub fn optimum(&self) -> f64 {
        let mut known = vec![f64::NAN; 1 << self.shares.len()];
        self.least(self.everyone(), &mut known)
    }

    fn share(&self, set: u32) -> f64 {
        let within = |taxon: &usize| set & (1 << taxon) != 0;
        let taxa = (0..self.shares.len()).filter(within);
        taxa.map(|taxon| self.shares[taxon]).sum()
    }

    fn least(&self, set: u32, known: &mut [f64]) -> f64 {
        if set.count_ones() <= 1 {
            return 0.0;
        }
        if !known[set as usize].is_nan() {
            return known[set as usize];
        }
        let share = self.share(set);
        let mut least = f64::INFINITY;
        for question in 0..self.states.len() {
            let parts = self.parts(question, set);
            if parts.len() > 1 {
                let after: f64 = parts.into_iter().map(|part| self.least(part, known)).sum();
                least = least.min(share * self.effort_s[question] + after);
            }
        }
        known[set as usize] = least;
        least
    }

    /// No way of asking needs fewer expected looks: the entropy of the taxa over that of the
    /// richest answer possible.
    pub fn fewest_looks(&self) -> f64 {
        let entropy: f64 = self.shares.iter().map(|p| -p * p.log2()).sum();
        let most = (0..self.states.len())
            .map(|question| self.parts(question, self.everyone()).len())
            .max();
        entropy / (most.unwrap_or(2).max(2) as f64).log2()
    }

    /// Expected effort when `ask` chooses each question from the answers so far (question,
    /// state), seconds. Panics if it asks what parts nothing.
    pub fn effort_of(&self, ask: &mut Ask) -> f64 {
        self.follow(ask, &mut Vec::new(), self.everyone())
    }

    fn follow(&self, ask: &mut Ask, answers: &mut Vec<(usize, usize)>, set: u32) -> f64 {
        if set.count_ones() <= 1 {
            return 0.0;
        }
        let question = ask(answers, set);
        let repeated = answers.iter().any(|(q, _)| *q == question);
        assert!(!repeated, "question {question} is asked twice");
        let mut effort = self.share(set) * self.effort_s[question];
        for part in self.parts(question, set) {
            let taxon = part.trailing_zeros() as usize;
            answers.push((question, self.states[question][taxon]));
            effort += self.follow(ask, answers, part);
            answers.pop();
        }
        effort
    }
}
