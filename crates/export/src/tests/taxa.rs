//! The lowest name that is certain, with no doubt inside it.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Opinion, Qualifier};

use super::sample::key;
use crate::taxa::Taxa;

#[test]
fn what_is_doubtful_stands_apart_from_what_is_certain() {
    let taxa = Taxa::of(key());
    // In: the taxon chosen, the words written. Out: name, rank, doubt.
    for (taxon, written, scientific, rank, qualifier) in [
        (Some("setaria_faberi"), "", "Setaria faberi", "species", ""),
        (
            Some("setaria_faberi"),
            "giant foxtail",
            "Setaria faberi",
            "species",
            "",
        ),
        (
            Some("setaria_faberi"),
            "Setaria cf. faberi",
            "Setaria",
            "genus",
            "cf. faberi",
        ),
        (
            None,
            "Setaria aff. viridis",
            "Setaria",
            "genus",
            "aff. viridis",
        ),
        (
            None,
            "cf. Setaria faberi",
            "Plantae",
            "kingdom",
            "cf. Setaria faberi",
        ),
        (None, "Setaria sp.", "Setaria", "genus", ""),
        (None, "Ambrosia sp.", "Ambrosia", "genus", ""),
        (
            None,
            "Setaria verticillata",
            "Setaria verticillata",
            "species",
            "",
        ),
        (None, "Setaria faberi?", "Setaria", "genus", "faberi?"),
        (None, "Common ragweed", "Plantae", "kingdom", ""),
        (None, "", "Plantae", "kingdom", ""),
        (Some("no_such_taxon"), "", "Plantae", "kingdom", ""),
        (Some("not_in_key"), "", "Plantae", "kingdom", ""),
    ] {
        let named = taxa.by_opinion(&Opinion {
            taxon: taxon.map(str::to_owned),
            name_as_written: written.to_owned(),
            ..Opinion::on(RecordId::new())
        });
        let said = (
            named.scientific.as_str(),
            named.rank,
            named.qualifier.as_str(),
        );
        assert_eq!(said, (scientific, rank, qualifier), "{taxon:?} {written:?}");
        // An id stands only beside the name it means.
        assert_eq!(
            named.taxon.is_empty(),
            taxa.get(taxon.unwrap_or(""))
                .is_none_or(|t| t.scientific_name != scientific)
        );
    }
}

#[test]
fn doubt_of_its_own_column_and_a_genus_say_no_more_than_is_sure() {
    let taxa = Taxa::of(key());
    let say = |taxon: Option<&str>, qualifier, genus: Option<&str>| {
        let named = taxa.by_opinion(&Opinion {
            taxon: taxon.map(str::to_owned),
            qualifier,
            genus: genus.map(str::to_owned),
            ..Opinion::on(RecordId::new())
        });
        (
            named.scientific,
            named.rank,
            named.qualifier,
            named.counts_as,
        )
    };
    let said = |scientific: &str, rank, qualifier: &str, counts_as: &str| {
        (
            scientific.to_owned(),
            rank,
            qualifier.to_owned(),
            counts_as.to_owned(),
        )
    };
    let faberi = Some("setaria_faberi");
    assert_eq!(
        say(faberi, None, None),
        said("Setaria faberi", "species", "", "setaria_faberi")
    );
    // As the Stand counts: a plant that has to be compared counts as the taxon, one near it does not.
    assert_eq!(
        say(faberi, Some(Qualifier::Cf), None),
        said("Setaria", "genus", "cf. faberi", "setaria_faberi")
    );
    assert_eq!(
        say(faberi, Some(Qualifier::Aff), None),
        said("Plantae", "kingdom", "aff. Setaria faberi", "")
    );
    assert_eq!(
        say(None, None, Some("Setaria")),
        said("Setaria", "genus", "", "")
    );
}
