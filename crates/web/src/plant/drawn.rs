//! A grass as it usually is, drawn from four views, each with a caption in the words of the key.
//!
//! In: a taxon. Out: figures for its page. How a state is drawn is `standbook_drawing`'s business,
//! what is usual `picture`'s.

use standbook_key::{LeafStage, Taxon};

use crate::app::App;
use crate::picture::{self, View};

/// A drawing with its caption.
#[derive(Debug, Clone)]
pub struct Figure {
    /// The drawing: an `svg` element.
    pub svg: String,
    /// What is drawn.
    pub what: String,
    /// What it shows, in the words of the key; empty where nothing of it is recorded.
    pub shows: String,
}

/// The views of a taxon's page, with the traits that can be read off each.
const VIEWS: [(View, &str, &[&str]); 5] = [
    (
        View::Seedling(LeafStage::FewLeaves),
        "Seedling of two to four leaves",
        &["sheath_hairs", "blade_hairs_upper", "first_leaf"],
    ),
    (
        View::Seedling(LeafStage::Tillering),
        "Tillering",
        &["growth_habit", "low_branching", "runners"],
    ),
    (
        View::Base,
        "Base of a shoot, and the cut",
        &[
            "tiller_base",
            "sheath_keel",
            "sheath_closure",
            "vernation",
            "base_color",
        ],
    ),
    (
        View::Collar,
        "Collar, blade pulled back",
        &["ligule_type", "ligule_edge", "auricles", "collar_hairs"],
    ),
    (View::Seed, "Where root meets shoot", &["seed_attached"]),
];

/// What there is to draw of a taxon, under ids that begin with `place`.
pub fn figures(app: &App, taxon: &Taxon, place: &str) -> Vec<Figure> {
    let shown = picture::usual(&app.table, taxon);
    let said = |traits: &[&str]| -> String {
        let words = traits.iter().filter_map(|id| {
            let one = app.key.trait_by_id(id)?;
            let state = one.states().get(one.state_index(shown.of(id)?)?)?;
            Some(format!("{}: {}", one.name, state.name))
        });
        words.collect::<Vec<_>>().join("; ")
    };
    VIEWS
        .iter()
        .enumerate()
        .filter_map(|(at, (view, what, traits))| {
            // Two seedlings of one grass stand on one page.
            let place = format!("{place}{at}");
            Some(Figure {
                svg: picture::of_taxon(&app.key, &app.table, taxon, *view, &place)?,
                what: (*what).to_owned(),
                shows: said(traits),
            })
        })
        .collect()
}
