//! The browser for the page tests: Debian's chromium with its driver.
//!
//! Page tests are never skipped: where the browser is missing it is installed.

use crate::debian::{install, on_path};

const PACKAGES: [&str; 3] = ["chromium", "chromium-driver", "fonts-dejavu-core"];

/// Makes sure that `chromium` and `chromedriver` are on the path.
pub fn find_or_install() -> Result<(), String> {
    if found() {
        return Ok(());
    }
    println!("xtask: no chromium with chromedriver found; installing Debian's");
    install(&PACKAGES, "the page tests")?;
    if found() {
        Ok(())
    } else {
        Err("chromium and chromedriver are still missing after apt-get install".to_owned())
    }
}

fn found() -> bool {
    on_path("chromedriver").is_some() && on_path("chromium").is_some()
}
