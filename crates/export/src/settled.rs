//! Under which name a plant or a tally leaves, and who said what of it before.
//!
//! The rule is the Desk's: the latest opinion on an unknown names every plant and tally that is that
//! unknown; otherwise the latest opinion on the plant counts, otherwise the scout's name. Of one person
//! only the last word is weighed where names are compared (`standbook_fieldbook::named`). What does not
//! count any more leaves as history.

use std::collections::BTreeSet;
use std::rc::Rc;

use standbook_fieldbook::named::{Called, Dispute};
use standbook_fieldbook::record::{Counted, Determination, Frame, Opinion, Unknown};
use standbook_fieldbook::{RecordId, Rooted};

use crate::error::Done;
use crate::leaving::{Field, Leaving};
use crate::taxa::{Named, Taxa};

/// An unknown, with everything said of it, oldest first.
pub(crate) struct Known {
    pub unknown: Rooted<Unknown>,
    pub opinions: Vec<Rooted<Opinion>>,
}

impl Known {
    /// Its field code.
    pub fn code(&self) -> String {
        format!("unknown {}", self.unknown.entry.body.number)
    }
}

/// The name under which something leaves.
pub(crate) struct Standing {
    pub named: Named,
    /// Who gave it, as it may be seen.
    pub by: String,
    /// When, ISO 8601: a day, or an instant in UTC.
    pub on: String,
    /// How far it was looked at again.
    pub verified: &'static str,
}

/// Nobody has looked again.
const ONCE: &str = "named once, not looked at again";
/// Somebody else gives the same name.
const AGREED: &str = "a second opinion agrees";
/// Names differed, and somebody else looked after that.
const ENDED: &str = "two gave different names, settled by a third person";
/// Names differ.
const DIFFER: &str = "those who looked give different names";
/// The scout gave no name, somebody else did.
const NAMED_LATER: &str = "named by a second opinion";
/// Nobody has named it.
const NO_NAME: &str = "no name yet";

/// Something that stands in a frame, and everything counted of it there.
pub(crate) struct InFrame {
    pub what: Counted,
    /// The first id of the unknown's chain, or the taxon's id: part of a stable id.
    pub code: String,
    pub known: Option<Rc<Known>>,
    /// Cells of the grid in which it stood.
    pub cells: BTreeSet<u32>,
    /// Plants counted.
    pub plants: u64,
}

