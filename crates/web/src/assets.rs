//! The style sheet and the icons, inside the program, served under its checksum so that a browser may keep
//! it for ever and still gets a new one with a new program.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

use crate::booklet::Paper;
use crate::failure::Failure;
use crate::pocket::short;

/// A file for each place for the writer.
const SHEETS: &str = concat!(
    include_str!("../static/base.css"),
    include_str!("../static/plot.css"),
    include_str!("../static/count.css"),
    include_str!("../static/plant.css"),
    include_str!("../static/stand.css"),
    include_str!("../static/desk.css"),
    include_str!("../static/report.css"),
    include_str!("../static/ground.css"),
    include_str!("../static/drawing.css"),
    include_str!("../static/phones.css"),
    include_str!("../static/away.css"),
    include_str!("../static/photos.css"),
    include_str!("../static/safe.css"),
    include_str!("../static/api.css"),
    include_str!("../static/labels.css"),
    include_str!("../static/sets.css"),
    include_str!("../static/practice.css"),
    include_str!("../static/practice_ask.css"),
    include_str!("../static/practice_frame.css"),
);

/// One sheet for the reader: the places, and the strokes of drawings as the pen defines them.
static CSS: LazyLock<String> =
    LazyLock::new(|| format!("{SHEETS}{}\n", standbook_drawing::pen::STYLE));

static CSS_NAME: LazyLock<String> = LazyLock::new(|| named("standbook", &CSS));

/// The sheets of the booklet, one a paper: name and text. A page can have one size of paper only,
/// so they can't stand in the sheet of all pages.
static BOOKLETS: LazyLock<Vec<(Paper, String, String)>> = LazyLock::new(|| {
    let papers = Paper::ALL.iter();
    papers
        .map(|(id, paper, ..)| {
            let css = paper.style();
            (*paper, named(&format!("booklet-{id}"), &css), css)
        })
        .collect()
});

/// A picture for tabs and home screens, drawn for this program (`static/icons/make.sh`).
struct Icon {
    /// As people write it.
    name: &'static str,
    /// The same with its checksum.
    served: String,
    kind: &'static str,
    bytes: &'static [u8],
}

static ICONS: LazyLock<[Icon; 3]> = LazyLock::new(|| {
    let svg = include_bytes!("../static/icons/icon.svg");
    let small = include_bytes!("../static/icons/icon-192.png");
    let large = include_bytes!("../static/icons/icon-512.png");
    [
        ("icon.svg", "image/svg+xml", svg.as_slice()),
        ("icon-192.png", "image/png", small.as_slice()),
        ("icon-512.png", "image/png", large.as_slice()),
    ]
    .map(|(name, kind, bytes)| {
        let (stem, ending) = name.split_once('.').unwrap_or((name, ""));
        let served = format!("{stem}-{}.{ending}", short(&Sha256::digest(bytes)));
        Icon {
            name,
            served,
            kind,
            bytes,
        }
    })
});

/// The name of a sheet, with its checksum.
fn named(sheet: &str, css: &str) -> String {
    format!("{sheet}-{}.css", short(&Sha256::digest(css.as_bytes())))
}

/// Address of a picture by its name, such as `icon.svg`.
pub fn icon_address(name: &str) -> String {
    let icon = ICONS.iter().find(|icon| icon.name == name);
    format!("/assets/{}", icon.map_or("", |icon| &icon.served))
}

/// Address of the style sheet.
pub fn css_address() -> String {
    format!("/assets/{}", *CSS_NAME)
}

/// Address of the booklet's style sheet for a paper.
pub fn booklet_address(paper: Paper) -> String {
    let sheet = BOOKLETS.iter().find(|(one, ..)| *one == paper);
    let name = sheet.map_or("", |(_, name, _)| name);
    format!("/assets/{name}")
}

/// Serves an asset.
pub async fn serve(Path(name): Path<String>) -> Result<Response, Failure> {
    let kept = (CACHE_CONTROL, "public, max-age=31536000, immutable");
    if let Some(icon) = ICONS.iter().find(|icon| icon.served == name) {
        return Ok(([(CONTENT_TYPE, icon.kind), kept], icon.bytes).into_response());
    }
    let css = if name == *CSS_NAME {
        Some(CSS.as_str())
    } else {
        let sheet = BOOKLETS.iter().find(|(_, one, _)| *one == name);
        sheet.map(|(.., css)| css.as_str())
    };
    let css = css.ok_or(Failure::NotFound { what: "file" })?;
    Ok(([(CONTENT_TYPE, "text/css; charset=utf-8"), kept], css).into_response())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    /// The places' style sheets end up in one: a bare class that two of them define would
    /// change the other's pages (the stand's answer once spread the walk's buttons).
    #[test]
    fn no_two_places_define_the_same_bare_class() {
        let sheets = [
            ("plot", include_str!("../static/plot.css")),
            ("count", include_str!("../static/count.css")),
            ("plant", include_str!("../static/plant.css")),
            ("stand", include_str!("../static/stand.css")),
            ("desk", include_str!("../static/desk.css")),
            ("report", include_str!("../static/report.css")),
            ("ground", include_str!("../static/ground.css")),
            ("drawing", include_str!("../static/drawing.css")),
            ("phones", include_str!("../static/phones.css")),
            ("photos", include_str!("../static/photos.css")),
            ("labels", include_str!("../static/labels.css")),
            ("practice", include_str!("../static/practice.css")),
            ("practice_ask", include_str!("../static/practice_ask.css")),
            (
                "practice_frame",
                include_str!("../static/practice_frame.css"),
            ),
        ];
        let mut owners: BTreeMap<&str, &str> = BTreeMap::new();
        for (place, sheet) in sheets {
            for line in sheet.lines() {
                let name = line
                    .strip_prefix('.')
                    .and_then(|rest| rest.split_once(" {"))
                    .map(|(name, _)| name)
                    .filter(|name| !name.contains([' ', '.', ':', '>', ',']));
                if let Some(name) = name {
                    let owner = *owners.entry(name).or_insert(place);
                    assert_eq!(owner, place, ".{name} is defined by {owner} and {place}");
                }
            }
        }
        assert!(owners.len() > 20, "the sheets could not be read");
    }
}
