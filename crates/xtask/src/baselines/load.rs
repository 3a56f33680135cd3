//! Clients that ask over and over, each on a connection of its own that stays open.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// Clients at a time.
pub const CLIENTS: usize = 16;
/// Before anything is counted.
const WARM_UP: Duration = Duration::from_millis(500);
/// While answers are counted.
pub const COUNTED: Duration = Duration::from_secs(2);

/// Answers a second. `request` makes the text of a client's next request.
pub fn load(port: u16, request: impl Fn(usize) -> String + Sync) -> Result<f64, String> {
    count(|client| {
        let stream = TcpStream::connect(("127.0.0.1", port)).map_err(|e| e.to_string())?;
        // Requests are small, and each waits for the one before.
        stream.set_nodelay(true).map_err(|e| e.to_string())?;
        let mut stream = BufReader::new(stream);
        let request = &request;
        Ok(move || ask(&mut stream, &request(client)).map(|()| 1))
    })
}

/// Counts what clients get done a second: `client` makes one that is called over and over and says
/// how much it has got done.
pub fn count<C>(client: impl Fn(usize) -> Result<C, String> + Sync) -> Result<f64, String>
where
    C: FnMut() -> Result<usize, String>,
{
    let (done, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    std::thread::scope(|scope| {
        let clients: Vec<_> = (0..CLIENTS)
            .map(|number| {
                let (client, done, stop) = (&client, &done, &stop);
                scope.spawn(move || -> Result<(), String> {
                    let mut work = client(number)?;
                    while !stop.load(Ordering::Relaxed) {
                        done.fetch_add(work()?, Ordering::Relaxed);
                    }
                    Ok(())
                })
            })
            .collect();
        std::thread::sleep(WARM_UP);
        let (before, start) = (done.load(Ordering::Relaxed), Instant::now());
        std::thread::sleep(COUNTED);
        let counted = done.load(Ordering::Relaxed) - before;
        let took = start.elapsed().as_secs_f64();
        stop.store(true, Ordering::Relaxed);
        for client in clients {
            client.join().map_err(|_| "a client stopped".to_owned())??;
        }
        Ok(counted as f64 / took)
    })
}

/// One request and its whole answer, which must be good.
fn ask(stream: &mut BufReader<TcpStream>, request: &str) -> Result<(), String> {
    let failed = |e: std::io::Error| format!("no answer: {e}");
    stream
        .get_mut()
        .write_all(request.as_bytes())
        .map_err(failed)?;
    let (mut first, mut length) = (String::new(), 0);
    stream.read_line(&mut first).map_err(failed)?;
    loop {
        let mut line = String::new();
        stream.read_line(&mut line).map_err(failed)?;
        match line.trim_end().split_once(": ") {
            Some(("content-length", bytes)) => length = bytes.parse().unwrap_or(0),
            Some(_) => {}
            None => break,
        }
    }
    let mut body = vec![0; length];
    stream.read_exact(&mut body).map_err(failed)?;
    let body = String::from_utf8_lossy(&body);
    let good = first.contains(" 200 ") && length > 0;
    // A record that is not kept is none, however fast.
    match good && !body.contains("\"refused\":[{") && !body.contains("\"waiting\":[{") {
        true => Ok(()),
        false => Err(format!("{first}{body}")),
    }
}
