//! Starts the built program on a fresh copy of the demo.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use tempfile::TempDir;

/// A running demo; stopped when dropped.
pub struct Program {
    child: Child,
    /// `http://127.0.0.1:port`, without a slash at the end.
    pub address: String,
    _folder: Option<TempDir>,
}

impl Program {
    /// Starts the demo in a folder of its own.
    pub fn demo() -> Program {
        let folder = TempDir::new().unwrap();
        let mut program = Program::demo_in(folder.path());
        program._folder = Some(folder);
        program
    }

    /// Starts the demo in a folder that stays.
    pub fn demo_in(folder: &Path) -> Program {
        let mut command = Command::new(env!("CARGO_BIN_EXE_standbook"));
        command
            .args(["demo", "--port", "0", "--folder"])
            .arg(folder);
        Program::start(&mut command)
    }

    /// The same with a door for phones.
    pub fn sharing_demo_in(folder: &Path, door: u16) -> Program {
        let mut command = Command::new(env!("CARGO_BIN_EXE_standbook"));
        command
            .args(["demo", "--port", "0", "--share", &door.to_string()])
            .arg("--folder")
            .arg(folder);
        Program::start(&mut command)
    }

    /// Sends it a signal, such as `STOP`, by the shell's own `kill`.
    pub fn signal(&self, name: &str) {
        let kill = format!("kill -{name} {}", self.child.id());
        let done = Command::new("sh").args(["-c", &kill]).status();
        assert!(done.unwrap().success(), "{kill}");
    }

    /// Serves a book that is there.
    pub fn serve(book: &Path, port: u16) -> Program {
        let mut command = Command::new(env!("CARGO_BIN_EXE_standbook"));
        command.arg("serve").arg("--book").arg(book);
        Program::start(command.args(["--port", &port.to_string()]))
    }

    /// Starts it and waits for its address.
    fn start(command: &mut Command) -> Program {
        let mut child = command
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
            _folder: None,
        }
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
