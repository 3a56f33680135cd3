//! The phones' door of the built program: who reaches it, who is let in, what a restart keeps.
//!
//! 127.0.0.2 stands for an address that is not the laptop's own 127.0.0.1: on Linux all of
//! 127.0.0.0/8 is this machine (RFC 1122, 3.2.1.3), and only a server on all addresses answers it.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::{Duration, Instant};

use crate::http::{Answer, send};
use crate::program::{Server, run_refused, serving};

/// The port printed behind `Phones: port`.
pub fn phones_port(server: &Server) -> u16 {
    let until = Instant::now() + Duration::from_secs(30);
    while Instant::now() < until {
        let out = server.out();
        let line = out.lines().find_map(|l| l.strip_prefix("Phones: port "));
        if let Some(port) = line.and_then(|l| l.split(';').next()) {
            return port.parse().unwrap();
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("no phones' port printed: {}", server.out());
}

fn sharing(book: &Path) -> (Server, u16) {
    let server = Server::start(serving(book).args(["--share", "0"]));
    let port = phones_port(&server);
    (server, port)
}

/// The status of a request to an address under a name.
fn status(address: &str, port: u16, host: &str) -> std::io::Result<u16> {
    let mut stream = TcpStream::connect((address, port))?;
    stream.set_read_timeout(Some(Duration::from_secs(30)))?;
    write!(
        stream,
        "GET /pair HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n"
    )?;
    let mut text = String::new();
    stream.read_to_string(&mut text)?;
    Ok(text.split(' ').nth(1).unwrap().parse().unwrap())
}

fn key_of(answer: &Answer) -> String {
    let mut cookies = answer.headers.iter().filter(|(n, _)| n == "set-cookie");
    let key = cookies.find(|(_, v)| v.starts_with("phone="));
    key.unwrap().1.split(';').next().unwrap().to_owned()
}

/// Lets a phone in by the pages; the cookie that it shows from now on.
pub fn let_in(laptop: u16, door: u16, name: &str) -> String {
    send(laptop, "POST", "/phones/code", "", &format!("name={name}")).unwrap();
    let code = format!("code={}", code(laptop));
    key_of(&send(door, "POST", "/pair", "", &code).unwrap())
}

/// The code on the laptop's page.
fn code(laptop: u16) -> String {
    let page = send(laptop, "GET", "/phones", "", "").unwrap();
    let digits = page.body.split("<p class=\"digits\">").nth(1).unwrap();
    digits.split('<').next().unwrap().replace(' ', "")
}

#[test]
fn only_a_server_that_shares_answers_beyond_this_machine() {
    let folder = tempfile::tempdir().unwrap();
    let alone = Server::serve(&folder.path().join("alone.standbook"));
    assert!(status("127.0.0.2", alone.port, "127.0.0.1").is_err());
    let (server, door) = sharing(&folder.path().join("shared.standbook"));
    // The laptop's own door is no wider than before.
    assert!(status("127.0.0.2", server.port, "127.0.0.1").is_err());
    let at = |host: &str| status("127.0.0.2", door, host).unwrap();
    assert_eq!(at(&format!("127.0.0.2:{door}")), 200);
    assert_eq!(at(&format!("localhost:{door}")), 200);
    assert_eq!(at(&format!("127.0.0.3:{door}")), 400);
    assert_eq!(at(&format!("stand.example:{door}")), 400);
}

#[test]
fn a_phone_is_let_in_once_and_stays_in_over_a_power_cut() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("season.standbook");
    let (mut server, door) = sharing(&book);
    let outside = send(door, "GET", "/plot", "", "").unwrap();
    assert_eq!(outside.location(), "/pair");
    send(server.port, "POST", "/phones/code", "", "name=Ana+Wren").unwrap();
    let code = code(server.port);
    let wrong = if code == "000000" { "000001" } else { "000000" };
    let refused = send(door, "POST", "/pair", "", &format!("code={wrong}")).unwrap();
    assert_eq!(refused.status, 403);
    refused.says("That is not the code on the laptop's screen. Tries left: 4.");
    let paired = send(door, "POST", "/pair", "", &format!("code={code}")).unwrap();
    assert_eq!(paired.location(), "/plot");
    let key = key_of(&paired);
    assert_eq!(send(door, "GET", "/plot", &key, "").unwrap().status, 200);
    server.kill();

    let (mut server, door) = sharing(&book);
    assert_eq!(send(door, "GET", "/plot", &key, "").unwrap().status, 200);
    let page = send(server.port, "GET", "/phones", "", "").unwrap();
    page.says("Ana Wren");
    // A copy of the book elsewhere lets nobody in.
    assert!(server.ctrl_c().success());
    let copy = folder.path().join("copy.standbook");
    std::fs::copy(&book, &copy).unwrap();
    let (_copy, door) = sharing(&copy);
    assert_eq!(
        send(door, "GET", "/plot", &key, "").unwrap().location(),
        "/pair"
    );
}

#[test]
fn a_broken_list_of_phones_is_named_before_anything_is_served() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("season.standbook");
    std::fs::write(folder.path().join("season.standbook.phones"), "torn").unwrap();
    let said = run_refused(serving(&book).args(["--share", "0"]));
    assert_eq!(said.code, 1);
    assert!(said.err.contains("season.standbook.phones"), "{}", said.err);
    assert!(said.err.contains("let the phones in anew"), "{}", said.err);
    // Without phones the book is served as ever.
    Server::serve(&book);
}

#[test]
fn an_authority_that_is_broken_is_named_and_phones_come_in_without_it() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("season.standbook");
    let own = folder.path().join("standbook");
    std::fs::create_dir(&own).unwrap();
    std::fs::write(own.join("authority.pem"), "torn").unwrap();
    let (mut server, door) = sharing(&book);
    let page = send(server.port, "GET", "/phones", "", "").unwrap();
    page.says("No https:");
    page.says("authority.pem");
    page.says("every phone must install that");
    assert_eq!(send(door, "GET", "/pair", "", "").unwrap().status, 200);
    let file = send(door, "GET", "/trust/ca.crt", "", "").unwrap();
    assert_eq!(file.status, 404);
    assert!(server.ctrl_c().success());
    assert!(
        server.err().contains("phones have no https"),
        "{}",
        server.err()
    );
    let left = std::fs::read_to_string(own.join("authority.pem")).unwrap();
    assert_eq!(left, "torn");
}

#[test]
fn an_address_that_changed_since_phones_were_let_in_is_said_at_the_start() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("season.standbook");
    let (mut server, door) = sharing(&book);
    let key = let_in(server.port, door, "Ana+Wren");
    assert_eq!(send(door, "GET", "/plot", &key, "").unwrap().status, 200);
    assert!(server.ctrl_c().success());
    assert!(!server.err().contains("was last at"), "{}", server.err());
    // As if the laptop had been in another network then: TEST-NET-2 (RFC 5737), no machine's.
    let list = folder.path().join("season.standbook.phones");
    let text = std::fs::read_to_string(&list).unwrap();
    let elsewhere = text.replace("\"127.0.0.1\"", "\"198.51.100.7\"");
    assert_ne!(text, elsewhere);
    std::fs::write(&list, elsewhere).unwrap();
    let (mut server, _) = sharing(&book);
    send(server.port, "GET", "/phones", "", "")
        .unwrap()
        .says("was last at 198.51.100.7");
    assert!(server.ctrl_c().success());
    let said = server.err();
    assert!(
        said.contains("Ana Wren's phone") && said.contains("198.51.100.7"),
        "{said}"
    );
}
