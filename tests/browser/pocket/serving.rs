//! A page with a script in it, served in front of the program, whose own pages have none.
//!
//! Only the page is this test's: everything else is asked of the program and handed on, but for
//! its content policy.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};

/// The server; it lives as long as the test's process.
pub struct Serving {
    /// Address of the page.
    pub address: String,
}

impl Serving {
    /// Starts it in front of a program at `http://127.0.0.1:port`.
    pub fn before(program: &str) -> Serving {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("http://{}", listener.local_addr().unwrap());
        let program = program.to_owned();
        std::thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                let program = program.clone();
                std::thread::spawn(move || answer(stream, &program));
            }
        });
        Serving { address }
    }
}

fn answer(mut stream: TcpStream, program: &str) {
    let mut asked = Vec::new();
    let mut some = [0; 4096];
    while !asked.windows(4).any(|end| end == b"\r\n\r\n") {
        match stream.read(&mut some) {
            Ok(n) if n > 0 => asked.extend_from_slice(&some[..n]),
            _ => return,
        }
    }
    let line = String::from_utf8_lossy(&asked);
    let path = line.split(' ').nth(1).unwrap_or("/");
    let answer = if path == "/" {
        let address = standbook_web::pocket::address("");
        let page = include_str!("page.html").replace("FOLDER", address.trim_end_matches('/'));
        format!(
            "HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nConnection: close\r\nContent-Length: {}\r\n\r\n{page}",
            page.len()
        )
    } else {
        let (head, body) = request(program, "GET", path, "");
        let kept = head
            .lines()
            .filter(|line| !line.to_lowercase().starts_with("content-security-policy"));
        let head: Vec<&str> = kept.collect();
        format!("{}\r\n\r\n{body}", head.join("\r\n"))
    };
    let _ = stream.write_all(answer.as_bytes());
}

/// What an address of the program answers; it must be there.
pub fn fetch(program: &str, path: &str) -> String {
    let (head, body) = request(program, "GET", path, "");
    assert!(head.starts_with("HTTP/1.1 200"), "{path}: {head}");
    body
}

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
