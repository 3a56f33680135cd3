//! Which taxa a record names, and where.

use standbook_fieldbook::record::{Body, Counted};

/// Fields of a body that hold a taxon id, with the id.
pub(super) fn names_of(body: &Body) -> Vec<(String, &str)> {
    match body {
        Body::Planting(it) => numbered(it.mix.iter().map(|item| item.taxon.as_str()), |at| {
            format!("mix[{at}].taxon")
        }),
        Body::SeedLot(it) => vec![("taxon".to_owned(), it.taxon.as_str())],
        Body::Standard(it) => numbered(it.taxa.iter().map(String::as_str), |at| {
            format!("taxa[{at}]")
        }),
        Body::Frame(it) => {
            let tallies = it.tallies.iter().enumerate();
            let named = tallies.filter_map(|(at, tally)| match &tally.what {
                Counted::Taxon(id) => Some((format!("tallies[{at}].what"), id.as_str())),
                Counted::Unknown(_) => None,
            });
            named.collect()
        }
        Body::Determination(it) => one(it.taxon.as_deref()),
        Body::Opinion(it) => one(it.taxon.as_deref()),
        // The others name none.
        _ => Vec::new(),
    }
}

fn one(taxon: Option<&str>) -> Vec<(String, &str)> {
    taxon
        .map(|id| ("taxon".to_owned(), id))
        .into_iter()
        .collect()
}

fn numbered<'t>(
    names: impl Iterator<Item = &'t str>,
    field: impl Fn(usize) -> String,
) -> Vec<(String, &'t str)> {
    names
        .enumerate()
        .map(|(at, name)| (field(at), name))
        .collect()
}
