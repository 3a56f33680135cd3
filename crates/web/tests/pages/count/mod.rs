//! Count in process: requests to the site against a real book, one module a subject.

mod again;
mod bad_input;
mod devices;
mod enough;
mod notices;
mod repeat;
mod second_look;
mod sheet;
mod support;
mod two_phones;
mod two_scouts;
mod walk;
