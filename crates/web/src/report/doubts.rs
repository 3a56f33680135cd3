//! What is in doubt: plants without a name, misnamed ones, overlooked ones, odd input.
//!
//! In: a judgement. Out: sentences. Not here: estimates (crate `judge`).

use standbook_judge::{Judgement, Note};

use super::cite::Sources;
use super::figures::{of_100, share_estimate};
use super::gather::Gathered;
use super::section::Section;
use super::span::Span;
use super::tables::verdict_words;
use crate::app::App;
use crate::words::{digits, number_of, percent};

/// Everything in doubt.
pub(crate) fn doubts(app: &App, gathered: &Gathered, sources: &mut Sources) -> Section {
    let judgement = &gathered.judgement;
    let mut section = Section::new("What is in doubt");
    for one in &judgement.unsettled {
        let name = gathered.name_of(app, &one.label).0;
        let mut found = Vec::new();
        if one.cells > 0 {
            found.push(number_of(
                usize::try_from(one.cells).unwrap_or(usize::MAX),
                "square",
            ));
        }
        if one.plants > 0 {
            found.push(number_of(
                usize::try_from(one.plants).unwrap_or(usize::MAX),
                "plant",
            ));
        }
        let decides = match one.could_decide {
            true => "settling it could change the answer",
            false => "settling it would not change the answer",
        };
        section.line(
            "No name yet:",
            format!("{name} ({}); {decides}.", found.join(", ")),
        );
    }
    section.line("Misnamed plants:", misnamed(judgement, sources));
    section.line("Overlooked seedlings:", overlooked(judgement));
    let spoken_of = |note: &&Note| match note {
        Note::NothingLaid => false,
        // A field of one plot has no parts to weigh.
        Note::StrataNotWeighed { .. } => gathered.plots.len() > 1,
        _ => true,
    };
    let notes = judgement.notes.iter().filter(spoken_of);
    for note in notes {
        section.line("", note_words(app, note));
    }
    section
}

/// A note; taxa go by their names.
fn note_words(app: &App, note: &Note) -> String {
    let words = note.to_string();
    match note {
        Note::NothingSaidOf { label } => match label.taxon() {
            Some(id) => words.replace(id, &crate::words::taxon_name(app, id).0),
            None => words,
        },
        _ => words,
    }
}

fn misnamed(judgement: &Judgement, sources: &mut Sources) -> String {
    let Some(corrected) = &judgement.corrected else {
        return "Too few names were checked by a second person to say how many, so nothing was corrected.".to_owned();
    };
    let differs = match corrected.differs {
        true => format!(
            "corrected for them the answer would be: {}",
            verdict_words(corrected.verdict)
        ),
        false => "corrected for them the answer stays the same".to_owned(),
    };
    let first = corrected.by.first().map(|by| {
        let (before, after) = (Span::of(&by.before), Span::of(&by.after));
        let is_share = matches!(by.evidence, standbook_judge::Evidence::Frequency { .. });
        let words = |span: &Span| match is_share {
            true => format!("{} of 100", share_estimate(span)),
            false => format!("{} per m²", digits(span.low)),
        };
        format!(
            " ({} before, {} after; {})",
            words(&before),
            words(&after),
            sources.cite_method(by.correction.source())
        )
    });
    format!(
        "{}{} checked by a second person{}; {differs}{}.",
        match corrected.audited {
            1 => "1 name".to_owned(),
            n => format!("{n} names"),
        },
        match (corrected.drawn, corrected.audited) {
            (true, 1) => ", drawn at random, was",
            (true, _) => ", drawn at random, were",
            (false, 1) => " was",
            (false, _) => " were",
        },
        match corrected.drawn {
            true => "",
            false => ", picked and not drawn at random, so names may be better than they look here",
        },
        first.unwrap_or_default()
    )
}

fn overlooked(judgement: &Judgement) -> String {
    let Some(twice) = &judgement.seen_twice else {
        return "No frame was read again by a second scout, so nobody knows how many were missed. What is missed makes the numbers too low.".to_owned();
    };
    let mut words = format!(
        "{} read again by a second scout who had not seen the first count",
        match twice.frames {
            1 => "1 frame was".to_owned(),
            n => format!("{n} frames were"),
        }
    );
    if let Some(agreement) = &twice.agreement {
        words.push_str(&format!(
            "; they agreed on {} of squares",
            percent(agreement.observed)
        ));
    }
    if let Some(detection) = &twice.detection {
        let missed = &detection.overlooked_by_one;
        words.push_str(&format!(
            "; one look missed about {} of 100 squares with a planted grass ({} to {})",
            of_100(missed.value),
            of_100(missed.interval.lower),
            of_100(missed.interval.upper)
        ));
    }
    if let Some(seen) = &twice.seen_through {
        words.push_str(&format!(
            "; had nothing been missed, {} of every 100 squares would hold one ({} to {})",
            of_100(seen.value),
            of_100(seen.interval.lower),
            of_100(seen.interval.upper)
        ));
    }
    words.push('.');
    words
}
