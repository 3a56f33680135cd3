//! An address as a picture that a phone's camera reads (QR code, ISO/IEC 18004).

use std::fmt::Write;

use fast_qr::qr::QRBuilder;

/// Blank modules around a code, as the standard asks.
pub const QUIET: usize = 4;

/// The code as an inline `svg` element, one unit a module; `None` when the text is too long.
pub fn svg(text: &str) -> Option<String> {
    let code = QRBuilder::new(text).build().ok()?;
    let side = code.size + 2 * QUIET;
    let mut path = String::new();
    for (y, row) in code.data.chunks(code.size).take(code.size).enumerate() {
        for (x, module) in row.iter().enumerate() {
            if module.value() {
                let _ = write!(path, "M{} {}h1v1h-1z", x + QUIET, y + QUIET);
            }
        }
    }
    // Black on white in every theme: cameras want it so.
    Some(format!(
        r##"<svg class="qr" viewBox="0 0 {side} {side}" role="img" aria-label="The address above, for the phone's camera" shape-rendering="crispEdges"><rect width="{side}" height="{side}" fill="#fff"/><path d="{path}" fill="#000"/></svg>"##
    ))
}
