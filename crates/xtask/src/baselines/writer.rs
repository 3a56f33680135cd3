//! The plainest writer that answers when what it was given is on disk: one thread, one SQLite file
//! with a write-ahead log and `synchronous=FULL`, all clients that wait in one transaction.

use std::path::Path;
use std::sync::mpsc::{SyncSender, channel, sync_channel};

use rusqlite::Connection;

use super::load::{CLIENTS, count};

/// Records of one client, and where it waits.
type Job = (Vec<String>, SyncSender<bool>);

/// Records a second. `text` makes what a client wants kept, which is kept in `together` pieces.
pub fn records(
    path: &Path,
    together: usize,
    text: impl Fn(usize) -> String + Sync,
) -> Result<f64, String> {
    let said = |e: rusqlite::Error| format!("{}: {e}", path.display());
    let mut book = Connection::open(path).map_err(said)?;
    book.pragma_update(None, "journal_mode", "WAL")
        .map_err(said)?;
    book.pragma_update(None, "synchronous", "FULL")
        .map_err(said)?;
    book.execute_batch("CREATE TABLE record (id INTEGER PRIMARY KEY, body TEXT NOT NULL)")
        .map_err(said)?;
    let (sender, queue) = channel::<Job>();
    let writer = std::thread::spawn(move || {
        while let Ok(first) = queue.recv() {
            // Those who wait already share the sync; nobody who comes later makes them wait.
            let group: Vec<Job> = std::iter::once(first)
                .chain(queue.try_iter().take(CLIENTS - 1))
                .collect();
            let kept = keep(&mut book, &group).is_ok();
            for (_, answer) in group {
                let _ = answer.send(kept);
            }
        }
    });
    let measured = count(|client| {
        let (sender, text) = (sender.clone(), &text);
        Ok(move || {
            let text = text(client);
            let size = text.len().div_ceil(together);
            let bytes: Vec<&[u8]> = text.as_bytes().chunks(size).collect();
            let pieces = bytes
                .iter()
                .map(|it| String::from_utf8_lossy(it).into_owned());
            let (answer, answered) = sync_channel(1);
            let stopped = || "the plain writer stopped".to_owned();
            sender
                .send((pieces.collect(), answer))
                .map_err(|_| stopped())?;
            match answered.recv() {
                Ok(true) => Ok(together),
                _ => Err(stopped()),
            }
        })
    });
    drop(sender);
    writer
        .join()
        .map_err(|_| "the plain writer stopped".to_owned())?;
    measured
}

fn keep(book: &mut Connection, group: &[Job]) -> rusqlite::Result<()> {
    let transaction = book.transaction()?;
    {
        let mut insert = transaction.prepare_cached("INSERT INTO record (body) VALUES (?1)")?;
        for body in group.iter().flat_map(|(bodies, _)| bodies) {
            insert.execute([body])?;
        }
    }
    transaction.commit()
}
