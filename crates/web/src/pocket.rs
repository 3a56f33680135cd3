//! For a phone out of reach: the modules that keep what is saved and that compute the walk in a
//! page, and the table.
//!
//! In: the sources in `static/pocket`, the compiled table. Out: modules as browsers load them,
//! without their comments, under one checksum for all, so that one never meets another of an
//! older program; the table as text with a tag by which a browser asks whether it has changed.
//! Every page loads `save.js` (and what it asks for), pages with a form for photos and the outbox
//! those of photos as well; the page for out of reach loads all.

use std::sync::LazyLock;

use axum::extract::{Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};
use standbook_identify::{Table, phone};

use crate::app::{Shared, run};
use crate::failure::Failure;

/// The modules by name, as people write them.
pub const SOURCES: [(&str, &str); 21] = [
    ("away.js", include_str!("../static/pocket/away.js")),
    ("dom.js", include_str!("../static/pocket/dom.js")),
    ("evidence.js", include_str!("../static/pocket/evidence.js")),
    ("frame.js", include_str!("../static/pocket/frame.js")),
    (
        "information.js",
        include_str!("../static/pocket/information.js"),
    ),
    ("layer.js", include_str!("../static/pocket/layer.js")),
    ("looks.js", include_str!("../static/pocket/looks.js")),
    ("outbox.js", include_str!("../static/pocket/outbox.js")),
    ("outcome.js", include_str!("../static/pocket/outcome.js")),
    (
        "photo_form.js",
        include_str!("../static/pocket/photo_form.js"),
    ),
    (
        "photo_list.js",
        include_str!("../static/pocket/photo_list.js"),
    ),
    ("photos.js", include_str!("../static/pocket/photos.js")),
    ("plant.js", include_str!("../static/pocket/plant.js")),
    (
        "posterior.js",
        include_str!("../static/pocket/posterior.js"),
    ),
    ("reasons.js", include_str!("../static/pocket/reasons.js")),
    ("save.js", include_str!("../static/pocket/save.js")),
    ("sha256.js", include_str!("../static/pocket/sha256.js")),
    ("table.js", include_str!("../static/pocket/table.js")),
    ("uuid.js", include_str!("../static/pocket/uuid.js")),
    ("visit.js", include_str!("../static/pocket/visit.js")),
    ("way.js", include_str!("../static/pocket/way.js")),
];

/// Address of the table.
pub const TABLE: &str = "/key/table.json";

static MODULES: LazyLock<[(&str, String); SOURCES.len()]> =
    LazyLock::new(|| SOURCES.map(|(name, source)| (name, bare(source))));

static FOLDER: LazyLock<String> = LazyLock::new(|| {
    let mut digest = Sha256::new();
    for (name, module) in MODULES.iter() {
        digest.update(name);
        digest.update(module);
    }
    short(&digest.finalize())
});

/// Address of a module by its name, such as `table.js`. Modules load one another from beside them.
pub fn address(name: &str) -> String {
    format!("/assets/pocket/{}/{name}", *FOLDER)
}

/// `GET /assets/pocket/{folder}/{name}`
pub async fn module(Path((folder, name)): Path<(String, String)>) -> Result<Response, Failure> {
    let found = MODULES.iter().find(|(one, _)| *one == name);
    match found {
        Some((_, module)) if folder == *FOLDER => {
            let headers = [
                (CONTENT_TYPE, "text/javascript; charset=utf-8"),
                (CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ];
            Ok((headers, module.as_str()).into_response())
        }
        _ => Err(Failure::NotFound { what: "file" }),
    }
}

/// The table as text, with the tag that names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sent {
    /// What [`phone::read`] reads.
    pub text: String,
    /// The table's fingerprint and a checksum of the text, in quotes: the fingerprint names what
    /// alters a probability, but not, say, how long a look takes.
    pub tag: String,
}

impl Sent {
    /// Of a table.
    pub fn of(table: &Table) -> Result<Sent, phone::PhoneFault> {
        let text = phone::write(table)?;
        let sum = short(&Sha256::digest(&text));
        let tag = format!("\"{}-{sum}\"", table.fingerprint);
        Ok(Sent { text, tag })
    }
}

/// `GET /key/table.json`
pub async fn table(State(app): State<Shared>, asked: HeaderMap) -> Result<Response, Failure> {
    let tags = asked.get(IF_NONE_MATCH).and_then(|tags| tags.to_str().ok());
    let tags = tags.unwrap_or_default().to_owned();
    run(app, move |app| {
        let sent = Sent::of(&app.table).map_err(|_| Failure::Ours)?;
        let known = tags.split(',').any(|tag| {
            let tag = tag.trim();
            tag == "*" || tag.trim_start_matches("W/") == sent.tag
        });
        // Kept, but asked for again each time: another key may be served from the same address.
        let headers = [
            (CONTENT_TYPE, "application/json".to_owned()),
            (CACHE_CONTROL, "no-cache".to_owned()),
            (ETAG, sent.tag),
        ];
        Ok(match known {
            true => (StatusCode::NOT_MODIFIED, headers).into_response(),
            false => (headers, sent.text).into_response(),
        })
    })
    .await
}

/// A module without comments, indents and empty lines: half its bytes. It knows no strings, so a
/// test holds that no module has `/*` or a line that begins with `//` within one.
pub(crate) fn bare(source: &str) -> String {
    let mut code = String::with_capacity(source.len() / 2);
    let mut rest = source;
    while let Some((before, after)) = rest.split_once("/*") {
        code.push_str(before);
        rest = after
            .split_once("*/")
            .map_or("", |(_, after)| after.trim_start_matches(' '));
    }
    code.push_str(rest);
    let lines = code
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty() && !line.starts_with("//"));
    lines.flat_map(|line| [line, "\n"]).collect()
}

/// Sixteen hex digits of a checksum.
pub(crate) fn short(digest: &[u8]) -> String {
    digest.iter().take(8).map(|b| format!("{b:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::{SOURCES, bare};

    #[test]
    fn comments_go_and_code_stays() {
        let source =
            "// Head.\nconst f = (/** @type {number} */ x) => x; \n\n/**\n * Two\n */\n  f(2);\n";
        assert_eq!(bare(source), "const f = (x) => x;\nf(2);\n");
    }

    /// What would make [`bare`] cut code.
    #[test]
    fn no_module_has_marks_of_comments_within_text() {
        for (name, source) in SOURCES {
            for line in source.lines() {
                let marks = line.matches("/*").count() + line.matches("*/").count();
                let quoted = ['"', '`', '\''].into_iter().any(|quote| {
                    let within = line.split(quote).skip(1).step_by(2);
                    within.into_iter().any(|text| text.contains("/*"))
                });
                // Backquotes quote names in comments.
                let comment = line.trim_start().starts_with(['/', '*']);
                assert!(marks == 0 || comment || !quoted, "{name}: {line}");
            }
            // A text over several lines would lose its indents.
            for line in bare(source).lines() {
                assert!(line.matches('`').count() % 2 == 0, "{name}: {line}");
            }
        }
    }
}
