//! Reads `couplets.yaml`: an authored single-access key.
//!
//! ```yaml
//! couplets:
//!   - number: 1
//!     leads:
//!       - text: Ligule absent.
//!         when: {trait: ligule_type, states: [absent]}   # or range: [low, high]
//!         taxa: [echinochloa_crus_galli]                 # the end, or
//!       - text: Ligule present.
//!         to: 2                                          # another couplet
//! ```

use crate::couplet::{Couplet, CoupletPlace, Couplets, Lead, LeadReading, LeadTest, LeadTo};
use crate::fault::{Findings, meant, meant_within, short};
use crate::fields::{At, Fields};
use crate::ids::{StateId, TaxonId};
use crate::read_traits::{Traits, Unfound};
use crate::yaml::Yaml;

const FILE: &str = "couplets.yaml";

/// Largest couplet number; far above any key for print.
const LARGEST_NUMBER: f64 = 100_000.0;

/// What the file holds, as far as it could be read.
pub(crate) struct Read {
    pub couplets: Couplets,
    /// Beside `couplets`.
    pub places: Vec<CoupletPlace>,
    /// Whether every couplet and lead could be read.
    pub complete: bool,
}

/// Reads the couplets; `taxa` are the ids of all taxon files, sorted, readable or not.
pub(crate) fn read(
    yaml: &Yaml,
    traits: Option<&Traits>,
    taxa: &[&str],
    findings: &mut Findings,
) -> Option<Read> {
    let mut fields = Fields::open(FILE, yaml, "the couplets file", findings)?;
    let list = fields.required("couplets");
    let items = list.and_then(|yaml| fields.as_list(yaml, "couplets"));
    fields.close();
    let mut couplets = Vec::new();
    let mut places = Vec::new();
    let mut complete = true;
    let items = items?;
    for item in items {
        let Some(mut fields) = Fields::open(FILE, item, "a couplet", findings) else {
            complete = false;
            continue;
        };
        let number = fields.number("number");
        let number = number.and_then(|n| whole(&mut fields, n));
        let leads_yaml = fields.list("leads");
        fields.close();
        let mut leads = Vec::new();
        let mut lead_places = Vec::new();
        for lead in leads_yaml {
            match read_lead(lead, traits, taxa, findings) {
                Some(read) => {
                    leads.push(read);
                    lead_places.push(lead.place);
                }
                None => complete = false,
            }
        }
        complete &= number.is_some();
        if let Some(number) = number {
            couplets.push(Couplet { number, leads });
            places.push(CoupletPlace {
                couplet: item.place,
                leads: lead_places,
            });
        }
    }
    if items.is_empty() {
        findings.fault(
            FILE,
            yaml.place,
            "there is no couplet",
            "write couplets, or remove the file: the program grows couplets from the profiles",
        );
        return None;
    }
    Some(Read {
        couplets: Couplets { couplets },
        places,
        complete,
    })
}

fn whole(fields: &mut Fields, number: At<f64>) -> Option<u32> {
    if number.value.fract() == 0.0 && (1.0..=LARGEST_NUMBER).contains(&number.value) {
        // In range, so the conversion is exact.
        return Some(number.value as u32);
    }
    fields.fault(
        number.place,
        format!("{} is not a couplet number", number.value),
        "number couplets 1, 2, 3 ...",
    );
    None
}

