//! What the walk says so far, in words: the answer the count needs, the group, the name, and
//! the reasons.

use standbook_identify::evidence::Reading;
use standbook_identify::reasons::{Reason, Rivals, WouldChange, if_seen, reasons, spoke};
use standbook_identify::{Answer, Assessment, CountsAs, Evidence, Outcome, Planted};
use standbook_key::{LookAlikeOf, Role};

use crate::app::App;
use crate::words::{outcome_words, percent, taxon_name};

/// A name with its probability.
#[derive(Debug, Clone)]
pub struct Name {
    /// Taxon id.
    pub id: String,
    /// Common name.
    pub common: String,
    /// Scientific name.
    pub scientific: String,
    /// Probability in words.
    pub percent: String,
}

/// One answer's say, in words.
#[derive(Debug, Clone)]
pub struct Say {
    /// What was seen, such as `vernation: rolled`.
    pub seen: String,
    /// `slightly`, `clearly`, `strongly`, `overwhelmingly`.
    pub strength: &'static str,
    /// Weight of evidence, decibans, without sign.
    pub decibans: String,
    /// Said when another answer implies this one.
    pub implied: bool,
}

/// What the walk says so far.
#[derive(Debug, Clone)]
pub struct Verdict {
    /// The answer that the count needs, in words.
    pub counts_as: &'static str,
    /// Id of that answer, for the style sheet.
    pub counts_as_id: &'static str,
    /// Share of planted from an even start of planted against something else: the answers alone.
    pub planted_even: String,
    /// How the names start: `6 of 52 names of the key are sown here`.
    pub start: String,
    /// Share of planted here, something else, not in this key.
    pub planted: String,
    /// See `planted`.
    pub other: String,
    /// See `planted`.
    pub not_in_key: String,
    /// The likeliest group and its share.
    pub group: Option<(String, String)>,
    /// The outcome in words, such as `leaning`.
    pub outcome: String,
    /// The names that the outcome speaks of; none when it names none.
    pub named: Vec<Name>,
    /// The likeliest names, best first, at most four.
    pub names: Vec<Name>,
    /// The name that For and Against speak of.
    pub leading: Option<Name>,
    /// The name it is held against.
    pub rival: Option<Name>,
    /// Answers for the leading name, strongest first.
    pub pro: Vec<Say>,
    /// Answers against it.
    pub contra: Vec<Say>,
    /// The look that spoke most for the leading name, such as `ligule: hairs only`; may be empty.
    pub loudest: String,
    /// The two or three looks that spoke most for it against all its rivals, in words.
    pub spoke: Vec<String>,
    /// What spoke most against it, in words.
    pub spoke_against: Vec<String>,
    /// Ids of the leading name and of the likeliest other taxon, for their page side by side.
    pub pair: Option<(String, String)>,
    /// What published sources say parts the two.
    pub separates: Vec<String>,
    /// Whether the leading name is planted elsewhere but not in this mix.
    pub native_not_in_mix: bool,
    /// Whether colour alone keeps the outcome from being surer.
    pub rests_on_colour: bool,
}

