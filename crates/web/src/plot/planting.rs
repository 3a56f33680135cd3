//! The page of a planting: what was sown, its plots, its visits, and the way to the next ones.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::Entry;
use standbook_fieldbook::record::{Planting, Plot, Site};

use crate::app::{Shared, run};
use crate::failure::{Failure, record_id};
use crate::here::Here;
use crate::page::{self, Shell, Tab};
use crate::plot::filled::Filled;
use crate::plot::place::planting_and_site;
use crate::plot::recorded::Row;
use crate::plot::{plot_form, visit_form};
use crate::words;

/// One species of the mix.
struct MixLine {
    /// Common name.
    common: String,
    /// Scientific name, may be empty.
    scientific: String,
    /// Rate in words, or that it is not known.
    rate: String,
}

/// The page.
#[derive(Template)]
#[template(path = "plot/planting.html")]
struct PlantingPage {
    /// Frame around the page.
    shell: Shell,
    /// The planting.
    planting: Entry<Planting>,
    /// Its site.
    site: Entry<Site>,
    /// How and when it was sown, in words.
    sowing: String,
    /// What it is for, in words.
    purpose: &'static str,
    /// Its mix.
    mix: Vec<MixLine>,
    /// Its plots.
    plots: Vec<Entry<Plot>>,
    /// Its visits, newest first.
    visits: Vec<Row>,
    /// Form for a new plot.
    plot_form: Filled,
    /// Form for a new visit.
    visit_form: Filled,
}

/// Shows a planting.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    let id = record_id(&id, "planting")?;
    run(app, move |app| {
        let (planting, site) = planting_and_site(app, id)?;
        let mix = planting
            .body
            .mix
            .iter()
            .map(|item| {
                let (common, scientific) = words::taxon_name(app, &item.taxon);
                let rate = match item.pls_lb_per_acre {
                    Some(rate) => format!("{} lb PLS/acre", words::plain(rate)),
                    None => "rate not known".to_owned(),
                };
                MixLine {
                    common,
                    scientific,
                    rate,
                }
            })
            .collect();
        let mut visits = Vec::new();
        for visit in app.book.visits(planting.id)?.into_iter().rev() {
            let points = app.book.points(visit.id)?.len();
            let frames = app.book.frames(visit.id)?.len();
            visits.push(Row {
                address: format!("/visits/{}", visit.id),
                title: words::date_words(&visit.body.on),
                more: format!(
                    "{}; {}, {}",
                    visit.body.scouts.join(", "),
                    words::number_of(points, "point"),
                    words::number_of(frames, "frame")
                ),
            });
        }
        let mut plot = Filled::new();
        plot_form::defaults(&mut plot, &here, &planting);
        let mut visit = Filled::new();
        visit_form::defaults(&mut visit, &here, &planting);
        page::html(&PlantingPage {
            shell: Shell::new(app, &here, Tab::Plot, planting.body.name.clone()),
            sowing: words::sowing_words(&planting),
            purpose: words::purpose_words(planting.body.purpose),
            mix,
            plots: app.book.plots(planting.id)?,
            visits,
            plot_form: plot,
            visit_form: visit,
            planting,
            site,
        })
    })
    .await
}
