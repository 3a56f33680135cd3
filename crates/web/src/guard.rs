//! What every request passes: is it from our own pages, and may a browser run anything?
//!
//! The server listens on 127.0.0.1 and, where it shares its book, at a door for phones. A page of
//! some website, open in the same browser, could still send forms here or, by a name that it
//! points at this machine, read the book. So: only numbers and names of this machine are answered,
//! forms must come from our own pages, and no page may load or run anything from elsewhere.

use axum::extract::Request;
use axum::http::header::{CACHE_CONTROL, HOST, HeaderName, ORIGIN};
use axum::http::{HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::api::is_api;
use crate::failure::Failure;
use crate::phones::{Arrived, is_own_name};

/// Scripts of ours only and none within a page, nothing from elsewhere, no framing, forms only to
/// ourselves.
const POLICY: &str = "default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'self'; \
                      img-src 'self'; manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

/// Refuses strangers and adds the headers that keep pages to themselves.
pub async fn guard(request: Request, next: Next) -> Response {
    if let Err(failure) = check(&request) {
        return failure.into_response();
    }
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in [
        ("content-security-policy", POLICY),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "same-origin"),
    ] {
        headers.insert(
            HeaderName::from_static(name),
            HeaderValue::from_static(value),
        );
    }
    // A page shows the book as it is now; assets set their own, longer life.
    headers
        .entry(CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    response
}

fn check(request: &Request) -> Result<(), Failure> {
    let (method, headers) = (request.method(), request.headers());
    let text = |name: HeaderName| headers.get(name).and_then(|v| v.to_str().ok());
    let host = text(HOST).unwrap_or_default();
    if !is_this_machine(host) && !is_own_name(host, request.extensions()) {
        return Err(Failure::BadRequest(format!(
            "This server does not answer to the name \u{201c}{}\u{201d}. On its own machine open it as http://127.0.0.1 with its port; on a phone by one of the addresses that the page Phones shows.",
            host.chars().take(60).collect::<String>()
        )));
    }
    let elsewhere = is_of_another_website(request, host);
    if is_api(request.uri().path()) {
        // An answer to a program is not to be read by a page of another website either.
        if elsewhere || asked_by_another_website(request) {
            return Err(Failure::NotLetIn(
                "Pages of other websites may ask nothing here. Ask from a script on this machine, or from a page of this server.".to_owned(),
            ));
        }
    } else if elsewhere && method != Method::GET && method != Method::HEAD {
        return Err(Failure::BadRequest(
            "This form came from another website. Nothing was saved. Open the page here and send it again.".to_owned(),
        ));
    }
    Ok(())
}

/// Whether a request names a page of another website as the one it comes from. Browsers name the
/// page a form comes from; programs (curl, tests) name none.
fn is_of_another_website(request: &Request, host: &str) -> bool {
    let Some(origin) = request.headers().get(ORIGIN) else {
        return false;
    };
    let scheme = match Arrived::by_https(request.extensions()) {
        true => "https://",
        false => "http://",
    };
    let origin = origin.to_str().unwrap_or_default();
    origin.strip_prefix(scheme) != Some(host)
}

/// Whether a browser says that another website's page, or one of another port of this machine, is
/// behind a request (Fetch Metadata, W3C). Opening an address by a link is not asking: nobody but
/// the person sees the answer.
fn asked_by_another_website(request: &Request) -> bool {
    let says = |name: &str| {
        let value = request.headers().get(name);
        value
            .and_then(|value| value.to_str().ok())
            .unwrap_or_default()
    };
    let foreign = matches!(says("sec-fetch-site"), "cross-site" | "same-site");
    let opened = request.method() == Method::GET && says("sec-fetch-mode") == "navigate";
    foreign && !opened
}

fn is_this_machine(host: &str) -> bool {
    matches!(without_port(host), "127.0.0.1" | "localhost" | "[::1]")
}

/// The number or name of a host.
pub(crate) fn without_port(host: &str) -> &str {
    match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|b| b.is_ascii_digit()) => name,
        _ => host,
    }
}

#[cfg(test)]
mod tests {
    use axum::extract::ConnectInfo;

    use super::*;

    fn request(host: &'static str, origin: Option<&'static str>, method: Method) -> Request {
        let mut request = Request::default();
        *request.method_mut() = method;
        let headers = request.headers_mut();
        headers.insert(HOST, HeaderValue::from_static(host));
        if let Some(origin) = origin {
            headers.insert(ORIGIN, HeaderValue::from_static(origin));
        }
        request
    }

