//! The phones' doors on real connections: https with its cookies, strangers who say nothing, and what
//! is to be seen before a phone is let in.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use crate::desk_support::Sample;
use rustls::pki_types::{CertificateDer, ServerName};
use standbook_web::phones::code::Guest;
use standbook_web::phones::roster::Roster;
use standbook_web::secure::{Authority, Secure};
use standbook_web::{App, Phones, serve_phones, serve_phones_secure};
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio_rustls::TlsConnector;

/// A book that is shared by both doors, on free ports of 127.0.0.1.
struct House {
    app: Arc<App>,
    plain: SocketAddr,
    secure: SocketAddr,
    tls: TlsConnector,
    /// The authority's file.
    secret: String,
    sample: Sample,
}

impl House {
    async fn new() -> House {
        let sample = Sample::empty();
        let book = sample.folder.path().join("season.book");
        let free = || TcpListener::bind("127.0.0.1:0");
        let (plain_door, secure_door) = (free().await.unwrap(), free().await.unwrap());
        let plain = plain_door.local_addr().unwrap();
        let secure = secure_door.local_addr().unwrap();
        let folder = sample.folder.path().join("ca");
        let authority = Authority::of_folder(&folder).unwrap();
        let secret = std::fs::read_to_string(folder.join("authority.pem")).unwrap();
        let mut roots = rustls::RootCertStore::empty();
        let certificate = CertificateDer::from(authority.certificate().to_vec());
        roots.add(certificate).unwrap();
        let ring = Arc::new(rustls::crypto::ring::default_provider());
        let client = rustls::ClientConfig::builder_with_provider(ring)
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_root_certificates(roots)
            .with_no_client_auth();
        let phones = Phones::new(Roster::of_book(&book).unwrap(), plain.port());
        let made = Secure::new(authority, secure.port()).map_err(|e| e.to_string());
        let again = standbook_fieldbook::Book::open(&book).unwrap();
        let app = App::new(again, crate::desk_support::key(), false).sharing(phones.by_https(made));
        let app = Arc::new(app);
        let never = std::future::pending;
        tokio::spawn(serve_phones(plain_door, app.clone(), never()));
        tokio::spawn(serve_phones_secure(secure_door, app.clone(), never()));
        House {
            app,
            plain,
            secure,
            tls: TlsConnector::from(Arc::new(client)),
            secret,
            sample,
        }
    }

    /// A request by https to a name of this machine; the whole answer.
    async fn ask(&self, method: &str, path: &str, headers: &str, body: &str) -> String {
        let stream = TcpStream::connect(self.secure).await.unwrap();
        let name = ServerName::try_from("127.0.0.1").unwrap();
        let stream = self.tls.connect(name, stream).await.unwrap();
        said(stream, self.secure, method, path, headers, body).await
    }

    async fn ask_plain(&self, path: &str, headers: &str) -> String {
        let stream = TcpStream::connect(self.plain).await.unwrap();
        said(stream, self.plain, "GET", path, headers, "").await
    }

    fn guest(&self, name: &str) -> String {
        let guest = Guest {
            scout: name.to_owned(),
            desk: false,
        };
        let phones = self.app.phones.as_ref().unwrap();
        phones.roster.let_in(&guest).unwrap().0
    }
}

