//! The verdict and what follows from it, as the Stand page shows them.
//!
//! In: everything gathered of a visit, its judgement included. Out: the answer in plain words, what
//! to do next with why, sources and cautions, when to look again, whether enough was counted,
//! where plants stand (map or strip) and how evenly.
//! Units: as the judgement. Source: each line carries its own.
//! Not here: judging (crate `judge`), the report to print (`report`).

use std::collections::{BTreeMap, BTreeSet};

use standbook_judge::{Advised, Because, Cited, Judgement, Sequential, Verdict, Wish};
use standbook_key::standards::Situation;
use standbook_stand::patch::{
    Bar, Dispersion, Pattern, dispersion, dispersion_of_cells, histogram,
};
use standbook_stand::sample_size::Needed;
use standbook_stand::sequential::Outcome;
use standbook_stand::summary::Seen;

use super::numbers::Walked;
use super::resolve::Label;

use crate::report::gather::Gathered;
use crate::report::map::{Drawn, draw};
use crate::report::plain::{Answer, answer, deciding, how_sure};
use crate::report::spots::{Spot, spots};
use crate::words::{self, date_words, digits, number_of};

/// A piece of advice.
pub(super) struct Advice {
    /// One line.
    pub name: String,
    /// In words.
    pub words: String,
    /// What here calls for it.
    pub why: String,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Who says so.
    pub sources: Vec<Said>,
}

/// Who says something.
pub(super) struct Said {
    /// Author, year, title.
    pub citation: String,
    /// Where it was read; may be empty.
    pub url: String,
}

/// One bar of the histogram.
pub(super) struct Column {
    /// What these frames held: `0`, `1 to 5`.
    pub held: String,
    /// Frames.
    pub frames: usize,
    /// Height, of 60.
    pub height: String,
    /// Top edge, from the top of the picture.
    pub top: String,
    /// Left edge.
    pub x: String,
    /// Middle, for the label.
    pub middle: String,
    /// Width.
    pub width: String,
}

/// What is said of a visit.
pub(super) struct Judged {
    /// `yes`, `no` or `open`, for the mark beside the answer.
    pub mark: &'static str,
    /// The answer.
    pub answer: Answer,
    /// Who says what is enough.
    pub says_who: Vec<Said>,
    /// How sure, and what could change it.
    pub sure: String,
    /// Advice, the most pressing first.
    pub advice: Vec<Advice>,
    /// Dates to look again and what for.
    pub look_again: Vec<(String, String)>,
    /// Whether enough was counted, a sentence each.
    pub enough: Vec<String>,
    /// Map or strip.
    pub drawn: Drawn,
    /// Frames by what they held; empty with fewer than four.
    pub columns: Vec<Column>,
    /// What the histogram counts: `cells`, `plants`.
    pub held: &'static str,
    /// How evenly they stand, a sentence; may be empty.
    pub evenness: String,
    /// Planted share at every visit with frames, oldest first; empty with one.
    pub over_time: Vec<(String, String)>,
    /// What is odd about the input.
    pub notes: Vec<String>,
}

impl Judged {
    /// Puts it together.
    pub(super) fn of(gathered: &Gathered, walked: &Walked) -> Judged {
        let judgement = &gathered.judgement;
        let spots = spots(gathered);
        let (sure, change) = how_sure(judgement);
        let (columns, held, evenness) = spread(walked);
        Judged {
            mark: match judgement.verdict.verdict {
                Verdict::Established => "yes",
                Verdict::Below => "no",
                Verdict::NotDecided => "open",
            },
            answer: answer(judgement),
            says_who: says_who(judgement),
            sure: format!("{sure} {change}").trim().to_owned(),
            advice: judgement.advice.iter().map(advice).collect(),
            look_again: judgement
                .look_again
                .iter()
                .map(|next| (date_words(&next.on.to_string()), next.words.clone()))
                .collect(),
            enough: enough(judgement),
            drawn: draw(&gathered.outlines, &spots),
            columns,
            held,
            evenness: format!("{evenness} {}", none_at(&spots)).trim().to_owned(),
            over_time: Vec::new(),
            notes: judgement.notes.iter().map(ToString::to_string).collect(),
        }
    }
}

fn said(cited: &Cited) -> Said {
    Said {
        citation: cited.citation.clone(),
        url: cited.url.clone().unwrap_or_default(),
    }
}

/// The first source of every threshold that had a say, each once.
fn says_who(judgement: &Judgement) -> Vec<Said> {
    let mut ids: Vec<&str> = Vec::new();
    let mut who = Vec::new();
    for source in deciding(judgement)
        .iter()
        .filter_map(|one| one.sources.first())
    {
        if !ids.contains(&source.id.as_str()) {
            ids.push(&source.id);
            who.push(said(source));
        }
    }
    who
}

