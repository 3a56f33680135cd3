//! Outlines as well-known text, longitude first. Source: OGC 06-103r4 (Simple Features), 7.2.

use std::fmt::Write as _;

use standbook_fieldbook::record::Polygon;

/// Degrees with at most 8 digits after the point, about 1 mm, and never an exponent.
pub(crate) fn degrees(value: f64) -> f64 {
    // Minus zero would be written as such.
    (value * 1e8).round() / 1e8 + 0.0
}

/// `POLYGON ((...))`, or `MULTIPOLYGON` where there are several; rings are closed.
pub(crate) fn outline(polygons: &[Polygon]) -> String {
    let mut out = String::new();
    match polygons {
        [] => out.push_str("POLYGON EMPTY"),
        [only] => {
            out.push_str("POLYGON ");
            polygon(&mut out, only);
        }
        all => {
            out.push_str("MULTIPOLYGON (");
            for (at, one) in all.iter().enumerate() {
                out.push_str(if at > 0 { ", " } else { "" });
                polygon(&mut out, one);
            }
            out.push(')');
        }
    }
    out
}

fn polygon(out: &mut String, polygon: &Polygon) {
    out.push('(');
    for (at, ring) in polygon.rings.iter().enumerate() {
        out.push_str(if at > 0 { ", (" } else { "(" });
        for (n, [latitude, longitude]) in ring.iter().chain(ring.first()).enumerate() {
            let between = if n > 0 { ", " } else { "" };
            // Writing to a text cannot fail.
            let _ = write!(
                out,
                "{between}{} {}",
                degrees(*longitude),
                degrees(*latitude)
            );
        }
        out.push(')');
    }
    out.push(')');
}
