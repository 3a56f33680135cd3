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
    /// Ports of the phones' doors, plain and by https, when it shares.
    pub phones: Option<(u16, u16)>,
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

    /// Starts the demo in a folder that stays, with doors for phones and an authority of its own.
    pub fn sharing_in(folder: &Path) -> Program {
        let mut command = Command::new(env!("CARGO_BIN_EXE_standbook"));
        command
            .args(["demo", "--port", "0", "--share", "0", "--folder"])
            .arg(folder)
            .arg("--ca")
            .arg(folder);
        let (mut program, mut lines) = Program::started(&mut command);
        let mut port = |mark: &str| -> u16 {
            let found = lines.find_map(|line| {
                let rest = line.strip_prefix(mark)?;
                rest.split([';', '.']).next()?.parse().ok()
            });
            found.unwrap_or_else(|| panic!("the program prints `{mark}`"))
        };
        let plain = port("Phones: port ");
        program.phones = Some((plain, port("Phones by https: port ")));
        program
    }

    /// Starts it and waits for its address.
    fn start(command: &mut Command) -> Program {
        Program::started(command).0
    }

    /// The same, with the lines that it prints after that.
    fn started(command: &mut Command) -> (Program, impl Iterator<Item = String>) {
        let mut child = command
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut lines = lines.map_while(Result::ok);
        let address = lines
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
        let program = Program {
            child,
            address,
            phones: None,
            _folder: None,
        };
        (program, lines)
    }
}

impl Program {
    /// As a laptop that is nearly out of reach: it takes connections and says nothing.
    pub fn fall_silent(&self) {
        let kill = format!("kill -STOP {}", self.child.id());
        let done = Command::new("sh").args(["-c", &kill]).status().unwrap();
        assert!(done.success());
    }

    /// As a battery that is empty.
    pub fn kill(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        self.kill();
    }
}
