//! The name of a table's meaning.
//!
//! In: a key, the modelling. Out: 64 hex digits. Not here: what one scout's eye makes of it (`eye`).

use standbook_key::{Key, TraitKind, fingerprint};

use crate::modelling::Modelling;

/// Says which modelling made a table; part of its fingerprint. Change it with every change
/// to `profile`, `misread`, `table` or `posterior` that can alter a number.
pub const MODEL: &str = "standbook table 4";

/// Hash of everything that can alter a number: facts without their remarks, traits without
/// their wording, and the modelling itself. Platform-independent, since it hashes the inputs
/// and not the logarithms. Written straight to bytes: building JSON values first took five
/// times as long as the rest of compiling.
pub(crate) fn fingerprint_of(key: &Key, modelling: &Modelling) -> String {
    let traits: Vec<_> = key
        .traits
        .iter()
        .map(|t| {
            let states: Vec<_> = t.states().iter().map(|s| &s.id).collect();
            let ordered = matches!(t.kind, TraitKind::Ordered(_));
            let misread = (t.misread.rate, &t.misread.mixed_up, &t.misread.taken_for);
            (
                &t.id,
                t.class,
                states,
                ordered,
                t.measure(),
                t.decides,
                &t.applies_to,
                misread,
            )
        })
        .collect();
    let taxa: Vec<_> = key
        .taxa
        .iter()
        .map(|taxon| {
            let cells: Vec<_> = taxon
                .profile
                .iter()
                .map(|(id, facts)| {
                    // Which facts are of one voice alters a number; its name does not.
                    let facts: Vec<_> = facts
                        .iter()
                        .map(|f| {
                            let voice = key.voice_of(&f.source);
                            let first = facts.iter().position(|g| key.voice_of(&g.source) == voice);
                            (&f.value, f.plant, first, f.source == "memory")
                        })
                        .collect();
                    (id, facts)
                })
                .collect();
            let genus = taxon.scientific_name.split_whitespace().next();
            (&taxon.id, taxon.role, &taxon.group, genus, cells)
        })
        .collect();
    let together: Vec<_> = key
        .together
        .iter()
        .map(|set| (&set.traits, set.overlap))
        .collect();
    // Plain data with text keys: serialising it to memory has no way to fail.
    let bytes = serde_json::to_vec(&(MODEL, modelling, &key.id, traits, together, taxa))
        .unwrap_or_default();
    fingerprint::of_bytes(&bytes)
}
