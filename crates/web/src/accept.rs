//! The phones' doors: connections taken in, as many as the house bears, and no longer than they
//! are of use.
//!
//! In: a listener, the site, by https what the handshake needs. Strangers of the network reach these
//! doors too. So: a handshake by itself (a task each) and within a time; a head of a request within a
//! time, which is also how long a silent connection stays; as many connections at once as twenty
//! phones open, and of one address no more than a few phones behind one would. What is beyond is
//! closed at once, so that a phone's browser tries again soon.

use std::collections::HashMap;
use std::future::Future;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use axum::Router;
use axum::extract::{ConnectInfo, Request};
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use hyper_util::service::TowerToHyperService;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio_rustls::TlsAcceptor;

use crate::app::App;
use crate::phones::Arrived;

/// Most connections of a door at once: browsers open six a page, and there are twenty phones.
pub(crate) const MOST: usize = 256;

/// Most of one address. The cable's phones all come from 127.0.0.1, so this machine may have all.
pub(crate) const MOST_OF_ONE: usize = 24;

/// Most that have not finished their handshake.
pub(crate) const MOST_HANDSHAKES: usize = 64;

/// How long a handshake may take.
const HANDSHAKE: Duration = Duration::from_secs(10);

/// How long the head of a request may take, from when the one before was answered.
const HEAD: Duration = Duration::from_secs(15);

/// Most bytes of a head: a page's address holds a whole walk, a few thousand.
const HEAD_BYTES: usize = 64 * 1024;

/// Pause after the system could give no connection, as when it has no more handles for files.
const PAUSE: Duration = Duration::from_millis(500);

/// Answers through a door until `stop` is done; requests under way are finished first. With `tls`
/// by https, by what that app has for it.
pub(crate) async fn answer(
    listener: TcpListener,
    site: Router,
    tls: Option<Arc<App>>,
    stop: impl Future<Output = ()> + Send + 'static,
) -> io::Result<()> {
    let site = TowerToHyperService::new(site);
    let places = Arc::new(Places::default());
    let graceful = GracefulShutdown::new();
    let mut stop = std::pin::pin!(stop);
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut stop => break,
        };
        let (stream, peer) = match accepted {
            Ok(accepted) => accepted,
            Err(error) => {
                // One that went away before it was taken must not hold up the others.
                use io::ErrorKind::{ConnectionAborted, ConnectionRefused, ConnectionReset};
                let its_own = [ConnectionAborted, ConnectionRefused, ConnectionReset];
                if !its_own.contains(&error.kind()) {
                    tokio::time::sleep(PAUSE).await;
                }
                continue;
            }
        };
        let Some(place) = places.take(peer.ip(), tls.is_some()) else {
            continue;
        };
        let one = one(stream, site.clone(), tls.clone(), place, graceful.watcher());
        tokio::spawn(one);
    }
    drop(listener);
    graceful.shutdown().await;
    Ok(())
}

/// One connection to its end. What goes wrong on it concerns nobody else.
async fn one(
    stream: TcpStream,
    site: TowerToHyperService<Router>,
    tls: Option<Arc<App>>,
    mut place: Place,
    watcher: Watcher,
) {
    let Ok(at) = stream.local_addr() else {
        return;
    };
    // An answer of several writes would wait for the phone's receipts.
    let _ = stream.set_nodelay(true);
    let Some(app) = tls else {
        return speak(stream, site, at, false, watcher).await;
    };
    let phones = app.phones.as_ref();
    let Some(config) = phones.and_then(|p| Some(p.secure.as_ref()?.config(at.ip()))) else {
        return;
    };
    let shaken = TlsAcceptor::from(config).accept(stream);
    if let Ok(Ok(stream)) = tokio::time::timeout(HANDSHAKE, shaken).await {
        place.handshake_done();
        speak(stream, site, at, true, watcher).await;
    }
}

async fn speak(
    stream: impl AsyncRead + AsyncWrite + Unpin + 'static,
    site: TowerToHyperService<Router>,
    at: SocketAddr,
    secure: bool,
    watcher: Watcher,
) {
    let service = service_fn(move |mut request: Request<Incoming>| {
        let arrived = ConnectInfo(Arrived { at, secure });
        request.extensions_mut().insert(arrived);
        site.call(request)
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD)
        .max_buf_size(HEAD_BYTES)
        .serve_connection(TokioIo::new(stream), service);
    let _ = watcher.watch(connection).await;
}

/// Who is in.
#[derive(Debug, Default)]
struct Places(Mutex<Taken>);

#[derive(Debug, Default)]
struct Taken {
    all: usize,
    handshakes: usize,
    by_address: HashMap<IpAddr, usize>,
}

impl Places {
    fn lock(&self) -> MutexGuard<'_, Taken> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A place for a connection, given back when dropped; `None` where there is none left.
    fn take(self: &Arc<Places>, peer: IpAddr, shakes_hands: bool) -> Option<Place> {
        let mut taken = self.lock();
        let of_one = taken.by_address.get(&peer).copied().unwrap_or_default();
        let too_many = taken.all >= MOST
            || of_one >= MOST_OF_ONE && !peer.is_loopback()
            || shakes_hands && taken.handshakes >= MOST_HANDSHAKES;
        if too_many {
            return None;
        }
        taken.all += 1;
        taken.handshakes += usize::from(shakes_hands);
        *taken.by_address.entry(peer).or_default() += 1;
        Some(Place {
            places: self.clone(),
            peer,
            shakes_hands,
        })
    }
}

/// A place that a connection has.
#[derive(Debug)]
struct Place {
    places: Arc<Places>,
    peer: IpAddr,
    shakes_hands: bool,
}

impl Place {
    fn handshake_done(&mut self) {
        if std::mem::take(&mut self.shakes_hands) {
            self.places.lock().handshakes -= 1;
        }
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.handshake_done();
        let mut taken = self.places.lock();
        taken.all -= 1;
        if let Some(left) = taken.by_address.get_mut(&self.peer) {
            *left -= 1;
            if *left == 0 {
                taken.by_address.remove(&self.peer);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn one_address_leaves_places_for_the_others() {
        let places = Arc::new(Places::default());
        let from = |n: u8, hands| places.take(IpAddr::from([192, 168, 43, n]), hands);
        let stranger: Vec<Place> = (0..MOST_OF_ONE).map(|_| from(9, false).unwrap()).collect();
        assert!(from(9, false).is_none());
        let phone = from(10, false).unwrap();
        drop(stranger);
        assert!(from(9, false).is_some());
        drop(phone);
        let taken = places.lock();
        assert_eq!((taken.all, taken.handshakes), (0, 0));
        assert!(taken.by_address.is_empty(), "counted for ever");
    }

    #[test]
    fn the_house_has_an_end_and_handshakes_an_earlier_one() {
        let places = Arc::new(Places::default());
        let at_home = IpAddr::from([127, 0, 0, 1]);
        let mut shaking: Vec<Place> = (0..MOST_HANDSHAKES)
            .map(|_| places.take(at_home, true).unwrap())
            .collect();
        assert!(places.take(at_home, true).is_none());
        shaking[0].handshake_done();
        shaking.push(places.take(at_home, true).unwrap());
        while shaking.len() < MOST {
            shaking.push(places.take(at_home, false).unwrap());
        }
        assert!(places.take(at_home, false).is_none());
    }
}