/// Puts an assessment into words.
pub fn verdict(app: &App, said: &Assessment, planted: Planted) -> Verdict {
    let table = &app.table;
    let name = |row: usize| -> Name {
        let id = table.rows[row].id.to_string();
        let (common, scientific) = if Some(row) == table.not_in_key() {
            ("not in this key".to_owned(), String::new())
        } else {
            taxon_name(app, &id)
        };
        Name {
            id,
            common,
            scientific,
            percent: percent(said.posterior[row]),
        }
    };
    let taxa: Vec<usize> = said
        .ranking
        .iter()
        .map(|(row, _)| *row)
        .filter(|row| Some(*row) != table.not_in_key())
        .collect();
    let leading = taxa.first().copied();
    let rival = said
        .ranking
        .iter()
        .map(|(row, _)| *row)
        .find(|row| Some(*row) != leading);
    let (mut pro, mut contra) = (Vec::new(), Vec::new());
    if let (Some(leading), Some(rival)) = (leading, rival) {
        for reason in reasons(said, leading, rival) {
            // Under a tenth of a deciban there is nothing to say.
            match reason.decibans {
                d if d > 0.1 => pro.push(say(app, &reason)),
                d if d < -0.1 => contra.push(say(app, &reason)),
                _ => {}
            }
        }
    }
    let loud = leading
        .map(|row| louder(app, said, row))
        .unwrap_or_default();
    let second = taxa.get(1).copied();
    let native_not_in_mix = leading.is_some_and(|row| {
        table.rows[row].role == Some(Role::Planted) && !planted.contains(table, row)
    });
    let sure = |outcome: &Outcome| matches!(outcome, Outcome::Settled(_) | Outcome::Leaning(_));
    Verdict {
        counts_as: match said.counts_as {
            CountsAs::Planted => "Planted here",
            CountsAs::SomethingElse => "Something else",
            CountsAs::Undecided => "Undecided",
        },
        counts_as_id: said.counts_as.id(),
        planted_even: percent(said.planted_from_even),
        start: format!(
            "{} of {} names of the key are sown here",
            (0..table.rows.len())
                .filter(|&row| planted.contains(table, row))
                .count(),
            app.key.taxa.len()
        ),
        planted: percent(said.shares.planted),
        other: percent(said.shares.other),
        not_in_key: percent(said.shares.not_in_key),
        group: said.groups.first().map(|(group, share)| {
            let name = app
                .key
                .group(group.as_str())
                .map_or_else(|| group.to_string(), |g| g.name.clone());
            (name, percent(*share))
        }),
        outcome: outcome_words(said.outcome.id()),
        named: said.outcome.rows().iter().map(|row| name(*row)).collect(),
        names: said
            .ranking
            .iter()
            .take(4)
            .map(|(row, _)| name(*row))
            .collect(),
        rests_on_colour: leading
            .is_some_and(|row| said.posterior[row] >= standbook_identify::outcome::LEANING)
            && !sure(&said.outcome)
            && said.outcome != Outcome::NotInThisKey,
        loudest: loud.loudest,
        spoke: loud.pro,
        spoke_against: loud.contra,
        pair: leading
            .zip(second)
            .map(|(a, b)| (table.rows[a].id.to_string(), table.rows[b].id.to_string())),
        leading: leading.map(name),
        rival: rival.map(name),
        separates: leading
            .zip(rival)
            .map(|(a, b)| separates(app, a, b))
            .unwrap_or_default(),
        pro,
        contra,
        native_not_in_mix,
    }
}

/// The looks that spoke most for a name and against it.
#[derive(Default)]
struct Loud {
    loudest: String,
    pro: Vec<String>,
    contra: Vec<String>,
}

/// Less than this many times likelier is not worth a sentence.
const WORTH_SAYING: f64 = 1.5;

fn louder(app: &App, said: &Assessment, row: usize) -> Loud {
    let name = taxon_name(app, app.table.rows[row].id.as_str()).0;
    let mut loud = Loud::default();
    for one in spoke(&app.table, said, row) {
        if one.implied {
            continue;
        }
        let rivals = match &one.rivals {
            Rivals::One(rival) if Some(*rival) == app.table.not_in_key() => {
                "in grasses outside this key".to_owned()
            }
            Rivals::One(rival) => {
                format!(
                    "in {}",
                    taxon_name(app, app.table.rows[*rival].id.as_str()).0
                )
            }
            Rivals::Group(id) => {
                let group = app.key.group(id.as_str());
                let group = group.map_or_else(|| id.to_string(), |g| g.name.to_lowercase());
                format!("in its rivals, mostly {group}")
            }
            Rivals::Others => "in its rivals together".to_owned(),
        };
        let seen = answer_words(app, &one.answer).replacen(':', "", 1);
        if one.times >= WORTH_SAYING && loud.pro.len() < 3 {
            if loud.loudest.is_empty() {
                loud.loudest.clone_from(&seen);
            }
            let times = times_words(one.times);
            loud.pro
                .push(format!("{seen}: {times} likelier in {name} than {rivals}"));
        }
        if one.times <= 1.0 / WORTH_SAYING && loud.contra.len() < 2 {
            let times = times_words(1.0 / one.times);
            loud.contra
                .push(format!("{seen}: {times} likelier {rivals} than in {name}"));
        }
    }
    loud
}

