//! What is odd about a file, or taken for granted; and what may not be said without days.
//!
//! In: options, what was read, a judgement. Out: sentences.
//! Not here: what is odd about the planting (crate `judge` says that).

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use standbook_judge::{Caveat, Judgement, Note};
use standbook_key::fault::short;

use super::Options;
use standbook_import::frames::{Frame, Read};

/// Notes on the file.
pub(super) fn on_file(options: &Options, read: &Read, visited: Option<Date>) -> Vec<String> {
    let mut notes = Vec::new();
    if options.purpose.is_none() && !options.planted.is_empty() {
        notes.push("Nobody said what the planting is for: taken as conservation cover; --purpose says otherwise.".to_owned());
    }
    if let (Some(first), Some(last), Some(visited)) = (read.days.first(), read.days.last(), visited)
    {
        let days = match first == last {
            true => first.to_string(),
            false => format!("{first} to {last}"),
        };
        if !read.days.contains(&visited) {
            notes.push(format!(
                "--visited says {visited}, the column date {days}: --visited was taken."
            ));
        } else if first != last {
            notes.push(format!(
                "Frames of {days} are taken as one visit, on {visited}."
            ));
        }
    }
    if !read.columns.contains_key("looked_twice") {
        notes.push("The file does not say which frames were gone over twice (column looked_twice). Small seedlings are easily overlooked, which makes the numbers too low.".to_owned());
    }
    notes.extend(alike(&read.frames));
    let firsts: BTreeMap<(&str, &str), &str> = read
        .frames
        .iter()
        .filter(|frame| frame.repeats.is_empty())
        .map(|frame| ((&*frame.point, &*frame.number), &*frame.scout))
        .collect();
    let alone = read.frames.iter().filter(|frame| {
        let first = firsts.get(&(&*frame.point, &*frame.repeats));
        !frame.repeats.is_empty() && !frame.scout.is_empty() && first == Some(&&*frame.scout)
    });
    match alone.count() {
        0 => {}
        n => notes.push(format!(
            "{n} second reading(s) by the scout of the first: they say less of what is overlooked than another scout's."
        )),
    }
    notes
}

/// Points that only capitals or spaces tell apart are probably one, and would make the field look
/// better sampled than it is.
fn alike(frames: &[Frame]) -> Option<String> {
    let mut spellings: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for frame in frames {
        let letters = frame.point.chars().filter(|c| !c.is_whitespace());
        spellings
            .entry(letters.flat_map(char::to_lowercase).collect())
            .or_default()
            .insert(&frame.point);
    }
    let names = spellings.into_values().find(|names| names.len() > 1)?;
    let names: Vec<String> = names.into_iter().take(3).map(short).collect();
    Some(format!(
        "Points {} count as different ones; if they are one, write them alike.",
        names.join(" and ")
    ))
}

/// Takes out what hangs on days that were made up.
pub(super) fn undated(judgement: &mut Judgement) {
    judgement.notes.retain(|note| {
        !matches!(
            note,
            Note::VisitBeforeSeeding { .. }
                | Note::InTheFuture { .. }
                | Note::EventBeforeSeeding { .. }
                | Note::LateOrDormant { .. }
                | Note::Overseeded { .. }
                | Note::EntryInterval { .. }
        )
    });
    for one in &mut judgement.compared {
        one.caveats
            .retain(|caveat| !matches!(caveat, Caveat::OtherSeason { .. }));
    }
}
