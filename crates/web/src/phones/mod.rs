//! Phones: who is let in from beyond this machine, and what for.
//!
//! The laptop's own address (127.0.0.1) is the office: whoever sits at it may do everything. Phones
//! have a door of their own, another port. Behind it nothing is shown or taken but from a phone
//! that was let in: somebody at the laptop asks for a code, the scout types it on the phone, once,
//! and the phone keeps a key of its own that the laptop can take away.
//!
//! `code` is the code that waits to be typed, `roster` the phones that were let in, `sharing` both
//! with the door's port, `who` who is asking, `door` what every request through the phones' door
//! passes, `laptop_page` and `pair_page` the two pages, `qr` the picture of an address. Not here:
//! https (`secure`), and how many connections a door bears (`accept`).

use axum::Router;
use axum::middleware::from_fn;
use axum::routing::{get, post};

use crate::app::Shared;

pub mod code;
mod door;
mod laptop_page;
mod pair_page;
pub mod qr;
pub mod roster;
mod sharing;
mod who;

pub use door::Arrived;
pub(crate) use door::{gate, is_own_name, office_only};
pub use sharing::Phones;
pub use who::Who;

/// Pages for whoever sits at the laptop.
pub fn laptop_routes() -> Router<Shared> {
    Router::new()
        .route("/phones", get(laptop_page::show))
        .route("/phones/code", post(laptop_page::make_code))
        .route("/phones/away", post(laptop_page::take_away))
        .route_layer(from_fn(door::laptop_only))
}

/// Pages for a phone that is not let in yet.
pub fn door_routes() -> Router<Shared> {
    Router::new()
        .route("/pair", get(pair_page::show).post(pair_page::pair))
        .route("/pair/leave", post(pair_page::leave))
}
