//! Named plants of a planting that somebody else looked at again.
//!
//! In: a planting. Out: what each was called and what it is, for the correction of counts for wrong
//! names. Where plants were drawn at random to be examined again, only those count: plants that
//! somebody picked for their doubt say nothing of the others. What a plant is says the latest opinion of
//! somebody else than who named it.
//! Source: a share of wrong names holds for all plants only if those checked were drawn from all (any
//! text on sampling; common practice).

use std::collections::{BTreeMap, BTreeSet};

use standbook_fieldbook::record::{Determination, Planting};
use standbook_fieldbook::{Entry, RecordId};
use standbook_judge::{Audit, Label};

use super::case::judged;
use super::resolve::{self, counts_as, genera_sown, in_order};
use crate::app::App;
use crate::failure::Failure;
use standbook_fieldbook::named::is_same_person;

/// What was checked.
pub(crate) struct Audits {
    /// The plants.
    pub plants: Vec<Audit>,
    /// Whether they were drawn at random.
    pub drawn: bool,
}

impl Audits {
    /// Of all visits of a planting.
    pub fn read(app: &App, planting: &Entry<Planting>) -> Result<Audits, Failure> {
        let sown = genera_sown(&app.key, &planting.body);
        let mut drawn: BTreeMap<RecordId, Entry<Determination>> = BTreeMap::new();
        let visits = app.book.visits(planting.id)?;
        for visit in &visits {
            for audit in app.book.audits(visit.id)? {
                for id in audit.body.drawn {
                    // The draw may name an earlier version.
                    let now = app.book.determination(id)?;
                    drawn.extend(now.map(|plant| (plant.id, plant)));
                }
            }
        }
        let plants = checked(app, drawn.into_values(), &sown)?;
        if !plants.is_empty() {
            let drawn = true;
            return Ok(Audits { plants, drawn });
        }
        let mut plants = Vec::new();
        for visit in &visits {
            let reviewed = app.book.determinations_reviewed(Some(visit.id))?;
            plants.extend(checked(app, reviewed.into_iter(), &sown)?);
        }
        let drawn = false;
        Ok(Audits { plants, drawn })
    }
}

fn checked(
    app: &App,
    plants: impl Iterator<Item = Entry<Determination>>,
    sown: &BTreeSet<String>,
) -> Result<Vec<Audit>, Failure> {
    let mut audits = Vec::new();
    for plant in plants {
        let Some(called) = &plant.body.taxon else {
            continue;
        };
        let opinions = in_order(app.book.opinions(plant.id)?);
        let other = opinions
            .iter()
            .rev()
            .find(|opinion| !is_same_person(&opinion.author, &plant.author));
        let truth = other.and_then(|opinion| counts_as(&opinion.body, sown));
        audits.extend(truth.map(|truth: resolve::Label| Audit {
            called: match called.as_str() {
                standbook_identify::NOT_IN_KEY => Label::NotInKey,
                id => Label::Taxon(id.to_owned()),
            },
            truth: judged(&truth),
        }));
    }
    Ok(audits)
}
