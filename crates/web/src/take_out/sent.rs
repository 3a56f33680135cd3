//! A file on its way to the browser, a piece at a time; it is gone when the last piece is sent, or the
//! browser has had enough.

use std::fs::File;
use std::io::Read;
use std::pin::Pin;
use std::task::{Context, Poll};

use axum::body::{Body, Bytes};
use hyper::body::{Frame, SizeHint};
use standbook_fieldbook::safe::Scratch;
use tokio::sync::mpsc::{Receiver, Sender, channel};

/// Bytes of a piece.
const PIECE_BYTES: usize = 64 * 1024;

/// Pieces that may wait for a slow browser.
const WAITING: usize = 4;

type Piece = std::io::Result<Bytes>;

/// The file as a body. `folder` holds it and goes with it.
pub(super) fn body(file: File, bytes: u64, folder: Scratch) -> Body {
    let (to, pieces) = channel(WAITING);
    tokio::task::spawn_blocking(move || {
        feed(file, &to);
        drop(folder);
    });
    Body::new(Pieces {
        pieces,
        left: bytes,
    })
}

/// Reads until the end, a fault, or until nobody takes any more.
fn feed(mut file: File, to: &Sender<Piece>) {
    let mut piece = vec![0; PIECE_BYTES];
    loop {
        let read = match file.read(&mut piece) {
            Ok(0) => return,
            Ok(read) => Ok(Bytes::copy_from_slice(
                piece.get(..read).unwrap_or_default(),
            )),
            Err(error) => Err(error),
        };
        let broken = read.is_err();
        if to.blocking_send(read).is_err() || broken {
            return;
        }
    }
}

struct Pieces {
    pieces: Receiver<Piece>,
    left: u64,
}

impl hyper::body::Body for Pieces {
    type Data = Bytes;
    type Error = std::io::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, std::io::Error>>> {
        self.pieces.poll_recv(context).map(|piece| {
            let piece = piece?;
            if let Ok(bytes) = &piece {
                self.left = self.left.saturating_sub(bytes.len() as u64);
            }
            Some(piece.map(Frame::data))
        })
    }

    fn size_hint(&self) -> SizeHint {
        SizeHint::with_exact(self.left)
    }
}
