//! A key as it would be had a source never been read, or a taxon never been written up.
//!
//! In: a key. Out: a smaller one.

use standbook_key::{Key, SourceId};

/// The key without every cell and look-alike note of one source. A trait that keeps no cell is
/// unknown, as if nobody had recorded it.
pub fn without_source(key: &Key, source: &SourceId) -> Key {
    let mut smaller = key.clone();
    for taxon in &mut smaller.taxa {
        for facts in taxon.profile.values_mut() {
            facts.retain(|fact| fact.source != *source);
        }
        taxon.profile.retain(|_, facts| !facts.is_empty());
        taxon.look_alikes.retain(|l| l.source != *source);
    }
    smaller
}

/// The key without the taxon at `at`; an index beyond the end leaves it as it is.
pub fn without_taxon(key: &Key, at: usize) -> Key {
    let mut smaller = key.clone();
    if at < smaller.taxa.len() {
        smaller.taxa.remove(at);
        // Authored couplets would name the missing taxon.
        smaller.couplets = None;
    }
    smaller
}
