//! Small files of this machine's own that must be whole or not there: the list of phones, the
//! certificate authority.
//!
//! In: a path and bytes. Out: the file, for its owner only and on the disk, or the one that was
//! there before.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Puts a file in the place of the one that is there.
pub(crate) fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    beside(path, bytes, ".new", |beside| fs::rename(beside, path))
}

/// Puts a file where none is. `AlreadyExists` where another program was first; its file stays.
pub(crate) fn place(path: &Path, bytes: &[u8]) -> io::Result<()> {
    // Whoever makes it at the same moment writes another file.
    let ending = format!(".{:08x}.new", getrandom::u32().map_err(io::Error::other)?);
    beside(path, bytes, &ending, |beside| {
        match fs::hard_link(beside, path) {
            Ok(()) => fs::remove_file(beside),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Err(error),
            // A disk without links (a stick): nobody else makes this file there at the same moment.
            Err(_) if !path.exists() => fs::rename(beside, path),
            Err(_) => Err(io::ErrorKind::AlreadyExists.into()),
        }
    })
}

/// Written beside first: a crash leaves the old file, the new one, or none.
fn beside(
    path: &Path,
    bytes: &[u8],
    ending: &str,
    put: impl FnOnce(&Path) -> io::Result<()>,
) -> io::Result<()> {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    let beside = PathBuf::from(name);
    let done = write_private(&beside, bytes)
        .and_then(|()| put(&beside))
        .and_then(|()| sync_folder(path));
    if done.is_err() {
        let _ = fs::remove_file(&beside);
    }
    done
}

/// For its owner only, and on the disk.
fn write_private(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// A rename is on the disk when its folder is.
fn sync_folder(path: &Path) -> io::Result<()> {
    #[cfg(unix)]
    if let Some(folder) = path.parent() {
        let folder = if folder.as_os_str().is_empty() {
            Path::new(".")
        } else {
            folder
        };
        fs::File::open(folder)?.sync_all()?;
    }
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}
