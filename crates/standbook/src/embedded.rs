//! The key, the standards and the demo that travel inside the program.

use std::path::Path;

use rust_embed::RustEmbed;
use standbook_key::standards::{self, StandardFiles, Standards};
use standbook_key::{Key, KeyFiles, load};

use crate::trouble::Trouble;

#[derive(RustEmbed)]
#[folder = "keys/tallgrass-first-year"]
struct KeyFolder;

#[derive(RustEmbed)]
#[folder = "keys/standards"]
struct StandardsFolder;

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

/// The files of the standards inside the program.
pub fn standard_files() -> StandardFiles {
    let files = StandardsFolder::iter().filter_map(|name| {
        let bytes = StandardsFolder::get(&name)?.data.into_owned();
        Some((name.into_owned(), bytes))
    });
    StandardFiles::from_contents("standards", files)
}

/// The standards inside the program, and those of a folder of one's own if given.
pub fn standards(own: Option<&Path>, key: &Key) -> Result<Standards, Trouble> {
    let mut folders = vec![standard_files()];
    if let Some(own) = own {
        folders.push(StandardFiles::read_folder(own).map_err(|e| Trouble::yours(e, ""))?);
    }
    // A key of one's own may lack taxa that the shipped thresholds name: they are compared with
    // a key only where somebody's own are checked.
    let loaded = standards::load(&folders, own.map(|_| key));
    loaded.standards.ok_or_else(|| {
        let faults: Vec<String> = loaded.report.faults().map(ToString::to_string).collect();
        Trouble::yours(
            faults.join("\n"),
            "mend the files of standards and try again",
        )
    })
}

/// The records of the demo book as JSON Lines.
pub fn demo_records() -> Option<Vec<u8>> {
    DemoData::get("demo.jsonl").map(|file| file.data.into_owned())
}
