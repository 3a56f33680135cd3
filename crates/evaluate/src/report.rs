//! The whole evaluation of a key, and its table.
//!
//! In: a key, the numbers of its modelling, how thorough. Out: every score, as a small table
//! that is kept under `tests/` and read in review, with the headline numbers the ratchet holds.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use standbook_identify::{Modelling, Planted, Table, assess};
use standbook_key::{Key, LeafStage};

use crate::headline::{self, Headline};
use crate::outside::{Stranger, StrangerScore, strangers, typical_plants};
use crate::published::{Reach, descriptions, walk_unseen};
use crate::score::{Named, Score, Share};
use crate::scouts::{Guided, Nature, SKILLS, STAGES, Seen, full_walks, guided_walks};

/// Seed of everything drawn. Any would do; it stays, so that tables can be compared.
const SEED: u64 = 20_261_125;

/// How many plants are simulated of each taxon.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Thoroughness {
    /// Walks with every trait, for each taxon, skill and stage.
    pub full: usize,
    /// Guided walks, for each taxon, skill and stage.
    pub guided: usize,
}

impl Thoroughness {
    /// What `cargo xtask evaluate` and the ratchet use.
    pub const KEPT: Thoroughness = Thoroughness {
        full: 20,
        guided: 4,
    };
}

/// Simulated walks of one skill at one stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Simulated {
    /// The scout's skill.
    pub skill: &'static str,
    /// The plants' stage.
    pub stage: LeafStage,
    /// With every trait that was recorded and can be seen.
    pub full: Score,
    /// By *Look next at*.
    pub guided: Score,
    /// Mean looks of a guided walk.
    pub looks: f64,
    /// Mean seconds of looking of a guided walk.
    pub seconds: f64,
}

/// Everything measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Evaluation {
    /// Published descriptions, key without their source, supported traits.
    pub supported: Score,
    /// The same, every trait.
    pub whole: Score,
    /// Published descriptions of plants that are not in the key.
    pub strangers: StrangerScore,
    /// Typical plants, fully described, that are not in the key.
    pub typical_strangers: StrangerScore,
    /// Those of them that were settled: (the plant, the name), by common names.
    pub taken_for: Vec<(String, String)>,
    /// Simulated scouts.
    pub simulated: Vec<Simulated>,
    /// Pairs most often confused in the published descriptions and by careful scouts at few
    /// leaves: (true, said, times), by common names.
    pub confused: Vec<(String, String, usize)>,
    sizes: [usize; 4],
}

impl Evaluation {
    /// Measures everything.
    pub fn of(key: &Key, modelling: &Modelling, thoroughness: Thoroughness) -> Evaluation {
        let compile = |key: &Key| Table::compile_with(key, modelling);
        let table = compile(key);
        let walk = |reach| {
            let all = descriptions(key, &table, reach, SEED);
            walk_unseen(key, &all, compile, |table, description| {
                let said = assess(table, &description.evidence, Planted::ByRole);
                (
                    description.taxon,
                    Named::of(table, &said, description.taxon),
                )
            })
        };
        let supported = walk(Reach::Supported);
        let whole = walk(Reach::Whole);
        let all = descriptions(key, &table, Reach::Whole, SEED);
        let unknown = strangers(key, &table, &all, compile);
        let typical = strangers(key, &table, &typical_plants(key, &table), compile);
        let nature = Nature::of(key, &table);
        let mut simulated = Vec::new();
        let mut mistaken: Vec<(usize, Named)> = supported.clone();
        for skill in SKILLS {
            for stage in STAGES {
                let full = full_walks(
                    &table,
                    &nature,
                    skill,
                    stage,
                    Seen::Recorded,
                    thoroughness.full,
                    SEED,
                );
                let guided = guided_walks(&table, &nature, skill, stage, thoroughness.guided, SEED);
                if skill.name == "careful" && stage == LeafStage::FewLeaves {
                    let taxa = full.iter().enumerate();
                    mistaken
                        .extend(taxa.map(|(at, named)| (at / thoroughness.full.max(1), *named)));
                }
                simulated.push(simulated_of(skill.name, stage, &full, &guided));
            }
        }
        let only = |named: &[(usize, Named)]| -> Vec<Named> { named.iter().map(|x| x.1).collect() };
        let facts = |t: &standbook_key::Taxon| t.profile.values().map(Vec::len).sum::<usize>();
        Evaluation {
            supported: Score::of(&only(&supported)),
            whole: Score::of(&only(&whole)),
            strangers: StrangerScore::of(&unknown),
            typical_strangers: StrangerScore::of(&typical),
            taken_for: taken_for(key, &typical),
            simulated,
            confused: confused(key, &table, &mistaken),
            sizes: [
                key.taxa.len(),
                table.traits.len(),
                key.taxa.iter().map(facts).sum(),
                key.sources.len(),
            ],
        }
    }

