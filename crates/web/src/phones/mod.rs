//! Phones: who is let in from beyond this machine, and what for.
//!
//! The laptop's own address (127.0.0.1) is the office: whoever sits at it may do everything. Phones
//! have a door of their own, another port. Behind it nothing is shown or taken but from a phone
//! that was let in: somebody at the laptop asks for a code, the scout types it on the phone, once,
//! and the phone keeps a key of its own that the laptop can take away.
//!
//! `code` is the code that waits to be typed, `roster` the phones that were let in, `door` what
//! every request through the phones' door passes, `laptop_page` and `pair_page` the two pages,
//! `qr` the picture of an address. Not here: encryption (a phone's door speaks plain HTTP).

use std::net::{IpAddr, Ipv4Addr};

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

pub use door::{Arrived, Who};
pub(crate) use door::{gate, is_own_name, office_only};

use code::Waiting;
use roster::Roster;

/// The phones' side of a server that shares its book.
#[derive(Debug)]
pub struct Phones {
    /// Who was let in.
    pub roster: Roster,
    /// The code that waits to be typed.
    pub waiting: Waiting,
    /// Port of the phones' door.
    pub port: u16,
}

impl Phones {
    /// A door at `port` for the phones of a roster.
    pub fn new(roster: Roster, port: u16) -> Phones {
        Phones {
            roster,
            waiting: Waiting::default(),
            port,
        }
    }

    /// Addresses under which a phone of the same network reaches the door, likeliest first: those
    /// of private networks. IPv4 only, as the door is.
    pub fn addresses(&self) -> Vec<String> {
        let mut all: Vec<Ipv4Addr> = if_addrs::get_if_addrs()
            .unwrap_or_default()
            .into_iter()
            .filter_map(|one| match one.ip() {
                IpAddr::V4(ip) => Some(ip),
                IpAddr::V6(_) => None,
            })
            .filter(|ip| !ip.is_loopback() && !ip.is_link_local())
            .collect();
        all.sort_by_key(|ip| (!ip.is_private(), *ip));
        all.dedup();
        all.into_iter()
            .map(|ip| format!("http://{ip}:{}/", self.port))
            .collect()
    }
}

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
