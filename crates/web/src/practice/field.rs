//! Plants of the field that a scout named and somebody else looked at again, as part of her history.
//!
//! In: reviews as the Desk's page on agreement reads them. Out: names against what the plant is by the
//! latest word of somebody else; traits against what the first reviewer saw who looked blind.
//! A reviewer may be wrong too: what is compared is two people, and the later one is taken for the truth.
//!
//! Left out: plants settled as a genus only, which may have been sown or not; measures, for nobody
//! practises a ruler.

use standbook_fieldbook::named::Called;
use standbook_fieldbook::record::ValueGiven;
use standbook_identify::NOT_IN_KEY;
use standbook_practice::skill::From;

use super::history::{History, Named, Read, day_of};
use crate::desk::agreement::{Review, looked_at_by_both};

impl History {
    /// Adds what reviews say of the scout who recorded the plants.
    pub fn add_field(&mut self, reviews: &[Review]) {
        for review in reviews {
            let (day, from) = (day_of(&review.plant.born_at), From::Field);
            self.names.extend(name(&review.is).map(|truth| Named {
                truth,
                against: None,
                called: name(&review.called),
                day,
                from,
            }));
            for (trait_id, own, theirs) in looked_at_by_both(review) {
                self.reads
                    .extend(states(own, theirs).map(|(reported, shown)| Read {
                        trait_id: trait_id.to_owned(),
                        shown,
                        reported,
                        day,
                        from,
                    }));
            }
        }
        self.names.sort_by(|a, b| a.day.total_cmp(&b.day));
        self.reads.sort_by(|a, b| a.day.total_cmp(&b.day));
    }
}

/// What a plant is, or was called, as an id; `None` without a name, or with one that leaves open whether
/// it was sown.
fn name(called: &Called) -> Option<String> {
    match called {
        Called::Taxon(id) | Called::Compare(id) => Some(id.clone()),
        Called::Near(_) | Called::NotInKey => Some(NOT_IN_KEY.to_owned()),
        Called::Genus(_) | Called::NoName => None,
    }
}

/// What she reported and what was there, of states; of several, one that both named is enough, as on the
/// page on agreement. `None`: nothing can be compared.
fn states(own: &ValueGiven, theirs: &ValueGiven) -> Option<(Option<String>, String)> {
    let ValueGiven::States(shown) = theirs else {
        return None;
    };
    match own {
        ValueGiven::CannotTell => Some((None, shown.join("|"))),
        ValueGiven::States(own) => {
            let both = own.iter().find(|state| shown.contains(state));
            Some(match both {
                Some(state) => (Some(state.clone()), state.clone()),
                None => (Some(own.join("|")), shown.join("|")),
            })
        }
        ValueGiven::Measure(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_several_states_one_that_both_named_is_enough() {
        let given = |ids: &[&str]| ValueGiven::States(ids.iter().map(|id| (*id).into()).collect());
        let both = |a: &str, b: &str| Some((Some(a.to_owned()), b.to_owned()));
        assert_eq!(
            states(&given(&["a", "b"]), &given(&["b", "c"])),
            both("b", "b")
        );
        assert_eq!(states(&given(&["a"]), &given(&["b"])), both("a", "b"));
        assert_eq!(
            states(&given(&["a"]), &given(&["b", "c"])),
            both("a", "b|c")
        );
        let not_told = Some((None, "b".to_owned()));
        assert_eq!(states(&ValueGiven::CannotTell, &given(&["b"])), not_told);
        assert_eq!(states(&given(&["a"]), &ValueGiven::CannotTell), None);
        assert_eq!(
            states(&ValueGiven::Measure(3.0), &ValueGiven::Measure(3.0)),
            None
        );
    }
}
