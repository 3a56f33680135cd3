//! Starts and stops the built program.
//!
//! In: a command line. Out: what it said and its exit code, or a running server with the port
//! that it printed. A server is killed when its handle is dropped, so a failed test leaves none.

use std::ffi::OsStr;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// How long a server may take to print its address, or to stop. Generous: CI machines stall.
const PATIENCE: Duration = Duration::from_secs(30);

/// The built program.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_standbook");

/// The key that comes with the project.
pub fn key_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("keys/tallgrass-first-year")
}

/// What a command that ends by itself said.
pub struct Said {
    /// Exit code.
    pub code: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// Runs a command to its end.
pub fn run<S: AsRef<OsStr>>(args: &[S]) -> Said {
    let done = Command::new(PROGRAM).args(args).output().unwrap();
    Said {
        code: done.status.code().expect("an exit code, not a signal"),
        out: String::from_utf8(done.stdout).unwrap(),
        err: String::from_utf8(done.stderr).unwrap(),
    }
}

/// Runs a command that must end soon by itself; a server that came up by mistake is killed.
pub fn run_refused(command: &mut Command) -> Said {
    let child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut server = Server::around(child);
    let status = server.wait();
    Said {
        code: status.code().expect("an exit code, not a signal"),
        out: server.out(),
        err: server.err(),
    }
}

/// `serve` of one book on any free port. What belongs to the user, as the certificate authority,
/// lies beside the book.
pub fn serving(book: &Path) -> Command {
    let mut command = Command::new(PROGRAM);
    if let Some(folder) = book.parent() {
        command.env("XDG_DATA_HOME", folder);
    }
    command
        .arg("serve")
        .arg("--book")
        .arg(book)
        .args(["--port", "0"]);
    command
}

/// A running server.
pub struct Server {
    child: Child,
    /// Its port on 127.0.0.1.
    pub port: u16,
    lines: Receiver<String>,
    out: Arc<Mutex<String>>,
    err: Arc<Mutex<String>>,
    readers: Vec<std::thread::JoinHandle<()>>,
}

impl Server {
    /// Serves a book on any free port.
    pub fn serve(book: &Path) -> Server {
        Server::start(&mut serving(book))
    }

    /// Starts a server and waits until it has printed its address.
    pub fn start(command: &mut Command) -> Server {
        let child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut server = Server::around(child);
        let until = Instant::now() + PATIENCE;
        loop {
            match server
                .lines
                .recv_timeout(until.saturating_duration_since(Instant::now()))
            {
                Ok(line) => {
                    if let Some(port) = printed_port(&line) {
                        server.port = port;
                        return server;
                    }
                }
                Err(_) => panic!(
                    "no address printed.\nout: {}\nerr: {}",
                    server.out(),
                    server.err()
                ),
            }
        }
    }

    fn around(mut child: Child) -> Server {
        let (sender, lines) = channel();
        let (out, err) = (
            Arc::new(Mutex::new(String::new())),
            Arc::new(Mutex::new(String::new())),
        );
        let stdout = BufReader::new(child.stdout.take().unwrap());
        let mut stderr = child.stderr.take().unwrap();
        let (keep_out, keep_err) = (out.clone(), err.clone());
        let readers = vec![
            std::thread::spawn(move || {
                for line in stdout.lines().map_while(Result::ok) {
                    *keep_out.lock().unwrap() += &format!("{line}\n");
                    let _ = sender.send(line);
                }
            }),
            std::thread::spawn(move || {
                let mut text = String::new();
                let _ = stderr.read_to_string(&mut text);
                *keep_err.lock().unwrap() = text;
            }),
        ];
        Server {
            child,
            port: 0,
            lines,
            out,
            err,
            readers,
        }
    }

    /// What it has printed so far.
    pub fn out(&self) -> String {
        self.out.lock().unwrap().clone()
    }

    /// What it complained of; complete once it has stopped.
    pub fn err(&self) -> String {
        self.err.lock().unwrap().clone()
    }

    /// Its process id.
    pub fn pid(&self) -> u32 {
        self.child.id()
    }

    /// Presses Ctrl-C and waits for the end.
    pub fn ctrl_c(&mut self) -> ExitStatus {
        // The shell's own `kill`: no program for it has to be installed.
        let kill = format!("kill -INT {}", self.child.id());
        assert!(
            Command::new("sh")
                .args(["-c", &kill])
                .status()
                .unwrap()
                .success()
        );
        self.wait()
    }

    /// As a power cut: no chance to finish anything.
    pub fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    fn wait(&mut self) -> ExitStatus {
        let until = Instant::now() + PATIENCE;
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                for reader in self.readers.drain(..) {
                    let _ = reader.join();
                }
                return status;
            }
            assert!(
                Instant::now() < until,
                "still running after {PATIENCE:?}; it said: {}",
                self.out()
            );
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The port in a line such as `Open http://127.0.0.1:8420/ in the browser`.
fn printed_port(line: &str) -> Option<u16> {
    let (_, rest) = line.split_once("http://127.0.0.1:")?;
    rest.split_once('/')?.0.parse().ok()
}
