//! The phones' door by https: this laptop's certificate authority, and the port beside the plain one.
//!
//! Https is an extra: where it can't be had the book is served all the same, and the terminal and the
//! page Phones say why.

use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};

use standbook_web::secure::{Authority, Secure};
use tokio::net::TcpListener;

/// The door and what it shows, or why there is none. `beside` is the port of the plain door as it was
/// asked for; 0 is any free one.
pub async fn door(beside: u16, ca: Option<&Path>) -> Result<(TcpListener, Secure), String> {
    let folder = match ca {
        Some(folder) => folder.to_owned(),
        None => own_folder()
            .ok_or("this user has no folder for it; name one with --ca FOLDER".to_owned())?,
    };
    let authority = Authority::of_folder(&folder).map_err(|fault| fault.to_string())?;
    let port = match beside {
        0 => 0,
        port => port
            .checked_add(1)
            .ok_or("there is no port above 65535; choose a lower one after --share".to_owned())?,
    };
    let taken = |error: std::io::Error| {
        format!(
            "port {port} can't be used ({error}); stop the program that has it, or choose another port after --share: https takes the one above"
        )
    };
    let address = SocketAddr::from((Ipv4Addr::UNSPECIFIED, port));
    let listener = TcpListener::bind(address).await.map_err(taken)?;
    let port = listener.local_addr().map_err(taken)?.port();
    let secure = Secure::new(authority, port).map_err(|fault| fault.to_string())?;
    Ok((listener, secure))
}

/// Where programs of this user keep what is theirs (XDG Base Directory Specification; on Windows
/// the local application data).
fn own_folder() -> Option<PathBuf> {
    let named = |name: &str| {
        let folder = PathBuf::from(std::env::var_os(name)?);
        folder.is_absolute().then_some(folder)
    };
    let data = named("XDG_DATA_HOME").or_else(|| match cfg!(windows) {
        true => named("LOCALAPPDATA"),
        false => Some(std::env::home_dir()?.join(".local/share")),
    });
    Some(data?.join("standbook"))
}
