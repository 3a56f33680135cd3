//! Sets that a trainer puts together: made, taken, corrected, read, put on paper; all asked in this process,
//! on a real book with the real key.

mod made;
mod on_paper;
mod read;
mod support;
mod taken;
