//! The key and the demo that travel inside the program.

use std::path::Path;

use rust_embed::RustEmbed;
use standbook_key::{Key, KeyFiles, load};

use crate::trouble::Trouble;

#[derive(RustEmbed)]
#[folder = "keys/tallgrass-first-year"]
struct KeyFolder;

#[derive(RustEmbed)]
#[folder = "demo-data"]
struct DemoData;

/// The key in `folder`, or the one inside the program.
pub fn key(folder: Option<&Path>) -> Result<Key, Trouble> {
    let (files, name) = match folder {
        Some(folder) => {
            let files = KeyFiles::read_folder(folder).map_err(|e| Trouble::yours(e, ""))?;
            (files, folder.display().to_string())
        }
        None => {
            let files = KeyFolder::iter().filter_map(|name| {
                let bytes = KeyFolder::get(&name)?.data.into_owned();
                Some((name.into_owned(), bytes))
            });
            (
                KeyFiles::from_contents(files),
                "the key inside the program".to_owned(),
            )
        }
    };
    let loaded = load(&files);
    loaded.key.ok_or_else(|| {
        let n = loaded.report.faults().count();
        Trouble::yours(
            format!("{name} has {n} fault(s) and can't be used"),
            match folder {
                Some(folder) => {
                    format!("run `standbook check {}` to see them all", folder.display())
                }
                None => "this program was built from a faulty key; build it again".to_owned(),
            },
        )
    })
}

/// The records of the demo book as JSON Lines.
pub fn demo_records() -> Option<Vec<u8>> {
    DemoData::get("demo.jsonl").map(|file| file.data.into_owned())
}
