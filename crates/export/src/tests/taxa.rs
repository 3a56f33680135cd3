//! The lowest name that is certain, with no doubt inside it.

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::Opinion;

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
            about: RecordId::new(),
            taxon: taxon.map(str::to_owned),
            name_as_written: written.to_owned(),
            reasons: String::new(),
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
