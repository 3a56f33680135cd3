//! What a merge did, in words: the same on the page and on the terminal.

use standbook_fieldbook::safe::both::{Named, Settling, Twice, Version};
use standbook_fieldbook::safe::merge::Merged;

use crate::words::{date_words, instant_words, number_of};

/// Lines under one heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// The heading.
    pub title: &'static str,
    /// The lines.
    pub lines: Vec<String>,
}

/// What came, or would come, and what people have to look at. `name` gives a taxon's name.
pub fn parts(merged: &Merged, name: &dyn Fn(&str) -> String) -> Vec<Part> {
    let part = |title, lines: Vec<String>| Part { title, lines };
    let share = |who: &str, new: usize, already: usize| match already {
        0 => format!("{who}: {new} new"),
        _ => format!("{who}: {new} new, {already} here already"),
    };
    let kinds = merged.counts.kinds.iter();
    let scouts = merged.counts.scouts.iter();
    let visits = merged.counts.visits.iter();
    let all = vec![
        part("What came", vec![came(merged)]),
        part(
            "By kind",
            kinds
                .filter(|(_, came)| came.new > 0)
                .map(|(kind, came)| share(&kind.replace('_', " "), came.new, came.already))
                .collect(),
        ),
        part(
            "By who entered it",
            scouts
                .filter(|(_, came)| came.new > 0)
                .map(|(scout, came)| share(scout, came.new, came.already))
                .collect(),
        ),
        part(
            "New by visit",
            visits
                .map(|v| {
                    format!(
                        "{}, {}: {}",
                        v.planting,
                        date_words(&v.on),
                        number_of(v.new, "record")
                    )
                })
                .collect(),
        ),
        part("Pictures", pictures(merged)),
        part(
            "Corrected twice: say which is right",
            merged.corrected_twice.iter().map(twice).collect(),
        ),
        part(
            "Named apart: look again",
            merged
                .named_apart
                .iter()
                .map(|one| apart(one, name))
                .collect(),
        ),
        part(
            "Does not fit together: correct one of them",
            merged
                .misfits
                .iter()
                .map(|m| format!("{}: {}. {}", m.what, m.problem, m.mend))
                .collect(),
        ),
    ];
    all.into_iter()
        .filter(|part| !part.lines.is_empty())
        .collect()
}

fn came(merged: &Merged) -> String {
    let (new, already) = (merged.counts.all.new, merged.counts.all.already);
    let new_ones = number_of(new, "record");
    match (merged.looked, new) {
        (true, _) => {
            format!("{new_ones} would come; {already} are here already. Nothing was written.")
        }
        (false, 0) => format!("Nothing new: all {already} are here already."),
        (false, _) => format!("{new_ones} came; {already} were here already."),
    }
}

fn pictures(merged: &Merged) -> Vec<String> {
    let all = &merged.pictures;
    let mut lines = Vec::new();
    if all.copied + all.already > 0 {
        let verb = if merged.looked {
            "would be copied"
        } else {
            "copied and verified"
        };
        lines.push(format!(
            "{} {verb}, {} here already",
            all.copied, all.already
        ));
    }
    lines.extend(all.lacking.iter().map(|one| {
        let why = match one.changed {
            true => "its file has other bytes than when it was added, and was not copied",
            false => "its file is not beside the other book",
        };
        format!(
            "Lacking: {}, record {}: {why}. Put the other book's folder of pictures (the book's name with .photos) beside it and use standbook merge",
            one.what, one.record
        )
    }));
    lines
}

/// `plot North: name is "east" by ..., and "west" by ...`.
pub fn twice(one: &Twice) -> String {
    let others: Vec<String> = one
        .others
        .iter()
        .map(|other| format!("{} has {}", by(other), differs(other)))
        .collect();
    format!(
        "{}: {} counts now, being later; {}",
        one.what,
        by(&one.current),
        others.join("; ")
    )
}

/// In what a version differs from the one that counts: `name “east” instead of “west”`.
pub fn differs(version: &Version) -> String {
    let all = version.differs.iter().map(|d| {
        format!(
            "{} \u{201c}{}\u{201d} instead of \u{201c}{}\u{201d}",
            d.field.replace('_', " "),
            d.other,
            d.one
        )
    });
    all.collect::<Vec<_>>().join(", ")
}

/// Who entered a version, where and when.
pub fn by(version: &Version) -> String {
    let when = instant_words(&version.born_at);
    format!("{} ({}, {when})", version.author, version.device)
}

/// `unknown 3: big bluestem by ..., and switchgrass by ... before`.
pub fn apart(one: &Settling, name: &dyn Fn(&str) -> String) -> String {
    let called = |named: &Named| match (&named.taxon, named.name_as_written.as_str()) {
        (Some(taxon), _) => name(taxon),
        (None, "") => "no name in this key".to_owned(),
        (None, written) => format!("\u{201c}{written}\u{201d}"),
    };
    format!(
        "{}: {} says {}, and that counts, being later; {} said {}",
        one.what,
        one.last.author,
        called(&one.last),
        one.before.author,
        called(&one.before)
    )
}
