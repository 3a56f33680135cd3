//! What a server that shares its book knows of phones.

use std::net::{IpAddr, Ipv4Addr};

use super::code::Waiting;
use super::roster::Roster;

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
