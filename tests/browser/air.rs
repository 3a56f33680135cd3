//! A network of two: this machine as the laptop, a name space of its own as the phone, and between
//! them a link that can be cut.
//!
//! A second link, by which only the browser is driven, stays up: where the phone is out of the
//! laptop's reach, the test must still see its screen. Addresses are of the block that is kept for
//! tests of networks (RFC 2544, appendix C.2.2), so they are nobody's.

use std::process::Command;

/// Skips tests that need a network of their own, for somebody who may not make one.
const WITHOUT: &str = "STANDBOOK_NO_NETNS";

/// What has to be allowed.
const ALLOW: &str = "A network of two needs root and Debian's iproute2 (`cargo xtask test` installs it). \
    Run the tests as root; in a container, start it with `--cap-add=NET_ADMIN --cap-add=SYS_ADMIN`; \
    or leave them out with STANDBOOK_NO_NETNS=1.";

/// The network; gone when dropped.
pub struct Air {
    name: String,
    /// The laptop's end of the link.
    laptop_end: String,
    /// Where the phone reaches the laptop.
    pub laptop: String,
    /// Where the phone's browser is driven, and from where.
    pub phone: String,
    pub driver: String,
}

impl Air {
    /// A network with its link up; none when the tests are told to do without.
    pub fn new() -> Option<Air> {
        if std::env::var(WITHOUT).as_deref() == Ok("1") {
            eprintln!("{WITHOUT}=1: links that go down are not tested");
            return None;
        }
        // Two runs side by side have two process ids, and eight addresses each.
        let pid = std::process::id();
        let block = format!("198.18.{}", pid / 32 % 256);
        let at = |n: u32| format!("{block}.{}", pid % 32 * 8 + n);
        let air = Air {
            name: format!("standbook-{pid}"),
            laptop_end: format!("sba{pid}"),
            laptop: at(1),
            driver: at(5),
            phone: at(6),
        };
        let (name, wire) = (&air.name, format!("sbw{pid}"));
        air.ip(&format!("netns add {name}"));
        for (here, there, own, others) in [
            (&air.laptop_end, "air", &air.laptop, at(2)),
            (&wire, "wire", &air.driver, air.phone.clone()),
        ] {
            air.ip(&format!(
                "link add {here} type veth peer name {there} netns {name}"
            ));
            air.ip(&format!("addr add {own}/30 dev {here}"));
            air.ip(&format!("link set {here} up"));
            air.ip(&format!("-n {name} addr add {others}/30 dev {there}"));
            air.ip(&format!("-n {name} link set {there} up"));
        }
        air.ip(&format!("-n {name} link set lo up"));
        Some(air)
    }

    /// A program that runs on the phone.
    pub fn on_the_phone(&self, program: &str) -> Command {
        let mut command = Command::new("ip");
        command.args(["netns", "exec", &self.name, program]);
        command
    }

    /// Out of reach: what is sent is lost, and nobody is told.
    pub fn cut(&self) {
        self.ip(&format!("link set {} down", self.laptop_end));
    }

    /// In reach again.
    pub fn mend(&self) {
        self.ip(&format!("link set {} up", self.laptop_end));
    }

    #[track_caller]
    fn ip(&self, words: &str) {
        let done = Command::new("ip").args(words.split(' ')).output();
        let done = done.unwrap_or_else(|error| panic!("`ip`: {error}. {ALLOW}"));
        let said = String::from_utf8_lossy(&done.stderr);
        assert!(done.status.success(), "`ip {words}`: {said}{ALLOW}");
    }
}

impl Drop for Air {
    fn drop(&mut self) {
        // Only what was started in it.
        let pids = Command::new("ip")
            .args(["netns", "pids", &self.name])
            .output();
        if let Ok(pids) = pids {
            for pid in String::from_utf8_lossy(&pids.stdout).split_whitespace() {
                let _ = Command::new("kill").args(["-9", pid]).status();
            }
        }
        // The links go with the name space.
        let _ = Command::new("ip")
            .args(["netns", "del", &self.name])
            .output();
    }
}
