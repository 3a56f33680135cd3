//! A link that can be cut: what a phone sends passes through here on its way to the program.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A link to a port of this machine.
pub struct Link {
    /// `http://127.0.0.1:port`, without a slash at the end.
    pub address: String,
    left: Arc<AtomicU64>,
    sent: Arc<AtomicU64>,
}

impl Link {
    /// A link that holds.
    pub fn to(port: u16) -> Link {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("http://{}", listener.local_addr().unwrap());
        let (left, sent) = (Arc::new(AtomicU64::new(u64::MAX)), Arc::default());
        let link = Link {
            address,
            left: Arc::clone(&left),
            sent: Arc::clone(&sent),
        };
        std::thread::spawn(move || {
            for phone in listener.incoming().flatten() {
                let laptop = TcpStream::connect(("127.0.0.1", port));
                let Ok(laptop) = laptop else {
                    continue;
                };
                let back = (laptop.try_clone().unwrap(), phone.try_clone().unwrap());
                let (left, sent) = (Arc::clone(&left), Arc::clone(&sent));
                std::thread::spawn(move || pass(phone, laptop, &left, &sent));
                std::thread::spawn(move || {
                    pass(
                        back.0,
                        back.1,
                        &AtomicU64::new(u64::MAX),
                        &AtomicU64::new(0),
                    );
                });
            }
        });
        link
    }

    /// Breaks after so many more bytes from the phone, and does not come back.
    pub fn breaks_after(&self, bytes: u64) {
        self.left.store(bytes, Ordering::SeqCst);
    }

    /// Holds again; gives how many bytes had passed from the phone until now.
    pub fn mended(&self) -> u64 {
        self.left.store(u64::MAX, Ordering::SeqCst);
        self.sent()
    }

    /// How many bytes have passed from the phone.
    pub fn sent(&self) -> u64 {
        self.sent.load(Ordering::SeqCst)
    }
}

fn pass(mut from: TcpStream, mut to: TcpStream, left: &AtomicU64, sent: &AtomicU64) {
    let mut bytes = [0; 16 * 1024];
    while let Ok(n @ 1..) = from.read(&mut bytes) {
        let n = u64::try_from(n).unwrap();
        let held = left.fetch_update(Ordering::SeqCst, Ordering::SeqCst, |left| {
            Some(left.saturating_sub(n))
        });
        let may = usize::try_from(held.unwrap().min(n)).unwrap();
        if to.write_all(&bytes[..may]).is_err() || may < usize::try_from(n).unwrap() {
            break;
        }
        sent.fetch_add(n, Ordering::SeqCst);
    }
    let _ = from.shutdown(Shutdown::Both);
    let _ = to.shutdown(Shutdown::Both);
}
