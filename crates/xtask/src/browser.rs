//! The browser for the page tests: Debian's chromium with its driver.
//!
//! Where they are missing they are installed with apt-get, if this user may; otherwise the
//! exact command is said. Page tests are never skipped.

use std::path::PathBuf;
use std::process::Command;

const PACKAGES: [&str; 3] = ["chromium", "chromium-driver", "fonts-dejavu-core"];

/// Makes sure that `chromium` and `chromedriver` are on the path.
pub fn find_or_install() -> Result<(), String> {
    if found() {
        return Ok(());
    }
    println!("xtask: no chromium with chromedriver found; installing Debian's");
    let by_hand = format!(
        "install them and run this again:\n  sudo apt-get update && sudo apt-get install -y --no-install-recommends {}",
        PACKAGES.join(" ")
    );
    for arguments in [
        vec!["update", "-qq"],
        [
            &["install", "-y", "-qq", "--no-install-recommends"],
            &PACKAGES[..],
        ]
        .concat(),
    ] {
        let done = Command::new("apt-get")
            .args(&arguments)
            .env("DEBIAN_FRONTEND", "noninteractive")
            .status();
        if !done.is_ok_and(|status| status.success()) {
            return Err(format!(
                "`apt-get {}` failed; the page tests need chromium and chromedriver: {by_hand}",
                arguments.join(" ")
            ));
        }
    }
    if found() {
        Ok(())
    } else {
        Err(format!(
            "chromium and chromedriver are still missing: {by_hand}"
        ))
    }
}

fn found() -> bool {
    on_path("chromedriver").is_some() && on_path("chromium").is_some()
}

fn on_path(program: &str) -> Option<PathBuf> {
    std::env::split_paths(&std::env::var_os("PATH")?)
        .map(|folder| folder.join(program))
        .find(|path| path.is_file())
}
