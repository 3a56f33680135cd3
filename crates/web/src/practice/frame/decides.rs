//! The one trait that tells a plant of a frame from what it could be taken for.
//!
//! In: two taxa, a leaf stage. Out: a trait that may decide, whose states the two were drawn with and
//! differ in, the most telling one; both states in the words of the key, drawn.
//! How telling a trait is: `identify::look_alikes`.

use standbook_identify::look_alikes::{at_most_confused, contrasts};
use standbook_key::{LeafStage, Trait};

use crate::app::App;
use crate::picture;
use crate::words::taxon_name;

/// What one of the two shows.
pub(crate) struct Side {
    /// Its name.
    pub taxon: String,
    /// The state, in the words of the key.
    pub state: String,
    /// The state, drawn, where it can be.
    pub drawing: Option<String>,
}

/// What decides.
pub(crate) struct Deciding {
    /// The trait.
    pub name: String,
    /// What to do to see it; empty where the page has said so before.
    pub how: String,
    /// The plant itself, and what it could be taken for.
    pub sides: [Side; 2],
}

/// The most telling trait between two taxa, of those that can be seen at a stage. `place` makes the ids of
/// its drawings unique on a page.
pub(super) fn between(
    app: &App,
    ids: [&str; 2],
    stage: LeafStage,
    place: &str,
) -> Option<Deciding> {
    let (known, states) = telling(app, ids, stage)?;
    let side = |at: usize| {
        let state: &str = &states[at];
        let words = known.states().get(known.state_index(state)?)?;
        Some(Side {
            taxon: taxon_name(app, ids[at]).0,
            state: words.name.clone(),
            drawing: picture::of_state(known, state, &format!("{place}-{at}")),
        })
    };
    Some(Deciding {
        name: known.name.clone(),
        how: known.how.clone(),
        sides: [side(0)?, side(1)?],
    })
}

/// Whether a kind can be told from each of some others by what is drawn of them.
pub(crate) fn can_be_told(app: &App, id: &str, from: &[String], stage: LeafStage) -> bool {
    from.iter()
        .all(|other| telling(app, [id, other], stage).is_some())
}

/// The trait, and the states that the two are drawn with.
fn telling<'k>(app: &'k App, ids: [&str; 2], stage: LeafStage) -> Option<(&'k Trait, [String; 2])> {
    let table = &app.table;
    let [one, other] = ids.map(|id| table.row_index(id));
    let [here, there] = ids.map(|id| app.key.taxon(id).map(|taxon| picture::usual(table, taxon)));
    let (here, there) = here.zip(there)?;
    contrasts(table, one?, other?, Some(stage))
        .iter()
        .find_map(|contrast| {
            let id = table.traits[contrast.trait_index].id.as_str();
            let known = app.key.trait_by_id(id).filter(|known| known.decides)?;
            let (shows, would) = here.of(id).zip(there.of(id))?;
            // A measure has no states, and the drawing of a whole plant is not to scale.
            let both = known.state_index(shows).zip(known.state_index(would))?;
            (both.0 != both.1).then(|| (known, [shows.to_owned(), would.to_owned()]))
        })
}

/// Of several kinds the one that is hardest to tell from a taxon.
pub(super) fn hardest<'k>(
    app: &App,
    id: &str,
    kinds: &'k [String],
    stage: LeafStage,
) -> Option<&'k str> {
    let row = app.table.row_index(id)?;
    let confused = |kind: &String| {
        let other = app.table.row_index(kind);
        other.map_or(0.0, |other| at_most_confused(&app.table, row, other, stage))
    };
    let hardest = kinds
        .iter()
        .max_by(|a, b| confused(a).total_cmp(&confused(b)));
    hardest.map(String::as_str)
}