/// How many times likelier, without more precision than there is: `about seven times`.
fn times_words(times: f64) -> String {
    const WORDS: [&str; 9] = [
        "twice",
        "three times",
        "four times",
        "five times",
        "six times",
        "seven times",
        "eight times",
        "nine times",
        "ten times",
    ];
    match times {
        t if t < 1.75 => "half as much again".to_owned(),
        t if t < 10.5 => WORDS[(t.round() as usize).clamp(2, 10) - 2].to_owned(),
        t if t < 50.0 => format!("about {:.0} times", (t / 5.0).round() * 5.0),
        _ => "more than fifty times".to_owned(),
    }
}

/// What published sources say parts two taxa, whichever of the two they start from.
fn separates(app: &App, a: usize, b: usize) -> Vec<String> {
    let rows = &app.table.rows;
    let mut words = Vec::new();
    for (one, other) in [(a, b), (b, a)] {
        let Some(taxon) = app.key.taxon(rows[one].id.as_str()) else {
            continue;
        };
        for look_alike in &taxon.look_alikes {
            if look_alike.other == LookAlikeOf::Taxon(rows[other].id.clone()) {
                let citation = app
                    .key
                    .sources
                    .get(&look_alike.source)
                    .map_or_else(|| look_alike.source.to_string(), |s| s.citation.clone());
                words.push(format!("{} ({citation})", look_alike.separates));
            }
        }
    }
    words
}

fn say(app: &App, reason: &Reason) -> Say {
    Say {
        seen: answer_words(app, &reason.answer),
        strength: reason.strength().word(),
        decibans: format!("{:.1}", reason.decibans.abs()),
        implied: reason.implied,
    }
}

/// An answer in words: `vernation: rolled`.
pub fn answer_words(app: &App, answer: &Answer) -> String {
    let columns = &app.table.traits[answer.trait_index];
    let Some(one) = app.key.trait_by_id(columns.id.as_str()) else {
        return columns.id.to_string();
    };
    format!("{}: {}", one.name, reading_words(app, answer))
}

/// What was seen, in words: `rolled`.
pub fn reading_words(app: &App, answer: &Answer) -> String {
    let columns = &app.table.traits[answer.trait_index];
    match &answer.reading {
        Reading::CannotTell => "can't tell".to_owned(),
        Reading::Measure(value) => {
            format!("{value} {}", columns.unit.as_deref().unwrap_or_default())
        }
        Reading::States(states) => {
            let names: Vec<String> = states
                .iter()
                .map(|&s| {
                    app.key
                        .trait_by_id(columns.id.as_str())
                        .and_then(|t| t.states().get(s))
                        .map_or_else(|| columns.states[s].to_string(), |state| state.name.clone())
                })
                .collect();
            names.join(" and ")
        }
    }
}

/// What would change the outcome, in words, likeliest first: `vernation: folded would make it
/// leaning: Kentucky bluegrass (12 %)`.
pub fn change_words(app: &App, changes: &[WouldChange]) -> Vec<String> {
    changes
        .iter()
        .filter_map(|change| {
            let columns = &app.table.traits[change.trait_index];
            let one = app.key.trait_by_id(columns.id.as_str())?;
            let names: Vec<String> = change
                .then
                .rows()
                .iter()
                .map(|&row| taxon_name(app, app.table.rows[row].id.as_str()).0)
                .collect();
            Some(format!(
                "{}: {} (to be expected in {} of such plants) would make it {}: {}",
                one.name,
                one.states().get(change.state)?.name,
                percent(change.chance),
                outcome_words(change.then.id()),
                names.join(", ")
            ))
        })
        .collect()
}

/// What one more look would say, a line a state: state name and what would follow.
pub fn would_say(
    app: &App,
    evidence: &Evidence,
    trait_index: usize,
    planted: Planted,
) -> Vec<(String, String)> {
    let columns = &app.table.traits[trait_index];
    let Some(one) = app.key.trait_by_id(columns.id.as_str()) else {
        return Vec::new();
    };
    if_seen(&app.table, evidence, trait_index, planted)
        .into_iter()
        .map(|(state, outcome)| {
            let names: Vec<String> = outcome
                .rows()
                .iter()
                .map(|&row| taxon_name(app, app.table.rows[row].id.as_str()).0)
                .collect();
            let mut words = outcome_words(outcome.id());
            if !names.is_empty() {
                words = format!("{words}: {}", names.join(", "));
            }
            (one.states()[state].name.clone(), words)
        })
        .collect()
}
