//! The pages: axum routes, view models, the style sheet.
//!
//! In: requests from a browser on this machine, or on a phone that was let in. Out: whole pages, complete without a script;
//! a form that can't be taken comes back filled in with what is wrong on top; one that is
//! taken answers with a redirect, so that the back button sends nothing twice.
//!
//! One module per page or family of pages, holding its view model, its template struct and its
//! handlers; `routes` lists every address.

mod accept;
mod api;
pub mod app;
pub mod assets;
mod away;
pub mod booklet;
mod bring_in;
mod count;
mod desk;
pub mod evidence;
pub mod failure;
pub mod form;
mod found;
pub mod ground;
mod guard;
pub mod here;
mod kept;
mod outbox;
pub mod page;
pub mod phones;
mod photos;
pub mod picture;
mod plant;
mod plot;
pub mod pocket;
mod practice;
mod report;
mod routes;
pub mod safe;
pub mod secure;
mod server;
mod stand;
mod take_out;
mod whole;
pub mod words;

pub use app::{App, Shared};
pub use phones::Phones;
pub use routes::{phone_router, router};
pub use server::{serve, serve_phones, serve_phones_secure};
