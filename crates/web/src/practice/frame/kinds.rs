//! Which kinds stand in a frame to practise on: what a planting was sown with, and what is taken for it.
//!
//! In: the taxa of a mix. Out: those of the key, and the look-alikes that are hardest to tell from them:
//! what sources say they are mistaken for first, then by the share confused after every look
//! (`identify::look_alikes`).

use standbook_identify::look_alikes::at_most_confused;
use standbook_key::{LeafStage, LookAlikeOf, Role};
use standbook_practice::Question;

use crate::app::App;

/// Of a rich mix so many are drawn: more could not be told apart on one frame.
const MOST_PLANTED: usize = 6;

/// So many other kinds.
const MOST_OTHERS: usize = 5;

/// The question for a frame of a mix, which is ids of taxa; `None` where the key has none of them.
pub(crate) fn question(app: &App, mix: &[String], stage: LeafStage, seed: u32) -> Option<Question> {
    let known = mix.iter().filter(|id| app.key.taxon(id).is_some());
    let planted: Vec<String> = known.take(MOST_PLANTED).cloned().collect();
    (!planted.is_empty()).then(|| Question::CountFrame {
        others: others(app, mix, &planted, stage),
        planted,
        stage,
        seed,
    })
}

/// What could be taken for the planted ones and is not of the mix. Kinds that are sown elsewhere come
/// last: they seldom stand in a planting that they are not sown in.
fn others(app: &App, mix: &[String], planted: &[String], stage: LeafStage) -> Vec<String> {
    let rows: Vec<usize> = planted
        .iter()
        .filter_map(|id| app.table.row_index(id))
        .collect();
    let mut ranked: Vec<(bool, bool, f64, &str)> = app
        .key
        .taxa
        .iter()
        .filter(|taxon| !mix.iter().any(|id| *id == *taxon.id.as_str()))
        .filter_map(|taxon| {
            let id = taxon.id.as_str();
            let row = app.table.row_index(id)?;
            let confused = rows
                .iter()
                .map(|one| at_most_confused(&app.table, *one, row, stage));
            let sown = taxon.role == Role::Planted;
            Some((
                !sown,
                said(app, planted, id),
                confused.fold(0.0, f64::max),
                id,
            ))
        })
        .collect();
    ranked.sort_by(|a, b| {
        (b.0, b.1)
            .cmp(&(a.0, a.1))
            .then(b.2.total_cmp(&a.2))
            .then(a.3.cmp(b.3))
    });
    let most = ranked.iter().take(MOST_OTHERS);
    most.map(|(.., id)| (*id).to_owned()).collect()
}

/// Whether a source says that one of the planted is mistaken for this, or the other way round.
fn said(app: &App, planted: &[String], id: &str) -> bool {
    let names = |one: &str, other: &str| {
        app.key.taxon(one).is_some_and(|taxon| {
            let mut alike = taxon.look_alikes.iter();
            alike
                .any(|it| matches!(&it.other, LookAlikeOf::Taxon(known) if known.as_str() == other))
        })
    };
    planted.iter().any(|one| names(one, id) || names(id, one))
}
