//! What was done and what to do: how it was counted, events, advice, mowing, dates, pictures.
//!
//! In: what was gathered. Out: sections. Texts of advice are those of the standards.
//! Not here: numbers of the stand (`tables`).

use standbook_fieldbook::record::{EventKind, FrameShape};
use standbook_judge::CautionCited;

use super::cite::Sources;
use super::figures::height;
use super::gather::Gathered;
use super::results::grid_words;
use super::section::{Cell, Section};
use super::spots::Spot;
use crate::words::{area, date_words, number_of, plain};

/// How it was counted.
pub(crate) fn counted(gathered: &Gathered, spots: &[Spot]) -> Section {
    let mut section = Section::new("How it was counted");
    let laid: Vec<_> = gathered
        .frames
        .iter()
        .filter(|(_, frame)| frame.body.repeats.is_none())
        .collect();
    let mut shapes: Vec<(String, usize)> = Vec::new();
    for (_, frame) in &laid {
        let words = shape_words(frame.body.shape);
        match shapes.iter_mut().find(|(known, _)| *known == words) {
            Some((_, n)) => *n += 1,
            None => shapes.push((words, 1)),
        }
    }
    for (words, n) in shapes {
        section.line("", format!("{}: {words}.", number_of(n, "frame")));
    }
    let reached = spots.iter().filter(|spot| spot.frames > 0).count();
    section.line("", format!("Frames lay at {}.", number_of(reached, "spot")));
    for spot in spots.iter().filter(|spot| !spot.unreachable.is_empty()) {
        section.line(
            "",
            format!("Spot {} was not reached: {}.", spot.name, spot.unreachable),
        );
    }
    let planned = gathered
        .points
        .iter()
        .filter(|p| p.body.planned.is_some())
        .count();
    section.line(
        "",
        match planned {
            0 => "Where to look was chosen on the spot, without a plan drawn before.".to_owned(),
            n => format!(
                "{} drawn before the walk.",
                match n {
                    1 => "1 point was".to_owned(),
                    n => format!("{n} points were"),
                }
            ),
        },
    );
    let twice = laid
        .iter()
        .filter(|(_, frame)| frame.body.looked_twice)
        .count();
    section.line(
        "",
        format!(
            "{twice} of {} were gone over a second time for overlooked seedlings.",
            number_of(laid.len(), "frame")
        ),
    );
    let empty = laid
        .iter()
        .filter(|(_, frame)| frame.body.tallies.is_empty())
        .count();
    if empty > 0 {
        section.line(
            "",
            format!(
                "{} held nothing at all: looked, none.",
                number_of(empty, "frame")
            ),
        );
    }
    section.says.push(format!(
        "Counted by {}.",
        gathered.visit.body.scouts.join(", ")
    ));
    if !gathered.visit.body.note.is_empty() {
        section
            .says
            .push(format!("Note of the day: {}", gathered.visit.body.note));
    }
    section
}

/// What was laid, in words.
pub(crate) fn shape_words(shape: FrameShape) -> String {
    match shape {
        FrameShape::Grid {
            cells,
            cell_side_cm,
        } => grid_words(standbook_stand::convert::Grid {
            cells,
            cell_side_cm,
        }),
        FrameShape::Quadrat { area_m2 } => format!("quadrat of {}", area(area_m2)),
        FrameShape::Row {
            length_m,
            row_spacing_cm,
        } => format!(
            "{} m ({} ft) of row, rows {} apart",
            plain(length_m),
            plain((length_m / 0.3048 * 10.0).round() / 10.0),
            height(row_spacing_cm)
        ),
    }
}

/// What an event was, in words.
pub(crate) fn event_words(what: EventKind) -> String {
    match what {
        EventKind::Mowed {
            height_cm: Some(cm),
        } => format!("mowed, {} left standing", height(cm)),
        EventKind::Mowed { height_cm: None } => "mowed".to_owned(),
        EventKind::Sprayed {
            entry_after_h,
            graze_after_days,
        } => {
            let mut words = "sprayed".to_owned();
            if let Some(hours) = entry_after_h {
                words.push_str(&format!(
                    "; by its label nobody goes in for {} hours",
                    plain(hours)
                ));
            }
            if let Some(days) = graze_after_days {
                words.push_str(&format!("; no grazing or hay for {} days", plain(days)));
            }
            words
        }
        EventKind::Rain { mm: Some(mm) } => {
            format!(
                "rain, {} in ({} mm)",
                plain((mm / 25.4 * 100.0).round() / 100.0),
                plain(mm)
            )
        }
        EventKind::Rain { mm: None } => "rain".to_owned(),
        EventKind::Drought => "dry spell began".to_owned(),
        EventKind::Grazed => "grazed".to_owned(),
        EventKind::Burned => "burned".to_owned(),
        EventKind::Overseeded => "seeded again".to_owned(),
        EventKind::Other => "other".to_owned(),
    }
}

/// Events since seeding.
pub(crate) fn events(gathered: &Gathered) -> Section {
    let mut section = Section::new("What happened since seeding");
    section.table.head = vec![("Date", false), ("What", false), ("Note", false)];
    for event in &gathered.events {
        section.table.rows.push(vec![
            date_words(&event.body.on).into(),
            event_words(event.body.what).into(),
            event.body.note.clone().into(),
        ]);
    }
    section
}

