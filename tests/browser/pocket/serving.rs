//! A page with a script in it, served in front of the program, whose own pages have none.
//!
//! Only the page is this test's: everything else is asked of the program and handed on, but for
//! its content policy.

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};

use crate::http::request;

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
