//! A server in a process of its own, stopped when dropped.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use super::built;

/// It runs.
pub struct Running {
    child: Child,
    /// Port on 127.0.0.1.
    pub port: u16,
}

impl Running {
    /// The program on a fresh demo in a folder.
    pub fn demo(folder: &Path) -> Result<Running, String> {
        let mut command = Command::new(built()?.join("standbook"));
        Running::start(
            command
                .args(["demo", "--port", "0", "--folder"])
                .arg(folder),
        )
    }

    /// The program on a book.
    pub fn serve(book: &Path) -> Result<Running, String> {
        let mut command = Command::new(built()?.join("standbook"));
        Running::start(command.args(["serve", "--port", "0", "--book"]).arg(book))
    }

    /// The same without backups: for a book that is large and worth nothing.
    pub fn serve_without_backups(book: &Path) -> Result<Running, String> {
        let mut command = Command::new(built()?.join("standbook"));
        let command = command.args(["serve", "--no-backups", "--port", "0", "--book"]);
        Running::start(command.arg(book))
    }

    /// The fixed page.
    pub fn hello() -> Result<Running, String> {
        let mut command = Command::new(built()?.join("xtask"));
        Running::start(command.arg("hello"))
    }

    /// Starts it and waits for its address.
    fn start(command: &mut Command) -> Result<Running, String> {
        let name = command.get_program().display().to_string();
        let child = command.stdout(Stdio::piped()).spawn();
        let mut child = child.map_err(|e| format!("{name} does not start: {e}"))?;
        let out = child.stdout.take();
        let mut running = Running { child, port: 0 };
        let lines = out.into_iter().flat_map(|out| BufReader::new(out).lines());
        let port = lines.map_while(Result::ok).find_map(|line| {
            let (_, rest) = line.split_once("http://127.0.0.1:")?;
            rest.split_once('/')?.0.parse().ok()
        });
        running.port = port.ok_or_else(|| format!("{name} tells no address"))?;
        Ok(running)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
