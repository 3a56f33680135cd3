//! The rules that a record must keep by itself, whatever else is in the book.
//!
//! In: a record. Out: every rule it breaks, with the field, what is wrong and how to mend it.
//! Not here: whether what it refers to exists and fits (`links`).

mod event;
mod evidence;
mod field;
pub mod limits;
mod office;
mod outline;
mod place;
mod plan;
mod practice;
mod review;
mod seed;
mod standard;

use jiff::civil::Date;

use crate::error::Problem;
use crate::id::RecordId;
use crate::record::{Body, Position, Record};
use crate::time::{parse_date, parse_stamp};

/// Adds every rule this record breaks by itself.
pub(crate) fn check(record: &Record, problems: &mut Vec<Problem>) {
    let mut faults = Faults {
        record: record.id,
        kind: record.body.kind(),
        list: problems,
    };
    faults.stamp("born_at", &record.born_at);
    faults.name("device", &record.device);
    faults.name("author", &record.author);
    if record.supersedes == Some(record.id) {
        faults.add(
            "supersedes",
            "a record cannot correct itself",
            "Give the correction a new id.",
        );
    }
    match &record.body {
        Body::Site(site) => place::site(&mut faults, site),
        Body::Planting(planting) => place::planting(&mut faults, planting),
        Body::SeedLot(lot) => seed::seed_lot(&mut faults, lot, &record.born_at),
        Body::Event(event) => event::event(&mut faults, event),
        Body::Outline(outline) => outline::outline(&mut faults, outline),
        Body::Plan(plan) => plan::plan(&mut faults, plan),
        Body::Standard(standard) => standard::standard(&mut faults, standard),
        Body::Plot(plot) => place::plot(&mut faults, plot),
        Body::Visit(visit) => field::visit(&mut faults, visit),
        Body::Point(point) => field::point(&mut faults, point),
        Body::Frame(frame) => field::frame(&mut faults, frame, record.id),
        Body::Unknown(unknown) => field::unknown(&mut faults, unknown),
        Body::Determination(determination) => evidence::determination(&mut faults, determination),
        Body::Opinion(opinion) => review::opinion(&mut faults, opinion),
        Body::Voucher(voucher) => office::voucher(&mut faults, voucher),
        Body::ComeBack(back) => office::come_back(&mut faults, back),
        Body::Audit(audit) => office::audit(&mut faults, audit),
        Body::PracticeSet(set) => practice::set(&mut faults, set),
        Body::Practice(it) => {
            practice::practice(&mut faults, it);
            practice::no_correction(&mut faults, record);
        }
        Body::ScoutRule(rule) => practice::rule(&mut faults, rule),
        Body::PracticeRemoval(removal) => {
            practice::removal(&mut faults, removal);
            practice::no_correction(&mut faults, record);
        }
        Body::Photo(photo) => review::photo(&mut faults, photo),
    }
}

/// Whether a text is 64 lower-case hex digits.
pub(crate) fn is_sha256(text: &str) -> bool {
    text.len() == 64
        && text
            .bytes()
            .all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
}

/// Collects what is wrong with one record.
struct Faults<'a> {
    record: RecordId,
    kind: &'static str,
    list: &'a mut Vec<Problem>,
}

