//! What two blind readings of one frame say together: where they agree, and what is overlooked.
//!
//! In: a frame, the frames that repeat it, all double readings of the visit. Out: for each pair
//! the table by cell (both, only first, only second, neither) with raw agreement, agreement by
//! chance and kappa beside it, by species too; for the visit the share that one look overlooks.
//! Plants counted in a quadrat or a row have no cells: there the numbers stand side by side.
//!
//! Units: cells, plants, shares from 0 to 1.
//! Source: crate `stand`, modules `agreement` and `detect`.
//! Not here: who is right; the stand's numbers (a repeat is not another frame).

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::record::{Frame, FrameShape, Visit};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_stand::agreement::{Band, CellPairs, KAPPA, LANDIS_KOCH};
use standbook_stand::confidence::Confidence;
use standbook_stand::detect::{CHAPMAN, DOUBLE_OBSERVER, detection};

use crate::app::App;
use crate::plot::place::Place;
use crate::plot::recorded::say;
use crate::stand::numbers::unknown_ids;
use crate::stand::resolve::{Label, Unknowns, resolve};
use crate::words;

/// One line of the table by species.
pub(super) struct Line {
    /// Its name.
    pub name: String,
    /// What was found: cells in both, only first, only second, neither; or plants of each.
    pub numbers: Vec<u64>,
    /// Raw agreement and kappa, in words; empty for plants.
    pub agree: String,
}

/// Two readings of one frame.
pub(super) struct Pair {
    /// Page of the other reading.
    pub other: String,
    /// Who read first.
    pub first: String,
    /// Who read second.
    pub second: String,
    /// Cells with any planted species; `None` where plants are counted.
    pub planted: Option<CellPairs>,
    /// Agreement on planted species, in words.
    pub words: String,
    /// By species.
    pub lines: Vec<Line>,
    /// Why the two can't be compared; may be empty.
    pub apart: String,
}

/// What all double readings of a visit say about overlooking.
pub(super) struct Overlooking {
    /// In words.
    pub words: String,
    /// Where the method is from.
    pub sources: String,
}

/// The cells of each label in a frame.
pub(crate) fn cells_of(frame: &Frame, unknowns: &Unknowns) -> BTreeMap<Label, BTreeSet<u32>> {
    let mut map: BTreeMap<Label, BTreeSet<u32>> = BTreeMap::new();
    for tally in &frame.tallies {
        let label = resolve(&tally.what, unknowns);
        map.entry(label).or_default().extend(tally.cell);
    }
    map
}

/// The plants of each label in a frame.
fn plants_of(frame: &Frame, unknowns: &Unknowns) -> BTreeMap<Label, u64> {
    let mut map: BTreeMap<Label, u64> = BTreeMap::new();
    for tally in &frame.tallies {
        let label = resolve(&tally.what, unknowns);
        *map.entry(label).or_default() += u64::from(tally.plants.unwrap_or(0));
    }
    map
}

fn mix(place: &Place) -> Vec<Label> {
    let items = place.planting.body.mix.iter();
    items.map(|item| Label::Taxon(item.taxon.clone())).collect()
}

fn any_of(cells: &BTreeMap<Label, BTreeSet<u32>>, labels: &[Label]) -> BTreeSet<u32> {
    let found = labels.iter().filter_map(|label| cells.get(label));
    found.flatten().copied().collect()
}

fn name(app: &App, label: &Label) -> Result<String, BookError> {
    use standbook_fieldbook::record::Counted;
    Ok(match label {
        Label::Taxon(id) => words::taxon_name(app, id).0,
        Label::Genus(name) => format!("{name} sp."),
        Label::NotInKey => "not in this key".to_owned(),
        Label::Unknown(id) => say(app, &Counted::Unknown(*id))?.name,
    })
}

fn band_words(band: Band) -> &'static str {
    match band {
        Band::Poor => "poor",
        Band::Slight => "slight",
        Band::Fair => "fair",
        Band::Moderate => "moderate",
        Band::Substantial => "substantial",
        Band::AlmostPerfect => "almost perfect",
    }
}