fn advice(one: &Advised) -> Advice {
    let why: Vec<&str> = one.why.iter().copied().map(situation).collect();
    Advice {
        name: one.name.clone(),
        words: one.words.clone(),
        why: why.join("; "),
        cautions: one
            .cautions
            .iter()
            .map(|caution| caution.caution.words.clone())
            .collect(),
        sources: one.sources.iter().map(said).collect(),
    }
}

/// What calls for advice, in words.
fn situation(situation: Situation) -> &'static str {
    match situation {
        Situation::Established => "enough plants",
        Situation::EnoughSoFar => "enough plants so far",
        Situation::Below => "too few plants",
        Situation::NotDecided => "not decided",
        Situation::BeforeEmergence => "too early for seedlings to show",
        Situation::BeforeFairDate => "before a fair judgement is possible",
        Situation::NothingFound => "nothing planted was found",
        Situation::FewFirstSeason => "few plants in the first season",
        Situation::BelowLaterSeason => "too few plants in the second season or later",
        Situation::AnnualWeeds => "annual weeds were found",
        Situation::PerennialWeeds => "weeds that stay were found",
        Situation::PerennialTakeover => "weeds that stay outnumber what was planted",
        Situation::NoxiousListed => "a weed was found that the law of some state names",
        Situation::Weeds => "weeds were found",
        Situation::UnknownsDecide => "plants without a name keep the answer open",
        Situation::MoreSpots => "more spots could decide",
        Situation::SourcesDisagree => "two sources disagree",
        Situation::ConversionsDisagree => "ways from cells to plants disagree",
        Situation::TooFewLeaves => "the planted grass has few leaves yet",
        Situation::LeavesNotKnown => "nobody noted how many leaves the planted grass has",
        Situation::Sprayed => "it was sprayed since seeding",
        Situation::Mown => "it was mown since seeding",
        Situation::Drought => "a dry spell since seeding",
        Situation::Grazed => "it was grazed since seeding",
        Situation::DenseForWildlife => "much grass, for wildlife",
        Situation::ForbsSown => "broadleaf plants were sown too",
        Situation::FirstSeason => "first growing season",
        Situation::LaterSeason => "second growing season or later",
        Situation::LateOrDormant => "seeded late or dormant",
        Situation::Always => "always",
    }
}

fn enough(judgement: &Judgement) -> Vec<String> {
    let enough = &judgement.enough;
    let mut said = Vec::new();
    if let Some(sequential) = &enough.sequential {
        said.push(by_rule(sequential));
    }
    let wish = |wish: &Wish, to: &str| match wish {
        Wish::Needs(Needed { further: 0, .. }) => {
            let straddles = match judgement.verdict.because == Because::Straddles {
                true => {
                    " That does not decide here: the field lies close to what is taken as enough, and only many more spots, or a later visit, can tell."
                }
                false => "",
            };
            format!("Known {to}: for that, enough was counted.{straddles}")
        }
        Wish::Needs(needed) => format!(
            "To know it {to}, count at about {} ({} in all).",
            number_of(count(needed.further), "more spot"),
            needed.total
        ),
        Wish::CannotSay(why) => {
            format!("How many spots it takes to know it {to} can't be said: {why}.")
        }
    };
    if let Some(one) = &enough.frequency {
        said.push(wish(one, "to within 10 of 100 cells"));
    }
    if let Some(one) = &enough.density {
        said.push(wish(one, "to within a quarter of the plants per area"));
    }
    said
}

fn count(number: u64) -> usize {
    usize::try_from(number).unwrap_or(usize::MAX)
}

/// Where the rule set before the walk stands.
fn by_rule(sequential: &Sequential) -> String {
    let state = &sequential.assessment;
    let rule = &state.rule;
    let (low, high) = (words::percent(rule.p_low), words::percent(rule.p_high));
    let points = count(u64::from(state.points));
    let says = match state.outcome {
        Outcome::Enough => format!("you can stop: above {low} of cells"),
        Outcome::TooFew => {
            format!("you can stop: below {high} of cells (whether above {low} is not said)")
        }
        Outcome::Undecided => format!("all points read, and not decided between {low} and {high}"),
        Outcome::GoOn => match &sequential.forecast {
            Some(ahead) => format!(
                "go on: about {}",
                number_of(count(u64::from(ahead.median_more.max(1))), "more point")
            ),
            None => "go on".to_owned(),
        },
    };
    let wrong = |share: f64| format!("{:.0} times in 100", share * 100.0);
    let alike = match state.correlation_seen {
        Some(seen) => format!(
            " That takes cells of one spot to be alike by {} (assumed); here they are by {}{}.",
            digits(rule.correlation.rho),
            digits(seen.max(0.0)),
            if seen > rule.correlation.rho {
                ", so it is wrong more often"
            } else {
                ""
            }
        ),
        None => String::new(),
    };
    format!(
        "The rule set before the walk says after {}: {says}. It holds for points taken in the order set before, and may be wrong {} when the field is at {low}, {} when it is at {high}.{alike}",
        number_of(points, "point"),
        wrong(rule.wrong_enough),
        wrong(rule.wrong_too_few)
    )
}