async fn said(
    mut stream: impl AsyncRead + AsyncWrite + Unpin,
    to: SocketAddr,
    method: &str,
    path: &str,
    headers: &str,
    body: &str,
) -> String {
    let request = format!(
        "{method} {path} HTTP/1.1\r\nhost: {to}\r\n{headers}content-length: {}\r\nconnection: close\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(request.as_bytes()).await.unwrap();
    let mut bytes = Vec::new();
    // A server that closes without TLS's goodbye has said everything all the same.
    let _ = stream.read_to_end(&mut bytes).await;
    String::from_utf8_lossy(&bytes).into_owned()
}

#[tokio::test]
async fn a_phone_let_in_by_https_has_a_key_for_https_alone() {
    let house = House::new().await;
    let phones = house.app.phones.as_ref().unwrap();
    let guest = Guest {
        scout: "Ana".to_owned(),
        desk: false,
    };
    let code = phones.waiting.offer(guest, Instant::now()).unwrap();
    let body = format!("code={code}");
    let form = "content-type: application/x-www-form-urlencoded\r\n";
    // A form of the plain door's pages is another website's here.
    let origin = format!("{form}origin: http://{}\r\n", house.secure);
    let refused = house.ask("POST", "/pair", &origin, &body).await;
    assert!(refused.starts_with("HTTP/1.1 400"), "{refused}");
    let origin = format!("{form}origin: https://{}\r\n", house.secure);
    let paired = house.ask("POST", "/pair", &origin, &body).await;
    assert!(paired.starts_with("HTTP/1.1 303"), "{paired}");
    let cookie = paired
        .split("set-cookie: ")
        .find(|c| c.contains("phone="))
        .unwrap();
    let cookie = cookie.split("\r\n").next().unwrap();
    // What browsers ask of that name: RFC 6265bis, 4.1.3.2.
    assert!(cookie.starts_with("__Host-phone="), "{cookie}");
    for word in ["; Secure", "; Path=/;", "; HttpOnly", "; SameSite=Strict"] {
        assert!(cookie.contains(word), "{cookie}");
    }
    assert!(!cookie.contains("Domain"), "{cookie}");
    let key = cookie.split(';').next().unwrap();
    let shown = format!("cookie: {key}\r\n");
    let plot = house.ask("GET", "/plot", &shown, "").await;
    assert!(plot.starts_with("HTTP/1.1 200"), "{plot}");
    // It is not read on the plain door, were it ever sent there.
    let plain = house.ask_plain("/plot", &shown).await;
    assert!(plain.contains("location: /pair"), "{plain}");
}

#[tokio::test]
async fn one_letting_in_by_plain_http_serves_both_doors() {
    let house = House::new().await;
    let key = house.guest("Bo");
    let shown = format!("cookie: phone={key}\r\n");
    let plain = house.ask_plain("/plot", &shown).await;
    assert!(plain.starts_with("HTTP/1.1 200"), "{plain}");
    assert!(!plain.contains("__Host-"), "{plain}");
    let first = house.ask("GET", "/plot", &shown, "").await;
    assert!(first.starts_with("HTTP/1.1 200"), "{first}");
    let given = format!("set-cookie: __Host-phone={key}; ");
    assert!(first.contains(&given), "{first}");
    let both = format!("cookie: phone={key}; __Host-phone={key}\r\n");
    let second = house.ask("GET", "/plot", &both, "").await;
    assert!(!second.contains("set-cookie"), "{second}");
    // A key that was taken away meanwhile does not stand before one that counts.
    let stale = format!("cookie: phone={key}; __Host-phone={}\r\n", "0".repeat(64));
    let third = house.ask("GET", "/plot", &stale, "").await;
    assert!(
        third.starts_with("HTTP/1.1 200") && third.contains(&given),
        "{third}"
    );
    // Leaving takes both back, and gives none anew.
    let left = house.ask("POST", "/pair/leave", &shown, "").await;
    assert_eq!(left.matches("Max-Age=0").count(), 2, "{left}");
    assert!(
        !left.contains(&key) && left.contains("clear-site-data: \"cache\""),
        "{left}"
    );
    let gone = house.ask("GET", "/plot", &both, "").await;
    assert!(gone.contains("location: /pair"), "{gone}");
}

#[tokio::test]
async fn what_trust_needs_is_there_for_strangers_and_the_key_is_nowhere() {
    let house = House::new().await;
    let secure = house.app.phones.as_ref().unwrap().secure.as_ref().unwrap();
    let shown = secure.authority.fingerprint();
    for path in [
        "/trust",
        "/worker.js",
        "/away",
        "/manifest.webmanifest",
        "/trust/ca.crt",
    ] {
        for said in [
            house.ask_plain(path, "").await,
            house.ask("GET", path, "", "").await,
        ] {
            assert!(said.starts_with("HTTP/1.1 200"), "{path}: {said}");
        }
    }
    let page = house.ask_plain("/trust", "").await;
    assert!(shown.iter().all(|line| page.contains(line)), "{page}");
    let https = format!("href=\"https://{}/trust\"", house.secure);
    assert!(page.contains(&https), "{page}");
    let file = house.ask_plain("/trust/ca.crt", "").await;
    assert!(
        file.contains("content-type: application/x-x509-ca-cert"),
        "{file}"
    );
    let length = format!(
        "content-length: {}\r\n",
        secure.authority.certificate().len()
    );
    assert!(file.contains(&length), "{file}");

    // The key in each of its spellings: any line of it.
    let lines = house
        .secret
        .lines()
        .skip(1)
        .take_while(|line| !line.starts_with("--"));
    let lines: Vec<&str> = lines.filter(|line| line.len() > 20).collect();
    assert!(!lines.is_empty());
    let cookie = format!("cookie: phone={}\r\n", house.guest("Ana"));
    for path in [
        "/trust",
        "/trust/ca.crt",
        "/trust/authority.pem",
        "/trust/ca.key",
        "/trust/../ca/authority.pem",
        "/trust/%2e%2e/ca/authority.pem",
        "/assets/authority.pem",
        "/assets/..%2fca%2fauthority.pem",
        "/ca/authority.pem",
        "/authority.pem",
        "/phones",
        "/outbox",
        "/plot",
    ] {
        for cookie in ["", &cookie] {
            let said = house.ask_plain(path, cookie).await;
            let found = lines.iter().any(|line| said.contains(line));
            assert!(!found && !said.contains("PRIVATE KEY"), "{path}: {said}");
        }
    }
    // And it would have been seen.
    assert!(house.secret.contains(lines[0]) && house.secret.contains("PRIVATE KEY"));
}

/// Strangers hold connections and say nothing, at both doors; a phone is answered all the while.
#[tokio::test]
async fn silent_strangers_keep_nobody_waiting_and_are_put_out() {
    let house = House::new().await;
    let from = Instant::now();
    let mut silent = Vec::new();
    for door in [house.plain, house.secure] {
        for half in ["", "GET /pair HTTP/1.1\r\nhost:"] {
            for _ in 0..20 {
                let mut stream = TcpStream::connect(door).await.unwrap();
                stream.write_all(half.as_bytes()).await.unwrap();
                silent.push((door, half, stream));
            }
        }
    }
    let page = house.ask("GET", "/pair", "", "").await;
    assert!(page.starts_with("HTTP/1.1 200"), "{page}");
    let page = house.ask_plain("/pair", "").await;
    assert!(page.starts_with("HTTP/1.1 200"), "{page}");
    assert!(
        from.elapsed() < Duration::from_secs(8),
        "{:?}",
        from.elapsed()
    );
    for (door, half, mut stream) in silent {
        let mut answer = Vec::new();
        let end = stream.read_to_end(&mut answer);
        let end = tokio::time::timeout(Duration::from_secs(40), end).await;
        assert!(
            end.is_ok(),
            "still open after {:?}: {door} {half:?}",
            from.elapsed()
        );
    }
    // The times that `accept` gives are 10 and 15 s.
    let all = from.elapsed();
    assert!(
        all > Duration::from_secs(9) && all < Duration::from_secs(30),
        "{all:?}"
    );
}

#[tokio::test]
async fn plain_http_at_the_https_door_is_closed_at_once() {
    let house = House::new().await;
    let from = Instant::now();
    let mut stream = TcpStream::connect(house.secure).await.unwrap();
    let request = format!("GET /pair HTTP/1.1\r\nhost: {}\r\n\r\n", house.secure);
    stream.write_all(request.as_bytes()).await.unwrap();
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer).await;
    assert!(
        from.elapsed() < Duration::from_secs(5),
        "{:?}",
        from.elapsed()
    );
    assert!(!String::from_utf8_lossy(&answer).contains("<html"));
}

