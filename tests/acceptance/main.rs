//! Follows people through the built program: the commands, and the pages as a browser would
//! ask for them. Each file is one subject; `program`, `http`, `form`, `field`, `outbox`, `trace` and
//! `safe` are the tools.
//!
//! Not here: how pages look (`tests/browser`), and what each crate promises by itself (in the
//! crates).
#![allow(clippy::unwrap_used)]

mod field;
mod form;
mod http;
mod outbox;
mod program;
mod safe;
mod trace;

mod backup;
mod booklet;
mod bring_in;
mod check;
mod clocks;
mod doctor;
mod export;
mod export_memory;
mod full_disk;
mod full_disk_photos;
mod identify_faults;
mod identify_names;
mod killed;
mod merge;
mod opening;
mod phones;
mod read_only;
mod restarted;
mod season;
mod stand;
mod stand_as_page;
mod stand_faults;
mod stand_file;
mod standards;
mod sync;
mod synced;
mod why;
