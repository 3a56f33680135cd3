//! A point in a small invented book, for unit tests of this place.
#![allow(clippy::unwrap_used)]

use std::path::Path;

use standbook_fieldbook::record::{
    MixItem, Planting, Plot, Point, Purpose, SeedingMethod, Site, Visit,
};
use standbook_fieldbook::{Body, Book, Record, RecordId};

use crate::app::App;
use crate::plot::place::Place;

fn record(body: Body) -> Record {
    Record {
        id: RecordId::new(),
        born_at: standbook_fieldbook::time::now(),
        received_at: None,
        device: "laptop".to_owned(),
        author: "A. Fenn".to_owned(),
        supersedes: None,
        body,
    }
}

/// The app over a book in `folder`, and the point in it.
pub(crate) fn place(folder: &Path) -> (App, Place) {
    let key = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year");
    let key = standbook_key::load(&standbook_key::KeyFiles::read_folder(&key).unwrap())
        .key
        .unwrap();
    let app = App::new(Book::create(folder.join("a.book")).unwrap(), key, false);
    let site = record(Body::Site(Site {
        name: "Hollow Creek".to_owned(),
        locality: String::new(),
        permission: String::new(),
        owner: String::new(),
        county: String::new(),
        state: String::new(),
    }));
    let planting = record(Body::Planting(Planting {
        site: site.id,
        name: "north forty".to_owned(),
        purpose: Purpose::Forage,
        seeded_on: "2026-05-12".to_owned(),
        method: SeedingMethod::Broadcast,
        mix: vec![MixItem {
            taxon: "panicum_virgatum".to_owned(),
            pls_lb_per_acre: None,
            planned_pls_lb_per_acre: None,
        }],
        farm_number: String::new(),
        tract_number: String::new(),
        field_number: String::new(),
        stated_area_m2: None,
        irrigated: None,
        note: String::new(),
    }));
    let plot = record(Body::Plot(Plot {
        planting: planting.id,
        name: "North strip".to_owned(),
        note: String::new(),
    }));
    let visit = record(Body::Visit(Visit {
        planting: planting.id,
        on: "2026-07-14".to_owned(),
        scouts: vec!["A. Fenn".to_owned()],
        note: String::new(),
    }));
    let point = record(Body::Point(Point {
        plot: plot.id,
        visit: visit.id,
        label: "1".to_owned(),
        position: None,
        planned: None,
        unreachable: String::new(),
    }));
    let id = point.id;
    app.book
        .append(vec![site, planting, plot, visit, point])
        .unwrap();
    let place = Place::load(&app, id).unwrap();
    (app, place)
}