#[tokio::test]
async fn an_address_that_is_gone_is_named_at_the_laptop() {
    let house = House::new().await;
    let key = house.guest("Ana Wren");
    house.guest("Bo Reed");
    let phones = house.app.phones.as_ref().unwrap();
    let shown = format!("cookie: phone={key}\r\n");
    house.ask_plain("/plot", &shown).await;
    // By cable: that address stays.
    assert!(phones.left_behind().is_empty());
    let ana = phones.roster.shown(&key).unwrap();
    assert_eq!(ana.at, Some("127.0.0.1".parse().unwrap()));
    // TEST-NET-2 (RFC 5737): no machine's address.
    phones
        .roster
        .seen_at(&ana.id, "198.51.100.7".parse().unwrap());
    let left = phones.left_behind();
    assert_eq!(left.len(), 1);
    assert_eq!(
        (left[0].0.scout.as_str(), left[0].1.to_string()),
        ("Ana Wren", "198.51.100.7".to_owned())
    );
    let page = {
        use tower::ServiceExt;
        let request = axum::http::Request::get("/phones").header("host", "127.0.0.1:8420");
        let request = request.body(axum::body::Body::empty()).unwrap();
        let answer = standbook_web::router(house.app.clone())
            .oneshot(request)
            .await
            .unwrap();
        let bytes = axum::body::to_bytes(answer.into_body(), usize::MAX)
            .await
            .unwrap();
        String::from_utf8_lossy(&bytes).into_owned()
    };
    assert!(page.contains("was last at 198.51.100.7"), "{page}");
    assert!(page.contains("address has changed"), "{page}");
    // Over a restart too.
    let again = Roster::of_book(&house.sample.folder.path().join("season.book")).unwrap();
    assert_eq!(
        again.shown(&key).unwrap().at,
        Some("198.51.100.7".parse().unwrap())
    );
}

