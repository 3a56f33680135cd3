//! `cargo xtask evaluate`: how well plants are named, against the table kept of the last time.
//!
//! In: the key in `keys/`. Out: the table on the screen; with `--keep`, in `tests/`. Without it,
//! what got worse by more than its noise is an error.

use std::path::{Path, PathBuf};

use standbook_evaluate::headline;
use standbook_evaluate::report::{Evaluation, Thoroughness};
use standbook_identify::Modelling;
use standbook_key::{Key, KeyFiles};

const KEPT: &str = "tests/evaluation.txt";

/// Measures, prints, and compares or keeps.
pub fn run(keep: bool) -> Result<(), String> {
    let root = root();
    let now = Evaluation::of(&key(&root)?, &Modelling::default(), Thoroughness::KEPT);
    let table = now.render();
    print!("{table}");
    let path = root.join(KEPT);
    if keep {
        return std::fs::write(&path, table).map_err(|e| format!("can't write {KEPT}: {e}"));
    }
    let kept = std::fs::read_to_string(&path).map_err(|e| {
        format!("can't read {KEPT}: {e}; make it with `cargo xtask evaluate --keep`")
    })?;
    let worse = headline::worse(&headline::read(&kept)?, &now.headlines());
    if worse.is_empty() {
        return Ok(());
    }
    Err(format!(
        "naming got worse than {KEPT} says:\n  {}",
        worse.join("\n  ")
    ))
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn key(root: &Path) -> Result<Key, String> {
    let files = KeyFiles::read_folder(&root.join("keys/tallgrass-first-year"))
        .map_err(|e| e.to_string())?;
    standbook_key::load(&files)
        .key
        .ok_or_else(|| "the key has faults; see `standbook check`".to_owned())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// The ratchet: naming may not get worse unseen. A change that is worth a drop keeps a new
    /// table, and the drop is read in review.
    #[test]
    fn naming_is_no_worse_than_the_kept_table() {
        let kept = std::fs::read_to_string(root().join(KEPT)).unwrap();
        let kept = headline::read(&kept).unwrap();
        let key = key(&root()).unwrap();
        let now = Evaluation::of(&key, &Modelling::default(), Thoroughness::KEPT);
        let worse = headline::worse(&kept, &now.headlines());
        assert!(worse.is_empty(), "worse by more than noise: {worse:#?}");
        // The kept table is that of this key and modelling, not of an older one.
        assert_eq!(kept.len(), now.headlines().len());
        for (before, after) in kept.iter().zip(now.headlines()) {
            assert!(
                (before.value - after.value).abs() <= 5e-5 || before.value < after.value,
                "{}: the kept table says {}, this key {}: keep it anew with `cargo xtask \
                 evaluate --keep`",
                before.name,
                before.value,
                after.value
            );
        }
    }
}
