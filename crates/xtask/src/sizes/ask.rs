//! One request and how long its answer took.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// An answer.
pub struct Answered {
    /// From the request to the last byte.
    pub took: Duration,
    /// Head and body.
    pub text: String,
}

/// Asks, on a connection of its own. Only 200 is an answer.
pub fn ask(port: u16, method: &str, address: &str, body: &str) -> Result<Answered, String> {
    let failed = |e: std::io::Error| format!("{method} {address}: {e}");
    let mut stream = TcpStream::connect(("127.0.0.1", port)).map_err(failed)?;
    let request = format!(
        "{method} {address} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Type: application/json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    );
    let asked = Instant::now();
    stream.write_all(request.as_bytes()).map_err(failed)?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).map_err(failed)?;
    let took = asked.elapsed();
    let text = String::from_utf8_lossy(&answer).into_owned();
    match text.starts_with("HTTP/1.1 200 ") {
        true => Ok(Answered { took, text }),
        false => Err(format!("{method} {address}: {text}")),
    }
}
