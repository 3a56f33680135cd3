//! What a program asked the system to do, and in which order: the account of Debian's `strace`.
//!
//! In: a command, run under strace, and the file that strace wrote. Out: its writes and syncs, and
//! which records it answered for before their log was synced. Killing a program cannot show that:
//! what it wrote stays with the system, synced or not; only a power cut would tell.

use std::collections::HashMap;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

/// How long strace may take to write its last line.
const PATIENCE: Duration = Duration::from_secs(30);

/// Bytes before every page in the log. Source: sqlite.org, "Database File Format", 4.1.
const PAGE_HEADER_BYTES: usize = 24;

/// A write or a sync.
#[derive(Debug)]
pub struct Call {
    name: String,
    /// The file, or what the system calls a socket.
    path: String,
    bytes: Vec<u8>,
    failed: bool,
    /// Lines of the account at which it began and ended: another thread's call may lie between.
    begun: usize,
    done: usize,
}

impl Call {
    fn is_sync(&self) -> bool {
        matches!(self.name.as_str(), "fsync" | "fdatasync") && !self.failed
    }

    fn is_log_write(&self) -> bool {
        self.path.ends_with("-wal") && !self.bytes.is_empty()
    }

    /// Whether it begins a page that ends a transaction: bytes 4 to 8 of its header are then not 0
    /// (the same source).
    fn ends_a_transaction(&self) -> bool {
        self.bytes.len() == PAGE_HEADER_BYTES && self.bytes[4..8] != [0; 4]
    }

    fn holds(&self, text: &str) -> bool {
        let text = text.as_bytes();
        self.bytes.windows(text.len()).any(|part| part == text)
    }
}

/// The same command under strace, which writes its account to `to`. The program stays the child
/// that was started (`-D`), so it is stopped and killed as without strace.
pub fn traced(command: &Command, to: &Path) -> Command {
    let mut traced = Command::new("strace");
    traced.args(["-D", "-f", "-tt", "-y", "-xx", "-s", "100000"]);
    traced.arg("-o").arg(to);
    traced.args([
        "-e",
        "trace=fsync,fdatasync,pwrite64,pwritev,write,writev,sendto,sendmsg",
    ]);
    traced.arg(command.get_program()).args(command.get_args());
    for (name, value) in command.get_envs() {
        traced.env(name, value.unwrap_or_default());
    }
    traced
}

/// The calls of a program that has ended.
pub fn read(account: &Path, pid: u32) -> Vec<Call> {
    let last = |line: &str| {
        let end = line.strip_prefix(&pid.to_string()).map(str::trim_start);
        end.is_some_and(|end| end.contains("+++ "))
    };
    let until = Instant::now() + PATIENCE;
    loop {
        let text = std::fs::read_to_string(account).unwrap_or_default();
        if text.lines().any(last) {
            return calls(&text);
        }
        assert!(
            Instant::now() < until,
            "strace wrote no end of {pid}. Where it may not trace, allow it: in a container \
             `--cap-add=SYS_PTRACE`, else `sysctl kernel.yama.ptrace_scope=1`.\n{}",
            text.lines().take(5).collect::<String>()
        );
        std::thread::sleep(Duration::from_millis(20));
    }
}

fn calls(account: &str) -> Vec<Call> {
    let mut under_way: HashMap<&str, (usize, &str)> = HashMap::new();
    let mut calls = Vec::new();
    for (at, line) in account.lines().enumerate() {
        let mut words = line.splitn(2, ' ');
        let (Some(pid), Some(rest)) = (words.next(), words.next()) else {
            continue;
        };
        // After the time.
        let Some((_, told)) = rest.trim_start().split_once(' ') else {
            continue;
        };
        if let Some(start) = told.strip_suffix(" <unfinished ...>") {
            under_way.insert(pid, (at, start));
        } else if told.starts_with("<... ") {
            if let Some((begun, start)) = under_way.remove(pid) {
                calls.extend(call(start, told, begun, at));
            }
        } else {
            calls.extend(call(told, told, at, at));
        }
    }
    calls
}

/// Reads `name(fd<path>, "\x41...", ...)` and the end of the line, ` = 24`.
fn call(start: &str, end: &str, begun: usize, done: usize) -> Option<Call> {
    let (name, arguments) = start.split_once('(')?;
    let (number, rest) = arguments.split_once('<')?;
    number.parse::<u32>().ok()?;
    let (path, _) = rest.split_once('>')?;
    let texts = arguments.split('"').skip(1).step_by(2);
    let (_, answer) = end.rsplit_once(" = ")?;
    Some(Call {
        name: name.to_owned(),
        path: String::from_utf8_lossy(&bytes(path)).into_owned(),
        bytes: texts.flat_map(bytes).collect(),
        failed: answer.starts_with('-'),
        begun,
        done,
    })
}

/// Reads `\x41\x42`.
fn bytes(text: &str) -> Vec<u8> {
    let digits = text.split("\\x").skip(1);
    digits
        .filter_map(|two| u8::from_str_radix(two, 16).ok())
        .collect()
}

/// Of these records, those that were answered for before the transaction that wrote them was
/// synced. Every one of them must have been written to a log and answered for.
#[track_caller]
pub fn answered_too_early<'a>(calls: &[Call], ids: &'a [String]) -> Vec<&'a str> {
    let log: Vec<&Call> = calls.iter().filter(|call| call.is_log_write()).collect();
    let early = |id: &&str| {
        // Later transactions write its page again: the first is its own.
        let written = log.iter().position(|call| call.holds(id));
        let written = written.unwrap_or_else(|| panic!("{id} was never written to the log"));
        // Its page follows the page's header, which may be the one that ends the transaction.
        let ends = written.saturating_sub(1)..;
        let end = log[ends.clone()]
            .iter()
            .position(|call| call.ends_a_transaction());
        let end = end.unwrap_or_else(|| panic!("the transaction of {id} has no end"));
        let page = log[ends.start + end + 1];
        // Not a file of the book: the socket of whoever asked.
        let answer = calls
            .iter()
            .find(|call| !call.path.contains(".standbook") && call.holds(id));
        let answer = answer.unwrap_or_else(|| panic!("{id} was never answered for"));
        !calls.iter().any(|call| {
            call.is_sync()
                && call.path == page.path
                && call.begun > page.done
                && call.done < answer.begun
        })
    };
    ids.iter().map(String::as_str).filter(early).collect()
}

/// How often a log was synced from the first of these records on until the last was answered for.
pub fn syncs_for(calls: &[Call], ids: &[String]) -> usize {
    let holds = |call: &Call| ids.iter().any(|id| call.holds(id));
    let first = calls
        .iter()
        .position(|call| call.is_log_write() && holds(call));
    let last = calls
        .iter()
        .rposition(|call| !call.path.contains(".standbook") && holds(call));
    syncs(&calls[first.unwrap()..last.unwrap()])
}

/// How often a log was synced.
pub fn syncs(calls: &[Call]) -> usize {
    let syncs = calls.iter().filter(|call| call.is_sync());
    syncs.filter(|call| call.path.ends_with("-wal")).count()
}
