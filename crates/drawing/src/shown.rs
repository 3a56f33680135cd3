//! What a plant shows: for each trait at most one state.
//!
//! In: pairs of trait id and state id. Out: which state a trait has. Ids are the key's; one that
//! no drawing knows is carried along and draws nothing.

use std::collections::BTreeMap;

/// States of one plant, by trait.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Shown(BTreeMap<String, String>);

impl Shown {
    /// Whether the trait shows this state.
    pub fn is(&self, trait_id: &str, state_id: &str) -> bool {
        self.of(trait_id) == Some(state_id)
    }

    /// The state that a trait shows.
    pub fn of(&self, trait_id: &str) -> Option<&str> {
        self.0.get(trait_id).map(String::as_str)
    }

    /// What a measured trait shows, in mm: its state is the number, such as `("blade_width", "6")`.
    pub fn mm(&self, trait_id: &str) -> Option<f64> {
        let mm: f64 = self.of(trait_id)?.parse().ok()?;
        (mm.is_finite() && mm > 0.0).then_some(mm)
    }
}

/// The last state wins where a trait stands twice.
impl<T: Into<String>, S: Into<String>> FromIterator<(T, S)> for Shown {
    fn from_iter<I: IntoIterator<Item = (T, S)>>(pairs: I) -> Shown {
        Shown(
            pairs
                .into_iter()
                .map(|(trait_id, state_id)| (trait_id.into(), state_id.into()))
                .collect(),
        )
    }
}

impl<T: Into<String>, S: Into<String>, const N: usize> From<[(T, S); N]> for Shown {
    fn from(pairs: [(T, S); N]) -> Shown {
        pairs.into_iter().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_state_of_a_trait_counts() {
        let shown = Shown::from([
            ("tiller_base", "round"),
            ("tiller_base", "strongly_flattened"),
        ]);
        assert!(shown.is("tiller_base", "strongly_flattened"));
        assert!(!shown.is("tiller_base", "round"));
        assert_eq!(shown.of("runners"), None);
    }

    #[test]
    fn a_measure_is_a_length_or_nothing() {
        let shown = |width: &str| Shown::from([("blade_width", width)]).mm("blade_width");
        assert_eq!(shown("6.5"), Some(6.5));
        for width in ["", "broad", "-1", "0", "NaN", "inf"] {
            assert_eq!(shown(width), None, "{width}");
        }
    }
}
