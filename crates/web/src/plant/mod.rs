//! Plant: walking an unknown plant through its traits, one look at a time.
//!
//! The whole walk lives in the page's address: nothing is lost by going back, reloading or
//! locking the phone, and nothing is kept until the scout saves.

pub(crate) mod away;
mod couplet_view;
mod drawn;
mod glossary;
mod key_pages;
mod pair_page;
mod question;
mod save;
mod show;
pub(crate) mod terms;
mod verdict;
mod walk;
mod why_page;

use axum::Router;
use axum::routing::get;

use crate::app::Shared;

pub(crate) use pair_page::{HARD, NOT_FOR_SURE, TELLING_DB, likeliest_first, shows};
pub(crate) use show::{
    Around, CLASSES, SaveFields, Spot, page as walk_page, page_around as walk_around,
};
pub(crate) use walk::{Walk, address_of};

pub(crate) use save::take_form;

/// The addresses of this place.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/at/{point}/plant", get(show::show).post(save::save))
        .route("/at/{point}/plant/saved/{id}", get(save::saved))
        .route("/key", get(key_pages::taxa))
        .route("/key/couplets", get(key_pages::couplets))
        .route("/key/glossary", get(glossary::glossary))
        .route("/key/alike", get(pair_page::alike))
        .route("/key/{taxon}", get(key_pages::taxon))
        .route("/key/{taxon}/or/{other}", get(pair_page::pair))
        .route("/key/{taxon}/why/{trait}", get(why_page::why))
}
