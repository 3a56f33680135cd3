//! A disk that fills up while a phone sends a photo: the photo waits on the phone, and a form is
//! still saved.

use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::Command;

use crate::field::{SCOUT, to_the_first_point};
use crate::form::Form;
use crate::full_disk::{DISK_BYTES, SERVE, can_have, on_a_small_disk, seen_by};
use crate::http::Browser;
use crate::program::{PROGRAM, Server};

/// The plant and the photo, as a phone numbers them.
const PLANT: &str = "0197f3a2-7c1e-7abc-8def-0123456789ab";
const PHOTO: &str = "0197f3a2-7c1f-7abc-8def-0123456789ac";

/// Two pieces.
const PHOTO_BYTES: usize = 400_000;
const PIECE_BYTES: usize = 256 * 1024;

/// Something else on the disk, of which so many are thrown away to make room for one piece.
const CRUMB_BYTES: usize = 10_000;
const CRUMBS_OF_A_PIECE: usize = 32;

/// A photo's bytes from an offset on; what the laptop answers.
fn put(port: u16, announced: &str, from: usize, piece: &[u8]) -> String {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    let head = format!(
        "PUT /outbox/photos/{PHOTO}?{announced}&from={from} HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\nconnection: close\r\ncontent-length: {}\r\n\r\n",
        piece.len()
    );
    stream.write_all(head.as_bytes()).unwrap();
    stream.write_all(piece).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

/// Fills the disk to the last crumb.
fn fill(disk: &Path) -> Vec<std::path::PathBuf> {
    let most = usize::try_from(DISK_BYTES).unwrap() / CRUMB_BYTES;
    let crumbs = (0..most).map(|n| disk.join(format!("crumb{n}")));
    crumbs
        .take_while(|crumb| fs::write(crumb, vec![b'x'; CRUMB_BYTES]).is_ok())
        .collect()
}

#[test]
fn a_photo_waits_for_room_and_keeps_none_from_a_form() {
    let folder = tempfile::tempdir().unwrap();
    let disk = folder.path().join("disk");
    if !can_have(&disk) {
        return;
    }
    let mut command = on_a_small_disk(&disk, SERVE);
    let mut server = Server::start(command.arg(PROGRAM));
    let disk = seen_by(&server, &disk);
    let mut browser = Browser::new(server.port);
    let spot = to_the_first_point(&mut browser);
    let walk = format!(
        "{}/plant?stage=tillering&a=ligule_type:hairs&walk={PLANT}",
        spot.point
    );
    let page = browser.open(&walk);
    let form = Form::find(
        &page.body,
        "post",
        &format!("{}/plant", spot.point),
        "scout",
    );
    browser.save(&form.fill("scout", SCOUT));

    let mut picture = b"\xFF\xD8\xFF\xE0".to_vec();
    picture.resize(PHOTO_BYTES, b'.');
    let file = folder.path().join("photo.jpg");
    fs::write(&file, &picture).unwrap();
    let sum = Command::new("sha256sum").arg(&file).output().unwrap();
    let sum = String::from_utf8(sum.stdout).unwrap()[..64].to_owned();
    let announced = format!(
        "of={PLANT}&sha256={sum}&bytes={PHOTO_BYTES}&shows=base&author=&made=2026-07-14T15:02:07.250Z"
    );
    let crumbs = fill(&disk);
    for crumb in &crumbs[..CRUMBS_OF_A_PIECE] {
        fs::remove_file(crumb).unwrap();
    }
    let (first, rest) = picture.split_at(PIECE_BYTES);
    let answer = put(server.port, &announced, 0, first);
    assert!(answer.contains("\"state\":\"more\""), "{answer}");
    let answer = put(server.port, &announced, PIECE_BYTES, rest);
    assert!(answer.contains("\"state\":\"waiting\""), "{answer}");
    assert!(answer.contains("safe on this phone"), "{answer}");
    // Its half is gone, so there is room for what people type.
    let halves = disk.join("season.standbook.uploads");
    assert_eq!(fs::read_dir(&halves).unwrap().count(), 0);
    let page = browser.open("/sites/new");
    let form = Form::find(&page.body, "post", "/sites", "name").fill("name", "Mill end");
    browser.save(&form.fill("scout", SCOUT));

    for crumb in &crumbs[CRUMBS_OF_A_PIECE..] {
        fs::remove_file(crumb).unwrap();
    }
    put(server.port, &announced, 0, first);
    let answer = put(server.port, &announced, PIECE_BYTES, rest);
    assert!(answer.contains("\"state\":\"kept\""), "{answer}");
    let kept = disk.join("season.standbook.photos").join(&sum[..2]);
    assert!(fs::read(kept.join(format!("{sum}.jpg"))).unwrap() == picture);
    assert!(server.ctrl_c().success());
}