/// Raw agreement and kappa, shortly.
fn shortly(pairs: CellPairs) -> String {
    match pairs.agreement(Confidence::P95) {
        Ok(agreement) => match agreement.kappa {
            Ok(kappa) => format!(
                "{}, kappa {:.2}",
                words::percent(agreement.observed),
                kappa.value
            ),
            Err(_) => format!("{}, no kappa", words::percent(agreement.observed)),
        },
        Err(_) => String::new(),
    }
}

/// Raw agreement, agreement by chance and kappa in sentences.
fn in_sentences(pairs: CellPairs) -> String {
    let agreement = match pairs.agreement(Confidence::P95) {
        Ok(agreement) => agreement,
        Err(error) => return format!("{error}."),
    };
    let alike = pairs.both + pairs.neither;
    let mut text = format!(
        "Raw agreement po: {} ({alike} of {} cells); by chance pe: {}.",
        words::percent(agreement.observed),
        agreement.pairs,
        words::percent(agreement.expected)
    );
    match agreement.kappa {
        Ok(kappa) => {
            text.push_str(&format!(" Kappa {:.2}", kappa.value));
            if let Some(interval) = kappa.interval {
                text.push_str(&format!(
                    " (95 % interval {:.2} to {:.2}, cells taken as independent)",
                    interval.lower, interval.upper
                ));
            }
            text.push_str(&format!(
                ", \u{201c}{}\u{201d} on the usual scale. Kappa falls when most cells are alike, however well two people agree: read it with the table.",
                band_words(kappa.band)
            ));
        }
        Err(_) => text.push_str(" Both gave one answer throughout, so kappa has no value."),
    }
    text
}

/// Where the words for agreement are from.
pub(super) fn sources() -> String {
    format!("{}; {}", KAPPA.citation, LANDIS_KOCH.citation)
}

fn compare(
    app: &App,
    place: &Place,
    first: &Entry<Frame>,
    second: &Entry<Frame>,
    shown: RecordId,
) -> Result<Pair, BookError> {
    let unknowns = Unknowns::read(app, unknown_ids([first, second].into_iter()))?;
    let other = if shown == first.id { second } else { first };
    let mut pair = Pair {
        other: format!("/frames/{}", other.id),
        first: first.body.scout.clone(),
        second: second.body.scout.clone(),
        planted: None,
        words: String::new(),
        lines: Vec::new(),
        apart: String::new(),
    };
    let mix = mix(place);
    match (first.body.shape, second.body.shape) {
        (FrameShape::Grid { cells, .. }, other) if other == first.body.shape => {
            let (one, two) = (
                cells_of(&first.body, &unknowns),
                cells_of(&second.body, &unknowns),
            );
            let pairs = |a: &BTreeSet<u32>, b: &BTreeSet<u32>| CellPairs::of_frame(cells, a, b);
            let together = pairs(&any_of(&one, &mix), &any_of(&two, &mix));
            match together {
                Ok(together) => {
                    pair.words = in_sentences(together);
                    pair.planted = Some(together);
                }
                Err(error) => pair.apart = format!("{error}."),
            }
            let nothing = BTreeSet::new();
            for label in labels(&mix, one.keys().chain(two.keys())) {
                let found = pairs(
                    one.get(&label).unwrap_or(&nothing),
                    two.get(&label).unwrap_or(&nothing),
                );
                if let Ok(found) = found {
                    pair.lines.push(Line {
                        name: name(app, &label)?,
                        numbers: vec![
                            found.both,
                            found.first_only,
                            found.second_only,
                            found.neither,
                        ],
                        agree: shortly(found),
                    });
                }
            }
        }
        (FrameShape::Grid { .. }, _) | (_, FrameShape::Grid { .. }) => {
            "The two readings are of different frames, so they are not compared."
                .clone_into(&mut pair.apart);
        }
        _ => {
            let (one, two) = (
                plants_of(&first.body, &unknowns),
                plants_of(&second.body, &unknowns),
            );
            for label in labels(&mix, one.keys().chain(two.keys())) {
                let plants = |map: &BTreeMap<Label, u64>| map.get(&label).copied().unwrap_or(0);
                pair.lines.push(Line {
                    name: name(app, &label)?,
                    numbers: vec![plants(&one), plants(&two)],
                    agree: String::new(),
                });
            }
        }
    }
    Ok(pair)
}