/// Spots with what was found, for the page on paper.
pub(crate) fn by_spot(spots: &[Spot]) -> Section {
    let mut section = Section::new("Spot by spot");
    section.table.head = vec![
        ("Spot", false),
        ("Frames", true),
        ("Planted found in", true),
        ("Weeds that stay", false),
        ("Latitude, longitude", false),
    ];
    for spot in spots {
        let place = match spot.position {
            Some([north, east]) => {
                let how = match (spot.planned_only, spot.uncertainty_m) {
                    (true, _) => "as planned".to_owned(),
                    (false, Some(m)) => format!(
                        "within {} ft ({} m)",
                        plain((m / 0.3048).round()),
                        plain((m * 10.0).round() / 10.0)
                    ),
                    (false, None) => String::new(),
                };
                Cell::with(format!("{north:.5}, {east:.5}"), how)
            }
            None => Cell::default(),
        };
        section.table.rows.push(vec![
            spot.name.clone().into(),
            match spot.frames {
                0 => "not reached".to_owned(),
                n => n.to_string(),
            }
            .into(),
            spot.found().into(),
            if spot.perennial_weeds { "yes" } else { "" }.into(),
            place,
        ]);
    }
    section
}

/// All advice, with what to mind.
pub(crate) fn advice(gathered: &Gathered, sources: &mut Sources) -> Section {
    let mut section = Section::new("What to do, the most pressing first");
    let mut cautions: Vec<&CautionCited> = Vec::new();
    for one in &gathered.judgement.advice {
        section.line(
            format!("{}.", one.name),
            format!("{} {}", one.words, sources.cite(&one.sources)),
        );
        for caution in &one.cautions {
            // A caution that several pieces of advice carry is said once.
            if cautions
                .iter()
                .all(|known| known.caution.id != caution.caution.id)
            {
                cautions.push(caution);
            }
        }
    }
    if !cautions.is_empty() {
        let said: Vec<String> = cautions
            .into_iter()
            .map(|one| format!("{} {}", one.caution.words, sources.cite(&one.sources)))
            .collect();
        section.line("What to mind:", said.join(" "));
    }
    section.small = "Advice stays advice: labels, local rules and licensed people decide about herbicides, the landowner about the ground, the office about a contract.".to_owned();
    section
}

/// What the sources say of mowing, where some advice is about it.
pub(crate) fn mowing(gathered: &Gathered, sources: &mut Sources) -> Section {
    let mut section = Section::new("Mowing, by source");
    section.table.head = vec![
        ("When", false),
        ("Leave standing", false),
        ("How often", false),
        ("Source", false),
    ];
    let Some(advice) = gathered
        .judgement
        .advice
        .iter()
        .find(|one| !one.mowing.is_empty())
    else {
        return section;
    };
    for rule in &advice.mowing {
        let cm = rule.mowing.cut_in.map(|(low, high)| {
            let cm = |inches: f64| format!("{:.0}", inches * crate::words::CM_PER_INCH);
            match low == high {
                true => format!("{} cm", cm(low)),
                false => format!("{} to {} cm", cm(low), cm(high)),
            }
        });
        section.table.rows.push(vec![
            rule.mowing.trigger.clone().into(),
            Cell::with(rule.mowing.cut.clone(), cm.unwrap_or_default()),
            rule.mowing.how_often.clone().into(),
            sources.cite(std::slice::from_ref(&rule.source)).into(),
        ]);
    }
    section.says.push(
        "The sources disagree on the height; all cut above the planted seedlings.".to_owned(),
    );
    section
}

/// Dates to look again, and the day from which a verdict is fair.
pub(crate) fn look_again(gathered: &Gathered, sources: &mut Sources) -> Section {
    let judgement = &gathered.judgement;
    let fairness = &judgement.fairness;
    let mut section = Section::new("When to look again");
    section.table.head = vec![("Date", false), ("What for", false), ("Source", false)];
    for next in &judgement.look_again {
        section.table.rows.push(vec![
            date_words(&next.on.to_string()).into(),
            next.words.clone().into(),
            sources.cite(&next.sources).into(),
        ]);
    }
    section.says.push(format!(
        "A fair judgement is possible from {}; success or failure is settled by {}. {} {}",
        date_words(&fairness.fair_from.to_string()),
        date_words(&fairness.settled_from.to_string()),
        fairness.words,
        sources.cite(&fairness.sources)
    ));
    section
}

/// Pictures; the number is what a print or a file can be marked with.
pub(crate) fn pictures(gathered: &Gathered) -> Section {
    let mut section = Section::new("Pictures");
    section.table.head = vec![
        ("No.", false),
        ("Of", false),
        ("Shows", false),
        ("Taken by, on", false),
        ("File", false),
    ];
    for (at, picture) in gathered.pictures.iter().enumerate() {
        let photo = &picture.photo;
        let on: String = photo.born_at.chars().take(10).collect();
        section.table.rows.push(vec![
            (at + 1).to_string().into(),
            picture.of.clone().into(),
            photo.body.shows.clone().into(),
            Cell::with(photo.author.clone(), date_words(&on)),
            // The first digits name the file; all 64 would fill the page.
            photo
                .body
                .sha256
                .chars()
                .take(12)
                .collect::<String>()
                .into(),
        ]);
    }
    section
}
