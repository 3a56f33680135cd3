//! Debian packages that a step needs: looked for, and installed where they are missing.

use std::path::PathBuf;
use std::process::Command;

/// Installs `packages` with apt-get, if this user may; otherwise says the exact command.
/// `what` names what the packages are for.
pub fn install(packages: &[&str], what: &str) -> Result<(), String> {
    let by_hand = format!(
        "install them and run this again:\n  sudo apt-get update && sudo apt-get install -y --no-install-recommends {}",
        packages.join(" ")
    );
    for arguments in [
        vec!["update", "-qq"],
        [
            &["install", "-y", "-qq", "--no-install-recommends"],
            packages,
        ]
        .concat(),
    ] {
        let done = Command::new("apt-get")
            .args(&arguments)
            .env("DEBIAN_FRONTEND", "noninteractive")
            .status();
        if !done.is_ok_and(|status| status.success()) {
            return Err(format!(
                "`apt-get {}` failed; {what} needs {}: {by_hand}",
                arguments.join(" "),
                packages.join(", ")
            ));
        }
    }
    Ok(())
}

/// Installs the packages of those programs that are missing; both names of each.
pub fn find_or_install(programs: &[(&str, &str)], what: &str) -> Result<(), String> {
    let missing = programs.iter().filter(|(name, _)| on_path(name).is_none());
    let packages: Vec<&str> = missing.map(|(_, package)| *package).collect();
    match packages.is_empty() {
        true => Ok(()),
        false => install(&packages, what),
    }
}

/// The full path of a program, if it is there.
pub fn on_path(program: &str) -> Option<PathBuf> {
    std::env::split_paths(&std::env::var_os("PATH")?)
        .map(|folder| folder.join(program))
        .find(|path| path.is_file())
}
