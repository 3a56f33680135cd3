//! Starts the built program on a fresh copy of the demo.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

use tempfile::TempDir;

/// A running demo; stopped when dropped.
pub struct Program {
    child: Child,
    /// `http://127.0.0.1:port`, without a slash at the end.
    pub address: String,
    _folder: TempDir,
}

impl Program {
    /// Starts it and waits for its address.
    pub fn demo() -> Program {
        let folder = TempDir::new().unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_standbook"))
            .args(["demo", "--port", "0", "--folder"])
            .arg(folder.path())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let address = lines
            .map_while(Result::ok)
            .find_map(|line| {
                let at = line.find("http://")?;
                let rest = &line[at..];
                Some(
                    rest.split_whitespace()
                        .next()?
                        .trim_end_matches('/')
                        .to_owned(),
                )
            })
            .expect("the program prints its address");
        Program {
            child,
            address,
            _folder: folder,
        }
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