/// The pictures are as large as the manifest says (PNG: ISO/IEC 15948, 11.2.2, width and height in
/// the first chunk), and pages lead to them.
#[tokio::test]
async fn the_manifest_names_pictures_that_are_there() {
    let house = House::new().await;
    let body = |said: String| said.split_once("\r\n\r\n").unwrap().1.to_owned();
    let manifest = body(house.ask_plain("/manifest.webmanifest", "").await);
    let manifest: serde_json::Value = serde_json::from_str(&manifest).unwrap();
    assert_eq!(manifest["start_url"], "/plot");
    let icons = manifest["icons"].as_array().unwrap();
    assert_eq!(icons.len(), 4);
    for icon in icons {
        let path = icon["src"].as_str().unwrap();
        let mut stream = TcpStream::connect(house.plain).await.unwrap();
        let request = format!(
            "GET {path} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n\r\n",
            house.plain
        );
        stream.write_all(request.as_bytes()).await.unwrap();
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes).await.unwrap();
        let head = String::from_utf8_lossy(&bytes).into_owned();
        let kind = format!("content-type: {}\r\n", icon["type"].as_str().unwrap());
        assert!(
            head.starts_with("HTTP/1.1 200") && head.contains(&kind),
            "{path}"
        );
        if let Some((side, _)) = icon["sizes"].as_str().unwrap().split_once('x') {
            let side: u32 = side.parse().unwrap();
            let header = bytes.windows(4).position(|four| four == b"IHDR").unwrap() + 4;
            let number = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
            assert_eq!((number(header), number(header + 4)), (side, side), "{path}");
        }
    }
    let pair = house.ask_plain("/pair", "").await;
    let page = house
        .ask_plain("/plot", &format!("cookie: phone={}\r\n", house.guest("A")))
        .await;
    for page in [pair, page] {
        assert!(
            page.contains("rel=\"manifest\" href=\"/manifest.webmanifest\""),
            "{page}"
        );
        assert!(
            page.contains("rel=\"apple-touch-icon\" href=\"/assets/icon-192-"),
            "{page}"
        );
    }
}
