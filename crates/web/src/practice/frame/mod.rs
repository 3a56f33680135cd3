//! Count the frame: a drawn frame is marked as one in the field is, then shown again with what stood in it.
//!
//! In: a question that names what may stand in the frame, and a seed. Out: a record of which cells held
//! what, and which were marked; pages. Whoever kneels down to a cell sees everything in it: what is
//! practised is to see from above where to kneel.
//!
//! - `which`: the question out of an address or a form.
//! - `laid`: the frame, drawn.
//! - `marks`: what is marked so far.
//! - `sheet`: the page to mark on, what its buttons do, the way into the book.
//! - `closer`: one cell from nearer.
//! - `held`: records of cells and the frame's truth.
//! - `feedback`: what stood in it; `told`: the same in words.
//! - `decides`: the one trait that tells a plant from what it was taken for.
//!
//! Nothing on a page says what stands where before the answer is kept. What stands where is decided in
//! `standbook_practice::frame`; scores are `standbook_practice::frame_score`'s.

use axum::Router;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use axum::routing::get;

use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::form::Query;

mod closer;
mod decides;
pub(crate) mod feedback;
pub(crate) mod held;
pub(crate) mod laid;
mod marks;
mod sheet;
mod told;
mod which;

pub(crate) use decides::can_be_told;

/// The addresses of this place.
pub(super) fn routes() -> Router<Shared> {
    Router::new()
        .route("/practice/frame", get(sheet::blank).post(sheet::take))
        .route("/practice/frame/answers/{id}", get(feedback::show))
        .route(PICTURE, get(picture))
}

/// Where the drawing of a frame alone is, for pages that show many.
const PICTURE: &str = "/practice/frame/ground.svg";

/// The address of the drawing of a question's frame.
pub(crate) fn picture_address(question: &str) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.append_pair("q", question);
    format!("{PICTURE}?{}", query.finish())
}

/// `GET /practice/frame/ground.svg`: the frame, and nothing of what stands where.
async fn picture(State(app): State<Shared>, Query(query): Query) -> Result<Response, Failure> {
    run(app, move |app| {
        let laid = which::laid(app, query.get("q"))?;
        let drawing = laid.whole(laid::From::Here).file("A frame from above", "");
        Ok(([(CONTENT_TYPE, "image/svg+xml; charset=utf-8")], drawing).into_response())
    })
    .await
}
