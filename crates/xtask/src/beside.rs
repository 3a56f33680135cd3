//! Runs reference libraries (SciPy, statsmodels, scikit-learn, geographiclib, shapely) beside
//! Standbook.
//!
//! In: the scripts `reference.py`, `elsewhere.py` and `learners.py` of `tests/beside`, and the versions in `requirements.txt`. Out: their answers to
//! random fields, made from a seed that is printed, in the target folder; `tests/beside` then
//! gives Standbook's answers to the same fields. With `keep`, the answers of the fixed seed are
//! written beside the script, for machines without Python.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{SystemTime, UNIX_EPOCH};

use crate::debian;

/// The seed of the answers that are kept.
const KEPT_SEED: u64 = 20_260_714;

/// What is run beside.
#[derive(Debug, Clone, Copy)]
pub enum Script {
    /// Statistics and geometry on random fields.
    Reference,
    /// Files as other programs write them.
    Elsewhere,
    /// Learners on open data, so many repeats of ten folds.
    Learners(u32),
}

impl Script {
    fn name(self) -> &'static str {
        match self {
            Script::Reference => "reference.py",
            Script::Elsewhere => "elsewhere.py",
            Script::Learners(_) => "learners.py",
        }
    }

    fn kept(self) -> &'static str {
        match self {
            Script::Reference => "answers.json",
            Script::Elsewhere => "elsewhere.json",
            Script::Learners(_) => "learners.json",
        }
    }
}

/// Makes the reference answers anew and returns where they are. `keep` writes the kept file,
/// from the fixed seed; otherwise the seed is that given, or new.
pub fn answers(script: Script, seed: Option<u64>, keep: bool) -> Result<PathBuf, String> {
    let root = root();
    let here = root.join("tests/beside");
    let python = reference()?;
    let seed = match (keep, seed) {
        (true, _) => KEPT_SEED,
        (false, Some(seed)) => seed,
        (false, None) => SystemTime::now()
            .duration_since(UNIX_EPOCH)
            .map_or(KEPT_SEED, |since| since.as_secs()),
    };
    let name = script.name();
    println!("xtask: {name}, seed {seed} (`--seed {seed}` repeats it)");
    let mut command = Command::new(python);
    command.arg(here.join(name)).arg(seed.to_string());
    if let Script::Learners(repeats) = script {
        command.arg(repeats.to_string());
    }
    let out = command
        .output()
        .map_err(|error| format!("{name} could not be started: {error}"))?;
    if !out.status.success() {
        return Err(format!(
            "{name} failed: {}",
            String::from_utf8_lossy(&out.stderr)
        ));
    }
    let path = match keep {
        true => here.join(script.kept()),
        false => root.join("target").join(script.kept()),
    };
    std::fs::write(&path, out.stdout).map_err(|error| format!("{}: {error}", path.display()))?;
    Ok(path)
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The Python with the libraries of `tests/beside`.
pub fn reference() -> Result<PathBuf, String> {
    python(
        &root().join("target/beside-venv"),
        &root().join("tests/beside/requirements.txt"),
    )
}

/// A Python of its own with exactly the versions asked for; made once.
pub fn python(folder: &Path, requirements: &Path) -> Result<PathBuf, String> {
    let python = folder.join("bin/python");
    let wanted = std::fs::read_to_string(requirements)
        .map_err(|error| format!("{}: {error}", requirements.display()))?;
    let stamp = folder.join("installed.txt");
    if std::fs::read_to_string(&stamp).is_ok_and(|installed| installed == wanted) {
        return Ok(python);
    }
    let make = || {
        run(Command::new("python3")
            .args(["-m", "venv", "--clear"])
            .arg(folder))
    };
    if debian::on_path("python3").is_none() || make().is_err() {
        debian::install(&["python3", "python3-venv"], "the run beside SciPy")?;
        make()?;
    }
    run(Command::new(&python)
        .args(["-m", "pip", "install", "--quiet", "--requirement"])
        .arg(requirements))?;
    std::fs::write(&stamp, wanted).map_err(|error| format!("{}: {error}", stamp.display()))?;
    Ok(python)
}

/// The script of axe-core, out of a package of PyPI that carries it (no Node is needed), in the
/// version that is named here.
pub fn axe() -> Result<PathBuf, String> {
    const PACKAGE: &str = "axe-playwright-python==0.1.8";
    let python = reference()?;
    let folder = root().join("target/axe");
    let script = folder.join("axe_playwright_python/axe.min.js");
    // Without what it would install beside it: only the script is wanted.
    run(Command::new(&python)
        .args(["-m", "pip", "install", "--quiet", "--no-deps", "--upgrade"])
        .args([PACKAGE, "--target"])
        .arg(&folder))?;
    match script.is_file() {
        true => Ok(script),
        false => Err(format!("{PACKAGE} has no {}", script.display())),
    }
}

fn run(command: &mut Command) -> Result<(), String> {
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("{command:?} failed ({status})")),
        Err(error) => Err(format!("{command:?} could not be started: {error}")),
    }
}
