//! The browser for the page tests: Debian's chromium with its driver, `certutil` to let it trust a
//! laptop, and `openssl`, which judges the same certificates from outside.
//!
//! Page tests are never skipped: where one of these is missing it is installed.

use crate::debian::{install, on_path};

const PACKAGES: [&str; 5] = [
    "chromium",
    "chromium-driver",
    "fonts-dejavu-core",
    "libnss3-tools",
    "openssl",
];

const PROGRAMS: [&str; 4] = ["chromium", "chromedriver", "certutil", "openssl"];

/// Makes sure that all of them are on the path.
pub fn find_or_install() -> Result<(), String> {
    if found() {
        return Ok(());
    }
    println!("xtask: one of {PROGRAMS:?} is missing; installing Debian's");
    install(&PACKAGES, "the page tests")?;
    if found() {
        Ok(())
    } else {
        Err(format!(
            "one of {PROGRAMS:?} is still missing after apt-get install"
        ))
    }
}

fn found() -> bool {
    PROGRAMS.iter().all(|program| on_path(program).is_some())
}
