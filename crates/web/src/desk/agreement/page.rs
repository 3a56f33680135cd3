//! The page on agreement, in words.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use standbook_fieldbook::RecordId;
use standbook_identify::NOT_IN_KEY;
use standbook_stand::agreement::{Agreement, KAPPA};
use standbook_stand::confidence::Confidence;
use standbook_stand::proportion::wilson;

use super::cells::{self, Cells};
use super::read::{Slip, read};
use super::tally::{OfScout, OfTrait, Pair, Pairs, by_pair, by_scout, by_trait, key_of};
use crate::app::{App, Shared, run};
use crate::desk::choice::{Choice, asked_visit, visits};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::words::{number_of, percent, taxon_name};

/// Looks and pairs named for practice, of each.
const TO_PRACTISE: usize = 3;

/// A line of a list: what, and how many.
type Line = (&'static str, String);

/// One scout.
struct Scout {
    name: String,
    /// How many plants, in words.
    plants: String,
    /// Right, and each kind of slip.
    lines: Vec<Line>,
    /// Pairs to practise: words and address.
    pairs: Vec<(String, Option<String>)>,
    /// Looks to practise.
    looks: Vec<String>,
}

/// One trait.
struct TraitRow {
    name: String,
    both: u64,
    otherwise: u64,
    not_told: u64,
    agree: String,
    kappa: String,
}

/// A pair of names.
struct PairRow {
    title: String,
    /// The two side by side.
    address: Option<String>,
    lines: Vec<String>,
    /// First answer, second answer, how many.
    table: Vec<(String, String, u64)>,
    agree: String,
}

#[derive(Template)]
#[template(path = "desk/agreement.html")]
struct AgreementPage {
    shell: Shell,
    visits: Vec<Choice>,
    scouts: Vec<Scout>,
    traits: Vec<TraitRow>,
    pairs: Vec<PairRow>,
    /// What plants were called, and what they are: names and how many.
    table: Vec<(String, String, u64)>,
    /// Planted or not, all scouts together.
    together: Option<String>,
    /// What kappa is from.
    source: &'static str,
}

/// `GET /desk/agreement`.
pub(in crate::desk) async fn show(
    State(app): State<Shared>,
    here: Here,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let visit = asked_visit(app, &query)?;
        page(app, &here, visit)
    })
    .await
}

fn page(app: &App, here: &Here, visit: Option<RecordId>) -> Result<Response, Failure> {
    let reviews = read(app, visit)?;
    let mut frames = cells::by_scout(app, visit)?;
    let by = by_scout(&reviews);
    let mut sown = Pairs::default();
    for of in by.values() {
        for (pair, n) in &of.sown.0 {
            *sown.0.entry(pair.clone()).or_default() += n;
        }
    }
    let mut scouts: Vec<Scout> = by
        .into_iter()
        .map(|(name, of)| {
            let cells = frames.remove(&name);
            scout(app, name, of, cells)
        })
        .collect();
    // Whoever's frames were read again, but no plant.
    scouts.extend(
        frames
            .into_iter()
            .map(|(name, cells)| scout(app, name, OfScout::default(), Some(cells))),
    );
    let mut table: BTreeMap<(String, String), u64> = BTreeMap::new();
    for review in &reviews {
        let pair = (key_of(&review.called), key_of(&review.is));
        *table.entry(pair).or_default() += 1;
    }
    let mut table: Vec<(String, String, u64)> = table
        .into_iter()
        .map(|((called, is), n)| (words(app, &called), words(app, &is), n))
        .collect();
    table.sort_by(|a, b| b.2.cmp(&a.2).then_with(|| (&a.0, &a.1).cmp(&(&b.0, &b.1))));
    html(&AgreementPage {
        shell: Shell::new(app, here, Tab::Desk, "Agreement"),
        visits: visits(app, visit)?,
        scouts,
        traits: traits(app, by_trait(&reviews)),
        pairs: by_pair(&reviews)
            .iter()
            .map(|pair| pair_row(app, pair))
            .collect(),
        table,
        together: sown.agreement().map(|agreement| in_words(&agreement)),
        source: KAPPA.citation,
    })
}

/// A key of the tables as people call it.
fn words(app: &App, key: &str) -> String {
    match key {
        "" => "no name".to_owned(),
        NOT_IN_KEY => "no name in this key".to_owned(),
        id => match app.key.taxon(id) {
            Some(_) => taxon_name(app, id).0,
            None => id.to_owned(),
        },
    }
}

/// `9 of 12 (75 %; 95 % interval 47 to 91 %)`.
pub(crate) fn share(of: u64, all: u64) -> String {
    match wilson(of, all, Confidence::P95) {
        Ok(limits) => format!(
            "{of} of {all} ({}; 95 % interval {:.0} to {:.0} %)",
            percent(of as f64 / all as f64),
            limits.lower * 100.0,
            limits.upper * 100.0
        ),
        Err(_) => "none looked at".to_owned(),
    }
}

/// `8 of 9 alike (89 %; 95 % interval 57 to 98 %), kappa 0.75 (0.31 to 1.00)`.
fn in_words(agreement: &Agreement) -> String {
    let alike: u64 = (0..agreement.table.len())
        .map(|at| agreement.table[at][at])
        .sum();
    format!(
        "alike in {}; {}",
        share(alike, agreement.pairs),
        kappa_words(agreement)
    )
}

