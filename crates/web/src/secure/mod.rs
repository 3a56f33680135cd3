//! Https for phones, with a certificate authority made on this laptop.
//!
//! Browsers keep pages for out of reach, and tell where they are, on https only; and on plain http
//! whoever is in the network can read along. No authority of the world certifies a laptop in a field,
//! so it has one of its own, which a phone's owner installs once. It is made so that a stolen one
//! could do little: it can vouch for private addresses, names that end in `.local` and `localhost`,
//! and for nothing else (`names`).
//!
//! In: a folder of this user's, the addresses of this machine. Out: what a TLS listener needs.
//! `authority` is the file with the authority and its key, `leaf` the certificate made from it when
//! the program starts and whenever this machine has a new address, `trust_page` what a phone's owner
//! reads and downloads. The key is in the file and in memory, and leaves neither.
//!
//! One letting in serves both doors. Cookies know no ports, so the doors name theirs differently
//! (`phones::door`): `phone` on plain http, `__Host-phone` on https, which browsers take from https
//! only: an answer on plain http can't replace it. A phone that comes to https with the plain one is
//! given the other. What was let in on https stays a stranger on plain http, so that a key which was
//! never in the open does not get there; the page to let it in says so.

use std::collections::BTreeSet;
use std::net::IpAddr;
use std::sync::{Arc, PoisonError, RwLock};

use axum::Router;
use axum::routing::get;
use rustls::ServerConfig;

use crate::app::Shared;

pub mod authority;
mod leaf;
pub mod names;
mod trust_page;

pub use authority::{Authority, AuthorityFault};
use leaf::Leaf;

/// What a server that answers phones by https needs.
#[derive(Debug)]
pub struct Secure {
    /// What vouches for this laptop.
    pub authority: Authority,
    /// Port of the https door.
    pub port: u16,
    /// Name of this machine in the local network, such as `marsh.local`; `None` where it has none
    /// that could stand in a certificate.
    pub host: Option<String>,
    leaf: RwLock<Arc<Leaf>>,
}

impl Secure {
    /// With a certificate for the addresses that this machine has now.
    pub fn new(authority: Authority, port: u16) -> Result<Secure, AuthorityFault> {
        let host = names::of_this_machine();
        let leaf = Leaf::issue(&authority, own_addresses(), host.as_deref(), names::today())?;
        Ok(Secure {
            authority,
            port,
            host,
            leaf: RwLock::new(Arc::new(leaf)),
        })
    }

    /// What a connection that arrived at an address of this machine is answered with. The
    /// certificate is made anew where that address is new or the last days have come; should that
    /// fail, the one before is shown.
    pub(crate) fn config(&self, arrived: IpAddr) -> Arc<ServerConfig> {
        let today = names::today();
        let held = self.leaf.read().unwrap_or_else(PoisonError::into_inner);
        if held.fits(arrived, today) {
            return held.config.clone();
        }
        let held = {
            drop(held);
            let mut place = self.leaf.write().unwrap_or_else(PoisonError::into_inner);
            if !place.fits(arrived, today) {
                let mut addresses = own_addresses();
                addresses.insert(arrived);
                let made = Leaf::issue(&self.authority, addresses, self.host.as_deref(), today);
                match made {
                    Ok(made) => *place = Arc::new(made),
                    Err(fault) => eprintln!("standbook: no new certificate: {fault}"),
                }
            }
            place.clone()
        };
        held.config.clone()
    }

    /// What stands in the certificate for who called this machine so: the same, or its name where the
    /// number is a public one.
    pub(crate) fn called<'a>(&'a self, host: &'a str) -> &'a str {
        let number: Option<IpAddr> = host.trim_matches(['[', ']']).parse().ok();
        match &self.host {
            Some(own) if number.is_some_and(|number| !names::is_private(number)) => own,
            _ => host,
        }
    }

    /// The https address for a host, a number or a name.
    pub fn address(&self, host: &str) -> String {
        format!("https://{host}:{}/", self.port)
    }
}

/// Addresses of this machine's network cards.
fn own_addresses() -> BTreeSet<IpAddr> {
    let all = if_addrs::get_if_addrs().unwrap_or_default();
    all.into_iter().map(|one| one.ip()).collect()
}

/// Pages that strangers may see too.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(trust_page::PAGE, get(trust_page::show))
        .route(trust_page::FILE, get(trust_page::file))
}

/// Whether a page of this room is for strangers too.
pub(crate) fn is_open(path: &str) -> bool {
    path == trust_page::PAGE || path == trust_page::FILE
}
