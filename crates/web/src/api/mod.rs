//! JSON for programs: what the book, the key and the stand say, and records taken in.
//!
//! In: requests under `/api` from scripts on this machine, or from a phone that was let in. Out:
//! JSON, or a problem in the form of RFC 9457 that names the field, what is wrong and how to mend it.
//!
//! `address` says what an address is, `all` lists them; the router, the OpenAPI document
//! (`openapi`) and the page in words (`page`) are made from that one list, so that none of them can
//! know an address that another does not. The forms of bodies and answers are made from the types.
//!
//! There is no second set of rules: a record sent here passes what the pages' forms pass
//! (`rules`, and the book's own), and what the engine says of a plant is worked out here, never
//! taken over. Another website's page may neither read nor write here (`guard`).

use axum::Router;
use axum::middleware::from_fn;
use axum::routing::any;

use crate::app::Shared;
use crate::phones::office_only;

mod address;
mod all;
mod book;
mod doubtful;
mod identify;
mod judgement;
mod key;
mod lists;
mod naming;
mod openapi;
mod page;
mod problem;
mod record;
mod records;
mod rules;
mod sent;
mod value;

pub(crate) use doubtful::PlantInDoubt;
pub(crate) use problem::as_problems;

/// The addresses, and an answer in their own form for any other under `/api`.
pub fn routes() -> Router<Shared> {
    let mut router = Router::new().route("/api/{*rest}", any(problem::no_such_address));
    for address in all::addresses() {
        let path = address.path.clone();
        let office = address.office;
        let mut handler = address.into_handler();
        if office {
            handler = handler.route_layer(from_fn(office_only));
        }
        router = router.route(&path, handler);
    }
    router
}

/// Whether an address belongs here.
pub(crate) fn is_api(path: &str) -> bool {
    path.strip_prefix("/api")
        .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}
