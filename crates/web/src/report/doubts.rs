//! What is in doubt: plants without a name, misnamed ones, overlooked ones, odd input.
//!
//! In: a judgement. Out: sentences. Not here: estimates (crate `judge`).

use standbook_judge::{Corrected, Judgement, Note, Origin};

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
    if let Some(words) = by_practice(judgement, sources) {
        section.line("Misnamed, by practice:", words);
    }
    let practising = gathered.marks.words();
    if !practising.is_empty() {
        section.line(
            "Still practising:",
            format!("{practising} Every frame is in the numbers."),
        );
    }
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
    let drawn = corrected.origin == Origin::Drawn;
    format!(
        "{}{} checked by a second person{}; {differs}{}.",
        match corrected.audited {
            1 => "1 name".to_owned(),
            n => format!("{n} names"),
        },
        match (drawn, corrected.audited) {
            (true, 1) => ", drawn at random, was",
            (true, _) => ", drawn at random, were",
            (false, 1) => " was",
            (false, _) => " were",
        },
        match drawn {
            true => "",
            false => ", picked and not drawn at random, so names may be better than they look here",
        },
        before_and_after(corrected, sources)
    )
}

/// ` (52 of 100 before, 47 of 100 after; source)` of the first number that was corrected.
fn before_and_after(corrected: &Corrected, sources: &mut Sources) -> String {
    let Some(by) = corrected.by.first() else {
        return String::new();
    };
    let is_share = matches!(by.evidence, standbook_judge::Evidence::Frequency { .. });
    let words = |span: &Span| match is_share {
        true => format!("{} of 100", share_estimate(span)),
        false => format!("{} per m²", digits(span.low)),
    };
    format!(
        " ({} before, {} after; {})",
        words(&Span::of(&by.before)),
        words(&Span::of(&by.after)),
        sources.cite_method(by.correction.source())
    )
}

/// What practice says of wrong names, beside the count; `None` where nobody asked, or it says too little.
pub(crate) fn by_practice(judgement: &Judgement, sources: &mut Sources) -> Option<String> {
    let corrected = judgement.corrected_by_practice.as_ref()?;
    let Origin::Practice(of) = corrected.origin else {
        return None;
    };
    let answer = match corrected.differs {
        true => format!("the answer would be: {}", verdict_words(corrected.verdict)),
        false => "the answer would be the same".to_owned(),
    };
    Some(format!(
        "{} of {} who counted practised on drawings and photos of known name. They called {} of {} planted grasses planted, and {} of {} others not planted. If they name plants in the field as they name those, {answer}{}. Drawings may be easier or harder than plants: this is no part of the answer, and plants drawn to be examined again would say more.",
        of.scouts,
        of.of_scouts,
        of.planted.right,
        of.planted.of,
        of.other.right,
        of.other.of,
        before_and_after(corrected, sources)
    ))
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