/// `kappa 0.75 (0.31 to 1.00)`, or why there is none.
pub(crate) fn kappa_words(agreement: &Agreement) -> String {
    // Adding 0 makes -0 a 0.
    let two = |kappa: f64| format!("{:.2}", (kappa * 100.0).round() / 100.0 + 0.0);
    match agreement.kappa {
        Ok(kappa) => match kappa.interval {
            Some(limits) => format!(
                "kappa {} ({} to {})",
                two(kappa.value),
                two(limits.lower),
                two(limits.upper)
            ),
            None => format!("kappa {}, too few to give it limits", two(kappa.value)),
        },
        Err(_) => "no kappa, since all answers were the same".to_owned(),
    }
}

fn scout(app: &App, name: String, of: OfScout, cells: Option<Cells>) -> Scout {
    let slips = |slip: Slip| of.slips.get(&slip).copied().unwrap_or(0);
    let mut lines: Vec<Line> = Vec::new();
    if of.plants > 0 {
        lines.push(("Named, and right", share(of.right, of.named)));
        lines.push(("Misnamed", slips(Slip::Misnamed).to_string()));
        lines.push(("Miskeyed", slips(Slip::Miskeyed).to_string()));
        lines.push(("Over-cautious", share(slips(Slip::OverCautious), of.plants)));
    }
    if let Some(agreement) = of.sown.agreement() {
        lines.push(("Planted or not, blind", in_words(&agreement)));
    }
    if let Some(agreement) = of.names.agreement() {
        lines.push(("Names, blind", in_words(&agreement)));
    }
    if let Some(cells) = cells {
        let second = cells.both + cells.overlooked + cells.named_otherwise;
        lines.push((
            "Overlooked",
            format!(
                "{} cells in which the second reader saw a planted species, in {}",
                share(cells.overlooked, second),
                number_of(cells.frames, "frame")
            ),
        ));
        lines.push((
            "Named otherwise in the frame",
            number(cells.named_otherwise, "cell"),
        ));
        lines.push((
            "Seen by the first reader only",
            number(cells.first_only, "cell"),
        ));
        if let Ok(agreement) = cells.pairs().agreement(Confidence::P95) {
            lines.push(("Cells, planted or not", in_words(&agreement)));
        }
    }
    let mut confused: Vec<((String, String), u64)> = of.confused.into_iter().collect();
    confused.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    let pairs = confused
        .into_iter()
        .take(TO_PRACTISE)
        .map(|((called, is), n)| {
            let said = format!(
                "called {} and is {}: {}",
                words(app, &called),
                words(app, &is),
                number(n, "plant")
            );
            (said, side_by_side(app, &called, &is))
        });
    let mut looks: Vec<(String, u64, u64)> = of
        .traits
        .into_iter()
        .filter(|(_, (otherwise, _))| *otherwise > 0)
        .map(|(id, (otherwise, both))| (id, otherwise, both))
        .collect();
    looks.sort_by(|a, b| {
        b.1.cmp(&a.1)
            .then(a.2.cmp(&b.2))
            .then_with(|| a.0.cmp(&b.0))
    });
    let looks = looks.into_iter().take(TO_PRACTISE);
    Scout {
        plants: format!(
            "{} looked at again, {} of them blind",
            number(of.plants, "plant"),
            of.blind
        ),
        lines,
        pairs: pairs.collect(),
        looks: looks
            .map(|(id, otherwise, both)| {
                format!(
                    "{}: seen otherwise in {otherwise} of {both}",
                    trait_name(app, &id)
                )
            })
            .collect(),
        name,
    }
}

fn number(n: u64, what: &str) -> String {
    number_of(usize::try_from(n).unwrap_or(usize::MAX), what)
}

fn trait_name(app: &App, id: &str) -> String {
    let known = app.key.trait_by_id(id);
    known.map_or_else(|| id.to_owned(), |known| known.name.clone())
}

/// Where two taxa of the key stand side by side.
fn side_by_side(app: &App, one: &str, other: &str) -> Option<String> {
    let both = app.key.taxon(one).is_some() && app.key.taxon(other).is_some();
    both.then(|| format!("/key/{one}/or/{other}"))
}

fn traits(app: &App, by: BTreeMap<String, OfTrait>) -> Vec<TraitRow> {
    let mut rows: Vec<TraitRow> = by
        .into_iter()
        .map(|(id, of)| {
            let told = of.same + of.otherwise;
            TraitRow {
                name: trait_name(app, &id),
                both: told + of.not_told,
                otherwise: of.otherwise,
                not_told: of.not_told,
                agree: share(of.same, told),
                kappa: of
                    .states
                    .agreement()
                    .map_or_else(|| "a measure".to_owned(), |it| kappa_words(&it)),
            }
        })
        .collect();
    rows.sort_by(|a, b| {
        b.otherwise
            .cmp(&a.otherwise)
            .then_with(|| a.name.cmp(&b.name))
    });
    rows
}

fn pair_row(app: &App, pair: &Pair) -> PairRow {
    let [a, b] = pair.names.each_ref().map(|name| words(app, name));
    let line =
        |called: &str, is: &str, n: u64| format!("{is} called {called}: {}", number(n, "plant"));
    let lines = [
        line(&a, &b, pair.confused[0]),
        line(&b, &a, pair.confused[1]),
    ];
    let table = pair.between.0.iter();
    PairRow {
        title: format!("{a} and {b}"),
        address: side_by_side(app, &pair.names[0], &pair.names[1]),
        lines: lines.into(),
        table: table
            .map(|((one, other), n)| (words(app, one), words(app, other), *n))
            .collect(),
        agree: pair
            .between
            .agreement()
            .map_or_else(String::new, |agreement| in_words(&agreement)),
    }
}
