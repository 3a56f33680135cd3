//! The server is killed while records come in: a flat battery, a power cut as far as a test can
//! make one (that the disk was waited for is shown in `synced`).
//!
//! Several clients post plants and frames as fast as they can, some by their pages, some as a phone
//! that comes back; what was not answered is sent again after the restart, as a phone does it.
//! Whatever was acknowledged must be in the book, whole, and nothing may be there twice.

use std::collections::HashMap;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use rusqlite::Connection;
use standbook_fieldbook::RecordId;

use crate::field::to_the_first_point;
use crate::http::{Browser, send};
use crate::outbox::{Waiting, send_all};
use crate::program::Server;

/// Kills. The real thing is 200 (`STANDBOOK_KILLS=200`).
const KILLS: u64 = 40;
/// Clients at a time; their records share commits.
const CLIENTS: usize = 6;
/// Longest time that they post before a kill, ms.
const LONGEST_MS: u64 = 150;
/// That time begins with the first answer, or a slow machine would be killed with nothing to lose;
/// but one time in so many at once, while the first records come in.
const AT_ONCE: u64 = 4;
/// How long a first answer is waited for.
const PATIENCE: Duration = Duration::from_secs(10);
/// Forms sent together, as a phone does.
const TOGETHER: usize = 5;

/// A form and what only its record says: number and scout of a frame, the note of a plant.
#[derive(Clone)]
struct Made {
    form: Waiting,
    content: String,
}

/// One client over all kills.
#[derive(Default)]
struct Client {
    acknowledged: Vec<Made>,
    /// Counts answers to all clients.
    answers: Arc<AtomicUsize>,
    /// Sent, with no answer: in the book or not.
    open: Vec<Made>,
}

fn make(point: &str, scout: &str, n: u32) -> Made {
    let id = RecordId::new().to_string();
    if n.is_multiple_of(2) {
        let content = format!("{scout}, plant {n}");
        let form = Waiting::plant(&id, point, scout, &content);
        Made { form, content }
    } else {
        let content = format!("{scout}, frame {n}");
        let form = Waiting::frame(&id, point, n, scout, &[3, 4]);
        Made { form, content }
    }
}

impl Client {
    /// Sends what is open, one by one or together; false when the server is gone.
    fn send_open(&mut self, port: u16, by_pages: bool) -> bool {
        while !self.open.is_empty() {
            let many = if by_pages { 1 } else { TOGETHER }.min(self.open.len());
            if by_pages {
                let form = &self.open[0].form;
                match send(port, "POST", &form.to, "", &form.fields) {
                    Ok(answer) => assert_eq!(answer.status, 303, "{}", answer.text()),
                    Err(_) => return false,
                }
            } else {
                let forms: Vec<Waiting> =
                    self.open[..many].iter().map(|m| m.form.clone()).collect();
                match send_all(port, "", &forms) {
                    Ok(said) => assert_eq!(said.kept.len(), many, "{said:?}"),
                    Err(_) => return false,
                }
            }
            self.acknowledged.extend(self.open.drain(..many));
            self.answers.fetch_add(1, Ordering::Relaxed);
        }
        true
    }

    /// Posts until the server is gone.
    fn post(&mut self, port: u16, point: &str, scout: &str, by_pages: bool) {
        let mut n = 0;
        while self.send_open(port, by_pages) {
            for _ in 0..if by_pages { 1 } else { TOGETHER } {
                n += 1;
                self.open.push(make(point, scout, n));
            }
        }
    }
}

/// SQLite's own check of the whole file, and the book's.
pub fn assert_intact(path: &Path) {
    let sqlite = Connection::open(path).unwrap();
    let told: String = sqlite
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .unwrap();
    assert_eq!(told, "ok");
    let dangling = sqlite
        .prepare("PRAGMA foreign_key_check")
        .unwrap()
        .exists([])
        .unwrap();
    assert!(!dangling, "a reference leads nowhere");
}

/// What the book says of every frame and plant, by id; frames only with both of their marks.
fn contents(book: &Path) -> HashMap<String, String> {
    let book = Connection::open(book).unwrap();
    let sql = "SELECT id, scout || ', frame ' || number FROM frame f
               WHERE 2 = (SELECT count(*) FROM tally t WHERE t.frame = f.id)
               UNION ALL SELECT id, note FROM determination";
    let mut rows = book.prepare(sql).unwrap();
    let rows = rows.query_map([], |row| Ok((row.get(0)?, row.get(1)?)));
    rows.unwrap().map(Result::unwrap).collect()
}

#[test]
fn whatever_was_acknowledged_survives_a_kill() {
    let number = |name: &str| std::env::var(name).ok().map(|n| n.parse::<u64>().unwrap());
    let kills = number("STANDBOOK_KILLS").unwrap_or(KILLS);
    let seed = number("STANDBOOK_SEED").unwrap_or_else(|| fastrand::u64(..));
    println!("STANDBOOK_SEED={seed}");
    let mut random = fastrand::Rng::with_seed(seed);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("season.standbook");
    let mut server = Server::serve(&path);
    let point = to_the_first_point(&mut Browser::new(server.port)).point;
    let answers = Arc::new(AtomicUsize::new(0));
    let client = |_| Client {
        answers: answers.clone(),
        ..Client::default()
    };
    let mut clients: Vec<Client> = (0..CLIENTS).map(client).collect();
    let mut cut_off = 0;
    for kill in 0..kills {
        let (port, point) = (server.port, point.as_str());
        thread::scope(|scope| {
            for (at, client) in clients.iter_mut().enumerate() {
                let scout = format!("Scout {at}-{kill}");
                scope.spawn(move || client.post(port, point, &scout, at.is_multiple_of(2)));
            }
            let (before, until) = (answers.load(Ordering::Relaxed), Instant::now() + PATIENCE);
            while !kill.is_multiple_of(AT_ONCE)
                && answers.load(Ordering::Relaxed) == before
                && Instant::now() < until
            {
                thread::sleep(Duration::from_millis(1));
            }
            thread::sleep(Duration::from_millis(random.u64(0..LONGEST_MS)));
            server.kill();
        });
        // What lay in -wal is taken up.
        server = Server::serve(&path);
        let held = contents(&path);
        for client in &clients {
            cut_off += client
                .open
                .iter()
                .filter(|it| held.contains_key(&it.form.id))
                .count();
            for one in &client.acknowledged {
                let found = held.get(&one.form.id);
                assert_eq!(found, Some(&one.content), "after kill {kill}, seed {seed}");
            }
        }
    }
    // The phones come back a last time.
    for (at, client) in clients.iter_mut().enumerate() {
        assert!(client.send_open(server.port, at.is_multiple_of(2)));
    }
    Browser::new(server.port).open(&point).says("Recorded here");
    server.kill();

    let all: HashMap<String, String> = clients
        .into_iter()
        .flat_map(|client| client.acknowledged)
        .map(|it| (it.form.id, it.content))
        .collect();
    assert!(all.len() as u64 > kills, "the kills came too early");
    // Every one, none twice, none that nobody sent.
    assert_eq!(contents(&path), all, "seed {seed}");
    assert_intact(&path);
    println!(
        "{} records in {kills} kills, all there once; {cut_off} were kept without their answer",
        all.len()
    );
}