    fn with(host: &'static str, origin: Option<&'static str>, method: Method) -> bool {
        check(&request(host, origin, method)).is_ok()
    }

    #[test]
    fn a_phone_calls_by_the_number_it_arrived_at() {
        let at = |host, address: Option<&str>| {
            let mut request = request(host, None, Method::GET);
            if let Some(address) = address {
                let at = address.parse().expect("an address");
                let arrived = Arrived { at, secure: false };
                request.extensions_mut().insert(ConnectInfo(arrived));
            }
            check(&request).is_ok()
        };
        let here = Some("192.168.43.1:8421");
        assert!(at("192.168.43.1:8421", here));
        // By a forwarded port, over a cable.
        assert!(at("localhost:8421", Some("127.0.0.1:8421")));
        assert!(at("192.168.43.1", Some("192.168.43.1:80")));
        assert!(at("[fd00::1]:8421", Some("[fd00::1]:8421")));
        assert!(!at("192.168.43.1", here));
        assert!(!at("192.168.43.1:80", here));
        assert!(!at("192.168.43.2:8421", here));
        assert!(!at("laptop.evil.example:8421", here));
        assert!(!at("", here));
        // Where it is not known how the request arrived, only this machine's own names.
        assert!(!at("192.168.43.1:8421", None));
        assert!(!with("192.168.43.1:8421", None, Method::GET));
    }

    #[test]
    fn a_form_on_https_comes_from_https() {
        let from = |origin, secure| {
            let mut request = request("192.168.43.1:8422", Some(origin), Method::POST);
            let at = "192.168.43.1:8422".parse().expect("an address");
            let arrived = Arrived { at, secure };
            request.extensions_mut().insert(ConnectInfo(arrived));
            check(&request).is_ok()
        };
        assert!(from("https://192.168.43.1:8422", true));
        assert!(!from("http://192.168.43.1:8422", true));
        assert!(!from("https://192.168.43.1:8422", false));
        // The other door of the same laptop is another website to a browser.
        assert!(!from("http://192.168.43.1:8421", true));
    }

    #[test]
    fn a_name_that_points_at_this_machine_is_still_a_stranger() {
        assert!(with("127.0.0.1:8420", None, Method::GET));
        assert!(with("localhost:8420", None, Method::GET));
        assert!(!with("evil.example:8420", None, Method::GET));
        assert!(!with("127.0.0.1.evil.example", None, Method::GET));
    }

    #[test]
    fn programs_answers_are_not_for_pages_of_other_websites() {
        let asked =
            |path: &'static str, method: Method, headers: &[(&'static str, &'static str)]| {
                let mut request = request("127.0.0.1:8420", None, method);
                *request.uri_mut() = path.parse().expect("an address");
                for (name, value) in headers {
                    let value = HeaderValue::from_static(value);
                    request
                        .headers_mut()
                        .insert(HeaderName::from_static(name), value);
                }
                check(&request).is_ok()
            };
        let get = |headers| asked("/api/book", Method::GET, headers);
        assert!(get(&[]));
        assert!(get(&[("sec-fetch-site", "same-origin")]));
        assert!(get(&[
            ("sec-fetch-site", "none"),
            ("sec-fetch-mode", "navigate")
        ]));
        assert!(get(&[("origin", "http://127.0.0.1:8420")]));
        assert!(!get(&[("origin", "http://127.0.0.1:9999")]));
        assert!(!get(&[
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-mode", "no-cors")
        ]));
        // Another program's page on another port of this machine.
        assert!(!get(&[
            ("sec-fetch-site", "same-site"),
            ("sec-fetch-mode", "cors")
        ]));
        let by_link = [
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-mode", "navigate"),
        ];
        assert!(get(&by_link));
        assert!(!asked("/api/records", Method::POST, &by_link));
        // What is not under /api is asked as before.
        assert!(asked(
            "/apiary",
            Method::GET,
            &[("sec-fetch-site", "cross-site")]
        ));
    }

    #[test]
    fn forms_of_other_websites_are_refused() {
        assert!(with(
            "127.0.0.1:8420",
            Some("http://127.0.0.1:8420"),
            Method::POST
        ));
        assert!(!with(
            "127.0.0.1:8420",
            Some("http://127.0.0.1:9999"),
            Method::POST
        ));
        assert!(!with(
            "127.0.0.1:8420",
            Some("https://evil.example"),
            Method::POST
        ));
        assert!(!with("127.0.0.1:8420", Some("null"), Method::POST));
    }
}
