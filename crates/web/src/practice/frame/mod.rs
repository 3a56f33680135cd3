//! Count the frame: a drawn frame is marked as one in the field is, then shown again with what stood in it.
//!
//! In: a question that names what may stand in the frame, and a seed. Out: a record of which cells held
//! what, and which were marked; pages. Whoever kneels down to a cell sees everything in it: what is
//! practised is to see from above where to kneel.
//!
//! - `asked`: the question out of an address or a form.
//! - `laid`: the frame, drawn.
//! - `marks`: what is marked so far.
//! - `sheet`: the page to mark on, what its buttons do, the way into the book.
//! - `closer`: one cell from nearer.
//! - `held`: records of cells and the frame's truth.
//! - `feedback`: what stood in it.
//! - `decides`: the one trait that tells a plant from what it was taken for.
//!
//! Nothing on a page says what stands where before the answer is kept. What stands where is decided in
//! `standbook_practice::frame`; scores are `standbook_practice::frame_score`'s.

use axum::Router;
use axum::routing::get;

use crate::app::Shared;

mod asked;
mod closer;
mod decides;
pub(crate) mod feedback;
pub(crate) mod held;
pub(crate) mod laid;
mod marks;
mod sheet;

/// The addresses of this place.
pub(super) fn routes() -> Router<Shared> {
    Router::new()
        .route("/practice/frame", get(sheet::blank).post(sheet::take))
        .route("/practice/frame/answers/{id}", get(feedback::show))
}
