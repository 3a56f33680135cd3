//! What a server that shares its book knows of phones.

use std::net::{IpAddr, Ipv4Addr};

use super::code::Waiting;
use super::roster::{Phone, Roster};
use crate::secure::Secure;
use crate::secure::names::is_private;

/// The phones' side of a server that shares its book.
#[derive(Debug)]
pub struct Phones {
    /// Who was let in.
    pub roster: Roster,
    /// The code that waits to be typed.
    pub waiting: Waiting,
    /// Port of the phones' door.
    pub port: u16,
    /// The door by https, where there is one.
    pub secure: Option<Secure>,
    /// Why there is none, in words; empty where there is, or none was wanted.
    pub insecure: String,
}

impl Phones {
    /// A door at `port` for the phones of a roster.
    pub fn new(roster: Roster, port: u16) -> Phones {
        Phones {
            roster,
            waiting: Waiting::default(),
            port,
            secure: None,
            insecure: String::new(),
        }
    }

    /// The same with a door by https, or with the reason why there is none.
    #[must_use]
    pub fn by_https(mut self, secure: Result<Secure, String>) -> Phones {
        match secure {
            Ok(secure) => self.secure = Some(secure),
            Err(why) => self.insecure = why,
        }
        self
    }

    /// Addresses under which a phone of the same network reaches the door, likeliest first: those
    /// of private networks. IPv4 only, as the door is.
    pub fn addresses(&self) -> Vec<String> {
        let all = own_addresses().into_iter();
        all.map(|ip| format!("http://{ip}:{}/", self.port))
            .collect()
    }

    /// The same by https. The name of this machine is the last: it stays when the numbers change,
    /// but not every phone and network finds it.
    pub fn secure_addresses(&self) -> Vec<String> {
        let Some(secure) = &self.secure else {
            return Vec::new();
        };
        let numbers = own_addresses().into_iter();
        let numbers = numbers.filter(|ip| is_private(IpAddr::V4(*ip)));
        let mut all: Vec<String> = numbers.map(|ip| secure.address(&ip.to_string())).collect();
        all.extend(secure.host.as_deref().map(|host| secure.address(host)));
        all
    }

    /// Phones that were last seen at an address which this machine has no more: what they keep
    /// unsent waits for that address.
    pub fn left_behind(&self) -> Vec<(Phone, IpAddr)> {
        let now = own_addresses();
        let gone = |at: &IpAddr| !at.is_loopback() && !now.iter().any(|ip| *ip == *at);
        let phones = self.roster.all().into_iter();
        phones
            .filter(|phone| phone.away.is_none())
            .filter_map(|phone| Some((phone.at.filter(gone)?, phone)))
            .map(|(at, phone)| (phone, at))
            .collect()
    }
}

/// Addresses of this machine in networks, those of private ones first.
fn own_addresses() -> Vec<Ipv4Addr> {
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
    all
}