/// The mix in its order, then everything else that was found, each once; of the mix only what
/// was found.
fn labels<'l>(mix: &[Label], found: impl Iterator<Item = &'l Label>) -> Vec<Label> {
    let found: BTreeSet<&Label> = found.collect();
    let planted = mix.iter().filter(|label| found.contains(label));
    let others = found.iter().copied().filter(|label| !mix.contains(label));
    planted.chain(others).cloned().collect()
}

/// Every pair that a frame is in: itself with what repeats it, or what it repeats with itself.
pub(super) fn pairs(
    app: &App,
    place: &Place,
    frame: &Entry<Frame>,
) -> Result<Vec<Pair>, BookError> {
    if let Some(first) = frame.body.repeats {
        return match app.book.frame(first)? {
            Some(first) => Ok(vec![compare(app, place, &first, frame, frame.id)?]),
            None => Ok(Vec::new()),
        };
    }
    let repeats = app.book.repeats_of(frame.id)?;
    repeats
        .iter()
        .map(|second| compare(app, place, frame, second, frame.id))
        .collect()
}

/// What all double readings of cells in a visit say about overlooking planted species; `None`
/// when no frame of cells was read twice.
pub(super) fn overlooking(
    app: &App,
    place: &Place,
    visit: &Entry<Visit>,
) -> Result<Option<Overlooking>, BookError> {
    let frames = app.book.frames(visit.id)?;
    let unknowns = Unknowns::read(app, unknown_ids(frames.iter()))?;
    let mix = mix(place);
    let mut all = CellPairs::default();
    let mut n_frames = 0;
    for second in &frames {
        let Some(first) = second.body.repeats else {
            continue;
        };
        let (Some(first), FrameShape::Grid { cells, .. }) =
            (app.book.frame(first)?, second.body.shape)
        else {
            continue;
        };
        if first.body.shape != second.body.shape {
            continue;
        }
        let one = any_of(&cells_of(&first.body, &unknowns), &mix);
        let two = any_of(&cells_of(&second.body, &unknowns), &mix);
        if let Ok(pairs) = CellPairs::of_frame(cells, &one, &two) {
            all = all.and(pairs);
            n_frames += 1;
        }
    }
    if n_frames == 0 {
        return Ok(None);
    }
    let read = format!(
        "From all double readings of this visit ({}, {} cells), planted species together: ",
        words::number_of(n_frames, "frame"),
        all.cells()
    );
    let said = match detection(all, Confidence::P95) {
        Ok(found) => {
            let range = |value: f64, low: f64, high: f64| {
                format!(
                    "{} (95 % interval {:.0} to {:.0} %)",
                    words::percent(value),
                    low * 100.0,
                    high * 100.0
                )
            };
            let one = found.overlooked_by_one;
            let both = found.overlooked_by_both;
            let mut text = format!(
                "one look overlooks at least {} of the cells that hold one, both looks together {}.",
                range(one.value, one.interval.lower, one.interval.upper),
                range(both.value, both.interval.lower, both.interval.upper)
            );
            if found.few {
                text.push_str(&format!(
                    " Only {} seen by both: take it as a hint.",
                    words::number_of(usize::try_from(all.both).unwrap_or(usize::MAX), "cell")
                ));
            }
            text.push_str(
                " A least share, since seedlings that are hard to see are hard for everybody.",
            );
            text
        }
        Err(error) => format!("{error}."),
    };
    Ok(Some(Overlooking {
        words: format!("{read}{said}"),
        sources: format!("{}; {}", CHAPMAN.citation, DOUBLE_OBSERVER.citation),
    }))
}
