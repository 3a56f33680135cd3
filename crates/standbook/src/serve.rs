//! `standbook serve` and `standbook demo`: open a book, serve it on this machine.

use std::io::{self, Write};
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use standbook_fieldbook::Book;
use standbook_key::Key;
use standbook_web::phones::roster::Roster;
use standbook_web::safe::Backups;
use standbook_web::{App, Phones};
use tokio::net::TcpListener;

use crate::embedded;
use crate::https;
use crate::trouble::Trouble;

/// Port used unless told otherwise.
pub const PORT: u16 = 8420;

/// Port of the phones' door unless told otherwise.
pub const PHONES_PORT: &str = "8421";

/// Whether and how phones come in.
#[derive(Debug, clap::Args)]
pub struct Share {
    /// Let phones of the same network in, by a port of their own and, for https, the one above
    ///
    /// Each phone is let in once, on the page Phones of this machine. The first port is not
    /// encrypted: use this machine's own hotspot with a password.
    #[arg(long, value_name = "PORT", num_args = 0..=1, default_missing_value = PHONES_PORT)]
    share: Option<u16>,
    /// Folder of this machine's certificate authority for https, made where there is none;
    /// without it the user's own data folder
    #[arg(long, value_name = "FOLDER", requires = "share")]
    ca: Option<PathBuf>,
}

impl Share {
    /// The doors of a book.
    fn doors(self, laptop: Option<u16>, book: &Path) -> Doors {
        let phones = self.share.map(|port| PhonesDoor {
            port,
            book: book.to_owned(),
            ca: self.ca,
        });
        Doors { laptop, phones }
    }
}

/// Serves the book in `path`; makes it when there is none.
pub fn serve(
    path: &Path,
    key: Option<&Path>,
    port: u16,
    share: Share,
    backups: Option<PathBuf>,
) -> Result<(), Trouble> {
    let key = embedded::key(key)?;
    let book = Book::open_or_create(path).map_err(|e| Trouble::yours(e, ""))?;
    if let Some(why) = book.read_only() {
        eprintln!("note: nothing can be saved: {why}");
    }
    let name = path.display().to_string();
    let doors = share.doors(Some(port), path);
    // A book that can only be viewed does not change.
    let backups = backups.filter(|_| book.read_only().is_none());
    start(
        book,
        key,
        doors,
        Kind::Own(backups),
        move |address, phones| {
            format!(
                "Book: {name}
Open {address} in the browser of this machine. Stop with Ctrl-C.
{phones}"
            )
        },
    )
}

/// Serves a fresh copy of the demo book; the original, inside the program, stays clean.
pub fn demo(port: Option<u16>, folder: Option<PathBuf>, share: Share) -> Result<(), Trouble> {
    let key = embedded::key(None)?;
    let records = embedded::demo_records().ok_or_else(|| {
        Trouble::yours("this program was built without demo data", "build it again")
    })?;
    let folder = match folder {
        Some(folder) => folder,
        None => std::env::temp_dir().join(format!("standbook-demo-{}", std::process::id())),
    };
    std::fs::create_dir_all(&folder).map_err(|e| {
        Trouble::yours(
            format!("can't make the folder {}: {e}", folder.display()),
            "choose another one with --folder",
        )
    })?;
    let path = folder.join("demo.standbook");
    let book = Book::create(&path).map_err(|e| {
        Trouble::yours(
            e,
            "choose another folder with --folder; the demo wants a fresh one",
        )
    })?;
    let result = book.import(records.as_slice());
    result.map_err(|e| Trouble::yours(e, ""))?;
    let name = path.display().to_string();
    let doors = share.doors(port, &path);
    start(book, key, doors, Kind::Demo, move |address, phones| {
        format!(
            "Demo book (a copy; try anything): {name}
Open {address} in the browser of this machine.

What to click first:
  1. Plot: the planting, its visit, a point.
  2. Plant: say what you see of a seedling, one look at a time; then save it.
  3. Count: mark the cells of a frame; then Stand: has it come up?
  4. Desk: the plants first that matter most and are least sure; add a second opinion.

{phones}Stop with Ctrl-C.
"
        )
    })
}

/// Whose book it is.
enum Kind {
    /// A copy of the demo, of which no backups are made.
    Demo,
    /// Somebody's own, with the folder for its backups.
    Own(Option<PathBuf>),
}

/// Where to answer.
struct Doors {
    /// Port of 127.0.0.1; without a wish [`PORT`] or any free one.
    laptop: Option<u16>,
    /// For phones.
    phones: Option<PhonesDoor>,
}

/// Where phones are answered.
struct PhonesDoor {
    /// Port on every address of this machine; 0 is any free one. Https has the one above.
    port: u16,
    /// The book whose phones they are.
    book: PathBuf,
    /// Folder of the certificate authority; without a wish the user's own.
    ca: Option<PathBuf>,
}

