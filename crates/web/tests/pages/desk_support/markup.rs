//! Reads marks out of a page's text.

use std::collections::BTreeSet;

/// The values of an attribute, as often as they stand on a page.
pub fn values<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let mark = format!(" {attribute}=\"");
    page.split(mark.as_str())
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect()
}

/// Every id stands once, and what names an id or leads to one finds it on the page. Out: how many
/// leads there are.
#[track_caller]
pub fn ids_are_sound(page: &str) -> usize {
    let ids = values(page, "id");
    let all: BTreeSet<&str> = ids.iter().copied().collect();
    let mut seen = BTreeSet::new();
    for id in &ids {
        assert!(seen.insert(id), "the id {id} stands twice");
    }
    for named in values(page, "aria-labelledby") {
        for id in named.split(' ') {
            assert!(all.contains(id), "nothing has the id {id}");
        }
    }
    let inside = values(page, "href")
        .into_iter()
        .filter_map(|h| h.strip_prefix('#'));
    let mut leads = 0;
    for id in inside {
        assert!(all.contains(id), "nothing has the id {id}");
        leads += 1;
    }
    leads
}
