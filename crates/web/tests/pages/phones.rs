//! Phones at their own door: strangers outside, one code for one phone, keys that can be taken away.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use crate::desk_support::{Sample, camera};
use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use standbook_web::phones::code::Guest;
use standbook_web::phones::qr;
use standbook_web::phones::roster::{Roster, RosterFault};
use standbook_web::{App, Phones, phone_router, router};
use tower::ServiceExt;

const FORM: &str = "application/x-www-form-urlencoded";

/// A sample whose book is shared.
struct Shared {
    sample: Sample,
    app: Arc<App>,
    book: PathBuf,
}

/// An answer through one of the doors.
struct Said {
    status: StatusCode,
    location: String,
    cookies: Vec<String>,
    text: String,
}

impl Shared {
    fn new() -> Shared {
        let sample = Sample::empty();
        let book = sample.folder.path().join("season.book");
        let phones = Phones::new(Roster::of_book(&book).unwrap(), 8421);
        let again = standbook_fieldbook::Book::open(&book).unwrap();
        let app = Arc::new(App::new(again, crate::desk_support::key(), false).sharing(phones));
        Shared { sample, app, book }
    }

    async fn send(&self, phone: bool, method: &str, path: &str, cookie: &str, body: &str) -> Said {
        let mut request = Request::builder()
            .method(method)
            .uri(path)
            .header("host", "127.0.0.1:8421")
            .header("cookie", cookie);
        if method == "POST" {
            request = request
                .header("content-type", FORM)
                .header("origin", "http://127.0.0.1:8421");
        }
        let request = request.body(HttpBody::from(body.to_owned())).unwrap();
        let site = match phone {
            true => phone_router(self.app.clone()),
            false => router(self.app.clone()),
        };
        let answer = site.oneshot(request).await.unwrap();
        let headers = answer.headers();
        let text = |name: &str| {
            let all = headers.get_all(name).into_iter();
            all.map(|v| v.to_str().unwrap().to_owned())
                .collect::<Vec<_>>()
        };
        let (location, cookies) = (text("location").concat(), text("set-cookie"));
        let status = answer.status();
        let bytes = axum::body::to_bytes(answer.into_body(), usize::MAX).await;
        Said {
            status,
            location,
            cookies,
            text: String::from_utf8_lossy(&bytes.unwrap()).into_owned(),
        }
    }

    async fn get(&self, path: &str, cookie: &str) -> Said {
        self.send(true, "GET", path, cookie, "").await
    }

    /// Lets a phone in by the pages; its cookie.
    async fn pair(&self, name: &str, desk: bool) -> String {
        let desk = if desk { "&desk=yes" } else { "" };
        let made = self
            .send(
                false,
                "POST",
                "/phones/code",
                "",
                &format!("name={name}{desk}"),
            )
            .await;
        assert_eq!(made.location, "/phones", "{}", made.text);
        let code = self.code();
        let paired = self
            .send(true, "POST", "/pair", "", &format!("code={code}"))
            .await;
        assert_eq!(paired.location, "/plot", "{}", paired.text);
        let key = paired.cookies.iter().find(|c| c.starts_with("phone="));
        key.unwrap().split(';').next().unwrap().to_owned()
    }

    fn code(&self) -> String {
        let phones = self.app.phones.as_ref().unwrap();
        phones.waiting.guest(Instant::now()).unwrap().0
    }
}

