//! The page that turns pounds into seeds: pure live seed both ways, rates, seeds on the ground,
//! shares of the mix, seedlings to expect.
//!
//! In: a planting with its lots, the published counts. Out: one page; what is missing is said
//! where it is missing, with the way to enter it. Nothing here is kept: it is worked out anew
//! each time.
//! Units: US customary first, as on tags and plans, metric beside.
//! `sown` has the figures, `view` the rows of tables, `said` the sentences beside them.

mod said;
mod sown;
mod view;

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::Planting;

use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Query;
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::lot;
use crate::plot::place::planting_and_site;
use crate::plot::recorded::Row;
use crate::words;
use said::How;
use sown::{Rates, column, sown as species_sown};
use view::{Mix, Species};

/// Species shown whole on one page; more would make it heavy for a phone far from the laptop.
const MOST_ON_A_PAGE: usize = 10;

/// The page.
#[derive(Template)]
#[template(path = "plot/seeding.html")]
struct SeedingPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting.
    planting: Entry<Planting>,
    /// How and when it was sown, in words.
    sowing: String,
    /// How many things are missing.
    missing: usize,
    /// All species together; `None` for a mix of one.
    mix: Option<Mix>,
    /// Species shown whole, in the order of the mix.
    species: Vec<Species>,
    /// Every species in a line with the way to the whole, for a mix too long for one page.
    contents: Vec<Row>,
    /// How it was worked out, with sources.
    how: How,
}

fn view(
    app: &App,
    here: &Here,
    planting: Entry<Planting>,
    only: &str,
) -> Result<SeedingPage, Failure> {
    let lots = lot::in_order(app, &planting)?;
    let sown = species_sown(&planting.body, &lots, &app.standards);
    let columns: Vec<_> = [Rates::Planned, Rates::Applied]
        .into_iter()
        .filter_map(|rates| column(&planting.body, &sown, rates))
        .collect();
    let mut species: Vec<Species> = sown
        .iter()
        .enumerate()
        .map(|(at, one)| view::species(app, &planting, one, at, &columns))
        .collect();
    let missing = species.iter().map(|one| one.missing.len()).sum();
    let mut contents = Vec::new();
    if sown.len() > MOST_ON_A_PAGE {
        contents = sown
            .iter()
            .zip(&species)
            .map(|(one, said)| Row {
                address: format!(
                    "/planting/{}/seeding?species={}#chosen",
                    planting.id, one.taxon
                ),
                title: said.common.clone(),
                more: said.summary(),
            })
            .collect();
        let mut taxa = sown.iter();
        species.retain(|_| taxa.next().is_some_and(|one| one.taxon == only));
    }
    Ok(SeedingPage {
        shell: Shell::new(app, here, Tab::Plot, "Seeding arithmetic"),
        sowing: words::sowing_words(&planting),
        missing,
        mix: (sown.len() > 1).then(|| view::mix(app, &sown, &columns)),
        species,
        contents,
        how: said::how(),
        planting,
    })
}

/// Shows the page; of a long mix one species whole, as the address asks.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    let id = record_id(&id, "planting")?;
    run(app, move |app| {
        let (planting, _) = planting_and_site(app, id)?;
        page::html(&view(app, &here, planting, query.get("species"))?)
    })
    .await
}
