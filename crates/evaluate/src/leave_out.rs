//! A key as it would be had a source never been read, or a taxon never been written up.
//!
//! In: a key. Out: a smaller one.

use standbook_key::{Key, SourceId};

/// The key without every cell and look-alike note of one voice: a source and all that count with
/// it. A trait that keeps no cell is
/// unknown, as if nobody had recorded it.
pub fn without_source(key: &Key, source: &SourceId) -> Key {
    let mut smaller = key.clone();
    let stays = |of: &SourceId| key.voice_of(of) != source;
    for taxon in &mut smaller.taxa {
        for facts in taxon.profile.values_mut() {
            facts.retain(|fact| stays(&fact.source));
        }
        taxon.profile.retain(|_, facts| !facts.is_empty());
        taxon.look_alikes.retain(|l| stays(&l.source));
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
