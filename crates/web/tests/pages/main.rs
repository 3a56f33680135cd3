//! Every page and form, asked in this process, on real books with the real key.
//!
//! One program and not one a place: each would hold the whole site, and linking them took longer than
//! running them. `cargo test -p standbook-web --test pages desk_again` runs one place.
#![allow(missing_docs, clippy::unwrap_used)]

mod api;
mod away;
mod booklet;
mod count;
mod desk;
mod desk_again;
mod desk_agreement;
mod desk_come_back;
mod desk_list;
mod desk_support;
mod desk_visits;
mod desk_vouchers;
mod ground;
mod key_pages;
mod outbox;
mod phones;
mod photos;
mod pictures;
mod plant;
mod plot;
mod plot_events;
mod plot_seed;
mod pocket;
mod practice_ask;
mod practice_frame;
mod practice_next;
mod practice_sets;
mod practice_skill;
mod report;
mod report_support;
mod safe;
mod secure;
mod secure_door;
mod stand;
mod stand_verdict;
mod standards;
mod take_out;
