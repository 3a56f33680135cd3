//! The booklet as Chromium prints it: the right paper, a book of a size to carry, and from the app
//! the same pages as from the file.

use std::path::Path;
use std::process::Command;

use crate::program::Program;

/// Widths and heights of all pages of a PDF, points. Chromium writes page objects uncompressed.
pub fn pages(pdf: &[u8]) -> Vec<(f64, f64)> {
    let text = String::from_utf8_lossy(pdf);
    text.split("/MediaBox")
        .skip(1)
        .map(|rest| {
            let inside = rest.split('[').nth(1).unwrap().split(']').next().unwrap();
            let numbers: Vec<f64> = inside
                .split_whitespace()
                .map(|n| n.parse().unwrap())
                .collect();
            (numbers[2] - numbers[0], numbers[3] - numbers[1])
        })
        .collect()
}

/// Prints an address.
pub fn print(address: &str, folder: &Path) -> Vec<u8> {
    let out = folder.join("out.pdf");
    let done = Command::new("chromium")
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-background-networking",
            "--no-first-run",
            "--no-pdf-header-footer",
        ])
        .arg(format!(
            "--user-data-dir={}",
            folder.join("profile").display()
        ))
        .arg(format!("--print-to-pdf={}", out.display()))
        .arg(address)
        .output()
        .expect("chromium starts: run `cargo xtask test`, which installs it");
    std::fs::read(&out)
        .unwrap_or_else(|e| panic!("no PDF: {e}: {}", String::from_utf8_lossy(&done.stderr)))
}

/// Points in a millimetre and in an inch, exact (25.4 mm, 72 points).
pub const MM: f64 = 72.0 / 25.4;
pub const IN: f64 = 72.0;

#[test]
fn the_booklet_prints_on_both_papers() {
    let program = Program::demo();
    let folder = tempfile::tempdir().unwrap();
    let key = Path::new(env!("CARGO_MANIFEST_DIR")).join("keys/tallgrass-first-year");
    // A5: 148 x 210 mm (ISO 216). Letter: 8.5 x 11 in (ANSI/ASME Y14.1), folded once. From memory.
    for (paper, width, height) in [
        ("a5", 148.0 * MM, 210.0 * MM),
        ("half-letter", 5.5 * IN, 8.5 * IN),
    ] {
        let file = folder.path().join(format!("{paper}.html"));
        let made = Command::new(env!("CARGO_BIN_EXE_standbook"))
            .arg("booklet")
            .arg(&key)
            .args(["--paper", paper, "--out"])
            .arg(&file)
            .status()
            .unwrap();
        assert!(made.success());
        let printed = pages(&print(&format!("file://{}", file.display()), folder.path()));
        assert!(
            (20..=80).contains(&printed.len()),
            "{paper}: {} pages",
            printed.len()
        );
        for (page, (w, h)) in printed.iter().enumerate() {
            // Chromium rounds to whole pixels of 3/4 point.
            assert!(
                (w - width).abs() < 1.0 && (h - height).abs() < 1.0,
                "{paper}, page {}: {w} x {h} points",
                page + 1
            );
        }
        // The bar, the strip of the demo and the hint are no pages of the book.
        let address = format!("{}/key/booklet?paper={paper}", program.address);
        let from_app = pages(&print(&address, folder.path()));
        assert_eq!(from_app, printed, "{paper}: printed from the app");
    }
}
