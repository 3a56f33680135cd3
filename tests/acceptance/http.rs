//! A browser without a screen: HTTP/1.1 by hand, one connection a request, cookies, redirects.
//!
//! In: an address of the server, or a filled-in form. Out: status, headers, body as text.
//! Deliberately absent: caching, scripts; the pages need neither.

use std::io::{self, Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use crate::form::Form;

/// No request may take longer.
const PATIENCE: Duration = Duration::from_secs(30);

/// An answer of the server.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Status code.
    pub status: u16,
    /// Names in lower case, in order.
    pub headers: Vec<(String, String)>,
    /// The page.
    pub body: String,
}

impl Answer {
    /// The first header of this name.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers
            .iter()
            .find(|(n, _)| n == name)
            .map(|(_, v)| v.as_str())
    }

    /// Where a redirect leads.
    pub fn location(&self) -> &str {
        self.header("location")
            .unwrap_or_else(|| panic!("no redirect: {} {}", self.status, self.body))
    }

    /// Whether the page says this, tags left out and white space as one blank.
    #[track_caller]
    pub fn says(&self, words: &str) {
        let text = self.text();
        assert!(
            text.contains(words),
            "the page ({}) does not say `{words}`:\n{text}",
            self.status
        );
    }

    /// The words of the page.
    pub fn text(&self) -> String {
        let mut text = String::new();
        let mut rest = self.body.as_str();
        while let Some((before, after)) = rest.split_once('<') {
            text += before;
            rest = after.split_once('>').map_or("", |(_, after)| after);
        }
        text += rest;
        let text = crate::form::decode(&text);
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// Sends one request and reads the whole answer.
pub fn send(port: u16, method: &str, path: &str, cookies: &str, body: &str) -> io::Result<Answer> {
    let kind = "application/x-www-form-urlencoded";
    send_as(port, method, path, cookies, (kind, body))
}

/// The same with a body of another type: its type, and it.
pub fn send_as(
    port: u16,
    method: &str,
    path: &str,
    cookies: &str,
    (kind, body): (&str, &str),
) -> io::Result<Answer> {
    let mut stream = TcpStream::connect(("127.0.0.1", port))?;
    stream.set_read_timeout(Some(PATIENCE))?;
    let mut request =
        format!("{method} {path} HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\nconnection: close\r\n");
    if !cookies.is_empty() {
        request += &format!("cookie: {cookies}\r\n");
    }
    if method == "POST" {
        // As a browser: it names the page a form comes from.
        request += &format!(
            "origin: http://127.0.0.1:{port}\r\ncontent-type: {kind}\r\ncontent-length: {}\r\n",
            body.len()
        );
    }
    request += "\r\n";
    request += body;
    stream.write_all(request.as_bytes())?;
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes)?;
    read(&bytes).ok_or_else(|| io::Error::new(io::ErrorKind::UnexpectedEof, "half an answer"))
}

/// Reads an answer; none when it is not complete.
fn read(bytes: &[u8]) -> Option<Answer> {
    let text = String::from_utf8(bytes.to_vec()).ok()?;
    let (head, body) = text.split_once("\r\n\r\n")?;
    let mut lines = head.lines();
    let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
    let headers: Vec<(String, String)> = lines
        .filter_map(|line| line.split_once(':'))
        .map(|(name, value)| (name.to_lowercase(), value.trim().to_owned()))
        .collect();
    let answer = Answer {
        status,
        headers,
        body: body.to_owned(),
    };
    match answer.header("content-length") {
        Some(length) if length.parse() == Ok(body.len()) => Some(answer),
        None if answer.header("transfer-encoding").is_none() => Some(answer),
        _ => None,
    }
}

/// A browser: one person at one server.
pub struct Browser {
    port: u16,
    cookies: Vec<(String, String)>,
    /// How often each form is sent; 2 for a nervous thumb on Save.
    pub sendings: u32,
}

impl Browser {
    /// Opens a fresh browser.
    pub fn new(port: u16) -> Browser {
        Browser {
            port,
            cookies: Vec::new(),
            sendings: 1,
        }
    }

    /// One request, no redirect followed.
    pub fn ask(&mut self, method: &str, path: &str, body: &str) -> Answer {
        let cookies: Vec<String> = self
            .cookies
            .iter()
            .map(|(n, v)| format!("{n}={v}"))
            .collect();
        let answer = send(self.port, method, path, &cookies.join("; "), body).unwrap();
        for (name, value) in &answer.headers {
            if name == "set-cookie"
                && let Some((cookie, value)) = value.split(';').next().unwrap().split_once('=')
            {
                self.cookies.retain(|(n, _)| n != cookie);
                self.cookies.push((cookie.to_owned(), value.to_owned()));
            }
        }
        answer
    }

    /// Opens an address, through redirects; the page must be there.
    #[track_caller]
    pub fn open(&mut self, path: &str) -> Answer {
        let mut path = path.to_owned();
        for _ in 0..5 {
            let answer = self.ask("GET", path.split('#').next().unwrap(), "");
            match answer.status {
                200 => return answer,
                303 | 307 | 308 => path = answer.location().to_owned(),
                other => panic!("{path}: {other}\n{}", answer.text()),
            }
        }
        panic!("{path}: redirects without end");
    }

    /// Posts a form once and gives the answer as it is.
    #[track_caller]
    pub fn submit(&mut self, form: &Form) -> Answer {
        assert_eq!(form.method, "post");
        self.ask("POST", &form.action, &form.encoded())
    }

    /// Sends a form that must be taken, as often as this browser does, and opens where it leads.
    #[track_caller]
    pub fn save(&mut self, form: &Form) -> Answer {
        let first = self.submit(form);
        assert_eq!(first.status, 303, "not taken: {}", first.text());
        for _ in 1..self.sendings {
            let again = self.submit(form);
            assert_eq!(
                (again.status, again.location()),
                (303, first.location()),
                "sent again: {}",
                again.text()
            );
        }
        self.open(first.location())
    }
}
