//! Reads one entry of the parts `timing` and `look_again`.

use super::read_thresholds::{purposes, whole};
use super::settle::{All, FileAt, Put, put};
use super::timing::{LookAgain, LookAgainWhen, MonthDay, Timing, TimingRule, TimingValue};
use crate::fault::{Findings, short};
use crate::fields::Fields;
use crate::yaml::{Value, Yaml};

const KIND: &str = "a rule of time";
const LOOK: &str = "a time to look again";

/// Longest time after seeding, days: ten years.
const MOST_DAYS: u32 = 3650;

pub(super) fn read(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, KIND, findings) else {
        return;
    };
    let rules: Vec<(&'static str, (TimingRule, bool))> =
        TimingRule::ALL.iter().map(|r| (r.0, (r.1, r.2))).collect();
    let id = fields.id("id");
    let replaces = fields.optional_text("replaces");
    let rule = fields.word("rule", &rules);
    let value = match rule {
        Some((rule, true)) => {
            all.rules_named.insert(rule);
            number(&mut fields, "number", MOST_DAYS).map(TimingValue::Number)
        }
        Some((rule, false)) => {
            all.rules_named.insert(rule);
            day(&mut fields, "day").map(TimingValue::Day)
        }
        None => {
            // Which of the two belongs here can't be said, so neither is called unknown.
            fields.optional("number");
            fields.optional("day");
            None
        }
    };
    let words = fields.text("words");
    let sources = file.sources(&mut fields);
    let placed = all.settle(&mut fields, file, KIND, id, replaces);
    let timing = || {
        let (source, also) = sources?;
        Some(Timing {
            id: id?.value.to_owned(),
            rule: rule?.0,
            value: value?,
            words: words?.value.to_owned(),
            source,
            also,
        })
    };
    let timing = timing();
    if let (Some(placed), Some(timing)) = (placed, timing) {
        let taken = all.standards.timing.get(&timing.rule);
        let may = match (&placed, taken) {
            (_, None) => true,
            (Put::InPlaceOf(old), Some(known)) => known.id == *old,
            (Put::Last, Some(_)) => false,
        };
        if may {
            if let Put::InPlaceOf(old) = &placed {
                all.standards.timing.retain(|_, known| known.id != *old);
            }
            all.standards.timing.insert(timing.rule, timing);
        } else if let Some(known) = taken {
            let known = known.id.clone();
            fields.fault(
                fields.place,
                format!(
                    "the rule `{}` is given by `{known}` already",
                    timing.rule.id()
                ),
                format!("keep one of the two; in a folder of your own add `replaces: {known}`"),
            );
        }
    }
    fields.close();
}

pub(super) fn read_look_again(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, LOOK, findings) else {
        return;
    };
    let id = fields.id("id");
    let replaces = fields.optional_text("replaces");
    let words = fields.text("words");
    let after = fields.optional("days_after_seeding").is_some();
    let when = match after {
        true => number(&mut fields, "days_after_seeding", MOST_DAYS)
            .map(LookAgainWhen::DaysAfterSeeding),
        false => {
            let season = number(&mut fields, "season", 20);
            let day = day(&mut fields, "day");
            season
                .zip(day)
                .map(|(season, day)| LookAgainWhen::DayOfSeason { season, day })
        }
    };
    let purposes = purposes(&mut fields);
    let sources = file.sources(&mut fields);
    let placed = all.settle(&mut fields, file, LOOK, id, replaces);
    fields.close();
    let look = || {
        let (source, also) = sources?;
        Some(LookAgain {
            id: id?.value.to_owned(),
            words: words?.value.to_owned(),
            when: when?,
            purposes,
            source,
            also,
        })
    };
    if let (Some(placed), Some(look)) = (placed, look()) {
        put(&mut all.standards.look_again, placed, look, |l| &l.id);
    }
}

/// A whole number from 1.
fn number(fields: &mut Fields, name: &'static str, most: u32) -> Option<u32> {
    let number = fields.number(name)?;
    whole(fields, number, name, 1, most)
}

/// A day of the year.
fn day(fields: &mut Fields, name: &'static str) -> Option<MonthDay> {
    let yaml = fields.required(name)?;
    let found = match &yaml.value {
        Value::Text(text) => MonthDay::parse(text.trim()),
        _ => None,
    };
    if found.is_none() {
        let said = match &yaml.value {
            Value::Text(text) => short(text),
            Value::Number(number) => number.to_string(),
            _ => "this".to_owned(),
        };
        fields.fault(
            yaml.place,
            format!("`{said}` is not a day of the year"),
            "write month and day in quotes, such as \"09-15\"; 29 February is not in every year",
        );
    }
    found
}