    /// The numbers the ratchet holds; of each, larger is better.
    pub fn headlines(&self) -> Vec<Headline> {
        let share = |name: &str, share: Share| Headline {
            name: name.to_owned(),
            value: share.value(),
            noise: share.standard_error(),
        };
        let not = |s: Share| Share {
            n: s.n,
            yes: s.n - s.yes,
        };
        let mut all = vec![
            share("published, unseen: right name first", self.supported.first),
            share(
                "published, unseen: right name among three",
                self.supported.first_three,
            ),
            share(
                "published, unseen: planted or not right",
                self.supported.planted,
            ),
            Headline {
                name: "published, unseen: mean ln probability of the right name".to_owned(),
                value: self.supported.mean_log,
                // About the scatter of ln probability between descriptions, over their root.
                noise: 1.5 / (self.supported.first.n.max(1) as f64).sqrt(),
            },
            share(
                "published, whole, unseen: right name among three",
                self.whole.first_three,
            ),
            share(
                "not in the key, published: not settled",
                not(self.strangers.settled),
            ),
            share(
                "not in the key, typical plant: not settled",
                not(self.typical_strangers.settled),
            ),
        ];
        if let Some(careful) = self.careful() {
            all.push(share(
                "careful scout, tillering, all traits: right name first",
                careful.full.first,
            ));
            all.push(share(
                "careful scout, tillering, all traits: not settled wrongly",
                not(careful.full.settled_wrong),
            ));
            all.push(share(
                "careful scout, tillering, guided: right name first",
                careful.guided.first,
            ));
            all.push(Headline {
                name: "careful scout, tillering, guided: looks saved of 15".to_owned(),
                value: 15.0 - careful.looks,
                noise: 0.3,
            });
        }
        all
    }

    fn careful(&self) -> Option<&Simulated> {
        self.simulated
            .iter()
            .find(|s| s.skill == "careful" && s.stage == LeafStage::Tillering)
    }