#[tokio::test]
async fn a_stranger_sees_nothing_and_writes_nothing() {
    let shared = Shared::new();
    let point = shared.sample.points[0];
    let planting = shared.sample.planting;
    for path in [
        "/",
        "/plot",
        "/desk",
        "/phones",
        "/key",
        "/scout",
        "/pair/../plot",
        "/nothing",
        &format!("/plantings/{planting}"),
        &format!("/plantings/{planting}/report"),
        &format!("/at/{point}/plant"),
        "/photos/0000000000000000000000000000000000000000000000000000000000000000",
    ] {
        for cookie in ["", "phone=", "phone=00", "phone=undefined; scout=Ana"] {
            let said = shared.get(path, cookie).await;
            assert_eq!(said.status, StatusCode::SEE_OTHER, "{path}");
            assert_eq!(said.location, "/pair", "{path}");
            assert!(said.text.is_empty());
        }
    }
    for path in [
        "/scout",
        "/sites",
        "/phones/code",
        "/phones/away",
        &format!("/at/{point}/count"),
    ] {
        let said = shared.send(true, "POST", path, "", "name=x").await;
        assert_eq!(said.status, StatusCode::FORBIDDEN, "{path}");
        assert!(said.text.contains("Not let in"));
    }
    // What it needs to get in, and no more.
    assert_eq!(shared.get("/pair", "").await.status, StatusCode::OK);
    let css = standbook_web::assets::css_address();
    assert_eq!(shared.get(&css, "").await.status, StatusCode::OK);
    // The laptop's own door stays as it was.
    let plot = shared.send(false, "GET", "/plot", "", "").await;
    assert_eq!(plot.status, StatusCode::OK);
}

#[tokio::test]
async fn one_code_lets_one_phone_into_the_field() {
    let shared = Shared::new();
    let unasked = shared.send(true, "POST", "/pair", "", "code=123456").await;
    assert_eq!(unasked.status, StatusCode::FORBIDDEN);
    assert!(unasked.text.contains("No code is waiting"));
    let nameless = shared
        .send(false, "POST", "/phones/code", "", "name=")
        .await;
    assert_eq!(nameless.status, StatusCode::UNPROCESSABLE_ENTITY);

    let key = shared.pair("Ana+Wren", false).await;
    // Used up.
    let again = shared.send(true, "POST", "/pair", "", "code=000000").await;
    assert!(again.text.contains("No code is waiting"));

    let plot = shared.get("/plot", &key).await;
    assert_eq!(plot.status, StatusCode::OK);
    assert!(
        !plot.text.contains("href=\"/desk\""),
        "the bar leads to the Desk"
    );
    for path in [
        "/desk",
        "/phones",
        "/desk/merge",
        "/desk/book",
        "/desk/settle",
    ] {
        let said = shared.get(path, &key).await;
        assert_eq!(said.status, StatusCode::FORBIDDEN, "{path}");
    }
    for path in [
        "/phones/code",
        "/phones/away",
        "/desk/settle",
        "/desk/book/backup",
        "/desk/book/examine",
    ] {
        let said = shared.send(true, "POST", path, &key, "name=Eve&id=x").await;
        assert_eq!(said.status, StatusCode::FORBIDDEN, "{path}");
    }
    let unknown = shared.sample.unknown;
    let settle = format!("/unknowns/{unknown}/opinions");
    let said = shared.send(true, "POST", &settle, &key, "taxon=x").await;
    assert_eq!(said.status, StatusCode::FORBIDDEN);
    let seen = shared.get("/pair", &key).await;
    assert!(
        seen.text.contains("It is Ana Wren's, for the field."),
        "{}",
        seen.text
    );
}

#[tokio::test]
async fn what_a_phone_records_bears_its_name() {
    let shared = Shared::new();
    let key = shared.pair("Ana+Wren", false).await;
    let id = standbook_fieldbook::RecordId::new();
    let body = format!("id={id}&name=Heron+Farm&locality=&scout=Ana+Wren");
    let said = shared.send(true, "POST", "/sites", &key, &body).await;
    assert_eq!(said.status, StatusCode::SEE_OTHER, "{}", said.text);
    let record = shared.app.book.get(id).unwrap().unwrap();
    let phone = &shared.app.phones.as_ref().unwrap().roster.all()[0];
    assert_eq!(record.device, format!("phone {}", phone.id));
    assert_eq!(record.author, "Ana Wren");
}