impl Leaving<'_> {
    /// An unknown by any of its ids.
    pub fn unknown(&self, id: RecordId) -> Done<Option<Rc<Known>>> {
        if let Some(known) = self.known.borrow().get(&id) {
            return Ok(Some(known.clone()));
        }
        let Some(unknown) = self.moment.current::<Unknown>(id)? else {
            return Ok(None);
        };
        let opinions = self.moment.opinions(unknown.root)?;
        let known = Rc::new(Known { unknown, opinions });
        self.known.borrow_mut().insert(id, known.clone());
        Ok(Some(known))
    }

    /// How a plant's name stands, by its own opinions and those on the unknown it was made for.
    pub fn plant_stands(
        &self,
        plant: &Rooted<Determination>,
        opinions: &[Rooted<Opinion>],
        known: Option<&Known>,
    ) -> Standing {
        let entry = &plant.entry;
        let of_unknown = known.map_or(&[][..], |known| known.opinions.as_slice());
        let scout = self.taxa.by_scout(entry.body.taxon.as_deref());
        let mut all: Vec<&Rooted<Opinion>> = opinions.iter().chain(of_unknown).collect();
        all.sort_by(|a, b| {
            let (one, other) = (&a.entry.born_at, &b.entry.born_at);
            one.cmp(other).then(a.entry.id.cmp(&b.entry.id))
        });
        let first = entry.body.taxon.clone().map(Called::Taxon);
        let first = first.map(|called| (entry.author.as_str(), called));
        let verified = verified(&self.taxa, first, &all);
        match of_unknown.last().or(opinions.last()) {
            Some(last) => self.by_opinion(last, verified),
            None => Standing {
                named: scout,
                by: self.author(entry).into_owned(),
                on: entry.born_at.clone(),
                verified,
            },
        }
    }

    /// How the name of something in a frame stands.
    pub fn tally_stands(&self, frame: &Frame, visited_on: &str, it: &InFrame) -> Standing {
        let by_scout = |named, verified| Standing {
            named,
            by: self.people.say(&frame.scout).into_owned(),
            on: visited_on.to_owned(),
            verified,
        };
        match (&it.what, &it.known) {
            (Counted::Taxon(id), _) => by_scout(self.taxa.by_id(id), ONCE),
            (Counted::Unknown(_), None) => by_scout(Named::nothing("unknown"), NO_NAME),
            (Counted::Unknown(_), Some(known)) => {
                let all: Vec<&Rooted<Opinion>> = known.opinions.iter().collect();
                match known.opinions.last() {
                    Some(last) => self.by_opinion(last, verified(&self.taxa, None, &all)),
                    None => by_scout(Named::nothing(&known.code()), NO_NAME),
                }
            }
        }
    }

    fn by_opinion(&self, opinion: &Rooted<Opinion>, verified: &'static str) -> Standing {
        Standing {
            named: self.taxa.by_opinion(&opinion.entry.body),
            by: self.author(&opinion.entry).into_owned(),
            on: opinion.entry.born_at.clone(),
            verified,
        }
    }

    /// What stands in a frame, each thing once, in the order in which it was entered.
    pub fn in_frame(&self, frame: &Frame) -> Done<Vec<InFrame>> {
        let mut found: Vec<InFrame> = Vec::new();
        for tally in &frame.tallies {
            let known = match &tally.what {
                Counted::Taxon(_) => None,
                Counted::Unknown(id) => self.unknown(*id)?,
            };
            let code = match (&tally.what, &known) {
                (Counted::Taxon(id), _) => id.clone(),
                (Counted::Unknown(_), Some(known)) => known.unknown.root.to_string(),
                (Counted::Unknown(id), None) => id.to_string(),
            };
            let at = match found.iter().position(|it| it.code == code) {
                Some(at) => at,
                None => {
                    found.push(InFrame {
                        what: tally.what.clone(),
                        code,
                        known,
                        cells: BTreeSet::new(),
                        plants: 0,
                    });
                    found.len() - 1
                }
            };
            found[at].cells.extend(tally.cell);
            found[at].plants += u64::from(tally.plants.unwrap_or(0));
        }
        Ok(found)
    }

    /// The planted taxa that a frame certainly does not hold. None where it holds a plant without a
    /// name, which may be any of them; none of a genus of which it holds a plant named no further.
    pub fn absent(&self, field: &Field, frame: &Frame, found: &[InFrame]) -> Vec<String> {
        let (mut there, mut genera) = (BTreeSet::new(), BTreeSet::new());
        for it in found {
            let standing = self.tally_stands(frame, "", it);
            let named = standing.named;
            if standing.verified == NO_NAME
                || (named.rank == "kingdom" && !named.qualifier.is_empty())
            {
                return Vec::new();
            }
            if named.rank == "genus" {
                genera.insert(named.scientific);
            }
            // Settled as no name of the key: not planted.
            if !named.taxon.is_empty() {
                there.insert(named.taxon);
            }
        }
        let mix = field.planting.body.mix.iter().map(|item| &item.taxon);
        let absent = mix.filter(|taxon| {
            let scientific = self.taxa.by_id(taxon).scientific;
            let genus = scientific.split(' ').next().unwrap_or_default();
            !there.contains(*taxon) && !genera.contains(genus)
        });
        absent.cloned().collect()
    }
}

/// How far a name was looked at again. `scout` is who named it first, and as what.
fn verified(
    taxa: &Taxa<'_>,
    scout: Option<(&str, Called)>,
    opinions: &[&Rooted<Opinion>],
) -> &'static str {
    let named = scout.is_some();
    if opinions.is_empty() {
        return if named { ONCE } else { NO_NAME };
    }
    let later = opinions
        .iter()
        .map(|it| (it.entry.author.as_str(), Called::by_opinion(&it.entry.body)));
    match Dispute::of(scout.into_iter().chain(later), &|id| taxa.genus(id)) {
        Dispute::Open => DIFFER,
        Dispute::EndedBy(_) => ENDED,
        Dispute::None if named => AGREED,
        Dispute::None => NAMED_LATER,
    }
}