    /// The table, as kept and printed.
    pub fn render(&self) -> String {
        let [taxa, traits, facts, sources] = self.sizes;
        // Writing to a text cannot fail.
        let mut out = String::new();
        let _ = writeln!(
            out,
            "How well plants are named. Made by `cargo xtask evaluate --keep`; seed {SEED}.\n\
             {taxa} taxa, {traits} traits weighed, {facts} cells, {sources} sources.\n"
        );
        for headline in self.headlines() {
            let _ = writeln!(out, "{}", headline::line(&headline));
        }
        let _ = writeln!(
            out,
            "\nPublished descriptions, each walked through a key without its source (4 to 10 \
             traits).\nSupported: traits that another source still describes. Whole: every trait.\n\n\
             {:<28}{:>6}{:>8}{:>8}{:>9}{:>9}{:>8}{:>8}",
            "", "n", "first", "three", "planted", "ln p", "said", "wrong*"
        );
        score_line(&mut out, "supported", &self.supported);
        score_line(&mut out, "whole", &self.whole);
        let _ = writeln!(
            out,
            "* a wrong name settled.\n\nStated certainty of the first name against how often it was right:"
        );
        reliability_lines(&mut out, "published, supported", &self.supported);
        if let Some(careful) = self.careful() {
            reliability_lines(&mut out, "careful scout, tillering, all", &careful.full);
        }
        let _ = writeln!(
            out,
            "\nPlants that are not in the key (each taxon left out in turn):\n{:<28}{:>6}{:>10}{:>10}{:>10}{:>10}",
            "", "n", "outside", "unnamed", "leaning", "settled"
        );
        for (name, s) in [
            ("published descriptions", &self.strangers),
            ("typical plant, all traits", &self.typical_strangers),
        ] {
            let _ = writeln!(
                out,
                "{name:<28}{:>6}{:>10.3}{:>10.3}{:>10.3}{:>10.3}",
                s.settled.n,
                s.outside.value(),
                s.unnamed.value(),
                s.leaning.value(),
                s.settled.value()
            );
        }
        let twins: Vec<String> = self
            .taken_for
            .iter()
            .map(|(plant, name)| format!("{plant} for {name}"))
            .collect();
        let _ = writeln!(out, "Settled though left out: {}.", twins.join("; "));
        let _ = writeln!(
            out,
            "\nSimulated scouts (misreading 2, 6 and 15 %): every recorded trait that can be seen, \
             and guided walks\n(to a settled name, at most 15 looks; seconds of looking alone).\n\
             {:<24}{:>7}{:>8}{:>9}{:>9}{:>10}{:>8}{:>9}{:>7}{:>9}",
            "",
            "first",
            "three",
            "planted",
            "wrong*",
            "g.first",
            "g.three",
            "g.wrong*",
            "looks",
            "seconds"
        );
        for s in &self.simulated {
            let _ = writeln!(
                out,
                "{:<24}{:>7.3}{:>8.3}{:>9.3}{:>9.3}{:>10.3}{:>8.3}{:>9.3}{:>7.1}{:>9.0}",
                format!("{}, {}", s.skill, s.stage.id()),
                s.full.first.value(),
                s.full.first_three.value(),
                s.full.planted.value(),
                s.full.settled_wrong.value(),
                s.guided.first.value(),
                s.guided.first_three.value(),
                s.guided.settled_wrong.value(),
                s.looks,
                s.seconds
            );
        }
        let _ = writeln!(
            out,
            "\nMost often taken for another (published, supported, and careful scouts at few leaves):"
        );
        for (truth, said, times) in &self.confused {
            let _ = writeln!(out, "  {times:>3} x {truth} taken for {said}");
        }
        out
    }
}

fn simulated_of(
    skill: &'static str,
    stage: LeafStage,
    full: &[Named],
    guided: &[Guided],
) -> Simulated {
    let n = guided.len().max(1) as f64;
    let named: Vec<Named> = guided.iter().map(|g| g.named).collect();
    Simulated {
        skill,
        stage,
        full: Score::of(full),
        guided: Score::of(&named),
        looks: guided.iter().map(|g| g.looks as f64).sum::<f64>() / n,
        seconds: guided.iter().map(|g| g.seconds).sum::<f64>() / n,
    }
}

fn taken_for(key: &Key, typical: &[Stranger]) -> Vec<(String, String)> {
    typical
        .iter()
        .filter(|s| s.outcome == "settled")
        .filter_map(|s| {
            let name = key.taxon(s.name.as_deref()?)?.common_name.clone();
            Some((key.taxa[s.taxon].common_name.clone(), name))
        })
        .collect()
}

fn confused(key: &Key, table: &Table, named: &[(usize, Named)]) -> Vec<(String, String, usize)> {
    let mut times: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (truth, named) in named.iter().filter(|(_, n)| n.place > 0) {
        *times.entry((*truth, named.first)).or_default() += 1;
    }
    let mut sorted: Vec<((usize, usize), usize)> = times.into_iter().collect();
    sorted.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    let name = |row: usize| {
        key.taxon(table.rows[row].id.as_str())
            .map_or("not in this key", |t| t.common_name.as_str())
            .to_owned()
    };
    sorted
        .into_iter()
        .take(12)
        .map(|((truth, said), times)| (name(truth), name(said), times))
        .collect()
}

fn score_line(out: &mut String, name: &str, score: &Score) {
    let _ = writeln!(
        out,
        "{name:<28}{:>6}{:>8.3}{:>8.3}{:>9.3}{:>9.3}{:>8.3}{:>8.3}",
        score.first.n,
        score.first.value(),
        score.first_three.value(),
        score.planted.value(),
        score.mean_log,
        score.said,
        score.settled_wrong.value()
    );
}

fn reliability_lines(out: &mut String, name: &str, score: &Score) {
    let _ = write!(out, "{name:<32}");
    for fifth in score.reliability.iter().filter(|f| f.right.n > 0) {
        let _ = write!(
            out,
            "  said {:.2} right {:.2} ({})",
            fifth.said,
            fifth.right.value(),
            fifth.right.n
        );
    }
    out.push('\n');
}
