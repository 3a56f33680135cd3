//! Looks at the pages in a real Chromium, on a phone's screen and on a desk's.
//!
//! The built program is started on a copy of the demo; Debian's chromedriver drives Debian's
//! chromium. Nothing is skipped: without a browser these tests fail and say what to install.

#![allow(missing_docs, clippy::unwrap_used)]

mod air;
mod away;
mod booklet;
mod clock;
mod cut;
mod http;
mod job;
mod layer;
mod link;
mod looks;
mod outbox;
mod photos;
mod pocket;
mod practice;
mod program;
mod screen;
mod sets;
mod specimens;