impl Faults<'_> {
    fn add(
        &mut self,
        field: impl Into<String>,
        problem: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.list.push(Problem {
            record: self.record,
            kind: self.kind,
            field: field.into(),
            problem: problem.into(),
            mend: mend.into(),
        });
    }

    /// A name: one line, not blank.
    fn name(&mut self, field: impl Into<String>, text: &str) {
        self.text(field, text, 1, limits::NAME_CHARS, false);
    }

    /// A note: may be empty, may have several lines.
    fn note(&mut self, field: impl Into<String>, text: &str) {
        self.text(field, text, 0, limits::NOTE_CHARS, true);
    }

    /// One line that may be empty.
    fn line(&mut self, field: impl Into<String>, text: &str) {
        self.text(field, text, 0, limits::NAME_CHARS, false);
    }

    fn text(
        &mut self,
        field: impl Into<String>,
        text: &str,
        least: usize,
        most: usize,
        lines: bool,
    ) {
        let field = field.into();
        let chars = text.chars().count();
        if least > 0 && text.trim().is_empty() {
            self.add(
                &field,
                "it is empty",
                format!("Enter {least} to {most} characters."),
            );
        }
        if chars > most {
            self.add(
                &field,
                format!("it has {chars} characters"),
                format!("Shorten it to {most} characters."),
            );
        }
        if let Some(control) = text
            .chars()
            .find(|&c| c.is_control() && !(lines && c == '\n'))
        {
            let mend = if lines {
                "Remove it; a new line is one line feed."
            } else {
                "Remove it; this field has one line."
            };
            self.add(
                &field,
                format!(
                    "it contains the control character U+{:04X}",
                    u32::from(control)
                ),
                mend,
            );
        }
    }

    /// An id of a trait, state, taxon, stage, tool or outcome.
    fn id(&mut self, field: impl Into<String>, text: &str) {
        self.id_of(field, text, "", "a-z, 0-9 and _");
    }

    fn id_of(&mut self, field: impl Into<String>, text: &str, also: &str, allowed: &str) {
        let fits =
            |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_' || also.contains(c);
        if text.is_empty() || text.len() > limits::ID_CHARS || !text.chars().all(fits) {
            let problem = format!("`{}` is not an id", short(text));
            self.add(
                field,
                problem,
                format!("Use 1 to {} characters of {allowed}.", limits::ID_CHARS),
            );
        }
    }

    fn stamp(&mut self, field: &str, text: &str) {
        if parse_stamp(text).is_none() {
            let problem = format!("`{}` is not an instant as the book writes it", short(text));
            self.add(
                field,
                problem,
                "Use UTC with milliseconds, such as 2026-07-14T15:04:05.123Z.",
            );
        }
    }

    fn date(&mut self, field: &str, text: &str) -> Option<Date> {
        let Some(date) = parse_date(text) else {
            let problem = format!("`{}` is not a date that exists", short(text));
            self.add(
                field,
                problem,
                "Use year, month and day, such as 2026-05-12.",
            );
            return None;
        };
        if !(limits::FIRST_YEAR..=limits::LAST_YEAR).contains(&date.year()) {
            let mend = format!(
                "Use a year from {} to {}.",
                limits::FIRST_YEAR,
                limits::LAST_YEAR
            );
            self.add(field, format!("the year of {text} is out of range"), mend);
            return None;
        }
        Some(date)
    }

    /// A number above 0 and at most `most`, in `unit`.
    fn above_zero(&mut self, field: impl Into<String>, value: f64, most: f64, unit: &str) {
        if !(value > 0.0 && value <= most) {
            let mend = format!("Use a number above 0 and at most {most} {unit}.");
            self.add(field, format!("{value} {unit} is out of range"), mend);
        }
    }

    /// A number from 0 to `most`, in `unit`.
    fn not_negative(&mut self, field: impl Into<String>, value: f64, most: f64, unit: &str) {
        if !(0.0..=most).contains(&value) {
            let mend = format!("Use a number from 0 to {most} {unit}.");
            self.add(field, format!("{value} {unit} is out of range"), mend);
        }
    }

    /// Degrees north and east, WGS 84; `field` ends before `latitude` and `longitude`.
    fn degrees(&mut self, field: &str, latitude: f64, longitude: f64) {
        for (name, degrees, most) in [
            ("latitude", latitude, 90.0),
            ("longitude", longitude, 180.0),
        ] {
            if !(-most..=most).contains(&degrees) {
                let mend = format!("Use signed decimal degrees (WGS 84) from -{most} to {most}.");
                self.add(
                    format!("{field}{name}"),
                    format!("{degrees} degrees is out of range"),
                    mend,
                );
            }
        }
    }

    /// A position in the field `position`, if there is one.
    fn position(&mut self, position: Option<Position>) {
        let Some(fix) = position else { return };
        self.degrees("position.", fix.latitude, fix.longitude);
        if let Some(radius) = fix.uncertainty_m {
            self.above_zero("position.uncertainty_m", radius, limits::UNCERTAINTY_M, "m");
        }
    }

    /// A whole number from 1 to `most`.
    fn whole_number(&mut self, field: impl Into<String>, value: u32, most: u32) {
        if value < 1 || value > most {
            self.add(
                field,
                format!("{value} is out of range"),
                format!("Use a whole number from 1 to {most}."),
            );
        }
    }

    /// The number of items of a list.
    fn items(&mut self, field: &str, count: usize, least: usize, most: usize, what: &str) {
        if count < least {
            self.add(
                field,
                "the list is empty",
                format!("Enter at least {least} {what}."),
            );
        }
        if count > most {
            self.add(
                field,
                format!("the list has {count} {what}"),
                format!("Use at most {most}."),
            );
        }
    }

    /// The second place of anything that stands twice in a list.
    fn once<'t>(&mut self, field: &str, part: &str, items: impl Iterator<Item = &'t str>) {
        let mut seen = std::collections::HashSet::new();
        for (at, item) in items.enumerate() {
            if !seen.insert(item) {
                let field = format!("{field}[{at}]{part}");
                self.add(
                    field,
                    format!("`{}` is in the list already", short(item)),
                    "Enter it once.",
                );
            }
        }
    }
}

/// A text from outside, cut for a message.
fn short(text: &str) -> String {
    let mut cut: String = text
        .chars()
        .take(40)
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect();
    if text.chars().count() > 40 {
        cut.push_str("...");
    }
    cut
}
