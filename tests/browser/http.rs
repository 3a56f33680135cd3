//! A request by hand.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;

/// Head and body of an answer, in plain HTTP without anything chunked.
pub fn request(server: &str, method: &str, path: &str, body: &str) -> (String, String) {
    let host = server.trim_start_matches("http://");
    let mut stream = TcpStream::connect(host).unwrap();
    let asked = format!(
        "{method} {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(asked.as_bytes()).unwrap();
    // The driver keeps the line open whatever it is told: the length says where an answer ends.
    let mut lines = BufReader::new(stream);
    let mut head = Vec::new();
    let mut length = 0;
    loop {
        let mut line = String::new();
        assert!(lines.read_line(&mut line).unwrap() > 0, "{path}: {head:?}");
        let line = line.trim_end().to_owned();
        if line.is_empty() {
            break;
        }
        if let Some(bytes) = line.to_lowercase().strip_prefix("content-length:") {
            length = bytes.trim().parse().unwrap();
        }
        head.push(line);
    }
    let mut body = vec![0; length];
    lines.read_exact(&mut body).unwrap();
    (head.join("\r\n"), String::from_utf8(body).unwrap())
}
