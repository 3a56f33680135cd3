//! Choosing another device than the trade's frame: other cells, plants in a quadrat or a hoop, or
//! along a drilled row.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::SeedingMethod;

use super::device::Device;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::{Form, Query};
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::plot::filled::{Filled, Troubles, respond};
use crate::plot::keep::at_point;
use crate::plot::place::Place;

/// The page.
#[derive(Template)]
#[template(path = "count/choose.html")]
struct ChoosePage {
    /// Frame around the page.
    shell: Shell,
    /// Where it will lie.
    place: Place,
    /// What is filled in.
    filled: Filled,
    /// Whether the planting was broadcast, so that there are no rows.
    broadcast: bool,
}

/// Shows the choice, with what is wrong with one made before.
pub(super) fn page(
    app: &App,
    here: &Here,
    place: Place,
    form: &Form,
    troubles: Troubles,
) -> Result<Response, Failure> {
    let mut filled = Filled {
        form: form.clone(),
        troubles,
    };
    filled.default_to("cells", "25");
    filled.default_to("side", "15");
    let point = place.point.id;
    let row = Device::Row {
        length: String::new(),
        unit: String::new(),
        spacing: String::new(),
        spacing_unit: String::new(),
    };
    for (name, value) in row.spaced_as(place.planting.body.method).fields() {
        if !matches!(name, "device" | "length") {
            filled.default_to(name, value);
        }
    }
    let page = ChoosePage {
        shell: Shell::new(app, here, Tab::Count, "What do you lay?"),
        broadcast: place.planting.body.method == SeedingMethod::Broadcast,
        place,
        filled,
    };
    Ok(at_point(respond(&page.filled.troubles, &page)?, point))
}

/// Shows the choice.
pub(super) async fn choose(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    let id = record_id(&id, "point")?;
    run(app, move |app| {
        let place = Place::load(app, id)?;
        page(app, &here, place, &query, Troubles::default())
    })
    .await
}