/// Spots with nothing planted.
fn none_at(spots: &[Spot]) -> String {
    let looked: Vec<&Spot> = spots
        .iter()
        .filter(|spot| spot.share().is_some() || spot.density().is_some())
        .collect();
    let none = looked.iter().filter(|spot| !spot.has_planted()).count();
    match (none, looked.len()) {
        (_, 0) => String::new(),
        (0, _) => "Planted grass was found at every spot.".to_owned(),
        (n, all) => format!("No planted grass at {n} of {all} spots."),
    }
}

/// The histogram of frames, what it counts, and how evenly plants stand.
fn spread(walked: &Walked) -> (Vec<Column>, &'static str, String) {
    let (cells, found) = planted_by_frame(walked);
    let held = if cells > 0 { "cells" } else { "plants" };
    // Fewer frames make no picture.
    if found.len() < 4 {
        return (Vec::new(), held, String::new());
    }
    let dispersion = match cells {
        0 => dispersion(&found),
        cells => dispersion_of_cells(&found, cells),
    };
    let bars = histogram(&found, cells, 5);
    let words = dispersion.as_ref().map(evenness).unwrap_or_default();
    (columns(&bars), held, words)
}

/// Cells of the most used frame (0: quadrats), and how many cells or plants of each frame of that
/// kind held anything planted. Quadrats of other sizes than the most used are left out.
fn planted_by_frame(walked: &Walked) -> (u64, Vec<u64>) {
    let mix: BTreeSet<Label> = walked.mix().into_iter().collect();
    let mut kinds: BTreeMap<(u64, u64), Vec<u64>> = BTreeMap::new();
    for reading in walked.readings(&walked.unknowns) {
        let (kind, found) = match &reading.seen {
            Seen::Grid { grid, occupied } => {
                let cells: BTreeSet<&u32> = mix
                    .iter()
                    .filter_map(|l| occupied.get(l))
                    .flatten()
                    .collect();
                (
                    (u64::from(grid.cells), grid.cell_side_cm.to_bits()),
                    cells.len() as u64,
                )
            }
            Seen::Quadrat { area_m2, plants } => {
                let found = mix.iter().filter_map(|l| plants.get(l));
                ((0, area_m2.to_bits()), found.map(|n| u64::from(*n)).sum())
            }
        };
        kinds.entry(kind).or_default().push(found);
    }
    let most = kinds.into_iter().max_by_key(|(_, found)| found.len());
    most.map_or((0, Vec::new()), |((cells, _), found)| (cells, found))
}

fn evenness(dispersion: &Dispersion) -> String {
    let times = digits(dispersion.index);
    let pattern = match dispersion.pattern() {
        Pattern::Patchy => "Patchy: here many, there few",
        Pattern::Random => "Neither patchy nor even, as far as these frames tell",
        Pattern::Even => "More even than chance",
    };
    format!("{pattern} (frames vary {times} times as much as chance alone would make them).")
}

fn columns(bars: &[Bar]) -> Vec<Column> {
    let most = bars.iter().map(|bar| bar.frames).max().unwrap_or(0).max(1) as f64;
    let step = 340.0 / bars.len().max(1) as f64;
    bars.iter()
        .zip(0_u32..)
        .map(|(bar, at)| {
            let height = 60.0 * bar.frames as f64 / most;
            let x = 10.0 + f64::from(at) * step;
            Column {
                held: match bar.from == bar.to {
                    true => bar.from.to_string(),
                    false => format!("{}\u{2013}{}", bar.from, bar.to),
                },
                frames: bar.frames,
                height: format!("{height:.1}"),
                top: format!("{:.1}", 80.0 - height),
                x: format!("{:.1}", x + 4.0),
                middle: format!("{:.1}", x + step / 2.0),
                width: format!("{:.1}", step - 8.0),
            }
        })
        .collect()
}