fn read_lead(
    yaml: &Yaml,
    traits: Option<&Traits>,
    taxa: &[&str],
    findings: &mut Findings,
) -> Option<Lead> {
    let mut fields = Fields::open(FILE, yaml, "a lead", findings)?;
    let text = fields.text("text");
    let when = fields.optional("when");
    let to = fields.optional("to");
    let ends = fields.optional("taxa");
    let target = match (to, ends) {
        (Some(yaml), None) => {
            let number = fields.as_number(yaml, "to");
            number
                .and_then(|n| whole(&mut fields, n))
                .map(LeadTo::Couplet)
        }
        (None, Some(yaml)) => read_ends(&mut fields, yaml, taxa),
        _ => {
            fields.fault(
                fields.place,
                "a lead goes either to a couplet or ends in taxa",
                "write `to: number`, or `taxa: [ids]`, not both",
            );
            None
        }
    };
    fields.close();
    let when = match when {
        Some(yaml) => Some(read_test(yaml, traits, findings)?),
        None => None,
    };
    Some(Lead {
        text: text?.value.to_owned(),
        when,
        to: target?,
    })
}

fn read_ends<'a>(fields: &mut Fields<'a, '_>, yaml: &'a Yaml, taxa: &[&str]) -> Option<LeadTo> {
    let items = fields.as_list(yaml, "taxa")?;
    let mut ends = Vec::new();
    for item in items {
        let Some(id) = fields.as_text(item, "taxa") else {
            continue;
        };
        if taxa.binary_search(&id.value).is_ok() {
            ends.push(TaxonId::new(id.value));
        } else {
            fields.fault(
                id.place,
                format!("`{}` is not a taxon of this key", short(id.value)),
                meant(
                    id.value,
                    taxa.iter().copied(),
                    "add the taxon as taxa/<taxon id>.yaml",
                ),
            );
        }
    }
    if items.is_empty() {
        fields.fault(
            yaml.place,
            "this lead ends in no taxon",
            "name at least one, `taxa: [id]`",
        );
    }
    (!ends.is_empty() && ends.len() == items.len()).then_some(LeadTo::Taxa(ends))
}

fn read_test(yaml: &Yaml, traits: Option<&Traits>, findings: &mut Findings) -> Option<LeadTest> {
    let mut fields = Fields::open(FILE, yaml, "`when`", findings)?;
    let trait_id = fields.id("trait");
    let states = fields.optional("states");
    let range = fields.optional("range");
    fields.close();
    let trait_id = trait_id?;
    let traits = traits?;
    let one = match traits.find(trait_id.value) {
        Ok(one) => one,
        Err(Unfound::Unread) => return None,
        Err(Unfound::Unknown) => {
            fields.fault(
                trait_id.place,
                format!("`{}` is not a trait of this key", trait_id.value),
                meant(trait_id.value, traits.ids(), "add it to traits.yaml"),
            );
            return None;
        }
    };
    let (has_states, measured) = (!one.states().is_empty(), one.measure().is_some());
    let reading = match (states, range) {
        (Some(yaml), None) if has_states => {
            let items = fields.as_list(yaml, "states")?;
            let mut wanted = Vec::new();
            for item in items {
                let Some(id) = fields.as_text(item, "states") else {
                    continue;
                };
                if one.state_index(id.value).is_none() {
                    fields.fault(
                        id.place,
                        format!("`{}` is not a state of `{}`", short(id.value), one.id),
                        meant_within(
                            id.value,
                            one.states().iter().map(|s| s.id.as_str()),
                            "see its states in traits.yaml",
                        ),
                    );
                    continue;
                }
                wanted.push(StateId::new(id.value));
            }
            if wanted.len() < items.len() {
                return None;
            }
            (!wanted.is_empty()).then_some(LeadReading::States(wanted))
        }
        (None, Some(yaml)) if measured => {
            let (low, high) = fields.as_range(yaml, "range")?.value;
            Some(LeadReading::Range { low, high })
        }
        _ => None,
    };
    if reading.is_none() {
        fields.fault(
            fields.place,
            format!("this says nothing that can be seen of `{}`", one.id),
            match (has_states, measured) {
                (true, _) => "write `states: [...]` with states of that trait",
                (_, true) => "write `range: [low, high]`",
                _ => "a note decides nothing: name a trait with states or a measure",
            },
        );
    }
    Some(LeadTest {
        trait_id: one.id.clone(),
        reading: reading?,
    })
}
