//! Outlines and plans: typed, drawn, from files of other programs; drawn points kept and taken out.
//!
//! Areas are compared with geographiclib (example S13c: 237033.346 m2, 58.572 acres).

mod draw;
mod files;
mod outline;
mod plan;
mod support;
