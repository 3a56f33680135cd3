//! Labels as Chromium prints them, and lengths in a photo as Chromium presses them.

use std::path::Path;

use fantoccini::actions::{InputSource, MouseActions, PointerAction};

use crate::booklet::{IN, MM, pages, print};
use crate::outbox::{Field, STRIP, until};
use crate::photos::{choose, open_a_plant, photos};
use crate::program::Program;
use crate::screen::{Browser, Screen};

/// Four labels and three slips of the demo: one sheet.
#[test]
fn labels_print_on_both_papers_and_nothing_else_does() {
    let program = Program::demo();
    let folder = tempfile::tempdir().unwrap();
    // Letter: 8.5 x 11 in (ANSI/ASME Y14.1); A4: 210 x 297 mm (ISO 216). From memory.
    for (paper, width, height) in [
        ("letter", 8.5 * IN, 11.0 * IN),
        ("a4", 210.0 * MM, 297.0 * MM),
    ] {
        let address = format!("{}/desk/vouchers/labels?paper={paper}", program.address);
        let printed = pages(&print(&address, folder.path()));
        assert_eq!(printed.len(), 1, "{paper}");
        let (w, h) = printed[0];
        // Chromium rounds to whole pixels of 3/4 point.
        assert!(
            (w - width).abs() < 1.0 && (h - height).abs() < 1.0,
            "{paper}: {w} x {h} points"
        );
    }
}

/// The picture lies on its side in its file (32 by 48 pixels upright); 780 points stand for 48 pixels, 16.25 for
/// one.
#[tokio::test]
async fn a_press_on_a_photo_is_where_it_was_pressed_without_a_script() {
    let field = Field::new();
    let program = field.serve();
    let browser = Browser::open(Screen::Desk).await;
    open_a_plant(&browser, &program.address).await;
    let file = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("crates/web/tests/pages/photos/files/turned.jpg");
    choose(&browser, "base", &file).await;
    let said = "document.querySelector('.photo-said').innerText";
    let kept = format!("{STRIP}.hidden && {said}.startsWith('On the laptop now')");
    until(&browser, &kept).await;
    let (sha256, ..) = photos(&field).remove(0);
    let client = &browser.client;
    let look = format!("{}/photos/{sha256}/look", program.address);
    client.goto(&look).await.unwrap();
    let whole = "(i => [i.naturalWidth, i.naturalHeight].join())(document.querySelector('.look-photo img'))";
    assert_eq!(browser.ask(&format!("return {whole}")).await, "32,48");
    client.goto(&format!("{look}?zoom=1")).await.unwrap();
    let mut at = Vec::new();
    // From the picture's upper left corner, points; what is pressed must be in sight and above the bar.
    let places = [(100.0, 100.0), (300.0, 420.0)];
    for (x, y) in places {
        let corner = browser
            .ask(
                "document.querySelector('.photo-pane').scrollIntoView({block: 'start'});
                const { left, top } = document.querySelector('input[type=image]').getBoundingClientRect();
                return [left, top];",
            )
            .await;
        let corner = [0, 1].map(|axis| corner[axis].as_f64().unwrap());
        let press = MouseActions::new("mouse".to_owned())
            .then(PointerAction::MoveTo {
                duration: None,
                x: corner[0] + x,
                y: corner[1] + y,
            })
            .then(PointerAction::Down { button: 0 })
            .then(PointerAction::Up { button: 0 });
        let before = client.current_url().await.unwrap();
        client.perform_actions(press).await.unwrap();
        until(&browser, &format!("location.href != '{before}'")).await;
        let url = client.current_url().await.unwrap();
        let places = url.query_pairs().find(|(name, _)| name == "at").unwrap().1;
        at = places.split('-').map(str::to_owned).collect::<Vec<_>>();
    }
    let read = |place: &str| {
        let (x, y) = place.split_once('x').unwrap();
        (x.parse::<f64>().unwrap(), y.parse::<f64>().unwrap())
    };
    // To the point on the screen: a sixteenth of a pixel, and the address rounds to a tenth.
    for (place, (x, y)) in at.iter().zip(places.map(|(x, y)| (x / 16.25, y / 16.25))) {
        let (px, py) = read(place);
        assert!(
            (px - x).abs() < 0.2 && (py - y).abs() < 0.2,
            "{place}, not {x} x {y}"
        );
    }
    assert_eq!(at.len(), 2);
    // Its marks lie over what was pressed.
    let over = browser
        .ask("return [...document.querySelectorAll('.look-photo svg .look-over')].length + ' ' + (document.querySelector('.look-photo svg').getBoundingClientRect().width == document.querySelector('input[type=image]').getBoundingClientRect().width)")
        .await;
    assert_eq!(over, "3 true");
    let said = browser
        .ask("return document.querySelector('main').innerText")
        .await;
    assert!(said.as_str().unwrap().contains("How long is it?"), "{said}");
    browser.close().await;
}
