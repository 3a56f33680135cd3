//! The front page of Practice.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::app::{Shared, run};
use crate::failure::Failure;
use crate::here::Here;
use crate::page::{Shell, Tab, html};

#[derive(Template)]
#[template(path = "practice/home.html")]
struct HomePage {
    shell: Shell,
}

/// `GET /practice`.
pub(super) async fn home(State(app): State<Shared>, here: Here) -> Result<Response, Failure> {
    run(app, move |app| {
        html(&HomePage {
            shell: Shell::new(app, &here, Tab::Practice, "Practice"),
        })
    })
    .await
}
