//! What a record that a program sends must keep beyond the book's own rules: what the pages' forms
//! see to before a record is made.
//!
//! In: a record. Out: the record to be kept, or what is wrong with it.

use axum::http::StatusCode;
use standbook_fieldbook::record::{Body, Opinion};
use standbook_fieldbook::{BookError, Record};

use super::naming::names_of;
use super::problem::{Fault, Refused};
use crate::app::App;
use crate::evidence;
use crate::here::Here;
use crate::phones::Who;
use crate::stand::resolve::genus_of;

/// Whether whoever sends may send such records at all.
///
/// # Errors
/// 403 for what is the office's, from a phone that was let in for the field.
pub(super) fn may_send(here: &Here, records: &[Record]) -> Result<(), Refused> {
    let of_the_office = |record: &Record| {
        matches!(
            record.body,
            Body::Opinion(_)
                | Body::Voucher(_)
                | Body::ComeBack(_)
                | Body::Audit(_)
                | Body::PracticeSet(_)
                | Body::ScoutRule(_)
                | Body::PracticeRemoval(_)
        )
    };
    if here.who.may_use_desk() || !records.iter().any(of_the_office) {
        return Ok(());
    }
    Err(Refused::new(
        StatusCode::FORBIDDEN,
        "Opinions, specimens, flags, audits, and practice sets, rules and removals are the office's. Nothing was kept. This phone was let in for the field: at the laptop, let it in again with \u{201c}also the Desk\u{201d}.",
    ))
}

/// Judges one record. One that is in the book already is left to the book as it is: a key that has
/// changed since must not refuse its second sending.
pub(super) fn judge(
    app: &App,
    here: &Here,
    mut record: Record,
) -> Result<Result<Record, Vec<Fault>>, BookError> {
    record.received_at = None;
    if app.book.get(record.id)?.is_some() {
        // Rounding that a second sending brings along is taken out as it was the first time.
        let _a_key_may_have_changed = weigh(app, &mut record);
        return Ok(Ok(record));
    }
    let mut faults = Vec::new();
    faults.extend(device(here, app, &record));
    faults.extend(unknown_names(app, &record)?);
    faults.extend(unknown_genus(app, &record));
    faults.extend(weigh(app, &mut record));
    match &record.body {
        Body::Opinion(it) if it.blind => faults.push(Fault::new(
            "blind",
            "nobody saw that this was given before the first answer was shown",
            "Leave it out, or give the opinion on the page for blind second looks.",
        )),
        Body::Practice(_) => faults.push(Fault::new(
            "practice",
            "nobody saw that this was answered before the truth was shown",
            "Answer the question on the page that asks it.",
        )),
        Body::Photo(_) => faults.push(Fault::new(
            "photo",
            "a picture's record can't come without its picture",
            "Add the picture on the page of its plant, or send it with the outbox of a phone.",
        )),
        _ => {}
    }
    Ok(match faults.is_empty() {
        true => Ok(record),
        false => Err(faults),
    })
}

/// Puts the engine's own numbers into evidence that was sent, so that nothing computed elsewhere is in
/// the book; what is wrong with it otherwise.
fn weigh(app: &App, record: &mut Record) -> Vec<Fault> {
    let evidence = match &mut record.body {
        Body::Determination(plant) => &mut plant.evidence,
        Body::Opinion(Opinion {
            evidence: Some(evidence),
            ..
        }) => evidence,
        _ => return Vec::new(),
    };
    match evidence::checked(&app.key, &app.table, evidence) {
        Ok(weighed) => {
            *evidence = weighed;
            Vec::new()
        }
        Err(doubts) => {
            let faults = doubts.into_iter().map(|doubt| {
                let field = format!("evidence.{}", doubt.field);
                Fault::new(field, doubt.problem, doubt.mend)
            });
            faults.collect()
        }
    }
}

/// A phone's records bear its name, so that what it sent can be told from what others did.
fn device(here: &Here, app: &App, record: &Record) -> Option<Fault> {
    let own = here.device(app);
    let by_phone = matches!(here.who, Who::Phone(_));
    (by_phone && record.device != own).then(|| {
        Fault::new(
            "device",
            "records of a phone bear its name",
            format!("Write `{own}`."),
        )
    })
}

/// A genus that the key does not have.
fn unknown_genus(app: &App, record: &Record) -> Option<Fault> {
    let Body::Opinion(Opinion {
        genus: Some(genus), ..
    }) = &record.body
    else {
        return None;
    };
    let known = app.key.taxa.iter().any(|taxon| genus_of(taxon) == genus);
    (!known).then(|| {
        let genus: String = genus.chars().take(40).collect();
        Fault::new(
            "genus",
            format!("no taxon of this key is of the genus `{genus}`"),
            "Use the first word of a `scientific_name` of /api/key/taxa.",
        )
    })
}

/// Names that are no names of the key. A correction may keep what the key no longer has.
fn unknown_names(app: &App, record: &Record) -> Result<Vec<Fault>, BookError> {
    let unknown: Vec<(String, &str)> = names_of(&record.body)
        .into_iter()
        .filter(|(_, name)| app.key.taxon(name).is_none())
        .collect();
    if unknown.is_empty() {
        return Ok(Vec::new());
    }
    let before = match record.supersedes {
        Some(id) => app.book.get(id)?,
        None => None,
    };
    let before = before.as_ref().map(|it| names_of(&it.body));
    let before = before.unwrap_or_default();
    let new = unknown
        .into_iter()
        .filter(|(_, name)| !before.iter().any(|(_, known)| known == name));
    Ok(new
        .map(|(field, name)| {
            let name: String = name.chars().take(40).collect();
            Fault::new(
                field,
                format!("`{name}` is no name of this key"),
                "Use an id of /api/key/taxa.",
            )
        })
        .collect())
}
