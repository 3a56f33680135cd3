//! An address as a picture that a phone's camera reads (QR code, ISO/IEC 18004).

use std::fmt::Write;

use fast_qr::qr::QRBuilder;

/// Blank modules around a code, as the standard asks.
pub const QUIET: usize = 4;

/// The code as an inline `svg` element, one unit a module; `None` when the text is too long. `label`
/// says what it is to whoever can't see it.
pub fn svg(text: &str, label: &'static str) -> Option<String> {
    let code = QRBuilder::new(text).build().ok()?;
    let side = code.size + 2 * QUIET;
    let mut path = String::new();
    for (y, row) in code.data.chunks(code.size).take(code.size).enumerate() {
        let mut x = 0;
        // Dark modules side by side are one stroke: half the bytes, on a sheet of many labels.
        for run in row.chunk_by(|a, b| a.value() == b.value()) {
            let n = run.len();
            if run[0].value() {
                let _ = write!(path, "M{} {}h{n}v1h-{n}z", x + QUIET, y + QUIET);
            }
            x += n;
        }
    }
    // Black on white in every theme: cameras want it so.
    Some(format!(
        r##"<svg class="qr" viewBox="0 0 {side} {side}" role="img" aria-label="{label}" shape-rendering="crispEdges"><rect width="{side}" height="{side}" fill="#fff"/><path d="{path}" fill="#000"/></svg>"##
    ))
}