fn start(
    book: Book,
    key: Key,
    doors: Doors,
    kind: Kind,
    announce: impl FnOnce(&str, &str) -> String,
) -> Result<(), Trouble> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| Trouble::yours(format!("can't start the server: {e}"), ""))?;
    runtime.block_on(async {
        let listener = listen(doors.laptop).await?;
        let local = listener
            .local_addr()
            .map_err(|e| Trouble::yours(format!("can't tell the server's address: {e}"), ""))?;
        let standards = embedded::standards(None, &key)?;
        let demo = matches!(kind, Kind::Demo);
        let mut app = App::new(book, key, demo).judging_by(standards);
        if let Kind::Own(Some(folder)) = kind {
            app = app.backing_up(Backups::to(folder));
        }
        let (mut door, mut secure_door) = (None, None);
        let mut said = String::new();
        if let Some(wanted) = doors.phones {
            let (listener, phones) = phones_door(wanted.port, &wanted.book).await?;
            let secure = https::door(wanted.port, wanted.ca.as_deref()).await;
            let phones = phones.by_https(secure.map(|(listener, secure)| {
                secure_door = Some(listener);
                secure
            }));
            said = say_of(&phones, local);
            app = app.sharing(phones);
            door = Some(listener);
        }
        let app = Arc::new(app);
        // Ctrl-C is caught before anybody knows the address: the first poll sets the handler.
        let mut stop = Box::pin(tokio::signal::ctrl_c());
        tokio::select! {
            biased;
            _ = &mut stop => return Ok(()),
            () = async {} => {}
        }
        // Whoever reads this through a pipe may stop reading; the server goes on.
        let mut out = io::stdout();
        let _ = out.write_all(announce(&format!("http://{local}/"), &said).as_bytes());
        let _ = out.flush();
        let keeper = keep_backups(app.clone());
        let closing = app.clone();
        let (stopped, told) = tokio::sync::watch::channel(());
        let until_stopped = || {
            let mut told = told.clone();
            async move {
                let _ = told.changed().await;
            }
        };
        let laptop = standbook_web::serve(listener, app.clone(), until_stopped());
        let phones = async {
            match door {
                Some(door) => standbook_web::serve_phones(door, app.clone(), until_stopped()).await,
                None => Ok(()),
            }
        };
        let secure = async {
            match secure_door {
                Some(door) => {
                    standbook_web::serve_phones_secure(door, app.clone(), until_stopped()).await
                }
                None => Ok(()),
            }
        };
        let stop = async move {
            let _ = stop.await;
            // Nobody listens any more: then all doors are shut already.
            let _ = stopped.send(());
            Ok(())
        };
        let served = tokio::try_join!(laptop, phones, secure, stop);
        // A copy under way is finished, and the book is closed after it.
        if let Some(backups) = &closing.backups {
            backups.stop();
        }
        if let Some(keeper) = keeper {
            let _ = keeper.join();
        }
        served.map(|_| ()).map_err(|e: io::Error| {
            Trouble::yours(format!("the server stopped: {e}"), "start it again")
        })
    })
}

/// What the terminal says of phones.
fn say_of(phones: &Phones, laptop: SocketAddr) -> String {
    let mut said = format!(
        "Phones: port {}; let them in at http://{laptop}/phones.
",
        phones.port
    );
    match &phones.secure {
        Some(secure) => said += &format!("Phones by https: port {}.\n", secure.port),
        None => eprintln!("note: phones have no https: {}", phones.insecure),
    }
    for (phone, at) in phones.left_behind() {
        eprintln!(
            "note: {}'s phone {} was last at {at}, which this machine is not now; what it keeps unsent waits for that address (see the page Phones)",
            phone.scout, phone.id
        );
    }
    said
}

/// The thread that makes backups, if any are made.
fn keep_backups(app: Arc<App>) -> Option<std::thread::JoinHandle<()>> {
    app.backups.as_ref()?;
    let thread = std::thread::Builder::new().name("backups".to_owned());
    let kept = thread.spawn(move || {
        if let Some(backups) = &app.backups {
            backups.keep(&app.book);
        }
    });
    kept.map_err(|error| eprintln!("note: no backups are made: {error}"))
        .ok()
}

/// A door for the phones of a book, on every address of this machine.
async fn phones_door(port: u16, book: &Path) -> Result<(TcpListener, Phones), Trouble> {
    let roster = Roster::of_book(book).map_err(|e| Trouble::yours(e, ""))?;
    let address = SocketAddr::from((Ipv4Addr::UNSPECIFIED, port));
    let taken = |error: io::Error| {
        Trouble::yours(
            format!("can't listen for phones on port {port}: {error}"),
            "another program uses it: stop that, or choose another port after --share",
        )
    };
    let listener = TcpListener::bind(address).await.map_err(taken)?;
    let port = listener.local_addr().map_err(taken)?.port();
    Ok((listener, Phones::new(roster, port)))
}

/// Listens on the wanted port of 127.0.0.1; without a wish on [`PORT`] or any free one.
async fn listen(port: Option<u16>) -> Result<TcpListener, Trouble> {
    let address = |port| SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    match TcpListener::bind(address(port.unwrap_or(PORT))).await {
        Ok(listener) => Ok(listener),
        Err(_) if port.is_none() => TcpListener::bind(address(0))
            .await
            .map_err(|e| Trouble::yours(format!("can't listen on 127.0.0.1: {e}"), "")),
        Err(error) => {
            let port = port.unwrap_or(PORT);
            Err(Trouble::yours(
                format!("can't listen on 127.0.0.1, port {port}: {error}"),
                format!(
                    "another program, perhaps another Standbook, uses it: stop that, or choose another port, such as --port {}",
                    port.checked_add(1).unwrap_or(PORT)
                ),
            ))
        }
    }
}
