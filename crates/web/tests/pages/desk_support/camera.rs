//! Reads a code out of the picture that a page draws of it, by another program's reader (crate rqrr 0.11).

use standbook_web::phones::qr;

/// The text of a code, drawn as an `svg` element with one unit a module.
#[track_caller]
pub fn read(svg: &str) -> String {
    let side: usize = svg
        .split("viewBox=\"0 0 ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next())
        .unwrap()
        .parse()
        .unwrap();
    let mut dark = vec![false; side * side];
    let path = svg.split(" d=\"").nth(1).unwrap();
    let path = path.split('"').next().unwrap();
    for run in path.split('M').skip(1) {
        let mut at = run.split([' ', 'h', 'v']);
        let mut next = || at.next().unwrap().parse::<usize>().unwrap();
        let (x, y, n) = (next(), next(), next());
        assert!(x >= qr::QUIET && y >= qr::QUIET && x + n <= side - qr::QUIET);
        assert!(y < side - qr::QUIET);
        dark[y * side + x..y * side + x + n].fill(true);
    }
    // Four pixels a module, as a camera would see it from near.
    let mut picture = rqrr::PreparedImage::prepare_from_greyscale(side * 4, side * 4, |x, y| {
        if dark[y / 4 * side + x / 4] { 0 } else { 255 }
    });
    let found = picture.detect_grids();
    assert_eq!(found.len(), 1);
    found[0].decode().unwrap().1
}

/// The texts of all codes on a page, in their order.
#[track_caller]
pub fn read_all(page: &str) -> Vec<String> {
    page.split("<svg class=\"qr\"").skip(1).map(read).collect()
}