#[tokio::test]
async fn a_phone_of_the_office_may_use_the_desk() {
    let shared = Shared::new();
    let key = shared.pair("Bo+Reed", true).await;
    let desk = shared.get("/desk", &key).await;
    assert_eq!(desk.status, StatusCode::OK);
    assert!(desk.text.contains("href=\"/desk\""));
    // Letting phones in stays with the laptop.
    assert_eq!(
        shared.get("/phones", &key).await.status,
        StatusCode::FORBIDDEN
    );
}

#[tokio::test]
async fn the_key_is_for_the_browser_alone() {
    let shared = Shared::new();
    shared
        .send(false, "POST", "/phones/code", "", "name=Ana")
        .await;
    let body = format!("code={}", shared.code());
    let said = shared.send(true, "POST", "/pair", "", &body).await;
    let cookie = said
        .cookies
        .iter()
        .find(|c| c.starts_with("phone="))
        .unwrap();
    for word in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(word), "{cookie}");
    }
    let key = cookie.split(['=', ';']).nth(1).unwrap();
    assert_eq!(key.len(), 64);
    // The file holds no key that could be shown.
    let mut list = shared.book.clone().into_os_string();
    list.push(".phones");
    let text = std::fs::read_to_string(&list).unwrap();
    assert!(!text.contains(key));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = std::fs::metadata(&list).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }
}

#[tokio::test]
async fn a_phone_that_is_sent_away_is_out_at_once() {
    let shared = Shared::new();
    let (ana, bo) = (
        shared.pair("Ana", false).await,
        shared.pair("Bo", false).await,
    );
    let phones = shared.app.phones.as_ref().unwrap();
    let all = phones.roster.all();
    let id = &all.iter().find(|p| p.scout == "Ana").unwrap().id;
    let body = format!("id={id}");
    let sent = shared.send(false, "POST", "/phones/away", "", &body).await;
    assert_eq!(sent.location, "/phones");
    assert_eq!(shared.get("/plot", &ana).await.location, "/pair");
    assert_eq!(shared.get("/plot", &bo).await.status, StatusCode::OK);
    // The other leaves by itself.
    let left = shared.send(true, "POST", "/pair/leave", &bo, "").await;
    assert!(left.cookies.concat().contains("Max-Age=0"));
    assert_eq!(shared.get("/plot", &bo).await.location, "/pair");
    // Neither comes back with the server.
    let again = Roster::of_book(&shared.book).unwrap();
    for key in [&ana, &bo] {
        assert!(again.shown(key.trim_start_matches("phone=")).is_none());
    }
    let page = shared.send(false, "GET", "/phones", "", "").await;
    assert_eq!(page.text.matches("sent away").count(), 3, "{}", page.text);
}

#[test]
fn a_list_of_phones_outlives_the_server_and_says_when_it_is_broken() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("a.book");
    let guest = Guest {
        scout: "Ana".to_owned(),
        desk: false,
    };
    let (key, phone) = Roster::of_book(&book).unwrap().let_in(&guest).unwrap();
    let again = Roster::of_book(&book).unwrap();
    assert_eq!(again.shown(&key), Some(phone));
    assert_eq!(again.shown(&key[1..]), None);
    let list = folder.path().join("a.book.phones");
    for broken in ["", "{}", "[1]", "{\"format\":\"other 9\",\"phones\":[]}"] {
        std::fs::write(&list, broken).unwrap();
        let fault = Roster::of_book(&book).unwrap_err();
        assert!(matches!(fault, RosterFault::NotAList { .. }), "{broken}");
        assert!(fault.to_string().contains("a.book.phones"));
    }
}

#[tokio::test]
async fn a_server_that_does_not_share_says_how() {
    let sample = Sample::empty();
    let page = sample.get("/phones").await;
    page.holds("<code>--share</code>").lacks("Make a code");
}

#[test]
fn the_picture_is_the_address() {
    let address = "http://192.168.43.1:8421/pair?code=004217";
    assert_eq!(camera::read(&qr::svg(address, "").unwrap()), address);
}
